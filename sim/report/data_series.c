// SPDX-License-Identifier: MIT
#include "report/data.h"

#include "report/thin.h"

#include <math.h>
#include <stdlib.h>

enum {
    MOST_POINTS = 12 * CB_YEAR_HOURS, // every hour of twelve years: 0.84 MB of the page
    KEPT_HOURS = 7 * 24,              // on either side of an extreme
    WEEK = 7 * 24
};
static const double STEP_K = 0.002; // 16 bits then reach from -65 to 65 degC

/// Water that stands still is not judged and not shown.
static double *while_running(const cb_run_data *data, const double *values)
{
    double *shown = malloc(((size_t)data->hours + 1) * sizeof *shown);
    for (long h = 0; shown && h < data->hours; h++) {
        shown[h] = data->pump_fraction[h] > cbx_pump_runs ? values[h] : (double)NAN;
    }
    return shown;
}

/// The wanted step, or a coarser one where 16 bits would not hold the greatest value.
static double step_for(const double *values, size_t count, double wanted)
{
    double most = 0.0, step = wanted;
    for (size_t i = 0; i < count; i++) {
        most = isfinite(values[i]) ? fmax(most, fabs(values[i])) : most;
    }
    while (most / step > 32000.0) {
        step *= 10.0;
    }
    return step;
}

static void put_packed(cbx_json *json, const char *key, const double *values, size_t count,
                       double wanted, bool *ok)
{
    const double step = step_for(values, count, wanted);
    cbx_json_open(json, key, '{');
    cbx_json_number(json, "step", step);
    *ok = *ok && cbx_pack_values(json, "values", values, count, step);
    cbx_json_close(json, '}');
}

static bool put_thinned(cbx_json *json, const char *key, const cbx_thin *thin, const double *values)
{
    double *point = malloc((thin->points + 1) * sizeof *point);
    bool ok = point != NULL && values != NULL;
    if (ok) {
        cbx_thin_apply(thin, values, point);
        put_packed(json, key, point, thin->points, STEP_K, &ok);
    }
    free(point);
    return ok;
}

static void put_stretches(cbx_json *json, const cbx_thin *thin)
{
    cbx_json_open(json, "stretches", '[');
    for (size_t i = 0; i < thin->count; i++) {
        cbx_json_open(json, NULL, '[');
        cbx_json_number(json, NULL, (double)thin->stretch[i].first_hour);
        cbx_json_number(json, NULL, (double)thin->stretch[i].hours);
        cbx_json_number(json, NULL, thin->stretch[i].bucket_h);
        cbx_json_close(json, ']');
    }
    cbx_json_close(json, ']');
}

static bool put_series(cbx_json *json, const cb_run_data *data, const cbx_thin *thin)
{
    double *entering = while_running(data, data->entering_water_c);
    double *leaving = while_running(data, data->leaving_water_c);
    cbx_json_open(json, "series", '{');
    cbx_json_number(json, "bucket", thin->bucket_h);
    put_stretches(json, thin);
    const bool ok = put_thinned(json, "coldest", thin, data->coldest_fluid_c) &&
                    put_thinned(json, "entering", thin, entering) &&
                    put_thinned(json, "leaving", thin, leaving);
    cbx_json_close(json, '}');
    free(entering);
    free(leaving);
    return ok;
}

bool cbx_data_series(cbx_json *json, const cbx_report_run *run)
{
    const cbx_summary *summary = cbx_report_summary(run);
    long *extreme = malloc((3 * (size_t)summary->years + 1) * sizeof *extreme);
    if (!extreme) {
        return false;
    }
    cbx_kept kept = {.hour = extreme, .around = KEPT_HOURS};
    for (int y = 0; y < summary->years; y++) {
        extreme[kept.count++] = summary->year[y].coldest.run_hour;
        extreme[kept.count++] = summary->year[y].entering_low.run_hour;
        extreme[kept.count++] = summary->year[y].entering_high.run_hour;
    }
    cbx_thin thin;
    bool ok = cbx_thin_plan(&thin, run->data->hours, MOST_POINTS, &kept);
    if (ok) {
        ok = put_series(json, run->data, &thin);
        cbx_thin_free(&thin);
    }
    free(extreme);
    return ok;
}

// ---- the coldest week ------------------------------------------------------------------------

bool cbx_data_week(cbx_json *json, const cbx_report_run *run)
{
    const cb_run_data *data = run->data;
    const long coldest = cbx_report_summary(run)->run.coldest.run_hour;
    const long last = data->hours > WEEK ? data->hours - WEEK : 0;
    const long wanted = coldest - WEEK / 2;
    const long first = wanted < 0 ? 0 : wanted > last ? last : wanted;
    const size_t count = (size_t)(data->hours - first < WEEK ? data->hours - first : WEEK);
    const struct {
        const char *key;
        const double *value;
        double step;
        bool running;
    } column[] = {{"coldest", data->coldest_fluid_c, STEP_K, false},
                  {"entering", data->entering_water_c, STEP_K, true},
                  {"leaving", data->leaving_water_c, STEP_K, true},
                  {"air", data->air_temperature_c, STEP_K, false},
                  {"load", data->heating_load_w, 1.0, false},
                  {"output", data->heating_output_w, 1.0, false},
                  {"backup", data->backup_power_w, 1.0, false},
                  {"flow", data->flow_kg_s, 1e-4, false},
                  {"reynolds", data->reynolds, 1.0, true}};
    double value[WEEK];
    cbx_json_open(json, "week", '{');
    cbx_json_number(json, "first", (double)first);
    cbx_json_number(json, "count", (double)count);
    cbx_json_number(json, "coldest_hour", (double)coldest);
    bool ok = true;
    for (size_t c = 0; ok && c < sizeof column / sizeof *column; c++) {
        for (size_t i = 0; i < count; i++) {
            const bool shown =
                !column[c].running || data->pump_fraction[first + (long)i] > cbx_pump_runs;
            value[i] = shown ? column[c].value[first + (long)i] : (double)NAN;
        }
        put_packed(json, column[c].key, value, count, column[c].step, &ok);
    }
    cbx_json_close(json, '}');
    return ok;
}
