// SPDX-License-Identifier: MIT
#include "weather/random.h"
#include "weather/run_weather.h"
#include "weather/source.h"

#include <math.h>
#include <stdio.h>

static const double pi = 3.14159265358979323846;
static const double longest_snap_days = 30;

enum { MIDDLE_DAY_NORTH = 15, MIDDLE_DAY_SOUTH = 196 }; // 16 January, 16 July

long cbx_winter_first_hour(long start_hour, int run_year, bool south)
{
    const long middle = 24L * (south ? MIDDLE_DAY_SOUTH : MIDDLE_DAY_NORTH);
    const long into_year = (middle - start_hour + CB_YEAR_HOURS) % CB_YEAR_HOURS;
    // 1 November to 16 January; 1 May to 16 July is as long.
    const long before_middle = 24L * (30 + 31 + 15);
    return (long)(run_year - 1) * CB_YEAR_HOURS + into_year - before_middle;
}

static void lower(cbx_winter *winter)
{
    const int in = winter->fade_in_hours, full = winter->full_hours, out = winter->fade_out_hours;
    for (int i = 0; i < in + full + out; i++) {
        double share = 1.0;
        if (i < in) {
            share = (i + 0.5) / in;
        } else if (i >= in + full) {
            share = 1.0 - (i - in - full + 0.5) / out;
        }
        winter->delta_k[i] = -winter->lowered_k * share;
    }
}

static bool in_run(const cb_run_weather *run, long run_hour)
{
    return run_hour >= 0 && run_hour < run->run_hours;
}

static double lowered_air_c(const cb_run_weather *run, const cbx_winter *winter, int i)
{
    return cb_typical_weather_at(run, winter->first_hour + i).air_temperature_c +
           winter->delta_k[i];
}

static int winter_hours(const cbx_winter *winter)
{
    return winter->fade_in_hours + winter->full_hours + winter->fade_out_hours;
}

static double lowest_air_c(const cb_run_weather *run, const cbx_winter *winter)
{
    double lowest_c = INFINITY;
    for (int i = 0; i < winter_hours(winter); i++) {
        if (in_run(run, winter->first_hour + i)) {
            lowest_c = fmin(lowest_c, lowered_air_c(run, winter, i));
        }
    }
    return lowest_c;
}

// First hour (within the winter) of the coldest day of the full months that lies in the run; -1 if
// none does.
static int coldest_day(const cb_run_weather *run, const cbx_winter *winter)
{
    int coldest = -1;
    double coldest_sum = INFINITY;
    const int begin = winter->fade_in_hours, end = begin + winter->full_hours;
    for (int day = begin; day < end; day += 24) {
        if (!in_run(run, winter->first_hour + day)) {
            continue;
        }
        double sum = 0;
        for (int i = day; i < day + 24; i++) {
            sum += lowered_air_c(run, winter, i);
        }
        if (sum < coldest_sum) {
            coldest_sum = sum;
            coldest = day;
        }
    }
    return coldest;
}

// Raised cosine of length snap_days about the middle of the winter's hour `centre`.
static double dip(const cbx_winter *winter, int centre, int i)
{
    const double length_h = 24.0 * winter->snap_days;
    const double from_centre = i + 0.5 - centre;
    return fabs(from_centre) < length_h / 2.0 ? 0.5 + 0.5 * cos(2.0 * pi * from_centre / length_h)
                                              : 0.0;
}

// The depth that brings the lowest hour to exactly the snap's temperature: no hour may fall below
// it, and the one that gets there first decides.
static double dip_depth_k(const cb_run_weather *run, const cbx_winter *winter, int centre)
{
    double depth = INFINITY;
    for (int i = 0; i < winter_hours(winter); i++) {
        const double share = dip(winter, centre, i);
        if (share > 0 && in_run(run, winter->first_hour + i)) {
            const double above = lowered_air_c(run, winter, i) - winter->snap_c;
            depth = fmin(depth, above / share);
        }
    }
    return depth;
}

