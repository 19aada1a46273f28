// SPDX-License-Identifier: MIT
// A study as one JSON object. Numbers are in the SI unit that "numbers" and "factors" name.
#include "cli/vary.h"

#include "cli/message.h"
#include "coilbed/version.h"
#include "findings/json_writer.h"

#include <math.h>
#include <stdlib.h>

static void put_factors(cbx_json *json, const cb_study *study)
{
    cbx_json_open(json, "factors", '[');
    for (size_t f = 0; f < study->factor_count; f++) {
        cbx_json_open(json, NULL, '{');
        cbx_json_text(json, "path", study->factor[f].path);
        cbx_json_text(json, "unit", study->factor[f].units);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, ']');
}

static void put_units(cbx_json *json)
{
    cbx_json_open(json, "numbers", '{');
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        cbx_json_text(json, cb_headline_row_of(i)->name, cb_headline_row_of(i)->unit);
    }
    cbx_json_close(json, '}');
}

static void put_values(cbx_json *json, const cb_study *study, size_t index)
{
    cb_study_point point;
    cb_study_point_of(study, index, &point);
    cbx_json_open(json, "values", '{');
    for (size_t f = 0; f < study->factor_count; f++) {
        const cb_factor *factor = &study->factor[f];
        if (factor->units) {
            cbx_json_number(json, factor->path, point.value[f]);
        } else {
            cbx_json_text(json, factor->path, factor->level[point.level[f]]);
        }
    }
    cbx_json_close(json, '}');
}

static void put_margins(cbx_json *json, const cb_study_result *result)
{
    cbx_json_open(json, "findings", '[');
    for (int i = 0; i < result->finding_count; i++) {
        const cb_study_finding *finding = &result->finding[i];
        const bool warmth = finding->kind == CB_TEMPERATURE;
        cbx_json_open(json, NULL, '{');
        cbx_json_text(json, "code", finding->code);
        cbx_json_text(json, "severity", cb_severity_text((cb_severity)finding->severity));
        cbx_json_number(json, "margin", finding->margin);
        cbx_json_text(json, "unit",
                      cb_kind_si_unit(warmth ? CB_TEMPERATURE_DIFFERENCE : finding->kind));
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, ']');
}

static void put_cases(cbx_json *json, const cb_study *study, const cb_study_result *results)
{
    static const char *const word[] = {"missing", "ok", "failed", "lost"};
    cbx_json_open(json, "cases", '[');
    for (size_t i = 0; i < study->case_count; i++) {
        const cb_study_result *result = &results[i];
        const bool ok = result->state == CB_STUDY_OK;
        cbx_json_open(json, NULL, '{');
        put_values(json, study, i);
        cbx_json_text(json, "status", word[result->state]);
        cbx_json_text(json, "message", ok ? NULL : result->message);
        cbx_json_open(json, "headline", '{');
        for (int row = 0; ok && row < CB_HEADLINE_COUNT; row++) {
            cbx_json_number(json, cb_headline_row_of(row)->name,
                            cb_headline_value(&result->headline, row));
        }
        cbx_json_close(json, '}');
        put_margins(json, result);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, ']');
}

// ---- samples ---------------------------------------------------------------------------------

static void put_factor_effects(cbx_json *json, const cb_study *study, const cb_study_statistics *s,
                               int row)
{
    cbx_json_open(json, "factors", '{');
    for (size_t f = 0; f < study->factor_count; f++) {
        const cb_sobol_index *index = &s->index[row][f];
        cbx_json_open(json, study->factor[f].path, '{');
        cbx_json_number(json, "rank_correlation", s->rank_correlation[row][f]);
        if (study->indices) {
            cbx_json_number(json, "first_order", index->first);
            cbx_json_number(json, "first_order_error", index->first_error);
            cbx_json_number(json, "total", index->total);
            cbx_json_number(json, "total_error", index->total_error);
        }
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, '}');
}

static void put_distributions(cbx_json *json, const cb_study *study, const cb_study_statistics *s)
{
    static const double share[] = CB_STUDY_SHARES;
    cbx_json_open(json, "quantile_shares", '[');
    for (int q = 0; q < CB_STUDY_QUANTILES; q++) {
        cbx_json_number(json, NULL, share[q]);
    }
    cbx_json_close(json, ']');
    cbx_json_open(json, "distributions", '{');
    for (int row = 0; row < CB_HEADLINE_COUNT; row++) {
        if (isnan(s->quantile[row][0])) {
            continue;
        }
        cbx_json_open(json, cb_headline_row_of(row)->name, '{');
        cbx_json_open(json, "quantiles", '[');
        for (int q = 0; q < CB_STUDY_QUANTILES; q++) {
            cbx_json_number(json, NULL, s->quantile[row][q]);
        }
        cbx_json_close(json, ']');
        put_factor_effects(json, study, s, row);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, '}');
}

static void put_limits(cbx_json *json, const cb_study_statistics *s)
{
    cbx_json_open(json, "probability_of_crossing", '{');
    for (size_t i = 0; i < s->limit_count; i++) {
        const cb_study_limit *limit = &s->limit[i];
        cbx_json_open(json, limit->code, '{');
        cbx_json_number(json, "share", limit->probability.share);
        cbx_json_number(json, "low", limit->probability.low);
        cbx_json_number(json, "high", limit->probability.high);
        cbx_json_number(json, "crossed", (double)limit->crossed);
        cbx_json_number(json, "cases", (double)limit->cases);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, '}');
}

static void put_statistics(cbx_json *json, const cb_study *study, const cb_study_statistics *s)
{
    if (!s) {
        cbx_json_null(json, "statistics");
        return;
    }
    cbx_json_open(json, "statistics", '{');
    cbx_json_number(json, "samples", (double)s->samples);
    cbx_json_number(json, "failed", (double)s->failed);
    put_distributions(json, study, s);
    put_limits(json, s);
    cbx_json_close(json, '}');
}

// ---- the whole -------------------------------------------------------------------------------

static void put_head(cbx_json *json, const cb_study *study, const cli_vary_outcome *outcome)
{
    static const char *const scheme[] = {"factorial", "latin_hypercube", "sobol"};
    const bool sampled = study->scheme != CB_FACTORIAL;
    cbx_json_text(json, "program", "coilbed " CB_VERSION);
    cbx_json_text(json, "file", study->path);
    cbx_json_text(json, "design", study->design_path);
    cbx_json_text(json, "output", outcome->path);
    cbx_json_text(json, "scheme", scheme[study->scheme]);
    cbx_json_number(json, "seed", sampled ? (double)study->seed : (double)NAN);
    cbx_json_text(json, "notices", study->notices[0] ? study->notices : NULL);
    cbx_json_number(json, "failed_cases", (double)outcome->failed);
    cbx_json_number(json, "exit_status", outcome->status);
    cbx_json_text(json, "exit_meaning", cli_exit_meaning(outcome->status));
}

bool cli_vary_json(const cb_study *study, const cb_study_result *results,
                   const cli_vary_outcome *outcome, FILE *stream)
{
    cb_study_statistics *s = NULL;
    if (study->scheme != CB_FACTORIAL &&
        cb_study_statistics_create(&s, study, results, NULL) != CB_OK) {
        return false;
    }
    cbx_json json = {.stream = stream};
    cbx_json_open(&json, NULL, '{');
    put_head(&json, study, outcome);
    put_factors(&json, study);
    put_units(&json);
    put_statistics(&json, study, s);
    put_cases(&json, study, results);
    cbx_json_close(&json, '}');
    fputc('\n', stream);
    free(s);
    return true;
}
