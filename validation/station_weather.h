// SPDX-License-Identifier: MIT
// Gap-free hourly weather of a station, by written rules (station_fill.h, station_day.h).
#ifndef VALIDATION_STATION_WEATHER_H
#define VALIDATION_STATION_WEATHER_H

#include "coilbed/weather.h"
#include "station.h"

// NaN: as the file has it.
typedef struct station_site_choice {
    double latitude_deg, elevation_m, wind_m_s;
} station_site_choice;

typedef struct station_weather {
    int days; // no fewer than 365: a shorter series is filled on to a year
    cb_weather_hour *hour;
    int days_filled; // days in which a measured quantity was filled
    cb_site site;    // local solar time
    bool latitude_estimated;
    const char *solar_from; // "measurement", "sunshine", "clouds", "air temperature"
} station_weather;

// True if there is enough air temperature to make a year of weather.
bool station_has_weather(const station *one);

// Errors: CB_BAD_INPUT if the file gives no latitude and it cannot be estimated, CB_NO_MEMORY.
cb_status station_weather_make(station_weather *out, const station *one,
                               const station_site_choice *choice, cb_error *error);
void station_weather_free(station_weather *weather);

// Latitude [degrees] by the upper envelope of solar or sunshine over the year: the latitude whose
// clear days have that shape. NaN if less than 300 days are known.
double station_latitude_by_solar(const double *mean_w_m2, int days, long first_day);
double station_latitude_by_sunshine(const double *sunshine_h, int days, long first_day);

#endif
