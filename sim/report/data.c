// SPDX-License-Identifier: MIT
#include "report/data.h"

#include <math.h>
#include <stdlib.h>

// ---- years and months ------------------------------------------------------------------------

static void put_extreme(cbx_json *json, const char *key, const cbx_extreme *extreme)
{
    cbx_json_open(json, key, '[');
    cbx_json_number(json, NULL, extreme->run_hour >= 0 ? extreme->value : (double)NAN);
    cbx_json_number(json, NULL, (double)extreme->run_hour);
    cbx_json_close(json, ']');
}

static void put_year(cbx_json *json, const cbx_summary *summary, int y)
{
    const cbx_period *year = &summary->year[y];
    cbx_json_open(json, NULL, '{');
    cbx_json_number(json, "year", y + 1);
    cbx_json_flag(json, "whole", y < summary->whole_years);
    cbx_json_flag(json, "hard", summary->hard_winter[y]);
    cbx_json_flag(json, "hot", summary->hot_summer[y]);
    put_extreme(json, "coldest", &year->coldest);
    put_extreme(json, "low", &year->entering_low);
    put_extreme(json, "high", &year->entering_high);
    cbx_json_close(json, '}');
}

static void put_drift(cbx_json *json, const char *key, const cbx_summary *summary,
                      size_t extreme_offset)
{
    double *value = calloc((size_t)summary->years + 1, sizeof *value);
    if (!value) {
        cbx_json_null(json, key);
        return;
    }
    int first = -1;
    for (int y = 0; y < summary->years; y++) {
        const char *year = (const char *)&summary->year[y];
        value[y] = ((const cbx_extreme *)(year + extreme_offset))->value;
        first = first < 0 && summary->ordinary[y] ? y : first;
    }
    const cb_drift drift = cb_drift_fit(value, summary->ordinary, summary->years);
    cbx_json_open(json, key, '{');
    cbx_json_flag(json, "fitted", drift.fitted);
    cbx_json_number(json, "settled", drift.settled_c);
    cbx_json_number(json, "distance", drift.distance_k);
    cbx_json_number(json, "tau", drift.tau_years);
    cbx_json_number(json, "first", first + 1);
    cbx_json_close(json, '}');
    free(value);
}

static void put_month(void *context, const cbx_month *month)
{
    cbx_json *json = context;
    const double value[] = {
        month->heating_compressor_j, month->cooling_compressor_j, month->pump_j, month->backup_j,
        month->from_ground_j,        month->to_ground_j};
    cbx_json_open(json, NULL, '[');
    cbx_json_number(json, NULL, month->run_year);
    cbx_json_number(json, NULL, month->month);
    for (size_t i = 0; i < sizeof value / sizeof *value; i++) {
        cbx_json_number(json, NULL,
                        round(value[i] / 1e4) * 1e4); // to 10 kJ, to keep the page small
    }
    cbx_json_close(json, ']');
}

void cbx_data_years(cbx_json *json, const cbx_report_run *run)
{
    const cbx_summary *summary = cbx_report_summary(run);
    cbx_json_open(json, "years", '[');
    for (int y = 0; y < summary->years; y++) {
        put_year(json, summary, y);
    }
    cbx_json_close(json, ']');
    cbx_json_open(json, "drift", '{');
    put_drift(json, "coldest", summary, offsetof(cbx_period, coldest));
    put_drift(json, "low", summary, offsetof(cbx_period, entering_low));
    put_drift(json, "high", summary, offsetof(cbx_period, entering_high));
    cbx_json_close(json, '}');
    cbx_json_open(json, "months", '[');
    cbx_report_months(run, put_month, json);
    cbx_json_close(json, ']');
}

// ---- the field as designed -------------------------------------------------------------------

