// SPDX-License-Identifier: MIT
#include "weather/run_weather.h"
#include "weather/calendar.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static cb_status check_run(const cb_design *design, cb_error *error)
{
    const cb_design_run *run = &design->run;
    if (cb_day_of_year(run->start_month, run->start_day) < 0) {
        return cb_design_fail(design, "run.start", error,
                              "month %d day %d is not a day of a 365-day year", run->start_month,
                              run->start_day);
    }
    if (run->years < 1 || run->years > 100) {
        return cb_design_fail(design, "run.years", error, "%d years; expected 1 to 100",
                              run->years);
    }
    const int winters = design->weather.hard_winter_count;
    if (winters < 0 || winters > CB_MAX_HARD_WINTERS) {
        return cb_design_fail(design, "weather.hard_winters", error,
                              "%d hard winters; expected 0 to %d", winters, CB_MAX_HARD_WINTERS);
    }
    const double deviation_k = design->weather.winter_deviation_k;
    if (winters > 0 && !(deviation_k >= 0 && deviation_k <= 10)) {
        return cb_design_fail(design, "weather.winter_deviation", error,
                              "a deviation between winters of %.6g K; expected 0 to 10 K",
                              deviation_k);
    }
    return CB_OK;
}

cb_status cb_run_weather_create(cb_run_weather **out, const cb_weather *weather,
                                const cb_design *design, cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "cb_run_weather_create: out is NULL");
    }
    *out = NULL;
    if (!weather || !design) {
        return cb_fail(error, CB_BAD_CALL, "cb_run_weather_create: weather or design is NULL");
    }
    cb_status status = check_run(design, error);
    if (status != CB_OK) {
        return status;
    }
    cb_run_weather *run = calloc(1, sizeof *run);
    if (!run) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the weather of the run");
    }
    run->weather = weather;
    run->start_hour = 24L * cb_day_of_year(design->run.start_month, design->run.start_day);
    run->run_hours = (long)design->run.years * CB_YEAR_HOURS;
    for (int i = 0; i < design->weather.hard_winter_count && status == CB_OK; i++) {
        status = cbx_shape_winter(run, design, i, error);
    }
    if (status != CB_OK) {
        run = cb_run_weather_destroy(run);
    }
    *out = run;
    return status;
}

cb_run_weather *cb_run_weather_destroy(cb_run_weather *run_weather)
{
    free(run_weather);
    return NULL;
}

long cb_run_weather_cycle_hours(const cb_run_weather *run_weather)
{
    return (long)run_weather->weather->years * CB_YEAR_HOURS;
}

cb_weather_hour cb_typical_weather_at(const cb_run_weather *run_weather, long hour)
{
    const long hours = cb_run_weather_cycle_hours(run_weather);
    long index = (run_weather->start_hour + hour) % hours;
    if (index < 0) {
        index += hours;
    }
    return run_weather->weather->hour[index];
}

cb_weather_hour cb_run_weather_at(const cb_run_weather *run_weather, long run_hour)
{
    cb_weather_hour hour = cb_typical_weather_at(run_weather, run_hour);
    if (run_hour < 0 || run_hour >= run_weather->run_hours) {
        return hour;
    }
    for (int i = 0; i < run_weather->winters; i++) {
        const cbx_winter *winter = &run_weather->winter[i];
        const long at = run_hour - winter->first_hour;
        if (at < 0 || at >= winter->fade_in_hours + winter->full_hours + winter->fade_out_hours) {
            continue;
        }
        const double before_k = hour.air_temperature_c + 273.15;
        hour.air_temperature_c += winter->delta_k[at];
        hour.dew_point_c += winter->delta_k[at];
        const double ratio = (hour.air_temperature_c + 273.15) / before_k;
        hour.longwave_w_m2 *= ratio * ratio * ratio * ratio;
        break; // the winters of two years do not overlap
    }
    return hour;
}

int cb_run_weather_note_count(const cb_run_weather *run_weather)
{
    return run_weather->winters;
}

static void note_snap(const cbx_winter *winter, cb_unit_system system, char *buffer, size_t size)
{
    char snap[40];
    cb_units_format(CB_TEMPERATURE, system, winter->snap_c, 3, snap, sizeof snap);
    snprintf(buffer, size, ", cold snap to %s for %.3g day%s around %d %s", snap, winter->snap_days,
             winter->snap_days == 1 ? "" : "s", winter->snap_day,
             cbx_month_name(winter->snap_month));
}

void cb_run_weather_note(const cb_run_weather *run_weather, int index, cb_unit_system system,
                         char *buffer, size_t size)
{
    if (size == 0) {
        return;
    }
    buffer[0] = '\0';
    if (index < 0 || index >= run_weather->winters) {
        return;
    }
    const cbx_winter *winter = &run_weather->winter[index];
    char lowered[40], snap[120] = "";
    cb_units_format(CB_TEMPERATURE_DIFFERENCE, system, winter->lowered_k, 2, lowered,
                    sizeof lowered);
    if (winter->has_snap) {
        note_snap(winter, system, snap, sizeof snap);
    }
    snprintf(buffer, size, "Year %d: %s-%s lowered by %s (1 in %.4g years)%s%s", winter->run_year,
             cbx_month_name(winter->full_month), cbx_month_name(winter->last_full_month), lowered,
             winter->one_in_years, snap,
             winter->begun_before_run ? "; the run starts within this winter" : "");
}
