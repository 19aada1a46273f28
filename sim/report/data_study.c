// SPDX-License-Identifier: MIT
// What a study's figures and its table of cases are drawn from.
#include "report/study.h"
#include "study/compared.h"

#include <math.h>
#include <string.h>

/// The headline numbers that the page offers, in its order.
static const char *const offered[] = {
    "worst_margin",        "coldest_fluid",       "entering_minimum",  "entering_maximum",
    "coldest_fluid_drift", "heating_performance", "compressor_energy", "backup_energy",
    "pump_energy",         "unmet_heating",       "heat_from_ground",  "pipe_length",
    "trench_length",       "excavation"};

// ---- units -----------------------------------------------------------------------------------

/// shown = value * factor + offset, in US and in SI units.
static void put_scale(cbx_json *json, cb_kind kind)
{
    cbx_json_open(json, "scale", '[');
    for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
        const double offset = cb_units_value(kind, (cb_unit_system)system, 0.0);
        cbx_json_open(json, NULL, '[');
        cbx_json_number(json, NULL, cb_units_value(kind, (cb_unit_system)system, 1.0) - offset);
        cbx_json_number(json, NULL, offset);
        cbx_json_close(json, ']');
    }
    cbx_json_close(json, ']');
}

static void put_unit(cbx_json *json, cb_kind kind, const char *after)
{
    cbx_json_open(json, "unit", '[');
    for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
        char text[48];
        snprintf(text, sizeof text, "%s%s", cb_units_label(kind, (cb_unit_system)system), after);
        cbx_json_text(json, NULL, text);
    }
    cbx_json_close(json, ']');
}

static void put_dug_units(cbx_json *json)
{
    cbx_json_open(json, "unit", '[');
    cbx_json_text(json, NULL, "yd³");
    cbx_json_text(json, NULL, "m³");
    cbx_json_close(json, ']');
    cbx_json_open(json, "scale", '[');
    for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
        cbx_json_open(json, NULL, '[');
        cbx_json_number(json, NULL, cbx_dug((cb_unit_system)system, 1.0));
        cbx_json_number(json, NULL, 0.0);
        cbx_json_close(json, ']');
    }
    cbx_json_close(json, ']');
}

// ---- what varies -----------------------------------------------------------------------------

static void put_levels(cbx_json *json, const cbx_report_factor *factor)
{
    char text[CBX_STUDY_VALUE];
    cbx_json_open(json, "levels", '[');
    for (size_t i = 0; i < factor->values->count; i++) {
        cbx_json_open(json, NULL, '[');
        for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
            cbx_study_value_text(factor, i, (cb_unit_system)system, text);
            cbx_json_text(json, NULL, text);
        }
        cbx_json_close(json, ']');
    }
    cbx_json_close(json, ']');
}

static void put_factor(cbx_json *json, const cbx_report_study *study, size_t f)
{
    const cbx_report_factor *factor = &study->factor[f];
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "path", factor->path);
    cbx_json_flag(json, "words", factor->words);
    put_unit(json, factor->kind, "");
    put_scale(json, factor->kind);
    if (study->grid) {
        put_levels(json, factor);
    }
    cbx_json_open(json, "values", '[');
    for (size_t i = 0; i < factor->values->count; i++) {
        if (factor->words) {
            cbx_json_text(json, NULL, cbx_stored_text(factor->values, i));
        } else {
            cbx_json_number(json, NULL, factor->values->number[i]);
        }
    }
    cbx_json_close(json, ']');
    cbx_json_close(json, '}');
}

// ---- what came of it -------------------------------------------------------------------------

static void put_numbers(cbx_json *json, const char *key, const cbx_report_study *study,
                        const double *value)
{
    cbx_json_open(json, key, '[');
    for (size_t i = 0; i < study->cases; i++) {
        cbx_json_number(json, NULL, cbx_study_case_ok(study, i) ? value[i] : (double)NAN);
    }
    cbx_json_close(json, ']');
}

/// The limit of each case is its number less its margin: the least and the greatest of all cases.
static void put_limit(cbx_json *json, const cbx_report_study *study, int row, const double *margin,
                      double sign)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; margin && i < study->cases; i++) {
        const double limit = study->output[row][i] - sign * margin[i];
        if (cbx_study_case_ok(study, i) && isfinite(limit)) {
            low = fmin(low, limit);
            high = fmax(high, limit);
        }
    }
    if (low <= high) {
        cbx_json_open(json, "limit", '[');
        cbx_json_number(json, NULL, low);
        cbx_json_number(json, NULL, high);
        cbx_json_close(json, ']');
    }
}

