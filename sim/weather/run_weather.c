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
    return CB_OK;
}

static cbx_season_request winter_request(const cb_design_weather *given, int index)
{
    const cb_hard_winter *winter = &given->hard_winter[index];
    return (cbx_season_request){
        .kind = &cbx_hard_winter_kind,
        .index = index,
        .year = winter->year,
        .one_in_years = winter->one_in_years,
        .deviation_k = given->winter_deviation_k,
        .has_spell = winter->has_cold_snap,
        .spell_c = winter->cold_snap_c,
        .spell_days = winter->snap_days,
        .fall_share = winter->snow_share,
    };
}

static cbx_season_request summer_request(const cb_design_weather *given, int index)
{
    const cb_hot_summer *summer = &given->hot_summer[index];
    return (cbx_season_request){
        .kind = &cbx_hot_summer_kind,
        .index = index,
        .year = summer->year,
        .one_in_years = summer->one_in_years,
        .deviation_k = given->summer_deviation_k,
        .has_spell = summer->has_heat_wave,
        .spell_c = summer->heat_wave_c,
        .spell_days = summer->wave_days,
        .fall_share = summer->rain_share,
    };
}

typedef struct season_list {
    const cbx_season_kind *kind;
    int count, most;
    double deviation_k;
    cbx_season_request (*request)(const cb_design_weather *given, int index);
} season_list;

static cb_status shape_list(cb_run_weather *run, const cb_design *design, const season_list *list,
                            cb_error *error)
{
    const cbx_season_kind *kind = list->kind;
    if (list->count < 0 || list->count > list->most) {
        return cb_design_fail(design, kind->list, error, "%d %ss; expected 0 to %d", list->count,
                              kind->hard_season, list->most);
    }
    if (list->count > 0 && !(list->deviation_k >= 0 && list->deviation_k <= 10)) {
        char path[64];
        snprintf(path, sizeof path, "weather.%s_deviation", kind->season);
        return cb_design_fail(design, path, error,
                              "a deviation between %ss of %.6g K; expected 0 to 10 K", kind->season,
                              list->deviation_k);
    }
    cb_status status = CB_OK;
    for (int i = 0; i < list->count && status == CB_OK; i++) {
        const cbx_season_request asked = list->request(&design->weather, i);
        status = cbx_shape_season(run, design, &asked, error);
    }
    return status;
}

static cb_status shape_seasons(cb_run_weather *run, const cb_design *design, cb_error *error)
{
    const cb_design_weather *given = &design->weather;
    const season_list list[] = {
        {&cbx_hard_winter_kind, given->hard_winter_count, CB_MAX_HARD_WINTERS,
         given->winter_deviation_k, winter_request},
        {&cbx_hot_summer_kind, given->hot_summer_count, CB_MAX_HOT_SUMMERS,
         given->summer_deviation_k, summer_request},
    };
    const cb_status status = shape_list(run, design, &list[0], error);
    return status == CB_OK ? shape_list(run, design, &list[1], error) : status;
}

static bool any_precipitation(const cb_weather *weather)
{
    bool any = false;
    for (long i = 0; !any && i < (long)weather->years * CB_YEAR_HOURS; i++) {
        any = !isnan(weather->hour[i].precipitation_kg_m2) || !isnan(weather->hour[i].snow_depth_m);
    }
    return any;
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
    run->has_precipitation = any_precipitation(weather);
    status = shape_seasons(run, design, error);
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

static void shape_hour(cb_weather_hour *hour, const cbx_season *season, long at)
{
    const double before_k = hour->air_temperature_c + 273.15;
    hour->air_temperature_c += season->delta_k[at];
    if (season->asked.kind->sign < 0) {
        hour->dew_point_c += season->delta_k[at];
        hour->snow_depth_m *= season->asked.fall_share;
    } else {
        hour->dew_point_c = fmin(hour->dew_point_c, hour->air_temperature_c);
    }
    hour->precipitation_kg_m2 *= season->asked.fall_share;
    const double ratio = (hour->air_temperature_c + 273.15) / before_k;
    hour->longwave_w_m2 *= ratio * ratio * ratio * ratio;
}

cb_weather_hour cb_run_weather_at(const cb_run_weather *run_weather, long run_hour)
{
    cb_weather_hour hour = cb_typical_weather_at(run_weather, run_hour);
    if (run_hour < 0 || run_hour >= run_weather->run_hours) {
        return hour;
    }
    for (int i = 0; i < run_weather->seasons; i++) {
        const cbx_season *season = &run_weather->season[i];
        const long at = run_hour - season->first_hour;
        if (at >= 0 && at < cbx_season_hours(season)) {
            shape_hour(&hour, season, at);
            break; // November to March, May to September: no two seasons overlap
        }
    }
    return hour;
}

int cb_run_weather_note_count(const cb_run_weather *run_weather)
{
    return run_weather->seasons;
}

static void note_spell(const cbx_season *season, cb_unit_system system, char *buffer, size_t size)
{
    const cbx_season_request *asked = &season->asked;
    char extreme[40];
    cb_units_format(CB_TEMPERATURE, system, asked->spell_c, 3, extreme, sizeof extreme);
    snprintf(buffer, size, ", %s to %s for %.3g day%s around %d %s", asked->kind->spell, extreme,
             asked->spell_days, asked->spell_days == 1 ? "" : "s", season->spell_day,
             cbx_month_name(season->spell_month));
}

static void note_fall(const cb_run_weather *run, const cbx_season *season, char *buffer,
                      size_t size)
{
    const cbx_season_request *asked = &season->asked;
    if (!run->has_precipitation) {
        snprintf(buffer, size, ", %s unknown and so unchanged", asked->kind->fall);
    } else if (asked->fall_share > 0) {
        snprintf(buffer, size, ", %.3g %% of the usual %s", 100.0 * asked->fall_share,
                 asked->kind->fall);
    } else {
        snprintf(buffer, size, ", no %s", asked->kind->fall);
    }
}

void cb_run_weather_note(const cb_run_weather *run_weather, int index, cb_unit_system system,
                         char *buffer, size_t size)
{
    if (size == 0) {
        return;
    }
    buffer[0] = '\0';
    if (index < 0 || index >= run_weather->seasons) {
        return;
    }
    const cbx_season *season = &run_weather->season[index];
    const cbx_season_kind *kind = season->asked.kind;
    char moved[40], spell[120] = "", fall[80] = "", begun[60] = "";
    cb_units_format(CB_TEMPERATURE_DIFFERENCE, system, season->moved_k, 2, moved, sizeof moved);
    if (season->asked.has_spell) {
        note_spell(season, system, spell, sizeof spell);
    }
    if (season->asked.fall_share != 1) {
        note_fall(run_weather, season, fall, sizeof fall);
    }
    if (season->first_hour + season->fade_in_hours < 0) {
        snprintf(begun, sizeof begun, "; the run starts within this %s", kind->season);
    }
    snprintf(buffer, size, "Year %d: %s-%s %s by %s (1 in %.4g years)%s%s%s", season->asked.year,
             cbx_month_name(season->full_month), cbx_month_name(season->last_full_month),
             kind->moved, moved, season->asked.one_in_years, spell, fall, begun);
}
