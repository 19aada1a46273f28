// SPDX-License-Identifier: MIT
#include "station_day.h"
#include "station_maker.h"

#include "weather/sky.h"

#include <math.h>
#include <stdlib.h>

enum { SHORT_GAP_HOURS = 3 };

static long hours_of(const station_maker *maker)
{
    return 24L * maker->days;
}

// Gaps of a few hours by a straight line; such a day does not count as filled.
static void bridge(const station_maker *maker, double *value)
{
    long last = -1;
    for (long n = 0; n < hours_of(maker); n++) {
        if (!isfinite(value[n])) {
            continue;
        }
        for (long gap = last + 1; last >= 0 && n - last - 1 <= SHORT_GAP_HOURS && gap < n; gap++) {
            value[gap] =
                value[last] + (value[n] - value[last]) * (double)(gap - last) / (double)(n - last);
        }
        last = n;
    }
}

static bool fill(station_maker *maker, double *value)
{
    if (value) {
        bridge(maker, value);
    }
    return station_maker_fill(maker, value);
}

// A column in which less than one value in ten is zero leaves the nights blank: blank is then no
// sun, in the hours with air temperature of the days that have some sun.
static void darken_nights(station_maker *maker, double *solar)
{
    const double *air = maker->series[STATION_AIR_C];
    long known = 0, zeros = 0;
    for (long n = 0; n < hours_of(maker); n++) {
        known += isfinite(solar[n]);
        zeros += fabs(solar[n]) < 1e-9;
    }
    if (10 * zeros >= known) {
        return;
    }
    for (int day = 0; day < maker->days; day++) {
        bool sun = false;
        for (int n = 0; n < 24; n++) {
            sun = sun || solar[24L * day + n] > 0.0;
        }
        for (int n = 0; n < 24 && sun; n++) {
            const long hour = 24L * day + n;
            solar[hour] = isfinite(solar[hour]) || !isfinite(air[hour]) ? solar[hour] : 0.0;
        }
    }
}

static void mean_days(station_maker *maker, const double *hourly)
{
    for (int day = 0; day < maker->days; day++) {
        double sum = 0.0;
        for (int n = 0; n < 24; n++) {
            sum += hourly[24L * day + n];
        }
        maker->solar_day_w_m2[day] = sum / 24.0;
    }
}

void station_prepare_hourly_solar(station_maker *maker)
{
    double *solar = maker->series[STATION_SOLAR_W_M2];
    if (!solar) {
        return;
    }
    darken_nights(maker, solar);
    for (long n = 0; n < hours_of(maker); n++) {
        solar[n] = solar[n] < 0.0 ? 0.0 : solar[n];
    }
    bridge(maker, solar);
    mean_days(maker, solar);
}

static void day_range(const double *air, double *low_c, double *high_c)
{
    *low_c = INFINITY;
    *high_c = -INFINITY;
    for (int n = 0; n < 24; n++) {
        *low_c = fmin(*low_c, air[n]);
        *high_c = fmax(*high_c, air[n]);
    }
}

static void set_solar(station_maker *maker)
{
    double *solar = maker->series[STATION_SOLAR_W_M2];
    if (fill(maker, solar)) {
        for (long n = 0; n < hours_of(maker); n++) {
            solar[n] = fmax(0.0, solar[n]);
            maker->out->hour[n].solar_w_m2 = solar[n];
        }
        mean_days(maker, solar);
        return;
    }
    maker->out->solar_from = "air temperature";
    for (int day = 0; day < maker->days; day++) {
        double low_c, high_c;
        day_range(maker->series[STATION_AIR_C] + 24L * day, &low_c, &high_c);
        maker->solar_day_w_m2[day] =
            station_hargreaves_w_m2(&maker->out->site, maker->day_of_year[day], low_c, high_c);
    }
    station_maker_share_solar(maker);
}

static double dew_depression_k(const station_maker *maker, long hour)
{
    const double air_c = maker->series[STATION_AIR_C][hour];
    const double *dew = maker->series[STATION_DEW_POINT_C];
    const double *humidity = maker->series[STATION_HUMIDITY];
    if (dew && isfinite(dew[hour])) {
        return air_c - dew[hour];
    }
    return humidity && humidity[hour] > 0.0
               ? air_c - cbx_dew_point_c(air_c, fmin(100.0, fmax(1.0, humidity[hour])) / 100.0)
               : NAN;
}

// By the day's lowest air temperature where humidity was never measured (FAO-56, chapter 3).
static void set_dew(station_maker *maker, double *depression)
{
    const double *air = maker->series[STATION_AIR_C];
    for (long n = 0; n < hours_of(maker); n++) {
        depression[n] = dew_depression_k(maker, n);
    }
    const bool measured = fill(maker, depression);
    for (long n = 0; n < hours_of(maker); n++) {
        double low_c, high_c;
        day_range(air + n / 24 * 24, &low_c, &high_c);
        maker->out->hour[n].dew_point_c = measured ? air[n] - fmax(0.0, depression[n]) : low_c;
    }
}

cb_status station_hours_of_hours(station_maker *maker, cb_error *error)
{
    double *depression = calloc((size_t)hours_of(maker), sizeof *depression);
    if (!depression) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the weather of %s", maker->one->name);
    }
    station_blank_rain_is_none(maker);
    station_blank_snow_is_none(maker);
    double *air = maker->series[STATION_AIR_C];
    if (!fill(maker, air)) {
        free(depression);
        return cb_fail_at(error, CB_BAD_INPUT, maker->one->file, 0, 0,
                          "station %s has less than %d days of air temperature for an hour of the "
                          "day",
                          maker->one->name, STATION_LEAST_DAYS);
    }
    const double *wind = maker->series[STATION_WIND_M_S], *rain = maker->series[STATION_RAIN_MM];
    const double *snow = maker->series[STATION_SNOW_DEPTH_M];
    wind = fill(maker, maker->series[STATION_WIND_M_S]) ? wind : NULL;
    rain = station_maker_fill_rain(maker, maker->series[STATION_RAIN_MM]) ? rain : NULL;
    for (long n = 0; n < hours_of(maker); n++) {
        maker->out->hour[n] = (cb_weather_hour){
            .air_temperature_c = air[n],
            .wind_m_s = wind ? wind[n] : station_usual_wind_m_s(),
            .precipitation_kg_m2 = rain ? rain[n] : NAN,
            .snow_depth_m = snow ? snow[n] : NAN,
        };
    }
    set_dew(maker, depression);
    set_solar(maker);
    free(depression);
    return CB_OK;
}