static void put_limit_of(cbx_json *json, const cbx_report_study *study, int row)
{
    const char *name = cb_headline_row_of(row)->name;
    if (strcmp(name, "worst_margin") == 0) {
        put_limit(json, study, row, study->output[row], 1.0);
    } else if (strcmp(name, "coldest_fluid") == 0) {
        put_limit(json, study, row, cbx_study_output(study, "freeze_margin"), 1.0);
    } else if (strcmp(name, "entering_minimum") == 0) {
        put_limit(json, study, row, study->margin_low, 1.0);
    } else if (strcmp(name, "entering_maximum") == 0) {
        put_limit(json, study, row, study->margin_high, -1.0);
    }
}

static void put_by_factor(cbx_json *json, const cbx_report_study *study, int row, const char *name)
{
    const cbx_stored_variable *found =
        study->statistics ? cbx_stored_find(study->statistics, name) : NULL;
    if (!found || !found->number || found->count != CB_HEADLINE_COUNT * study->factor_count) {
        return;
    }
    cbx_json_open(json, name, '[');
    for (size_t f = 0; f < study->factor_count; f++) {
        cbx_json_number(json, NULL, found->number[(size_t)row * study->factor_count + f]);
    }
    cbx_json_close(json, ']');
}

static bool has_numbers(const cbx_report_study *study, int row)
{
    bool any = false;
    for (size_t i = 0; !any && i < study->cases; i++) {
        any = cbx_study_case_ok(study, i) && isfinite(study->output[row][i]);
    }
    return any;
}

static void put_output(cbx_json *json, const cbx_report_study *study, int row)
{
    static const char *const by_factor[] = {"rank_correlation", "first_order_index",
                                            "first_order_error", "total_index", "total_error"};
    const cb_headline_row *headline = cb_headline_row_of(row);
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "name", headline->name);
    cbx_json_text(json, "title", headline->title);
    cbx_json_text(json, "meaning", headline->meaning);
    cbx_json_text(json, "kind", cb_kind_name(headline->kind));
    if (headline->kind == CB_VOLUME) {
        put_dug_units(json);
    } else {
        put_unit(json, headline->kind, strstr(headline->unit, "year") ? "/yr" : "");
        put_scale(json, headline->kind);
    }
    put_limit_of(json, study, row);
    for (size_t i = 0; !study->grid && i < sizeof by_factor / sizeof *by_factor; i++) {
        put_by_factor(json, study, row, by_factor[i]);
    }
    put_numbers(json, "values", study, study->output[row]);
    cbx_json_close(json, '}');
}

static void put_chances(cbx_json *json, const cbx_report_study *study)
{
    static const char *const name[] = {"limit_probability", "limit_probability_low",
                                       "limit_probability_high"};
    const cbx_stored_variable *limit = cbx_stored_find(study->statistics, "limit");
    const cbx_stored_variable *number[3];
    bool all = limit != NULL;
    for (int c = 0; all && c < 3; c++) {
        number[c] = cbx_stored_find(study->statistics, name[c]);
        all = number[c] && number[c]->number && number[c]->count == limit->count;
    }
    cbx_json_open(json, "chances", '[');
    for (size_t i = 0; all && i < limit->count; i++) {
        cbx_json_open(json, NULL, '[');
        cbx_json_text(json, NULL, cbx_title(cbx_stored_text(limit, i)));
        for (int c = 0; c < 3; c++) {
            cbx_json_number(json, NULL, number[c]->number[i]);
        }
        cbx_json_close(json, ']');
    }
    cbx_json_close(json, ']');
}

cb_status cbx_data_study(cbx_json *json, const void *context, cb_error *error)
{
    const cbx_report_study *study = context;
    (void)error;
    cbx_json_flag(json, "grid", study->grid);
    cbx_json_number(json, "cases", (double)study->cases);
    cbx_json_number(json, "independent", (double)study->independent);
    cbx_json_open(json, "factors", '[');
    for (size_t f = 0; f < study->factor_count; f++) {
        put_factor(json, study, f);
    }
    cbx_json_close(json, ']');
    put_numbers(json, "verdict", study, study->verdict);
    cbx_json_open(json, "outputs", '[');
    for (size_t i = 0; i < sizeof offered / sizeof *offered; i++) {
        const int row = cb_headline_find(offered[i]);
        if (has_numbers(study, row)) {
            put_output(json, study, row);
        }
    }
    cbx_json_close(json, ']');
    if (!study->grid) {
        put_chances(json, study);
    }
    return CB_OK;
}
