// SPDX-License-Identifier: MIT
#include "study/design_values.h"

#include "design/tree.h"
#include "study/flow_text.h"
#include "study/value_kind.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PATH_SIZE = 256, FIRST_ROOM = 128 };

typedef struct flattening {
    cbx_design_values *values;
    size_t room;
    const cb_design *design;
    const cb_units *units;
    bool failed; ///< memory ran out
} flattening;

static const char *keep(flattening *f, const char *text)
{
    const char *own = cbx_copy(f->values->memory, text ? text : "");
    f->failed = f->failed || !own;
    return own;
}

static cbx_design_value *next(flattening *f)
{
    cbx_design_values *values = f->values;
    if (values->count == f->room) {
        const size_t room = f->room ? 2 * f->room : FIRST_ROOM;
        cbx_design_value *more = realloc(values->value, room * sizeof *more);
        if (!more) {
            f->failed = true;
            return NULL;
        }
        values->value = more;
        f->room = room;
    }
    return &values->value[values->count];
}

static void add(flattening *f, const char *path, const char *text)
{
    cbx_design_value *value = next(f);
    if (!value) {
        return;
    }
    text = text && strcmp(text, "[]") == 0 ? "none" : text;
    *value = (cbx_design_value){.path = keep(f, path), .text = {keep(f, text), keep(f, text)}};
    cb_error unread;
    cb_kind kind;
    double si;
    if (text && cbx_value_kind(&kind, f->design, path, f->units) &&
        cb_units_parse(f->units, kind, text, &si, &unread) == CB_OK) {
        for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
            char shown[96];
            const char *label = cb_units_label(kind, (cb_unit_system)system);
            snprintf(shown, sizeof shown, "%.4g%s%s",
                     cb_units_value(kind, (cb_unit_system)system, si), *label ? " " : "", label);
            value->text[system] = keep(f, shown);
        }
    }
    f->values->count += !f->failed;
}

static bool holds_scalars(const cbx_node *sequence)
{
    bool scalars = true;
    for (const cbx_node *at = sequence->first; at; at = at->next) {
        scalars = scalars && at->shape == CBX_SCALAR;
    }
    return scalars;
}

// A design's blocks stand a few deep.
static void flatten(flattening *f, const cbx_node *node,
                    const char *path) // NOLINT(misc-no-recursion)
{
    if (node->shape == CBX_SCALAR) {
        add(f, path, node->text);
        return;
    }
    if (node->shape == CBX_SEQUENCE && holds_scalars(node)) {
        add(f, path, cbx_flow_text(f->values->memory, node));
        return;
    }
    int index = 0;
    for (const cbx_node *at = node->first; at && !f->failed; at = at->next) {
        char longer[PATH_SIZE];
        if (node->shape == CBX_SEQUENCE) {
            snprintf(longer, sizeof longer, "%s[%d]", path, index++);
        } else {
            snprintf(longer, sizeof longer, "%s%s%s", path, *path ? "." : "", at->key);
        }
        flatten(f, at, longer);
    }
}

cb_status cbx_design_values_create(cbx_design_values **out, const cb_design *design,
                                   const char *text, const cb_units *units, cb_error *error)
{
    *out = NULL;
    cbx_design_values *values = calloc(1, sizeof *values);
    if (values) {
        values->memory = cbx_memory_create();
    }
    if (!values || !values->memory) {
        cbx_design_values_destroy(values);
        return cb_fail(error, CB_NO_MEMORY, "no memory for a design's values");
    }
    const cbx_text from = {.file = "the design"};
    cbx_node *root = NULL;
    cb_status status = cbx_tree_parse(&root, values->memory, text, &from, error);
    if (status == CB_OK) {
        flattening f = {.values = values, .design = design, .units = units};
        flatten(&f, root, "");
        status = f.failed ? cb_fail(error, CB_NO_MEMORY, "no memory for a design's values") : CB_OK;
    }
    *out = status == CB_OK ? values : cbx_design_values_destroy(values);
    return status;
}

cbx_design_values *cbx_design_values_destroy(cbx_design_values *values)
{
    if (values) {
        cbx_memory_destroy(values->memory);
        free(values->value);
    }
    free(values);
    return NULL;
}

const cbx_design_value *cbx_design_values_find(const cbx_design_values *values, const char *path)
{
    for (size_t i = 0; i < values->count; i++) {
        if (strcmp(values->value[i].path, path) == 0) {
            return &values->value[i];
        }
    }
    return NULL;
}
