// SPDX-License-Identifier: MIT
#include "station_day.h"
#include "station_maker.h"

#include "coilbed/yard.h"

#include <math.h>
#include <stdlib.h>

static const double usual_half_range_k = 5.0; // where neither lowest nor highest was measured

static cb_status too_little(const station_maker *maker, cb_error *error)
{
    return cb_fail_at(error, CB_BAD_INPUT, maker->one->file, 0, 0,
                      "station %s has less than %d days of air temperature", maker->one->name,
                      STATION_LEAST_DAYS);
}

// Mean air; how far the lowest lies below and the highest above it replaces those two.
static bool fill_air(station_maker *maker)
{
    double *mean = maker->series[STATION_AIR_C];
    double *low = maker->series[STATION_LOW_C], *high = maker->series[STATION_HIGH_C];
    for (int day = 0; day < maker->days && low && high; day++) {
        mean[day] = isfinite(mean[day]) ? mean[day] : 0.5 * (low[day] + high[day]);
    }
    for (int day = 0; day < maker->days; day++) {
        if (low) {
            low[day] = mean[day] - low[day];
        }
        if (high) {
            high[day] -= mean[day];
        }
    }
    if (!station_maker_fill(maker, mean)) {
        return false;
    }
    const bool both = station_maker_fill(maker, low) && station_maker_fill(maker, high);
    for (int day = 0; day < maker->days && low && high; day++) {
        low[day] = mean[day] - (both ? fmax(0.0, low[day]) : usual_half_range_k);
        high[day] = mean[day] + (both ? fmax(0.0, high[day]) : usual_half_range_k);
    }
    return true;
}

static double low_c(const station_maker *maker, int day)
{
    const double *low = maker->series[STATION_LOW_C], *high = maker->series[STATION_HIGH_C];
    return low && high ? low[day] : maker->series[STATION_AIR_C][day] - usual_half_range_k;
}

static double high_c(const station_maker *maker, int day)
{
    const double *low = maker->series[STATION_LOW_C], *high = maker->series[STATION_HIGH_C];
    return low && high ? high[day] : maker->series[STATION_AIR_C][day] + usual_half_range_k;
}

// How far the dew point lies below the air's mean; NaN where neither it nor humidity was measured.
static double dew_depression_k(const station_maker *maker, int day)
{
    const double *dew = maker->series[STATION_DEW_POINT_C];
    const double *humidity = maker->series[STATION_HUMIDITY];
    const double mean_c = maker->series[STATION_AIR_C][day];
    if (dew && isfinite(dew[day])) {
        return mean_c - dew[day];
    }
    return humidity && humidity[day] > 0.0
               ? mean_c - station_dew_point_c(low_c(maker, day), high_c(maker, day), humidity[day])
               : NAN;
}

// The dew point of each day into dew [days]; its lowest temperature where none was ever measured
// (FAO-56, chapter 3).
static void set_dew(station_maker *maker, double *dew)
{
    for (int day = 0; day < maker->days; day++) {
        dew[day] = dew_depression_k(maker, day);
    }
    const bool measured = station_maker_fill(maker, dew);
    for (int day = 0; day < maker->days; day++) {
        dew[day] =
            measured ? maker->series[STATION_AIR_C][day] - fmax(0.0, dew[day]) : low_c(maker, day);
    }
}

// A day's solar by what was measured of its sunshine or clouds; NaN if nothing was.
static double solar_by_sky_w_m2(station_maker *maker, int day)
{
    const cb_site *site = &maker->out->site;
    const int of_year = maker->day_of_year[day];
    const double *sunshine = maker->series[STATION_SUNSHINE_H];
    const double *cloud = maker->series[STATION_CLOUD];
    const double daylight_h = cb_daylight_h(site->latitude_deg, of_year);
    if (sunshine && isfinite(sunshine[day]) && daylight_h > 0.0) {
        maker->out->solar_from = "sunshine";
        return station_angstrom_w_m2(site, of_year, sunshine[day] / daylight_h);
    }
    if (cloud && isfinite(cloud[day])) {
        maker->out->solar_from = "clouds";
        return station_angstrom_w_m2(site, of_year, 1.0 - cloud[day]);
    }
    return NAN;
}