static cb_status add_snap(const cb_run_weather *run, cbx_winter *winter, const cb_design *design,
                          const char *key, cb_error *error)
{
    char path[96];
    const double lowest_c = lowest_air_c(run, winter);
    const int day = coldest_day(run, winter);
    if (day < 0) {
        return cb_design_fail(design, key, error,
                              "no day of the months of full cold of run year %d lies in the run",
                              winter->run_year);
    }
    snprintf(path, sizeof path, "%s.cold_snap", key);
    if (winter->snap_c > lowest_c) {
        return cb_design_fail(design, path, error,
                              "the cold snap to %.4g degC is warmer than the winter of run year %d "
                              "already is, which falls to %.4g degC",
                              winter->snap_c, winter->run_year, lowest_c);
    }
    const int centre = day + 12;
    const double depth_k = dip_depth_k(run, winter, centre);
    for (int i = 0; i < winter_hours(winter); i++) {
        winter->delta_k[i] -= depth_k * dip(winter, centre, i);
    }
    const cb_moment moment = cb_run_moment(&design->run, winter->first_hour + day);
    winter->snap_month = moment.month;
    winter->snap_day = moment.day;
    return CB_OK;
}

static cb_status check_winter(const cb_run_weather *run, const cb_design *design, int index,
                              const char *key, cb_error *error)
{
    const cb_hard_winter *given = &design->weather.hard_winter[index];
    const int year = given->year == -1 ? design->run.years : given->year;
    char path[96];
    if (year < 1 || year > design->run.years) {
        snprintf(path, sizeof path, "%s.year", key);
        return cb_design_fail(design, path, error,
                              "a hard winter in run year %d; expected 1 to %d, or -1 for the last",
                              given->year, design->run.years);
    }
    for (int i = 0; i < run->winters; i++) {
        if (run->winter[i].run_year == year) {
            snprintf(path, sizeof path, "%s.year", key);
            return cb_design_fail(design, path, error, "run year %d already has a hard winter",
                                  year);
        }
    }
    if (!(given->one_in_years >= 2 && given->one_in_years <= 10000)) {
        snprintf(path, sizeof path, "%s.one_in", key);
        return cb_design_fail(design, path, error,
                              "a return period of %.6g years; expected 2 to 10000",
                              given->one_in_years);
    }
    if (!given->has_cold_snap) {
        return CB_OK;
    }
    if (!(given->snap_days >= 1 && given->snap_days <= longest_snap_days)) {
        snprintf(path, sizeof path, "%s.snap_length", key);
        return cb_design_fail(design, path, error, "a cold snap of %.6g days; expected 1 to %.0f",
                              given->snap_days, longest_snap_days);
    }
    if (!(given->cold_snap_c >= CBX_AIR_LOW_C && given->cold_snap_c <= CBX_AIR_HIGH_C)) {
        snprintf(path, sizeof path, "%s.cold_snap", key);
        return cb_design_fail(design, path, error,
                              "a cold snap to %.6g degC; expected %.0f to %.0f degC",
                              given->cold_snap_c, CBX_AIR_LOW_C, CBX_AIR_HIGH_C);
    }
    return CB_OK;
}

static void set_season(cbx_winter *winter, bool south)
{
    winter->full_month = south ? 6 : 12;
    winter->last_full_month = south ? 8 : 2;
    winter->fade_in_hours = 24 * (south ? 31 : 30);
    winter->full_hours = 24 * (south ? 92 : 90);
    winter->fade_out_hours = 24 * (south ? 30 : 31);
}

cb_status cbx_shape_winter(cb_run_weather *run, const cb_design *design, int index, cb_error *error)
{
    char key[64];
    snprintf(key, sizeof key, "weather.hard_winters[%d]", index);
    cb_status status = check_winter(run, design, index, key, error);
    if (status != CB_OK) {
        return status;
    }
    const cb_hard_winter *given = &design->weather.hard_winter[index];
    const bool south = design->site.latitude_deg < 0;
    cbx_winter *winter = &run->winter[run->winters];
    *winter = (cbx_winter){
        .run_year = given->year == -1 ? design->run.years : given->year,
        .one_in_years = given->one_in_years,
        .lowered_k = cbx_inverse_normal(1.0 - 1.0 / given->one_in_years) *
                     design->weather.winter_deviation_k,
        .has_snap = given->has_cold_snap,
        .snap_c = given->cold_snap_c,
        .snap_days = given->snap_days,
    };
    set_season(winter, south);
    winter->first_hour = cbx_winter_first_hour(run->start_hour, winter->run_year, south);
    winter->begun_before_run = winter->first_hour + winter->fade_in_hours < 0;
    lower(winter);
    if (winter->has_snap) {
        status = add_snap(run, winter, design, key, error);
    }
    if (status == CB_OK) {
        run->winters++;
    }
    return status;
}
