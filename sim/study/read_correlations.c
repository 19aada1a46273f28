// SPDX-License-Identifier: MIT
#include "study/study_reader.h"

#include "design/read.h"

#include <string.h>

static const cbx_row pair_rows[] = {
    {.name = "first"},
    {.name = "second"},
    {.name = "rank"},
    {.name = NULL},
};

static cb_status wanted(const cbx_study_reader *r, const cbx_node *node)
{
    return cbx_fail_node(node, CBX_AT_KEY, r->error,
                         "write each correlation as {first: PATH, second: PATH, rank: 0.5}");
}

static const cbx_node *text_of(const cbx_node *pair, const char *key)
{
    const cbx_node *node = cbx_child(pair, key);
    return node && node->shape == CBX_SCALAR && node->text ? node : NULL;
}

static cb_status find_factor(const cbx_study_reader *r, const cbx_node *node, size_t *index)
{
    const cb_study *study = r->study;
    for (*index = 0; *index < study->factor_count; (*index)++) {
        if (strcmp(study->factor[*index].path, node->text) == 0) {
            return CB_OK;
        }
    }
    return cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s does not vary in this study",
                         node->text);
}

static cb_status read_rank(const cbx_study_reader *r, const cbx_node *node, double *rank)
{
    cb_error why = {0};
    if (cb_units_parse(r->units, CB_NUMBER, node->text, rank, &why) != CB_OK) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error, "rank: %s", why.message);
    }
    if (!(*rank > -1 && *rank < 1)) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error,
                             "rank: %s is not between -1 and 1, both left out", node->text);
    }
    return CB_OK;
}

static cb_status read_pair(const cbx_study_reader *r, const cbx_node *pair)
{
    for (const cbx_node *child = pair->shape == CBX_MAPPING ? pair->first : NULL; child;
         child = child->next) {
        const cbx_row *row = pair_rows;
        while (row->name && strcmp(row->name, child->key) != 0) {
            row++;
        }
        if (!row->name) {
            return cbx_fail_unknown_key(child, "correlations", pair_rows, r->error);
        }
    }
    const cbx_node *first = text_of(pair, "first"), *second = text_of(pair, "second"),
                   *rank = text_of(pair, "rank");
    if (!first || !second || !rank) {
        return wanted(r, pair);
    }
    const size_t n = r->study->factor_count;
    size_t a = 0, b = 0;
    double value = 0;
    cb_status status = find_factor(r, first, &a);
    if (status == CB_OK) {
        status = find_factor(r, second, &b);
    }
    if (status == CB_OK && a == b) {
        status = cbx_fail_node(second, CBX_AT_VALUE, r->error,
                               "%s cannot be correlated with itself", second->text);
    }
    if (status == CB_OK) {
        status = read_rank(r, rank, &value);
    }
    if (status == CB_OK && r->study->rank_correlation[a * n + b] != 0) {
        status = cbx_fail_node(first, CBX_AT_VALUE, r->error, "%s and %s are correlated twice",
                               first->text, second->text);
    }
    if (status == CB_OK) {
        r->study->rank_correlation[a * n + b] = r->study->rank_correlation[b * n + a] = value;
    }
    return status;
}

// Contradictions are found here, where the place is known, not when the cases are laid out.
static cb_status check_together(const cbx_study_reader *r, const cbx_node *node)
{
    const cb_points none = {.count = 0, .dimensions = r->study->factor_count};
    double nothing = 0;
    cb_error why = {0};
    const cb_status status =
        cb_points_correlate(&none, r->study->rank_correlation, false, &nothing, &why);
    return status == CB_BAD_INPUT ? cbx_fail_node(node, CBX_AT_KEY, r->error, "%s", why.message)
           : status == CB_OK      ? CB_OK
                                  : cb_fail(r->error, status, "%s", why.message);
}

cb_status cbx_correlations_read(const cbx_study_reader *r, const cbx_node *node)
{
    cb_study *study = r->study;
    const size_t n = study->factor_count;
    if (node->shape != CBX_SEQUENCE || !node->first) {
        return wanted(r, node);
    }
    study->rank_correlation = cbx_allocate(study->memory, n * n * sizeof(double));
    if (!study->rank_correlation) {
        return cb_fail(r->error, CB_NO_MEMORY, "no memory for the study");
    }
    for (size_t i = 0; i < n; i++) {
        study->rank_correlation[i * n + i] = 1;
    }
    cb_status status = CB_OK;
    for (const cbx_node *pair = node->first; status == CB_OK && pair; pair = pair->next) {
        status = read_pair(r, pair);
    }
    return status == CB_OK ? check_together(r, node) : status;
}
