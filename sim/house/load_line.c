// SPDX-License-Identifier: MIT
#include "house/loads.h"

#include <math.h>

static const double hour_s = 3600.0;

// First-order lag tau dT/dt = T_out - T over an hour of constant T_out, exactly:
//     T(end)  = T_out + (T(start) - T_out) kept,    kept = exp(-hour / tau)
//     T(mean) = T_out + (T(start) - T_out) (1 - kept) tau / hour
typedef struct lag {
    double kept, kept_in_mean;
} lag;

static lag make_lag(double time_constant_s)
{
    if (time_constant_s <= 0) {
        return (lag){0, 0};
    }
    const double x = hour_s / time_constant_s;
    return (lag){exp(-x), -expm1(-x) / x};
}

// The lagged temperature at the start of a year that is as it was a year before: what a year
// adds to a start at 0, summed over all years before.
static double periodic_start_c(const cb_run_weather *weather, double time_constant_s)
{
    if (time_constant_s <= 0) {
        return 0.0; // nothing is kept, so no start matters
    }
    const lag l = make_lag(time_constant_s);
    double added = 0;
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        const double outdoor_c = cb_typical_weather_at(weather, hour).air_temperature_c;
        added = outdoor_c + (added - outdoor_c) * l.kept;
    }
    return added / -expm1(-CB_YEAR_HOURS * hour_s / time_constant_s);
}

static cb_status check_heating(const cb_design *design, cb_error *error)
{
    const cb_load_line *line = &design->house.line;
    if (!(line->heating_design_w >= 0 && isfinite(line->heating_design_w))) {
        return cb_design_fail(design, "house.load_line.heating_design", error,
                              "a heating load of %.6g W; expected 0 or more",
                              line->heating_design_w);
    }
    if (line->heating_design_w > 0 && !(line->heating_design_c < line->heating_balance_c)) {
        return cb_design_fail(design, "house.load_line.heating_design_temperature", error,
                              "the heating design temperature, %.4g degC, must be below the "
                              "heating balance point, %.4g degC",
                              line->heating_design_c, line->heating_balance_c);
    }
    return CB_OK;
}

static cb_status check_cooling(const cb_design *design, cb_error *error)
{
    const cb_load_line *line = &design->house.line;
    if (!(line->cooling_design_w >= 0 && isfinite(line->cooling_design_w))) {
        return cb_design_fail(design, "house.load_line.cooling_design", error,
                              "a cooling load of %.6g W; expected 0 or more",
                              line->cooling_design_w);
    }
    if (line->cooling_design_w > 0 && !(line->cooling_design_c > line->cooling_balance_c)) {
        return cb_design_fail(design, "house.load_line.cooling_design_temperature", error,
                              "the cooling design temperature, %.4g degC, must be above the "
                              "cooling balance point, %.4g degC",
                              line->cooling_design_c, line->cooling_balance_c);
    }
    return CB_OK;
}

static cb_status check_line(const cb_design *design, cb_error *error)
{
    const cb_load_line *line = &design->house.line;
    cb_status status = check_heating(design, error);
    if (status == CB_OK) {
        status = check_cooling(design, error);
    }
    if (status != CB_OK) {
        return status;
    }
    if (line->heating_design_w > 0 && line->cooling_design_w > 0 &&
        line->heating_balance_c > line->cooling_balance_c) {
        return cb_design_fail(design, "house.load_line.cooling_balance", error,
                              "cooling begins at %.4g degC, where the house still heats (up to "
                              "%.4g degC)",
                              line->cooling_balance_c, line->heating_balance_c);
    }
    const double longest_s = 1000 * 86400.0;
    if (!(line->time_constant_s >= 0 && line->time_constant_s <= longest_s)) {
        return cb_design_fail(design, "house.load_line.time_constant", error,
                              "a time constant of %.6g s; expected 0 to %.3g s (1000 days)",
                              line->time_constant_s, longest_s);
    }
    return CB_OK;
}

cb_status cbx_load_line(cb_house *house, const cb_design *design, const cb_run_weather *weather,
                        cb_error *error)
{
    const cb_status status = check_line(design, error);
    if (status != CB_OK) {
        return status;
    }
    const cb_load_line *line = &design->house.line;
    const lag l = make_lag(line->time_constant_s);
    double start_c = periodic_start_c(weather, line->time_constant_s);
    // A load that is not there needs no design temperature, so its slope must not be computed.
    const double heating_w_k =
        line->heating_design_w > 0
            ? line->heating_design_w / (line->heating_balance_c - line->heating_design_c)
            : 0.0;
    const double cooling_w_k =
        line->cooling_design_w > 0
            ? line->cooling_design_w / (line->cooling_design_c - line->cooling_balance_c)
            : 0.0;
    for (long hour = 0; hour < house->hours; hour++) {
        const double outdoor_c = cb_run_weather_at(weather, hour).air_temperature_c;
        const double lagged_c = outdoor_c + (start_c - outdoor_c) * l.kept_in_mean;
        start_c = outdoor_c + (start_c - outdoor_c) * l.kept;
        house->heating_w[hour] = heating_w_k * fmax(0.0, line->heating_balance_c - lagged_c);
        house->cooling_w[hour] = cooling_w_k * fmax(0.0, lagged_c - line->cooling_balance_c);
    }
    return CB_OK;
}
