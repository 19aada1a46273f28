// SPDX-License-Identifier: MIT
// Of each run its years and, day by day, the least and the greatest of its water.
#include "report/data.h"
#include "report/several.h"

#include <math.h>
#include <stdlib.h>

enum { DAY_H = 24 };
static const double STEP_K = 0.002; // as on the page of one run

/// The least (sign -1: the greatest) of each day; NaN for a day without any.
static bool put_days(cbx_json *json, const char *key, const cb_run_data *data, const double *values,
                     double sign)
{
    const long days = (data->hours + DAY_H - 1) / DAY_H;
    double *least = malloc(((size_t)days + 1) * sizeof *least);
    if (!least) {
        return false;
    }
    for (long d = 0; d < days; d++) {
        double found = INFINITY;
        for (long h = d * DAY_H; h < data->hours && h < (d + 1) * DAY_H; h++) {
            const bool shown =
                values == data->coldest_fluid_c || data->pump_fraction[h] > cbx_pump_runs;
            found = shown ? fmin(found, sign * values[h]) : found;
        }
        least[d] = isfinite(found) ? sign * found : (double)NAN;
    }
    const bool ok = cbx_pack_values(json, key, least, (size_t)days, STEP_K);
    free(least);
    return ok;
}

bool cbx_data_several(cbx_json *json, const cbx_report_run *run, size_t index)
{
    const char letter[] = {cbx_letter(index), '\0'};
    const cb_run_data *data = run->data;
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "letter", letter);
    cbx_json_text(json, "file", run->path);
    cbx_json_number(json, "hours", (double)data->hours);
    cbx_json_number(json, "step", STEP_K);
    cbx_json_number(json, "start_month", run->design->run.start_month);
    cbx_json_number(json, "start_day", run->design->run.start_day);
    cbx_data_limits(json, run);
    cbx_data_years(json, run);
    cbx_json_open(json, "days", '{');
    const bool ok = put_days(json, "coldest", data, data->coldest_fluid_c, 1.0) &&
                    put_days(json, "low", data, data->entering_water_c, 1.0) &&
                    put_days(json, "high", data, data->entering_water_c, -1.0);
    cbx_json_close(json, '}');
    cbx_json_close(json, '}');
    return ok;
}
