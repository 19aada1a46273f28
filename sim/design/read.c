// SPDX-License-Identifier: MIT
#include "design/read.h"
#include "design/value.h"

#include <stdio.h>
#include <string.h>

typedef struct reader {
    cb_design_memory *memory;
    cbx_value_context values;
    const cbx_node *root;
    cb_error *error;
    cb_error why;             ///< of the value being read
    char path[CBX_PATH_SIZE]; ///< of the key being read
} reader;

// ---- path and messages -----------------------------------------------------------------------

static size_t push_key(reader *r, const char *name)
{
    const size_t before = strlen(r->path);
    snprintf(r->path + before, sizeof r->path - before, "%s%s", before ? "." : "", name);
    return before;
}

static size_t push_index(reader *r, int index)
{
    const size_t before = strlen(r->path);
    snprintf(r->path + before, sizeof r->path - before, "[%d]", index);
    return before;
}

static void pop(reader *r, size_t before)
{
    r->path[before] = '\0';
}

static cb_status no_memory(const reader *r)
{
    return cb_fail(r->error, CB_NO_MEMORY, "no memory for the design");
}

static cb_status remember(reader *r, const cbx_node *node)
{
    cb_source source = {.origin = CB_ORIGIN_FILE, .file = node->from->file};
    if (node->from->set) {
        source.origin = CB_ORIGIN_OVERRIDE;
        source.reason = node->from->set;
    } else {
        const bool value = node->line && (node->shape == CBX_SCALAR || !node->key_line);
        source.line = value ? node->line : node->key_line;
        source.column = value ? node->column : node->key_column;
    }
    return cbx_origin_add(r->memory, r->path, &source) ? CB_OK : no_memory(r);
}

static cb_status remember_default(reader *r, const cbx_row *row)
{
    const cb_source source = {.origin = CB_ORIGIN_DEFAULT, .reason = row->reason};
    return cbx_origin_add(r->memory, r->path, &source) ? CB_OK : no_memory(r);
}

static cb_status check_keys(reader *r, const cbx_row *rows, const cbx_node *mapping)
{
    for (const cbx_node *child = mapping->first; child; child = child->next) {
        const cbx_row *row = rows;
        while (row->name && strcmp(row->name, child->key) != 0) {
            row++;
        }
        if (!row->name) {
            return cbx_fail_unknown_key(child, r->path, rows, r->error);
        }
    }
    return CB_OK;
}

// What a missing or empty key should hold, for messages.
static void describe(const cbx_row *row, char *buffer, size_t size)
{
    char list[256];
    switch (row->type) {
        case CBX_QUANTITY:
            snprintf(buffer, size, "write e.g. %s or %s", cb_kind_us_example(row->kind),
                     cb_kind_si_example(row->kind));
            break;
        case CBX_VALUES:
            snprintf(buffer, size, "write e.g. [%s, ...]", cb_kind_si_example(row->kind));
            break;
        case CBX_WORD:
        case CBX_CHOICE:
        case CBX_SWITCH:
            snprintf(buffer, size, "write one of %s", cbx_choices_text(row, list, sizeof list));
            break;
        case CBX_TEXT:
            snprintf(buffer, size, "one text is wanted (%s)", row->help);
            break;
        case CBX_WHOLE:
            snprintf(buffer, size, "a whole number is wanted");
            break;
        case CBX_LIST:
            snprintf(buffer, size, "a list is wanted");
            break;
        default:
            snprintf(buffer, size, "%s", row->help);
            break;
    }
}

static cb_status fail_missing(reader *r, const cbx_row *row, const cbx_node *parent)
{
    char wanted[320];
    describe(row, wanted, sizeof wanted);
    const cbx_node *place = parent ? parent : r->root;
    return cbx_fail_node(place, CBX_AT_KEY, r->error, "%s is missing: %s", r->path, wanted);
}

static cb_status fail_shape(reader *r, const cbx_row *row, const cbx_node *node)
{
    char wanted[320];
    describe(row, wanted, sizeof wanted);
    static const char *const shape[] = {"one value", "a block of keys", "a list"};
    const char *got = cbx_is_blank(node) ? "no value" : shape[node->shape];
    return cbx_fail_node(node, cbx_is_blank(node) ? CBX_AT_KEY : CBX_AT_VALUE, r->error,
                         "%s holds %s: %s", r->path, got, wanted);
}

// ---- walk ------------------------------------------------------------------------------------

static cb_status read_rows(reader *r, const cbx_row *rows, void *base, const cbx_node *node);

static void *below(void *base, size_t offset)
{
    return (char *)base + offset;
}

static cb_status read_scalar(reader *r, const cbx_row *row, void *base, int index,
                             const cbx_node *node)
{
    if (node->shape != CBX_SCALAR || !node->text) {
        return fail_shape(r, row, node);
    }
    const cb_status status = cbx_value_read(row, base, index, node->text, &r->values);
    if (status == CB_BAD_INPUT) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s: %s", r->path, r->why.message);
    }
    return status == CB_OK ? remember(r, node) : cb_fail(r->error, status, "%s", r->why.message);
}

