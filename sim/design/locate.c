// SPDX-License-Identifier: MIT
#include "design/locate.h"

#include "design/read.h"
#include "design/value.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct walk {
    const cbx_node *at;
    cb_error *error;
    const char *rest;         ///< of the path
    char past[CBX_PATH_SIZE]; ///< what came before it
} walk;

static cb_status bad_form(const walk *w)
{
    return cbx_fail_node(w->at, CBX_AT_KEY, w->error,
                         "the path is not of the form field.depth or "
                         "ground.layers[1].conductivity");
}

static const cbx_row *find_row(const cbx_row *rows, const char *key)
{
    while (rows->name && strcmp(rows->name, key) != 0) {
        rows++;
    }
    return rows->name ? rows : NULL;
}

static void remember(walk *w, const char *key, size_t length)
{
    const size_t used = strlen(w->past);
    snprintf(w->past + used, sizeof w->past - used, "%s%.*s", used ? "." : "", (int)length, key);
}

// A climate named by its file is one value; below it nothing can be set.
static bool is_block(const cbx_row *row)
{
    return row->type == CBX_BLOCK || row->type == CBX_LIST;
}

static bool is_given(const cbx_row *row, const void *base)
{
    bool given = false;
    memcpy(&given, (const char *)base + row->flag, sizeof given);
    return given;
}

static cb_status step_key(walk *w, const cbx_row *rows, const void *base, const cbx_row **row)
{
    char key[64];
    size_t length = 0;
    while (isalnum((unsigned char)w->rest[length]) || w->rest[length] == '_') {
        length++;
    }
    if (length == 0 || length >= sizeof key) {
        return bad_form(w);
    }
    snprintf(key, sizeof key, "%.*s", (int)length, w->rest);
    *row = find_row(rows, key);
    if (!*row) {
        cbx_node stranger = *w->at;
        stranger.key = key;
        return cbx_fail_unknown_key(&stranger, w->past, rows, w->error);
    }
    remember(w, w->rest, length);
    w->rest += length;
    if ((*row)->applies && !(*row)->applies(base)) {
        return cbx_fail_node(w->at, CBX_AT_KEY, w->error, "this design has no use for %s (%s)",
                             w->past, (*row)->help);
    }
    if (is_block(*row) && (*row)->flagged && !is_given(*row, base)) {
        return cbx_fail_node(w->at, CBX_AT_KEY, w->error, "this design has no %s", w->past);
    }
    return CB_OK;
}

static cb_status step_index(walk *w, const cbx_row *row, const void *base, int *index)
{
    char *end = NULL;
    const bool digits = w->rest[0] == '[' && isdigit((unsigned char)w->rest[1]);
    const long number = digits ? strtol(w->rest + 1, &end, 10) : -1;
    const int count = cbx_count_of(row, base);
    if (!digits) {
        return cbx_fail_node(w->at, CBX_AT_KEY, w->error,
                             "%s is a list of %d: say which with %s[0] to %s[%d]", w->past, count,
                             w->past, w->past, count > 0 ? count - 1 : 0);
    }
    if (*end != ']') {
        return bad_form(w);
    }
    if (number >= count) {
        return cbx_fail_node(w->at, CBX_AT_KEY, w->error,
                             "this design has %d entries in %s, [%ld] is past the last ([0] is the "
                             "first)",
                             count, w->past, number);
    }
    const size_t used = strlen(w->past);
    snprintf(w->past + used, sizeof w->past - used, "[%ld]", number);
    w->rest = end + 1;
    *index = (int)number;
    return CB_OK;
}

static cb_status step(walk *w, const cbx_row *rows, cbx_location *at)
{
    at->row = NULL;
    at->index = 0;
    const cb_status status = step_key(w, rows, at->base, &at->row);
    if (status != CB_OK || !at->row) {
        return status;
    }
    const bool list = at->row->type == CBX_LIST || at->row->type == CBX_VALUES;
    return list ? step_index(w, at->row, at->base, &at->index) : CB_OK;
}

cb_status cbx_locate(cbx_location *out, const cb_design *design, const char *path,
                     const cbx_node *at, cb_error *error)
{
    walk w = {.at = at, .error = error, .rest = path};
    cbx_location here = {.base = design};
    const cbx_row *rows = cbx_design_rows;
    for (;;) {
        const cb_status status = step(&w, rows, &here);
        if (status != CB_OK || !here.row) {
            return status;
        }
        if (!*w.rest) {
            break;
        }
        if (*w.rest != '.') {
            return bad_form(&w);
        }
        if (!is_block(here.row)) {
            return cbx_fail_node(at, CBX_AT_KEY, error, "%s is one value, without keys of its own",
                                 w.past);
        }
        w.rest++;
        here.base =
            (const char *)here.base + here.row->offset + (size_t)here.index * here.row->stride;
        rows = here.row->rows;
    }
    if (is_block(here.row)) {
        return cbx_fail_node(at, CBX_AT_KEY, error, "%s is a block of keys: name one of its values",
                             w.past);
    }
    *out = here;
    return CB_OK;
}

double cbx_location_number(const cbx_location *location, const void *base)
{
    const cbx_row *row = location->row;
    const char *place = (const char *)base + row->offset;
    const double per = row->per != 0 ? row->per : 1;
    if (row->type == CBX_WHOLE) {
        int value = 0;
        memcpy(&value, place, sizeof value);
        return value * per;
    }
    double value = 0;
    memcpy(&value, place + (size_t)location->index * sizeof value, sizeof value);
    return value * per;
}
