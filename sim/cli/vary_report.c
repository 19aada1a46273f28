// SPDX-License-Identifier: MIT
#include "cli/vary.h"

#include "coilbed/statistics.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMN = 14, MOST_ROWS = 100, SHOWN = 4, NAME = 36 };

/// The numbers that decide.
static const char *const shown_name[SHOWN] = {"worst_margin", "coldest_fluid", "entering_minimum",
                                              "entering_maximum"};

static const char *const shown_title[SHOWN] = {"least margin", "coldest fluid", "coldest water",
                                               "hottest water"};

static void print_number(int row, cb_unit_system system, double value, int width, FILE *stream)
{
    if (isnan(value)) {
        fprintf(stream, "%*s", width, "-");
        return;
    }
    const double shown = cb_units_value(cb_headline_row_of(row)->kind, system, value);
    // A margin just broken must not read as none.
    const bool tiny = shown != 0.0 && fabs(shown) < 0.0095;
    fprintf(stream, tiny ? "%*.1g" : "%*.2f", width, shown);
}

static const char *unit_of(int row, cb_unit_system system)
{
    return cb_units_label(cb_headline_row_of(row)->kind, system);
}

// ---- a factorial -----------------------------------------------------------------------------

// As much of a path's end as the column holds: "coil.pitch" of "field.coil.pitch".
static const char *short_path(const char *path)
{
    while (strlen(path) > COLUMN) {
        const char *dot = strchr(path, '.');
        if (!dot) {
            break;
        }
        path = dot + 1;
    }
    return path;
}

static void print_heading(const cb_study *study, cb_unit_system system, FILE *stream)
{
    for (size_t f = 0; f < study->factor_count; f++) {
        fprintf(stream, "%-*s  ", COLUMN, short_path(study->factor[f].path));
    }
    for (int i = 0; i < SHOWN; i++) {
        fprintf(stream, "%*s  ", COLUMN, shown_title[i]);
    }
    fprintf(stream, "verdict\n%*s", (int)study->factor_count * (COLUMN + 2), "");
    for (int i = 0; i < SHOWN; i++) {
        fprintf(stream, "%*s  ", COLUMN, unit_of(cb_headline_find(shown_name[i]), system));
    }
    fputc('\n', stream);
}

static void print_row(const cb_study *study, const cb_study_result *results, size_t index,
                      cb_unit_system system, FILE *stream)
{
    const cb_study_result *result = &results[index];
    cb_study_point point;
    cb_study_point_of(study, index, &point);
    for (size_t f = 0; f < study->factor_count; f++) {
        fprintf(stream, "%-*s  ", COLUMN, point.set[study->set_count + f].value);
    }
    if (result->state != CB_STUDY_OK) {
        fprintf(stream, "failed: %s\n", result->message);
        return;
    }
    for (int i = 0; i < SHOWN; i++) {
        const int row = cb_headline_find(shown_name[i]);
        print_number(row, system, cb_headline_value(&result->headline, row), COLUMN, stream);
        fputs("  ", stream);
    }
    fprintf(stream, "%s\n", cb_severity_text((cb_severity)result->headline.verdict));
}

static void print_grid(const cb_study *study, const cb_study_result *results, cb_unit_system system,
                       FILE *stream)
{
    print_heading(study, system, stream);
    for (size_t i = 0; i < study->case_count && i < MOST_ROWS; i++) {
        print_row(study, results, i, system, stream);
    }
    if (study->case_count > MOST_ROWS) {
        fprintf(stream, "... and %zu more\n", study->case_count - MOST_ROWS);
    }
}

// ---- samples ---------------------------------------------------------------------------------

static void print_quantiles(const cb_study_statistics *s, cb_unit_system system, FILE *stream)
{
    static const double share[] = CB_STUDY_SHARES;
    fprintf(stream, "%-*s", NAME, "So many cases lie below");
    for (int q = 0; q < CB_STUDY_QUANTILES; q++) {
        fprintf(stream, "%8.0f %%", 100 * share[q]);
    }
    fputc('\n', stream);
    for (int i = 0; i < SHOWN; i++) {
        const int row = cb_headline_find(shown_name[i]);
        char name[NAME + 1];
        snprintf(name, sizeof name, "%s [%s]", shown_title[i], unit_of(row, system));
        fprintf(stream, "%-*s", NAME, name);
        for (int q = 0; q < CB_STUDY_QUANTILES; q++) {
            print_number(row, system, s->quantile[row][q], 10, stream);
        }
        fputc('\n', stream);
    }
}

static void print_limits(const cb_study_statistics *s, FILE *stream)
{
    fprintf(stream, "\n%-*s%10s  %s\n", NAME, "Probability of crossing", "share",
            "95 % confidence interval");
    for (size_t i = 0; i < s->limit_count; i++) {
        const cb_study_limit *limit = &s->limit[i];
        fprintf(stream, "%-*s%8.1f %%  %.1f to %.1f %% (%zu of %zu cases)\n", NAME, limit->code,
                100 * limit->probability.share, 100 * limit->probability.low,
                100 * limit->probability.high, limit->crossed, limit->cases);
    }
}

static void print_coefficient(double value, FILE *stream)
{
    if (isnan(value)) {
        fprintf(stream, "%10s", "-");
    } else {
        fprintf(stream, "%+10.2f", value);
    }
}

static void print_factors(const cb_study *study, const cb_study_statistics *s, FILE *stream)
{
    const int row = cb_headline_find("coldest_fluid");
    fprintf(stream, "\n%-*s%10s", NAME, "What moves the coldest fluid", "rank corr.");
    fprintf(stream, study->indices ? "%10s%10s\n" : "\n", "alone", "in all");
    for (size_t f = 0; f < study->factor_count; f++) {
        fprintf(stream, "%-*s", NAME, study->factor[f].path);
        print_coefficient(s->rank_correlation[row][f], stream);
        if (study->indices) {
            const cb_sobol_index *index = &s->index[row][f];
            print_coefficient(index->first, stream);
            print_coefficient(index->total, stream);
            if (!isnan(index->first)) {
                fprintf(stream, "  +- %.2f, %.2f", index->first_error, index->total_error);
            }
        }
        fputc('\n', stream);
    }
    if (study->indices) {
        fprintf(stream, "alone, in all: first-order and total Sobol index, from %zu runs\n",
                s->index_rows * (study->factor_count + 2));
    }
}

bool cli_vary_print(const cb_study *study, const cb_study_result *results, cb_unit_system system,
                    FILE *stream)
{
    if (study->scheme == CB_FACTORIAL) {
        print_grid(study, results, system, stream);
        return true;
    }
    cb_study_statistics *s = NULL;
    if (cb_study_statistics_create(&s, study, results, NULL) != CB_OK) {
        return false;
    }
    fprintf(stream, "%zu samples, %zu failed\n\n", s->samples, s->failed);
    print_quantiles(s, system, stream);
    print_limits(s, stream);
    print_factors(study, s, stream);
    free(s);
    return true;
}