void cbx_data_layout(cbx_json *json, const cbx_report_run *run)
{
    const cb_design_field *field = &run->design->field;
    cb_pipe pipe = {0};
    if (cb_pipe_find(&pipe, field->pipe.nominal, field->pipe.sdr, NULL) != CB_OK) {
        pipe.outside_diameter_m = NAN;
    }
    const bool coil = field->layout == CB_FLAT_COIL;
    cbx_json_open(json, "field", '{');
    cbx_json_flag(json, "coil", coil);
    cbx_json_number(json, "trenches", field->trenches);
    cbx_json_number(json, "spacing", field->trenches > 1 ? field->spacing_m : 0.0);
    cbx_json_number(json, "length", field->trench_length_m);
    cbx_json_number(json, "width", field->trench_width_m);
    cbx_json_number(json, "depth", field->depth_m);
    cbx_json_number(json, "diameter", coil ? field->coil_diameter_m : (double)NAN);
    cbx_json_number(json, "pitch", coil ? field->coil_pitch_m : (double)NAN);
    cbx_json_flag(json, "return", coil && field->coil_return_in_trench);
    cbx_json_number(json, "return_across", field->coil_return_across_m);
    cbx_json_number(json, "return_depth", field->coil_return_depth_m);
    cbx_json_number(json, "pipe", pipe.outside_diameter_m);
    cbx_json_text(json, "pipe_name", field->pipe.nominal);
    cbx_json_number(json, "sdr", field->pipe.sdr);
    cbx_json_open(json, "straight", '[');
    for (int i = 0; !coil && i < field->straight_pipes; i++) {
        cbx_json_open(json, NULL, '[');
        cbx_json_number(json, NULL, field->straight[i].across_m);
        cbx_json_number(json, NULL, field->straight[i].depth_m);
        cbx_json_close(json, ']');
    }
    cbx_json_close(json, ']');
    cbx_json_close(json, '}');
}

// ---- the whole -------------------------------------------------------------------------------

static void put_limits(cbx_json *json, const cbx_report_run *run)
{
    const cb_design_limits *limits = &run->design->limits;
    cbx_json_number(json, "freeze", run->data->freeze_c);
    cbx_json_number(json, "coldest_limit", cbx_freeze_limit_c(run->judged[CB_UNITS_SI]));
    cbx_json_number(json, "low_limit", limits->entering_minimum_c);
    cbx_json_number(json, "high_limit", limits->entering_maximum_c);
    cbx_json_number(json, "reynolds_limit", limits->minimum_reynolds);
    cbx_json_number(json, "frost", run->data->run_frost_depth_m);
    cbx_json_number(json, "typical_frost", run->data->frost_depth_m);
}

static cb_status put_all(cbx_json *json, const cbx_report_run *run, cb_error *error)
{
    cbx_json_open(json, NULL, '{');
    cbx_json_number(json, "hours", (double)run->data->hours);
    cbx_json_flag(json, "complete", run->findings->complete);
    cbx_json_number(json, "start_month", run->design->run.start_month);
    cbx_json_number(json, "start_day", run->design->run.start_day);
    put_limits(json, run);
    cbx_data_years(json, run);
    cbx_data_layout(json, run);
    if (!cbx_data_series(json, run) || !cbx_data_week(json, run)) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the page's series");
    }
    const cb_status status = cbx_data_ground(json, run, error);
    cbx_json_close(json, '}');
    return status;
}

cb_status cbx_report_data(const cbx_report_run *run, FILE *page, cb_error *error)
{
    char *text = NULL;
    size_t size = 0;
    cbx_json json = {.stream = open_memstream(&text, &size)};
    if (!json.stream) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the page's figures");
    }
    cb_status status = put_all(&json, run, error);
    const bool failed = ferror(json.stream) != 0;
    if ((fclose(json.stream) != 0 || failed) && status == CB_OK) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the page's figures");
    }
    // In JSON "<" stands only within strings; written as an escape it cannot end the script.
    for (size_t i = 0; status == CB_OK && i < size; i++) {
        if (text[i] == '<') {
            fputs("\\u003c", page);
        } else {
            fputc(text[i], page);
        }
    }
    free(text);
    return status;
}