static cb_status check_length(reader *r, const cbx_row *row, const cbx_node *node, int *count)
{
    if (node->shape != CBX_SEQUENCE) {
        return fail_shape(r, row, node);
    }
    *count = cbx_child_count(node);
    if (*count >= row->least && *count <= row->most) {
        return CB_OK;
    }
    return row->least == row->most
               ? cbx_fail_node(node, CBX_AT_KEY, r->error, "%s has %d entries: %d are wanted",
                               r->path, *count, row->least)
               : cbx_fail_node(node, CBX_AT_KEY, r->error,
                               "%s has %d entries: %d to %d are accepted", r->path, *count,
                               row->least, row->most);
}

static cb_status read_list(reader *r, const cbx_row *row, void *base, const cbx_node *node)
{
    int count = 0;
    cb_status status = check_length(r, row, node, &count);
    if (status == CB_OK && row->counted) {
        memcpy(below(base, row->offset_2), &count, sizeof count);
    }
    if (status == CB_OK) {
        status = remember(r, node);
    }
    int index = 0;
    for (const cbx_node *item = node->first; status == CB_OK && item; item = item->next, index++) {
        const size_t before = push_index(r, index);
        if (row->type == CBX_VALUES) {
            status = read_scalar(r, row, base, index, item);
        } else {
            status = remember(r, item);
            if (status == CB_OK) {
                void *element = below(base, row->offset + (size_t)index * row->stride);
                status = read_rows(r, row->rows, element, item);
            }
        }
        pop(r, before);
    }
    return status;
}

static cb_status read_block(reader *r, const cbx_row *row, void *base, const cbx_node *node)
{
    if (row->otherwise && node->shape == CBX_SEQUENCE) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s holds a list%s", r->path,
                             row->otherwise);
    }
    const cb_status status = remember(r, node);
    return status == CB_OK ? read_rows(r, row->rows, below(base, row->offset), node) : status;
}

// A climate file is a text of its own, with its own lines.
static cb_status read_normals(reader *r, const cbx_row *row, void *base, const cbx_node *node)
{
    if (node->shape == CBX_MAPPING) {
        return read_block(r, row, base, node);
    }
    const cbx_row name = {.name = row->name, .type = CBX_FILE, .help = row->help};
    const char *file = NULL;
    cb_status status = read_scalar(r, &name, &file, 0, node);
    if (status != CB_OK) {
        return status;
    }
    cbx_text *from = cbx_allocate(r->memory, sizeof *from);
    if (!from) {
        return no_memory(r);
    }
    from->file = file;
    char *text = NULL;
    cbx_node *climate = NULL;
    cb_error why = {0};
    status = cbx_read_file(&text, r->memory, file, &why);
    if (status != CB_OK) {
        cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s: %s", r->path, why.message);
        if (r->error) {
            r->error->status = status;
        }
        return status;
    }
    status = cbx_tree_parse(&climate, r->memory, text, from, r->error);
    return status == CB_OK ? read_rows(r, row->rows, below(base, row->offset), climate) : status;
}

static cb_status read_given(reader *r, const cbx_row *row, void *base, const cbx_node *node)
{
    if (row->flagged) {
        const bool yes = true;
        memcpy(below(base, row->flag), &yes, sizeof yes);
    }
    switch (row->type) {
        case CBX_BLOCK:
            return read_block(r, row, base, node);
        case CBX_LIST:
        case CBX_VALUES:
            return read_list(r, row, base, node);
        case CBX_NORMALS:
            return read_normals(r, row, base, node);
        default:
            return read_scalar(r, row, base, 0, node);
    }
}

static cb_status read_absent(reader *r, const cbx_row *row, void *base, const cbx_node *parent)
{
    if (row->optional_block) {
        return CB_OK;
    }
    if (row->applies && !row->applies(base)) {
        if (row->reason && !row->standard) {
            cbx_value_unset(row, base); // nothing said must not read as 0
        }
        return CB_OK;
    }
    if (row->type == CBX_BLOCK) {
        return read_rows(r, row->rows, below(base, row->offset), NULL);
    }
    if (row->required) {
        return fail_missing(r, row, parent);
    }
    if (row->standard) {
        const cb_status status = cbx_value_read(row, base, 0, row->standard, &r->values);
        if (status != CB_OK) {
            return cb_fail(r->error, status, "%s: %s", r->path, r->why.message);
        }
    } else {
        cbx_value_unset(row, base);
    }
    return row->reason ? remember_default(r, row) : CB_OK;
}

// node is NULL for a block that is left out: its rows then take their defaults.
static cb_status read_rows(reader *r, const cbx_row *rows, void *base, const cbx_node *node)
{
    if (node && !cbx_is_blank(node) && node->shape != CBX_MAPPING) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s%sa block of keys is wanted", r->path,
                             *r->path ? ": " : "");
    }
    cb_status status = node ? check_keys(r, rows, node) : CB_OK;
    for (const cbx_row *row = rows; status == CB_OK && row->name; row++) {
        const cbx_node *child = node ? cbx_child(node, row->name) : NULL;
        const size_t before = push_key(r, row->name);
        status = child ? read_given(r, row, base, child) : read_absent(r, row, base, node);
        pop(r, before);
    }
    return status;
}

cb_status cbx_design_fill(cb_design *design, const cbx_node *root, const char *folder,
                          const cb_units *units, cb_error *error)
{
    reader r = {.memory = design->memory, .root = root, .error = error};
    r.values = (cbx_value_context){units, design->memory, folder, &r.why};
    return read_rows(&r, cbx_design_rows, design, root);
}
