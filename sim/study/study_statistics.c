// SPDX-License-Identifier: MIT
#include "coilbed/study.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// The values of one output or factor, and room for them.
typedef struct columns {
    const cb_study *study;
    const cb_study_result *results;
    size_t samples; ///< cases that are independent samples: the first so many
    size_t *good;   ///< [samples] those of them that did not fail
    size_t count;   ///< of good
    double *factor; ///< [factors][count]
    double *output; ///< [count]
    double *blocks; ///< [factors + 2][rows] for the indices
    size_t *row;    ///< [samples] rows whose cases are all good
    size_t rows;
} columns;

static bool is_good(const cb_study_result *result)
{
    return result->state == CB_STUDY_OK;
}

static bool row_is_good(const columns *c, size_t row)
{
    const size_t rows = (size_t)c->study->samples;
    for (size_t block = 0; block < c->study->factor_count + 2; block++) {
        if (!is_good(&c->results[block * rows + row])) {
            return false;
        }
    }
    return true;
}

static void collect(columns *c)
{
    const cb_study *study = c->study;
    for (size_t i = 0; i < c->samples; i++) {
        if (is_good(&c->results[i])) {
            c->good[c->count++] = i;
        }
    }
    for (size_t row = 0; study->indices && row < (size_t)study->samples; row++) {
        if (row_is_good(c, row)) {
            c->row[c->rows++] = row;
        }
    }
    cb_study_point point;
    for (size_t i = 0; i < c->count; i++) {
        cb_study_point_of(study, c->good[i], &point);
        for (size_t f = 0; f < study->factor_count; f++) {
            c->factor[f * c->count + i] = point.value[f];
        }
    }
}

// ---- one output ------------------------------------------------------------------------------

// False if a case has no such number.
static bool fill_output(const columns *c, int output)
{
    bool finite = c->count > 0;
    for (size_t i = 0; i < c->count; i++) {
        c->output[i] = cb_headline_value(&c->results[c->good[i]].headline, output);
        finite = finite && isfinite(c->output[i]);
    }
    return finite;
}

static bool fill_blocks(const columns *c, int output)
{
    const size_t rows = (size_t)c->study->samples;
    bool finite = c->rows >= 2;
    for (size_t block = 0; block < c->study->factor_count + 2; block++) {
        for (size_t i = 0; i < c->rows; i++) {
            const cb_study_result *result = &c->results[block * rows + c->row[i]];
            double *value = &c->blocks[block * c->rows + i];
            *value = cb_headline_value(&result->headline, output);
            finite = finite && isfinite(*value);
        }
    }
    return finite;
}

static cb_status rank_output(cb_study_statistics *s, const columns *c, int output, cb_error *error)
{
    cb_status status = CB_OK;
    for (size_t f = 0; status == CB_OK && c->count >= 2 && f < c->study->factor_count; f++) {
        if (c->study->factor[f].units) {
            status = cb_spearman(c->factor + f * c->count, c->output, c->count,
                                 &s->rank_correlation[output][f], error);
        }
    }
    return status;
}

static cb_status index_output(cb_study_statistics *s, const columns *c, int output, cb_error *error)
{
    if (!c->study->indices || !fill_blocks(c, output)) {
        return CB_OK;
    }
    const cb_sobol_runs runs = {.rows = c->rows,
                                .factors = c->study->factor_count,
                                .a = c->blocks,
                                .b = c->blocks + c->rows,
                                .ab = c->blocks + 2 * c->rows};
    return cb_sobol_indices(&runs, s->index[output], error);
}

static cb_status judge_output(cb_study_statistics *s, const columns *c, int output, cb_error *error)
{
    static const double share[] = CB_STUDY_SHARES;
    for (int q = 0; q < CB_STUDY_QUANTILES; q++) {
        s->quantile[output][q] = NAN;
    }
    for (int f = 0; f < CB_MAX_FACTORS; f++) {
        s->rank_correlation[output][f] = NAN;
        s->index[output][f] = (cb_sobol_index){NAN, NAN, NAN, NAN};
    }
    if (!fill_output(c, output)) {
        return CB_OK;
    }
    cb_status status =
        cb_quantiles(c->output, c->count, share, s->quantile[output], CB_STUDY_QUANTILES, error);
    if (status == CB_OK) {
        status = rank_output(s, c, output, error);
    }
    return status == CB_OK ? index_output(s, c, output, error) : status;
}