// Old pyranometers may read far too low. Where the sums of measured solar and of that by sunshine,
// over the days with both, differ by more than a sixth, the sunshine is believed.
static void drop_doubtful_solar(station_maker *maker)
{
    enum { LEAST_DAYS = 30 };
    const double most_apart = 1.0 / 6.0;
    double *solar = maker->solar_day_w_m2, measured = 0.0, by_sunshine = 0.0;
    int days = 0;
    for (int day = 0; day < maker->days && maker->series[STATION_SUNSHINE_H]; day++) {
        if (isfinite(solar[day]) && isfinite(maker->series[STATION_SUNSHINE_H][day])) {
            measured += solar[day];
            by_sunshine += solar_by_sky_w_m2(maker, day);
            days++;
        }
    }
    if (days >= LEAST_DAYS && fabs(measured - by_sunshine) > most_apart * by_sunshine) {
        for (int day = 0; day < maker->days; day++) {
            solar[day] = NAN;
        }
    }
}

// Gaps are filled in the share of the extraterrestrial radiation.
static void set_solar(station_maker *maker)
{
    const double dark_w_m2 = 3.0;
    double *solar = maker->solar_day_w_m2;
    drop_doubtful_solar(maker);
    maker->out->solar_from = "measurement";
    for (int day = 0; day < maker->days; day++) {
        const double above_w_m2 =
            station_day_extraterrestrial_w_m2(&maker->out->site, maker->day_of_year[day]);
        const double known = isfinite(solar[day]) ? solar[day] : solar_by_sky_w_m2(maker, day);
        solar[day] = above_w_m2 > dark_w_m2 ? known / above_w_m2 : 0.5;
    }
    const bool measured = station_maker_fill(maker, solar);
    for (int day = 0; day < maker->days; day++) {
        const int of_year = maker->day_of_year[day];
        const double share = fmin(0.85, fmax(0.02, solar[day]));
        solar[day] = measured
                         ? share * station_day_extraterrestrial_w_m2(&maker->out->site, of_year)
                         : station_hargreaves_w_m2(&maker->out->site, of_year, low_c(maker, day),
                                                   high_c(maker, day));
    }
    if (!measured) {
        maker->out->solar_from = "air temperature";
    }
}

static void set_hours_of_day(station_maker *maker, int day, double dew_c)
{
    const int before = day > 0 ? day - 1 : 0, after = day + 1 < maker->days ? day + 1 : day;
    const station_day_air air = {.low_c = low_c(maker, day),
                                 .mean_c = maker->series[STATION_AIR_C][day],
                                 .high_c = high_c(maker, day),
                                 .high_before_c = high_c(maker, before),
                                 .low_after_c = low_c(maker, after)};
    double hour_c[STATION_DAY_HOURS];
    station_day_air_c(&maker->out->site, maker->day_of_year[day], &air, hour_c);
    const double *wind = maker->series[STATION_WIND_M_S], *rain = maker->series[STATION_RAIN_MM];
    const double *snow = maker->series[STATION_SNOW_DEPTH_M];
    for (int n = 0; n < STATION_DAY_HOURS; n++) {
        const int other = n < 12 ? before : after; // snow: from noon to noon
        const double part = fabs(n + 0.5 - 12.0) / 24.0;
        maker->out->hour[(long)day * 24 + n] = (cb_weather_hour){
            .air_temperature_c = hour_c[n],
            .dew_point_c = fmin(dew_c, hour_c[n]),
            .wind_m_s = wind ? wind[day] : station_usual_wind_m_s(),
            .precipitation_kg_m2 = rain ? rain[day] / STATION_DAY_HOURS : NAN,
            .snow_depth_m = snow ? snow[day] + part * (snow[other] - snow[day]) : NAN,
        };
    }
}

static void forget(station_maker *maker, station_kind kind)
{
    free(maker->series[kind]);
    maker->series[kind] = NULL;
}

cb_status station_hours_of_days(station_maker *maker, cb_error *error)
{
    double *dew = calloc((size_t)maker->days, sizeof *dew);
    if (!dew) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the weather of %s", maker->one->name);
    }
    station_blank_rain_is_none(maker);
    station_blank_snow_is_none(maker);
    if (!fill_air(maker)) {
        free(dew);
        return too_little(maker, error);
    }
    set_dew(maker, dew);
    set_solar(maker);
    if (!station_maker_fill(maker, maker->series[STATION_WIND_M_S])) {
        forget(maker, STATION_WIND_M_S);
    }
    if (!station_maker_fill_rain(maker, maker->series[STATION_RAIN_MM])) {
        forget(maker, STATION_RAIN_MM);
    }
    for (int day = 0; day < maker->days; day++) {
        set_hours_of_day(maker, day, dew[day]);
    }
    station_maker_share_solar(maker);
    free(dew);
    return CB_OK;
}
