// SPDX-License-Identifier: MIT
#include "study/study_reader.h"

#include "units/number.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static cb_status no_memory(cb_error *error)
{
    return cb_fail(error, CB_NO_MEMORY, "no memory for the cases of the study");
}

// Blocks A, B, then A with one column of B for each factor. A and B are the two halves of one
// sequence of twice the dimensions, so that they are independent.
static cb_status lay_out_blocks(cb_study *study, cb_error *error)
{
    const size_t n = study->factor_count, rows = (size_t)study->samples;
    double *both = calloc(rows * 2 * n, sizeof *both);
    if (!both) {
        return no_memory(error);
    }
    const cb_points points = {.count = rows, .dimensions = 2 * n, .seed = study->seed};
    const cb_status status = cb_points_sobol(&points, both, error);
    for (size_t block = 0; status == CB_OK && block < n + 2; block++) {
        for (size_t i = 0; i < rows; i++) {
            for (size_t f = 0; f < n; f++) {
                const bool from_b = block == 1 || block == f + 2;
                study->share[(block * rows + i) * n + f] = both[i * 2 * n + f + (from_b ? n : 0)];
            }
        }
    }
    free(both);
    return status;
}

cb_status cbx_study_lay_out(cb_study *study, cb_error *error)
{
    if (study->scheme == CB_FACTORIAL) {
        return CB_OK;
    }
    const cb_points points = {
        .count = study->case_count, .dimensions = study->factor_count, .seed = study->seed};
    study->share = calloc(points.count * points.dimensions, sizeof *study->share);
    if (!study->share) {
        return no_memory(error);
    }
    if (study->indices) {
        return lay_out_blocks(study, error);
    }
    const bool latin = study->scheme == CB_LATIN_HYPERCUBE;
    cb_status status = latin ? cb_points_latin(&points, study->share, error)
                             : cb_points_sobol(&points, study->share, error);
    if (status == CB_OK && study->rank_correlation) {
        status = cb_points_correlate(&points, study->rank_correlation, latin, study->share, error);
    }
    return status;
}

static size_t level_of(const cb_study *study, size_t index, size_t f)
{
    const size_t count = study->factor[f].level_count;
    if (study->scheme == CB_FACTORIAL) {
        for (size_t later = study->factor_count; later-- > f + 1;) {
            index /= study->factor[later].level_count;
        }
        return index % count;
    }
    const size_t level = (size_t)(study->share[index * study->factor_count + f] * (double)count);
    return level < count ? level : count - 1;
}

static const char *value_of(const cb_study *study, size_t index, size_t f, cb_study_point *point)
{
    const cb_factor *factor = &study->factor[f];
    if (factor->level_count > 0) {
        const size_t level = level_of(study, index, f);
        point->level[f] = level;
        point->value[f] = factor->value ? factor->value[level] : (double)level;
        return factor->level[level];
    }
    char number[40];
    const bool bare = factor->kind == CB_NUMBER || factor->kind == CB_FRACTION;
    point->value[f] = cb_distribution_quantile(&factor->distribution,
                                               study->share[index * study->factor_count + f]);
    snprintf(point->text[f], sizeof point->text[f], "%s%s%s",
             cbx_number_print(point->value[f], number, sizeof number), bare ? "" : " ",
             bare ? "" : factor->units);
    return point->text[f];
}

void cb_study_point_of(const cb_study *study, size_t index, cb_study_point *point)
{
    point->set_count = study->set_count + study->factor_count;
    memcpy(point->set, study->set, study->set_count * sizeof *point->set);
    for (size_t f = 0; f < study->factor_count; f++) {
        point->set[study->set_count + f] =
            (cb_override){.path = study->factor[f].path, .value = value_of(study, index, f, point)};
    }
}
