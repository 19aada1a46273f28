// SPDX-License-Identifier: MIT
#include "study/study_output.h"

#include <stdlib.h>

static const char group[] = "/statistics";

/// Places of the group's axes.
typedef struct places {
    int output, factor, quantile, limit;
} places;

static int text_axis(cbx_study_output *o, const char *name, const char *const *text, size_t length,
                     const char *long_name)
{
    return cbx_output_axis(
        o,
        &(cb_dataset_axis){
            .group = group, .name = name, .length = length, .text = text, .long_name = long_name});
}

static void add_axes(cbx_study_output *o, const cb_study_statistics *s, places *at)
{
    static const double share[] = CB_STUDY_SHARES;
    const size_t factors = o->study->factor_count;
    const char **output = cbx_output_room(o, CB_HEADLINE_COUNT, sizeof *output);
    const char **factor = cbx_output_room(o, factors, sizeof *factor);
    const char **limit = cbx_output_room(o, s->limit_count, sizeof *limit);
    double *quantile = cbx_output_room(o, CB_STUDY_QUANTILES, sizeof *quantile);
    if (o->failed) {
        return;
    }
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        output[i] = cb_headline_row_of(i)->name;
    }
    for (size_t i = 0; i < factors; i++) {
        factor[i] = o->study->factor[i].path;
    }
    for (size_t i = 0; i < s->limit_count; i++) {
        limit[i] = s->limit[i].code;
    }
    for (int i = 0; i < CB_STUDY_QUANTILES; i++) {
        quantile[i] = share[i];
    }
    at->output = text_axis(o, "output", output, CB_HEADLINE_COUNT, "headline number");
    at->factor = text_axis(o, "factor", factor, factors, "what varies");
    at->quantile = cbx_output_axis(o, &(cb_dataset_axis){.group = group,
                                                         .name = "quantile",
                                                         .length = CB_STUDY_QUANTILES,
                                                         .number = quantile,
                                                         .units = "1",
                                                         .long_name = "share of cases below"});
    if (s->limit_count > 0) {
        at->limit = text_axis(o, "limit", limit, s->limit_count, "finding that judges a limit");
    }
}

// One number for each output and factor, found `offset` doubles into each record of `records`.
static void add_by_factor(cbx_study_output *o, const places *at, const char *name,
                          const char *long_name, const double *records, size_t record,
                          size_t offset)
{
    const size_t factors = o->study->factor_count;
    double *number = cbx_output_room(o, CB_HEADLINE_COUNT * factors, sizeof *number);
    for (size_t i = 0; !o->failed && i < CB_HEADLINE_COUNT * factors; i++) {
        number[i] = records[(i / factors * CB_MAX_FACTORS + i % factors) * record + offset];
    }
    cbx_output_variable(o, &(cb_dataset_variable){.group = group,
                                                  .name = name,
                                                  .rank = 2,
                                                  .axis = {at->output, at->factor},
                                                  .number = number,
                                                  .units = "1",
                                                  .long_name = long_name});
}

static void add_quantiles(cbx_study_output *o, const cb_study_statistics *s, const places *at)
{
    cbx_output_variable(o, &(cb_dataset_variable){.group = group,
                                                  .name = "value",
                                                  .rank = 2,
                                                  .axis = {at->output, at->quantile},
                                                  .number = &s->quantile[0][0],
                                                  .long_name = "in the unit of the output"});
}

static void add_limit_numbers(cbx_study_output *o, const cb_study_statistics *s, const places *at)
{
    static const char *const name[] = {"limit_probability", "limit_probability_low",
                                       "limit_probability_high"};
    static const char *const meaning[] = {"share of cases in which the limit is crossed",
                                          "lower end of its 95 % confidence interval (Wilson)",
                                          "upper end of its 95 % confidence interval (Wilson)"};
    for (int c = 0; c < 3; c++) {
        double *number = cbx_output_room(o, s->limit_count, sizeof *number);
        for (size_t i = 0; !o->failed && i < s->limit_count; i++) {
            const cb_proportion *p = &s->limit[i].probability;
            number[i] = c == 0 ? p->share : c == 1 ? p->low : p->high;
        }
        cbx_output_variable(o, &(cb_dataset_variable){.group = group,
                                                      .name = name[c],
                                                      .rank = 1,
                                                      .axis = {at->limit},
                                                      .number = number,
                                                      .units = "1",
                                                      .long_name = meaning[c]});
    }
}

// The statistics live as long as the output: they are copied into its memory.
static cb_study_statistics *own_statistics(cbx_study_output *o, cb_error *error, cb_status *status)
{
    cb_study_statistics *made = NULL;
    *status = cb_study_statistics_create(&made, o->study, o->results, error);
    cb_study_statistics *own = made ? cbx_output_room(o, 1, sizeof *own) : NULL;
    if (own) {
        *own = *made;
    }
    free(made);
    return own;
}

cb_status cbx_output_statistics(cbx_study_output *o, cb_error *error)
{
    cb_status status = CB_OK;
    const cb_study_statistics *s = own_statistics(o, error, &status);
    if (!s) {
        return status;
    }
    places at = {0};
    add_axes(o, s, &at);
    if (o->failed) {
        return CB_OK; // the caller says so
    }
    add_quantiles(o, s, &at);
    add_by_factor(o, &at, "rank_correlation", "Spearman's coefficient of output and factor",
                  &s->rank_correlation[0][0], 1, 0);
    if (o->study->indices) {
        static const char *const name[] = {"first_order_index", "first_order_error", "total_index",
                                           "total_error"};
        static const char *const meaning[] = {
            "share of the variance that the factor explains alone", "standard error of it",
            "... and together with others", "standard error of it"};
        const double *records = &s->index[0][0].first;
        for (size_t i = 0; i < 4; i++) {
            add_by_factor(o, &at, name[i], meaning[i], records, 4, i);
        }
    }
    if (s->limit_count > 0) {
        add_limit_numbers(o, s, &at);
    }
    return CB_OK;
}
