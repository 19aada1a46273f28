// SPDX-License-Identifier: MIT
/// What a run's weather holds: the typical year, its alignment, and one curve for each hard winter.
#ifndef WEATHER_RUN_WEATHER_H
#define WEATHER_RUN_WEATHER_H

#include "coilbed/weather.h"

/// November to March, or May to September south of the equator (the longer).
enum { CBX_WINTER_DAYS = 153, CBX_WINTER_HOURS = 24 * CBX_WINTER_DAYS };

typedef struct cbx_winter {
    long first_hour; ///< run hour of the first fading month's start; may be negative
    int fade_in_hours, full_hours, fade_out_hours;
    double delta_k[CBX_WINTER_HOURS]; ///< added to air and dew point, <= 0
    int run_year, full_month, last_full_month;
    double lowered_k, one_in_years;
    bool has_snap;
    double snap_c, snap_days;
    int snap_month, snap_day;
    bool begun_before_run;
} cbx_winter;

struct cb_run_weather {
    const cb_weather *weather;
    long start_hour; ///< of the typical year at run hour 0
    long run_hours;
    int winters;
    cbx_winter winter[CB_MAX_HARD_WINTERS];
};

/// Shapes design->weather.hard_winter[index] into the next free winter.
cb_status cbx_shape_winter(cb_run_weather *run, const cb_design *design, int index,
                           cb_error *error);

/// Run hour of the winter that belongs to a run year: its first fading month's start. A winter
/// belongs to the run year that holds its middle, 16 January (16 July in the south).
long cbx_winter_first_hour(long start_hour, int run_year, bool south);

#endif
