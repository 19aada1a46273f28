// SPDX-License-Identifier: MIT
// The work of making a station's weather, shared by stations of days and of hours.
#ifndef VALIDATION_STATION_MAKER_H
#define VALIDATION_STATION_MAKER_H

#include "station_fill.h"
#include "station_weather.h"

#include <stdbool.h>

typedef struct station_maker {
    const station *one;
    station_weather *out;
    int days, per_day;
    double *series[STATION_KINDS]; // [days * per_day] own copies; NULL: not measured
    double *solar_day_w_m2;        // [days] means
    int *day_of_year;              // [days] 0..364
    bool *gap, *filled;            // [days]
} station_maker;

// Fills a series of the maker, hour by hour of the day where it has hours. False if too little was
// measured; the quantity then counts as not measured.
bool station_maker_fill(station_maker *maker, double *value);
bool station_maker_fill_rain(station_maker *maker, double *value);

// Blanks that mean "none": see the definitions.
void station_blank_rain_is_none(station_maker *maker);
void station_blank_snow_is_none(station_maker *maker);

// Solar of every hour by the day's means.
void station_maker_share_solar(station_maker *maker);

// Fill out->hour, apart from longwave, and solar_day_w_m2. Errors: CB_NO_MEMORY, CB_BAD_INPUT.
cb_status station_hours_of_days(station_maker *maker, cb_error *error);
cb_status station_hours_of_hours(station_maker *maker, cb_error *error);

// Cleans the hourly solar and sets solar_day_w_m2: NaN where a day has not all its hours.
void station_prepare_hourly_solar(station_maker *maker);

#endif
