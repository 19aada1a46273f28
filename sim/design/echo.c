// SPDX-License-Identifier: MIT
#include "design/memory.h"
#include "design/quoted.h"
#include "design/read.h"
#include "design/value.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const void *below(const void *base, size_t offset)
{
    return (const char *)base + offset;
}

static bool applies(const cbx_row *row, const void *base)
{
    return !row->applies || row->applies(base);
}

// Paths of the schema are far shorter than the buffer; one that is not is known to nobody.
static void extend(char path[CBX_PATH_SIZE], const char *parent, const char *name)
{
    const int length = snprintf(path, CBX_PATH_SIZE, "%s%s%s", parent, *parent ? "." : "", name);
    if (length >= CBX_PATH_SIZE) {
        path[0] = '\0';
    }
}

static void extend_index(char path[CBX_PATH_SIZE], const char *parent, int index)
{
    if (snprintf(path, CBX_PATH_SIZE, "%s[%d]", parent, index) >= CBX_PATH_SIZE) {
        path[0] = '\0';
    }
}

// ---- echo ------------------------------------------------------------------------------------

typedef struct echo {
    const cb_design *design;
    FILE *stream;
} echo;

void cbx_put_quoted(FILE *stream, const char *text)
{
    fputc('"', stream);
    for (const unsigned char *at = (const unsigned char *)text; *at; at++) {
        if (*at == '"' || *at == '\\') {
            fprintf(stream, "\\%c", *at);
        } else if (*at < 0x20 || *at == 0x7f) {
            fprintf(stream, "\\x%02x", *at);
        } else {
            fputc(*at, stream);
        }
    }
    fputc('"', stream);
}

static void put_file(FILE *stream, const char *path)
{
    char folder[4096];
    if (path[0] == '/' || !getcwd(folder, sizeof folder)) {
        cbx_put_quoted(stream, path);
        return;
    }
    const size_t size = strlen(folder) + strlen(path) + 2;
    char *full = malloc(size);
    if (full) {
        snprintf(full, size, "%s/%s", folder, path);
    }
    cbx_put_quoted(stream, full ? full : path);
    free(full);
}

static void put_scalar(const echo *e, const cbx_row *row, const void *base, int index)
{
    if (row->type == CBX_FILE) {
        put_file(e->stream, cbx_text_of(row, base));
    } else if (cbx_is_text(row)) {
        cbx_put_quoted(e->stream, cbx_text_of(row, base));
    } else {
        fputs(cbx_value_exact(row, base, index).text, e->stream);
    }
}

typedef struct margin {
    int depth;
    bool dash; ///< the next key is the first of a list's element and carries its dash
} margin;

static void put_indent(const echo *e, margin *m)
{
    fprintf(e->stream, "%*s%s", 2 * (m->depth - m->dash), "", m->dash ? "- " : "");
    m->dash = false;
}

static void put_rows(const echo *e, const cbx_row *rows, const void *base, const char *path,
                     margin m);

static void put_values(const echo *e, const cbx_row *row, const void *base)
{
    const int count = cbx_count_of(row, base);
    fputs(" [", e->stream);
    for (int i = 0; i < count; i++) {
        fputs(i ? ", " : "", e->stream);
        put_scalar(e, row, base, i);
    }
    fputs("]\n", e->stream);
}

static void put_list(const echo *e, const cbx_row *row, const void *base, const char *path,
                     int depth)
{
    const int count = cbx_count_of(row, base);
    fputs(count ? "\n" : " []\n", e->stream);
    for (int i = 0; i < count; i++) {
        char element[CBX_PATH_SIZE];
        extend_index(element, path, i);
        put_rows(e, row->rows, below(base, row->offset + (size_t)i * row->stride), element,
                 (margin){depth + 2, true});
    }
}

static bool any_row_present(const cbx_row *rows, const void *base);

// Whether the echo has to say something for this key.
static bool is_present(const cbx_row *row, const void *base)
{
    if (row->type == CBX_BLOCK && row->optional_block && !row->applies) {
        return any_row_present(row->rows, below(base, row->offset));
    }
    return !cbx_value_is_unset(row, base);
}

static bool any_row_present(const cbx_row *rows, const void *base)
{
    bool found = false;
    for (const cbx_row *row = rows; !found && row->name; row++) {
        found = is_present(row, base);
    }
    return found;
}

static void put_row(const echo *e, const cbx_row *row, const void *base, const char *path,
                    int depth)
{
    switch (row->type) {
        case CBX_BLOCK:
        case CBX_NORMALS:
            fputc('\n', e->stream);
            put_rows(e, row->rows, below(base, row->offset), path, (margin){depth + 1, false});
            break;
        case CBX_LIST:
            put_list(e, row, base, path, depth);
            break;
        case CBX_VALUES:
            put_values(e, row, base);
            break;
        default:
            fputc(' ', e->stream);
            put_scalar(e, row, base, 0);
            fputc('\n', e->stream);
            break;
    }
}

static void put_rows(const echo *e, const cbx_row *rows, const void *base, const char *path,
                     margin m)
{
    for (const cbx_row *row = rows; row->name; row++) {
        char here[CBX_PATH_SIZE];
        extend(here, path, row->name);
        const bool wanted = applies(row, base) || cbx_given(e->design->memory, here);
        if (wanted && is_present(row, base)) {
            put_indent(e, &m);
            fprintf(e->stream, "%s:", row->name);
            put_row(e, row, base, here, m.depth);
        }
    }
}

char *cb_design_echo(const cb_design *design)
{
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    if (!stream) {
        return NULL;
    }
    const echo e = {design, stream};
    put_rows(&e, cbx_design_rows, design, "", (margin){0, false});
    const bool failed = ferror(stream) != 0;
    if (fclose(stream) != 0 || failed) {
        free(text);
        return NULL;
    }
    return text;
}

// ---- assumptions -----------------------------------------------------------------------------

typedef struct teller {
    const cb_design *design;
    cb_unit_system system;
    cb_assumption_visit *visit;
    void *context;
} teller;

static void tell_rows(const teller *t, const cbx_row *rows, const void *base, const char *path);

static void tell_row(const teller *t, const cbx_row *row, const void *base, const char *path)
{
    const cb_source *source = cbx_origin_find(t->design->memory, path);
    if (source && source->origin == CB_ORIGIN_DEFAULT) {
        const bool list = row->type == CBX_LIST || row->type == CBX_VALUES;
        t->visit(t->context, path, list ? "none" : cbx_value_show(row, base, 0, t->system).text,
                 source->reason);
    }
    if (row->type == CBX_BLOCK || row->type == CBX_NORMALS) {
        tell_rows(t, row->rows, below(base, row->offset), path);
    }
    for (int i = 0; row->type == CBX_LIST && i < cbx_count_of(row, base); i++) {
        char element[CBX_PATH_SIZE];
        extend_index(element, path, i);
        tell_rows(t, row->rows, below(base, row->offset + (size_t)i * row->stride), element);
    }
}

static void tell_rows(const teller *t, const cbx_row *rows, const void *base, const char *path)
{
    for (const cbx_row *row = rows; row->name; row++) {
        char here[CBX_PATH_SIZE];
        extend(here, path, row->name);
        tell_row(t, row, base, here);
    }
}

void cb_design_assumptions(const cb_design *design, cb_unit_system system,
                           cb_assumption_visit *visit, void *context)
{
    const teller t = {design, system, visit, context};
    tell_rows(&t, cbx_design_rows, design, "");
}
