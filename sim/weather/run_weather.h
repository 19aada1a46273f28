// SPDX-License-Identifier: MIT
/// What a run's weather holds: the typical years, their alignment, and one curve for each hard
/// winter and hot summer.
#ifndef WEATHER_RUN_WEATHER_H
#define WEATHER_RUN_WEATHER_H

#include "coilbed/weather.h"

enum {
    CBX_SEASON_HOURS = 24 * 153, ///< May to September, the longer half; November to March has 151
    CBX_MAX_SEASONS = CB_MAX_HARD_WINTERS + CB_MAX_HOT_SUMMERS
};

/// How hard winters and hot summers differ: in sign, and in words.
typedef struct cbx_season_kind {
    double sign; ///< -1: lowers the air, +1: raises it
    const char *season, *hard_season; ///< "winter", "hard winter"
    const char *list;                 ///< key of the design
    const char *spell, *spell_key, *length_key;
    const char *fall_key, *fall; ///< what falls from the sky, in keys and in words
    const char *moved;           ///< "lowered"
    const char *too_weak, *goes; ///< of a spell that is none: "warmer", "falls"
} cbx_season_kind;

extern const cbx_season_kind cbx_hard_winter_kind, cbx_hot_summer_kind;

/// What the design asks of one season.
typedef struct cbx_season_request {
    const cbx_season_kind *kind;
    int index; ///< in its list of the design
    int year;
    double one_in_years, deviation_k;
    bool has_spell;
    double spell_c, spell_days;
    double fall_share; ///< of precipitation, 1 unchanged
} cbx_season_request;

/// One season, shaped: a month to fade in, full months, a month to fade out.
typedef struct cbx_season {
    cbx_season_request asked; ///< year is the run year, never -1
    double moved_k;           ///< in the full months, >= 0
    long first_hour;          ///< run hour of the first fading month's start; may be negative
    int fade_in_hours, full_hours, fade_out_hours;
    int full_month, last_full_month;
    double delta_k[CBX_SEASON_HOURS]; ///< added to the air
    int spell_month, spell_day;
} cbx_season;

struct cb_run_weather {
    const cb_weather *weather;
    long start_hour; ///< of the typical year at run hour 0
    long run_hours;
    bool has_precipitation; ///< or a snow depth, somewhere in the typical years
    int seasons;
    cbx_season season[CBX_MAX_SEASONS];
};

/// Shapes what is asked into the next free season.
cb_status cbx_shape_season(cb_run_weather *run, const cb_design *design,
                           const cbx_season_request *asked, cb_error *error);

/// Hours of a season, fading months included.
int cbx_season_hours(const cbx_season *season);

#endif
