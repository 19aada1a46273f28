// SPDX-License-Identifier: MIT
#include "study/study_reader.h"

#include "design/value.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static cb_status no_memory(const cbx_study_reader *r)
{
    return cb_fail(r->error, CB_NO_MEMORY, "no memory for the study");
}

static bool is_number(const cbx_row *row)
{
    return row->type == CBX_QUANTITY || row->type == CBX_VALUES || row->type == CBX_WHOLE;
}

// A path as a name that needs no quotes: "ground.layers[1].depth" is "ground_layers_1_depth".
static char *name_of(cb_design_memory *memory, const char *path)
{
    char *name = cbx_copy(memory, path);
    size_t used = 0;
    for (const char *at = path; name && *at; at++) {
        const bool plain = isalnum((unsigned char)*at) != 0;
        if (plain || (used > 0 && name[used - 1] != '_')) {
            name[used++] = *at;
            name[used - 1] = plain ? *at : '_';
        }
    }
    if (name) {
        while (used > 0 && name[used - 1] == '_') {
            used--;
        }
        name[used] = '\0';
    }
    return name;
}

// ---- listed values ---------------------------------------------------------------------------

/// The levels of one factor while they are read.
typedef struct levels {
    const cbx_location *at;
    const char **text;
    double *value; ///< NULL where the values are words
    size_t count;
} levels;

// "5 ft" and "60 in" may differ in their last bits.
static bool same_number(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

static cb_status check_twins(const cbx_study_reader *r, const cbx_node *item, const char *path,
                             const levels *l)
{
    for (size_t i = 0; i < l->count; i++) {
        if (l->value ? same_number(l->value[i], l->value[l->count])
                     : strcmp(l->text[i], l->text[l->count]) == 0) {
            return cbx_fail_node(item, CBX_AT_VALUE, r->error, "%s: %s is there twice", path,
                                 item->text);
        }
    }
    return CB_OK;
}

static cb_status read_level(const cbx_study_reader *r, const cbx_node *item, const char *path,
                            levels *l)
{
    if (item->shape != CBX_SCALAR || !item->text) {
        return cbx_fail_node(item, CBX_AT_VALUE, r->error, "%s: each entry is one value", path);
    }
    cb_error why = {0};
    const cbx_value_context context = {
        .units = r->units, .memory = r->study->memory, .folder = "", .why = &why};
    const size_t inside =
        (size_t)((const char *)l->at->base - (const char *)(const void *)r->study->design);
    void *base = (char *)r->scratch + inside;
    // A climate is a file with lines of its own: it is read, and judged, with the whole design.
    const bool file = l->at->row->type == CBX_NORMALS;
    const cb_status status =
        file ? CB_OK : cbx_value_read(l->at->row, base, l->at->index, item->text, &context);
    if (status != CB_OK) {
        return status == CB_BAD_INPUT
                   ? cbx_fail_node(item, CBX_AT_VALUE, r->error, "%s: %s", path, why.message)
                   : cb_fail(r->error, status, "%s", why.message);
    }
    l->text[l->count] = item->text;
    if (l->value) {
        l->value[l->count] = cbx_location_number(l->at, base);
    }
    const cb_status twins = check_twins(r, item, path, l);
    l->count++;
    return twins;
}

static cb_status read_levels(const cbx_study_reader *r, const cbx_node *node,
                             const cbx_location *at, cb_factor *factor)
{
    const bool one = node->shape == CBX_SCALAR;
    const int count = one ? 1 : cbx_child_count(node);
    if (count < 1 || count > CB_MAX_FACTOR_LEVELS) {
        return cbx_fail_node(node, CBX_AT_KEY, r->error, "%s lists %d values: 1 to %d are accepted",
                             node->key, count, CB_MAX_FACTOR_LEVELS);
    }
    levels l = {.at = at,
                .text = cbx_allocate(r->study->memory, (size_t)count * sizeof *l.text),
                .value = is_number(at->row)
                             ? cbx_allocate(r->study->memory, (size_t)count * sizeof *l.value)
                             : NULL};
    if (!l.text || (is_number(at->row) && !l.value)) {
        return no_memory(r);
    }
    cb_status status = CB_OK;
    for (const cbx_node *item = one ? node : node->first; status == CB_OK && item;
         item = one ? NULL : item->next) {
        status = read_level(r, item, node->key, &l);
    }
    factor->level_count = l.count;
    factor->level = l.text;
    factor->value = l.value;
    return status;
}

// ---- one factor ------------------------------------------------------------------------------

static cb_status read_sampled(const cbx_study_reader *r, const cbx_node *node, const cbx_row *row,
                              cb_factor *factor)
{
    if (row->type == CBX_WHOLE || !is_number(row)) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error,
                             "%s has no distribution, as it is no continuous quantity: list its "
                             "values",
                             node->key);
    }
    if (r->study->scheme == CB_FACTORIAL) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error,
                             "%s: a factorial combines listed values; for a distribution write "
                             "scheme: latin_hypercube or sobol",
                             node->key);
    }
    return cbx_distribution_read(r, node, row, &factor->distribution);
}

static cb_status check_place(const cbx_study_reader *r, const cbx_node *node)
{
    const cb_study *study = r->study;
    const size_t most =
        study->scheme == CB_FACTORIAL ? (size_t)CB_MAX_GRID_FACTORS : (size_t)CB_MAX_FACTORS;
    if (study->factor_count >= most) {
        return cbx_fail_node(node, CBX_AT_KEY, r->error, "more than %zu values vary", most);
    }
    for (size_t i = 0; i < study->set_count; i++) {
        if (strcmp(study->set[i].path, node->key) == 0) {
            return cbx_fail_node(node, CBX_AT_KEY, r->error,
                                 "%s is set to %s in all cases, so it cannot vary", node->key,
                                 study->set[i].value);
        }
    }
    return CB_OK;
}

cb_status cbx_factor_read(const cbx_study_reader *r, const cbx_node *node)
{
    cb_study *study = r->study;
    cbx_location at;
    cb_status status = check_place(r, node);
    if (status == CB_OK) {
        status = cbx_locate(&at, study->design, node->key, node, r->error);
    }
    if (status != CB_OK) {
        return status;
    }
    if (node->shape == CBX_MAPPING || cbx_is_blank(node)) {
        return cbx_fail_node(node, CBX_AT_KEY, r->error,
                             "%s: list its values, as in [%s, ...], or give a distribution",
                             node->key, cb_kind_si_example(at.row->kind));
    }
    cb_factor *factor = &study->factor[study->factor_count];
    *factor = (cb_factor){.path = node->key,
                          .name = name_of(study->memory, node->key),
                          .kind = at.row->kind,
                          .units = is_number(at.row) ? cb_kind_si_unit(at.row->kind) : NULL};
    if (!factor->name) {
        return no_memory(r);
    }
    const bool sampled = node->shape == CBX_SCALAR && cbx_is_distribution(node->text);
    status = sampled ? read_sampled(r, node, at.row, factor) : read_levels(r, node, &at, factor);
    study->factor_count += status == CB_OK;
    return status;
}
