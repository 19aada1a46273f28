// SPDX-License-Identifier: MIT
#include "report/data.h"

#include "report/shell.h"

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
    const double value[] = {month->heating_compressor_j,
                            month->cooling_compressor_j,
                            month->fan_j,
                            month->pump_j,
                            month->backup_j,
                            month->element_j,
                            month->from_ground_j,
                            month->to_ground_j};
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
    cbx_months(run->data, &run->design->run, put_month, json);
    cbx_json_close(json, ']');
}

// ---- the field as designed -------------------------------------------------------------------

static bool find_pipe(cb_pipe *pipe, const cb_pipe_choice *choice)
{
    if (choice->outside_diameter_m > 0.0) {
        *pipe = (cb_pipe){choice->outside_diameter_m, choice->inside_diameter_m};
        return true;
    }
    return cb_pipe_of(pipe, choice, NULL) == CB_OK;
}

static void put_legs(cbx_json *json, const cb_design_field *field)
{
    cb_leg legs[CB_MAX_LEGS];
    const int count = cb_field_legs(field, legs);
    cbx_json_open(json, "legs", '[');
    for (int i = 0; i < count; i++) {
        const cb_leg *leg = &legs[i];
        cbx_json_open(json, NULL, '{');
        cbx_json_number(json, "circuit", leg->circuit + 1);
        cbx_json_number(json, "across", leg->across_m);
        cbx_json_number(json, "depth", leg->depth_m);
        cbx_json_number(json, "diameter", leg->coil_diameter_m);
        cbx_json_number(json, "pitch", leg->coil_pitch_m);
        cbx_json_flag(json, "upright", leg->upright);
        cbx_json_flag(json, "outward", leg->outward);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, ']');
}

static void put_bill(cbx_json *json, const cb_design_field *field)
{
    cb_pipe pipe, runout_pipe;
    cbx_json_text(json, "pipe_name", field->pipe.nominal);
    cbx_json_number(json, "sdr", field->pipe.sdr);
    if (!find_pipe(&pipe, &field->pipe) ||
        (field->runout.given && !find_pipe(&runout_pipe, &field->runout.pipe))) {
        return;
    }
    cb_field_bill bill;
    cb_field_bill_of(&bill, field, &pipe, field->runout.given ? &runout_pipe : NULL);
    cbx_json_number(json, "pipe", pipe.outside_diameter_m);
    cbx_json_number(json, "circuits", bill.circuits);
    cbx_json_number(json, "pipe_length", bill.pipe_m);
    cbx_json_number(json, "longest_circuit", bill.longest_circuit_m);
    cbx_json_number(json, "trench_length", bill.trench_m);
}

/// Where the model lays the run-out: beside the field, where neither feels the other.
static void put_runout(cbx_json *json, const cb_design *design)
{
    const cb_runout *runout = &design->field.runout;
    if (!runout->given) {
        cbx_json_null(json, "runout");
        return;
    }
    const double outermost_m = 0.5 * (design->field.trenches - 1) * design->field.spacing_m +
                               0.5 * design->field.trench_width_m;
    cbx_json_open(json, "runout", '{');
    cbx_json_number(json, "length", runout->length_m);
    cbx_json_number(json, "depth", runout->depth_m);
    cbx_json_number(json, "apart", runout->apart_m);
    cbx_json_number(json, "at", outermost_m + design->ground.side_margin_m + 0.5 * runout->apart_m);
    cbx_json_close(json, '}');
}

void cbx_data_layout(cbx_json *json, const cbx_report_run *run)
{
    const cb_design_field *field = &run->design->field;
    cbx_json_open(json, "field", '{');
    cbx_json_number(json, "trenches", field->trenches);
    cbx_json_number(json, "spacing", field->trenches > 1 ? field->spacing_m : 0.0);
    cbx_json_open(json, "lengths", '[');
    for (int t = 0; t < field->trenches; t++) {
        cbx_json_number(json, NULL, cb_trench_length_m(field, t));
    }
    cbx_json_close(json, ']');
    cbx_json_number(json, "width", field->trench_width_m);
    put_legs(json, field);
    put_runout(json, run->design);
    put_bill(json, field);
    cbx_json_close(json, '}');
}

// ---- the whole -------------------------------------------------------------------------------

void cbx_data_limits(cbx_json *json, const cbx_report_run *run)
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

static cb_status put_all(cbx_json *json, const void *context, cb_error *error)
{
    const cbx_report_run *run = context;
    cbx_json_number(json, "hours", (double)run->data->hours);
    cbx_json_flag(json, "complete", run->findings->complete);
    cbx_json_number(json, "start_month", run->design->run.start_month);
    cbx_json_number(json, "start_day", run->design->run.start_day);
    cbx_data_limits(json, run);
    cbx_data_years(json, run);
    cbx_data_layout(json, run);
    if (!cbx_data_series(json, run) || !cbx_data_week(json, run)) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the page's series");
    }
    return cbx_data_ground(json, run, error);
}

cb_status cbx_report_data(const cbx_report_run *run, FILE *page, cb_error *error)
{
    return cbx_page_data(page, put_all, run, error);
}
