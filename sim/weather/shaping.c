// SPDX-License-Identifier: MIT
#include "weather/random.h"
#include "weather/run_weather.h"
#include "weather/source.h"

#include <math.h>
#include <stdio.h>

static const double pi = 3.14159265358979323846;
static const double longest_spell_days = 30;
static const double most_fall_share = 3;

const cbx_season_kind cbx_hard_winter_kind = {
    .sign = -1,
    .season = "winter",
    .hard_season = "hard winter",
    .list = "weather.hard_winters",
    .spell = "cold snap",
    .spell_key = "cold_snap",
    .length_key = "snap_length",
    .fall_key = "snow",
    .fall = "rain and snow",
    .moved = "lowered",
    .too_weak = "warmer",
    .goes = "falls",
};

const cbx_season_kind cbx_hot_summer_kind = {
    .sign = 1,
    .season = "summer",
    .hard_season = "hot summer",
    .list = "weather.hot_summers",
    .spell = "heat wave",
    .spell_key = "heat_wave",
    .length_key = "wave_length",
    .fall_key = "rain",
    .fall = "rain",
    .moved = "raised",
    .too_weak = "cooler",
    .goes = "rises",
};

int cbx_season_hours(const cbx_season *season)
{
    return season->fade_in_hours + season->full_hours + season->fade_out_hours;
}

// ---- the months of full departure and the fading ones ----------------------------------------

// The run hour at which the season of a run year begins to fade in. A season belongs to the run
// year that holds its middle, 16 January or 16 July.
static long first_hour(long start_hour, int run_year, bool about_january)
{
    enum { MIDDLE_JANUARY = 15, MIDDLE_JULY = 196 };
    const long middle = 24L * (about_january ? MIDDLE_JANUARY : MIDDLE_JULY);
    const long into_year = (middle - start_hour + CB_YEAR_HOURS) % CB_YEAR_HOURS;
    // 1 November to 16 January; 1 May to 16 July is as long.
    const long before_middle = 24L * (30 + 31 + 15);
    return (long)(run_year - 1) * CB_YEAR_HOURS + into_year - before_middle;
}

static void set_months(cbx_season *season, long start_hour, bool about_january)
{
    season->full_month = about_january ? 12 : 6;
    season->last_full_month = about_january ? 2 : 8;
    season->fade_in_hours = 24 * (about_january ? 30 : 31);
    season->full_hours = 24 * (about_january ? 90 : 92);
    season->fade_out_hours = 24 * (about_january ? 31 : 30);
    season->first_hour = first_hour(start_hour, season->asked.year, about_january);
}

static void move_air(cbx_season *season)
{
    const int in = season->fade_in_hours, full = season->full_hours, out = season->fade_out_hours;
    for (int i = 0; i < in + full + out; i++) {
        double share = 1.0;
        if (i < in) {
            share = (i + 0.5) / in;
        } else if (i >= in + full) {
            share = 1.0 - (i - in - full + 0.5) / out;
        }
        season->delta_k[i] = season->asked.kind->sign * season->moved_k * share;
    }
}

// ---- the spell: cold snap or heat wave -------------------------------------------------------

static bool in_run(const cb_run_weather *run, long run_hour)
{
    return run_hour >= 0 && run_hour < run->run_hours;
}

static double shaped_air_c(const cb_run_weather *run, const cbx_season *season, int i)
{
    return cb_typical_weather_at(run, season->first_hour + i).air_temperature_c +
           season->delta_k[i];
}

// The coldest hour of the shaped winter, the hottest of the shaped summer.
static double extreme_air_c(const cb_run_weather *run, const cbx_season *season)
{
    const double sign = season->asked.kind->sign;
    double extreme = -INFINITY;
    for (int i = 0; i < cbx_season_hours(season); i++) {
        if (in_run(run, season->first_hour + i)) {
            extreme = fmax(extreme, sign * shaped_air_c(run, season, i));
        }
    }
    return sign * extreme;
}

// First hour (within the season) of the coldest or hottest day of the full months that lies in the
// run; -1 if none does.
static int extreme_day(const cb_run_weather *run, const cbx_season *season)
{
    int found = -1;
    double extreme = -INFINITY;
    const int begin = season->fade_in_hours, end = begin + season->full_hours;
    for (int day = begin; day < end; day += 24) {
        if (!in_run(run, season->first_hour + day)) {
            continue;
        }
        double sum = 0;
        for (int i = day; i < day + 24; i++) {
            sum += season->asked.kind->sign * shaped_air_c(run, season, i);
        }
        if (sum > extreme) {
            extreme = sum;
            found = day;
        }
    }
    return found;
}

// Raised cosine of length spell_days about the middle of the season's hour `centre`.
static double spell_share(const cbx_season *season, int centre, int i)
{
    const double length_h = 24.0 * season->asked.spell_days;
    const double from_centre = i + 0.5 - centre;
    return fabs(from_centre) < length_h / 2.0 ? 0.5 + 0.5 * cos(2.0 * pi * from_centre / length_h)
                                              : 0.0;
}