// ---- limits ----------------------------------------------------------------------------------

static cb_study_limit *limit_of(cb_study_statistics *s, const char *code)
{
    for (size_t i = 0; i < s->limit_count; i++) {
        if (strcmp(s->limit[i].code, code) == 0) {
            return &s->limit[i];
        }
    }
    if (s->limit_count == CB_MAX_STUDY_FINDINGS) {
        return NULL;
    }
    cb_study_limit *added = &s->limit[s->limit_count++];
    snprintf(added->code, sizeof added->code, "%s", code);
    return added;
}

static int by_code(const void *left, const void *right)
{
    return strcmp(((const cb_study_limit *)left)->code, ((const cb_study_limit *)right)->code);
}

// Findings about the run, not the design: crossing them is no fate of the loop.
static bool is_limit(const cb_study_finding *finding)
{
    static const char *const about_run[] = {"drift_unknown", "energy_audit", "grid_error",
                                            "incomplete"};
    for (size_t i = 0; i < sizeof about_run / sizeof *about_run; i++) {
        if (strcmp(finding->code, about_run[i]) == 0) {
            return false;
        }
    }
    return isfinite(finding->margin);
}

/// A case without such a finding has not crossed the limit.
static bool is_only_there_when_crossed(const char *code)
{
    return strncmp(code, "fluid_span", strlen("fluid_span")) == 0;
}

static void count_limits(cb_study_statistics *s, const columns *c)
{
    for (size_t i = 0; i < c->count; i++) {
        const cb_study_result *result = &c->results[c->good[i]];
        for (int f = 0; f < result->finding_count; f++) {
            const cb_study_finding *finding = &result->finding[f];
            cb_study_limit *limit = is_limit(finding) ? limit_of(s, finding->code) : NULL;
            if (limit) {
                limit->cases++;
                limit->crossed += finding->margin < 0.0;
            }
        }
    }
    qsort(s->limit, s->limit_count, sizeof *s->limit, by_code);
    for (size_t i = 0; i < s->limit_count; i++) {
        if (is_only_there_when_crossed(s->limit[i].code)) {
            s->limit[i].cases = c->count;
        }
        s->limit[i].probability = cb_wilson(s->limit[i].crossed, s->limit[i].cases);
    }
}

// ---- the whole -------------------------------------------------------------------------------

static bool make_room(columns *c)
{
    const size_t factors = c->study->factor_count, samples = c->samples;
    c->good = calloc(samples, sizeof *c->good);
    c->row = calloc(samples, sizeof *c->row);
    c->factor = calloc(samples * factors, sizeof *c->factor);
    c->output = calloc(samples, sizeof *c->output);
    c->blocks = calloc(samples * (factors + 2), sizeof *c->blocks);
    return c->good && c->row && c->factor && c->output && c->blocks;
}

static void free_room(const columns *c)
{
    free(c->good);
    free(c->row);
    free(c->factor);
    free(c->output);
    free(c->blocks);
}

static cb_status fill(cb_study_statistics *s, columns *c, cb_error *error)
{
    cb_status status = CB_OK;
    collect(c);
    s->samples = c->samples;
    s->failed = c->samples - c->count;
    s->index_rows = c->rows;
    count_limits(s, c);
    for (int output = 0; status == CB_OK && output < CB_HEADLINE_COUNT; output++) {
        status = judge_output(s, c, output, error);
    }
    return status;
}

cb_status cb_study_statistics_create(cb_study_statistics **out, const cb_study *study,
                                     const cb_study_result *results, cb_error *error)
{
    *out = NULL;
    if (study->scheme == CB_FACTORIAL) {
        return cb_fail(error, CB_BAD_CALL, "a factorial is no sample: it has no statistics");
    }
    columns c = {.study = study,
                 .results = results,
                 .samples = study->indices ? 2 * (size_t)study->samples : study->case_count};
    cb_study_statistics *s = calloc(1, sizeof *s);
    const bool room = make_room(&c);
    cb_status status = CB_NO_MEMORY;
    if (s && room) {
        status = fill(s, &c, error);
    } else {
        cb_fail(error, status, "no memory for the study's statistics");
    }
    free_room(&c);
    if (status != CB_OK) {
        free(s);
        s = NULL;
    }
    *out = s;
    return status;
}