// The height that brings the extreme hour to exactly the spell's temperature: no hour may go past
// it, and the one that gets there first decides.
static double spell_height_k(const cb_run_weather *run, const cbx_season *season, int centre)
{
    const cbx_season_request *asked = &season->asked;
    double height = INFINITY;
    for (int i = 0; i < cbx_season_hours(season); i++) {
        const double share = spell_share(season, centre, i);
        if (share > 0 && in_run(run, season->first_hour + i)) {
            const double room = asked->kind->sign * (asked->spell_c - shaped_air_c(run, season, i));
            height = fmin(height, room / share);
        }
    }
    return height;
}

static cb_status add_spell(const cb_run_weather *run, cbx_season *season, const cb_design *design,
                           const char *key, cb_error *error)
{
    const cbx_season_request *asked = &season->asked;
    const cbx_season_kind *kind = asked->kind;
    const int day = extreme_day(run, season);
    if (day < 0) {
        return cb_design_fail(design, key, error,
                              "no day of the full months of the %s of run year %d lies in the run",
                              kind->hard_season, asked->year);
    }
    const double extreme_c = extreme_air_c(run, season);
    if (kind->sign * (asked->spell_c - extreme_c) < 0) {
        char path[96];
        snprintf(path, sizeof path, "%s.%s", key, kind->spell_key);
        return cb_design_fail(design, path, error,
                              "the %s to %.4g degC is %s than the %s of run year %d already is, "
                              "which %s to %.4g degC",
                              kind->spell, asked->spell_c, kind->too_weak, kind->season,
                              asked->year, kind->goes, extreme_c);
    }
    const int centre = day + 12;
    const double height_k = spell_height_k(run, season, centre);
    for (int i = 0; i < cbx_season_hours(season); i++) {
        season->delta_k[i] += kind->sign * height_k * spell_share(season, centre, i);
    }
    const cb_moment moment = cb_run_moment(&design->run, season->first_hour + day);
    season->spell_month = moment.month;
    season->spell_day = moment.day;
    return CB_OK;
}

// ---- checks ----------------------------------------------------------------------------------

static cb_status check_year(const cb_run_weather *run, const cb_design *design,
                            const cbx_season_request *asked, const char *key, cb_error *error)
{
    char path[96];
    snprintf(path, sizeof path, "%s.year", key);
    const int year = asked->year == -1 ? design->run.years : asked->year;
    if (year < 1 || year > design->run.years) {
        return cb_design_fail(design, path, error,
                              "a %s in run year %d; expected 1 to %d, or -1 for the last",
                              asked->kind->hard_season, asked->year, design->run.years);
    }
    for (int i = 0; i < run->seasons; i++) {
        if (run->season[i].asked.kind == asked->kind && run->season[i].asked.year == year) {
            return cb_design_fail(design, path, error, "run year %d already has a %s", year,
                                  asked->kind->hard_season);
        }
    }
    return CB_OK;
}

typedef struct limit {
    const char *key, *what, *unit;
    double value, low, high;
} limit;

static cb_status check_request(const cb_design *design, const cbx_season_request *asked,
                               const char *key, cb_error *error)
{
    const cbx_season_kind *kind = asked->kind;
    const limit limits[] = {
        {"one_in", "return period", "years", asked->one_in_years, 2, 10000},
        {kind->fall_key, "precipitation share", "of the usual", asked->fall_share, 0,
         most_fall_share},
        {kind->length_key, "length", "days", asked->spell_days, 1, longest_spell_days},
        {kind->spell_key, "extreme", "degC", asked->spell_c, CBX_AIR_LOW_C, CBX_AIR_HIGH_C},
    };
    const size_t count = asked->has_spell ? 4 : 2;
    for (size_t i = 0; i < count; i++) {
        const limit *l = &limits[i];
        if (!(l->value >= l->low && l->value <= l->high)) {
            char path[96];
            snprintf(path, sizeof path, "%s.%s", key, l->key);
            return cb_design_fail(design, path, error,
                                  "the %s of a %s is %.6g %s; expected %.6g to %.6g %s", l->what,
                                  i < 2 ? kind->hard_season : kind->spell, l->value, l->unit,
                                  l->low, l->high, l->unit);
        }
    }
    return CB_OK;
}

cb_status cbx_shape_season(cb_run_weather *run, const cb_design *design,
                           const cbx_season_request *asked, cb_error *error)
{
    char key[64];
    snprintf(key, sizeof key, "%s[%d]", asked->kind->list, asked->index);
    cb_status status = check_year(run, design, asked, key, error);
    if (status == CB_OK) {
        status = check_request(design, asked, key, error);
    }
    if (status != CB_OK) {
        return status;
    }
    cbx_season *season = &run->season[run->seasons];
    *season = (cbx_season){.asked = *asked};
    season->asked.year = asked->year == -1 ? design->run.years : asked->year;
    season->moved_k = cbx_inverse_normal(1.0 - 1.0 / asked->one_in_years) * asked->deviation_k;
    const bool hot = asked->kind->sign > 0, south = design->site.latitude_deg < 0;
    set_months(season, run->start_hour, hot == south);
    move_air(season);
    if (asked->has_spell) {
        status = add_spell(run, season, design, key, error);
    }
    if (status == CB_OK) {
        run->seasons++;
    }
    return status;
}
