// SPDX-License-Identifier: MIT
#include "station_maker.h"

#include "station_day.h"
#include "station_text.h"
#include "weather/sky.h"

#include "coilbed/yard.h"

#include <math.h>
#include <stdlib.h>

static const double usual_elevation_m = 300.0; // moves little but the pressure of the air

bool station_has_weather(const station *one)
{
    const double *air = one->value[STATION_AIR_C];
    long count = 0;
    for (long n = 0; air && n < (long)one->days * one->per_day; n++) {
        count += isfinite(air[n]);
    }
    return count >= (long)STATION_LEAST_DAYS * one->per_day * 3 / 4;
}

// ---- filling ---------------------------------------------------------------------------------

// NOLINTNEXTLINE(readability-non-const-parameter): the rule writes to it
static bool fill_each_hour(station_maker *maker, double *value, bool (*rule)(const station_gaps *))
{
    for (int n = 0; n < maker->per_day; n++) {
        const station_gaps gaps = {.value = value + n,
                                   .days = maker->days,
                                   .stride = maker->per_day,
                                   .gap = maker->gap,
                                   .filled = maker->filled};
        if (!rule(&gaps)) {
            return false;
        }
    }
    return true;
}

bool station_maker_fill(station_maker *maker, double *value)
{
    return value && fill_each_hour(maker, value, station_fill);
}

bool station_maker_fill_rain(station_maker *maker, double *value)
{
    return value && fill_each_hour(maker, value, station_fill_rain);
}

// Some services leave dry days blank: so it is where more than three in ten of the days with air
// temperature have no rain written.
void station_blank_rain_is_none(station_maker *maker)
{
    double *rain = maker->series[STATION_RAIN_MM];
    const double *air = maker->series[STATION_AIR_C];
    const long count = (long)maker->days * maker->per_day;
    long blank = 0, days = 0;
    for (long n = 0; n < count && rain; n++) {
        days += isfinite(air[n]);
        blank += isfinite(air[n]) && !isfinite(rain[n]);
    }
    for (long n = 0; n < count && 10 * blank > 3 * days; n++) {
        rain[n] = isfinite(air[n]) && !isfinite(rain[n]) ? 0.0 : rain[n];
    }
}

void station_blank_snow_is_none(station_maker *maker)
{
    double *snow = maker->series[STATION_SNOW_DEPTH_M];
    for (long n = 0; n < (long)maker->days * maker->per_day && snow; n++) {
        snow[n] = isfinite(snow[n]) ? snow[n] : 0.0;
    }
}

void station_maker_share_solar(station_maker *maker)
{
    for (int day = 0; day < maker->days; day++) {
        double hours[STATION_DAY_HOURS];
        station_day_solar_w_m2(&maker->out->site, maker->day_of_year[day],
                               maker->solar_day_w_m2[day], hours);
        for (int n = 0; n < STATION_DAY_HOURS; n++) {
            maker->out->hour[(long)day * 24 + n].solar_w_m2 = hours[n];
        }
    }
}

// ---- longwave --------------------------------------------------------------------------------

// Clouds of a day: what is missing of the sun of a clear day (FAO-56 eq. 37); a day of little sun
// keeps the clouds of the day before. Straight lines from noon to noon.
static void set_longwave(station_maker *maker)
{
    const double least_w_m2 = 5.0;
    const cb_site *site = &maker->out->site;
    double *cloud = maker->solar_day_w_m2; // no longer needed
    for (int day = 0; day < maker->days; day++) {
        const double clear_w_m2 = cbx_clear_sky_share(site) *
                                  station_day_extraterrestrial_w_m2(site, maker->day_of_year[day]);
        if (clear_w_m2 > least_w_m2) {
            cloud[day] = fmin(1.0, fmax(0.0, 1.0 - cloud[day] / clear_w_m2));
        } else {
            cloud[day] = day > 0 ? cloud[day - 1] : 0.5;
        }
    }
    for (long n = 0; n < 24L * maker->days; n++) {
        const double noon = fmin(maker->days - 1.0, fmax(0.0, ((double)n + 0.5 - 12.0) / 24.0));
        const int before = (int)noon, after = before + 1 < maker->days ? before + 1 : before;
        cb_weather_hour *hour = &maker->out->hour[n];
        hour->longwave_w_m2 =
            cb_sky_longwave_w_m2(hour->air_temperature_c, hour->dew_point_c,
                                 cloud[before] + (noon - before) * (cloud[after] - cloud[before]));
    }
}

// ---- the place -------------------------------------------------------------------------------

static double mean_pressure_kpa(const station *one)
{
    const double *pressure = one->value[STATION_PRESSURE_KPA];
    double sum = 0.0;
    long count = 0;
    for (long n = 0; pressure && n < (long)one->days * one->per_day; n++) {
        if (isfinite(pressure[n])) {
            sum += pressure[n];
            count++;
        }
    }
    return count > 0 ? sum / (double)count : NAN;
}

// As chosen, as the file says, by the mean pressure (FAO-56 eq. 7 turned round), or usual.
static double elevation_of(const station *one, double chosen_m)
{
    if (isfinite(chosen_m)) {
        return chosen_m;
    }
    if (isfinite(one->elevation_m)) {
        return one->elevation_m;
    }
    const double pressure_kpa = mean_pressure_kpa(one);
    if (isfinite(pressure_kpa)) {
        return (293.0 - 293.0 * pow(pressure_kpa / 101.3, 1.0 / 5.26)) / 0.0065;
    }
    return usual_elevation_m;
}

static cb_status find_site(station_maker *maker, double latitude_deg, double elevation_m,
                           cb_error *error)
{
    const station *one = maker->one;
    latitude_deg = isfinite(latitude_deg) ? latitude_deg : one->latitude_deg;
    if (!isfinite(latitude_deg)) {
        maker->out->latitude_estimated = true;
        if (maker->series[STATION_SUNSHINE_H] && one->per_day == 1) {
            latitude_deg = station_latitude_by_sunshine(maker->series[STATION_SUNSHINE_H],
                                                        maker->days, one->first_day);
        }
        if (!isfinite(latitude_deg)) {
            latitude_deg =
                station_latitude_by_solar(maker->solar_day_w_m2, maker->days, one->first_day);
        }
    }
    if (!(fabs(latitude_deg) <= 90.0)) {
        return cb_fail_at(error, CB_BAD_INPUT, one->file, 1, 0,
                          "station %s: the file gives no latitude, and no year of solar or "
                          "sunshine to estimate it by; give --latitude",
                          one->name);
    }
    maker->out->site = station_site(latitude_deg, elevation_of(one, elevation_m));
    return CB_OK;
}

// ---- making ----------------------------------------------------------------------------------

static bool copy_series(station_maker *maker)
{
    const long count = (long)maker->days * maker->per_day;
    const long given = (long)maker->one->days * maker->per_day;
    for (int kind = 0; kind < STATION_KINDS; kind++) {
        const double *from = maker->one->value[kind];
        if (!from) {
            continue;
        }
        double *to = calloc((size_t)count, sizeof *to);
        maker->series[kind] = to;
        if (!to) {
            return false;
        }
        for (long n = 0; n < count; n++) {
            to[n] = n < given ? from[n] : NAN;
        }
    }
    return true;
}

static bool allocate(station_maker *maker)
{
    const size_t days = (size_t)maker->days;
    maker->solar_day_w_m2 = calloc(days, sizeof *maker->solar_day_w_m2);
    maker->day_of_year = calloc(days, sizeof *maker->day_of_year);
    maker->gap = calloc(days, sizeof *maker->gap);
    maker->filled = calloc(days, sizeof *maker->filled);
    maker->out->hour = calloc(24 * days, sizeof *maker->out->hour);
    return maker->solar_day_w_m2 && maker->day_of_year && maker->gap && maker->filled &&
           maker->out->hour && copy_series(maker);
}

static void release(station_maker *maker)
{
    for (int kind = 0; kind < STATION_KINDS; kind++) {
        free(maker->series[kind]);
    }
    free(maker->solar_day_w_m2);
    free(maker->day_of_year);
    free(maker->gap);
    free(maker->filled);
}

static cb_status make(station_maker *maker, const station_site_choice *choice, cb_error *error)
{
    const station *one = maker->one;
    for (int day = 0; day < maker->days; day++) {
        int year, month, day_of_month;
        station_calendar(one->first_day + day, &year, &month, &day_of_month,
                         &maker->day_of_year[day]);
        maker->solar_day_w_m2[day] = NAN;
    }
    if (maker->per_day == 24) {
        station_prepare_hourly_solar(maker);
    } else {
        for (int day = 0; day < maker->days && maker->series[STATION_SOLAR_W_M2]; day++) {
            maker->solar_day_w_m2[day] = maker->series[STATION_SOLAR_W_M2][day];
        }
    }
    cb_status status = find_site(maker, choice->latitude_deg, choice->elevation_m, error);
    if (status == CB_OK) {
        status = maker->per_day == 24 ? station_hours_of_hours(maker, error)
                                      : station_hours_of_days(maker, error);
    }
    if (status != CB_OK) {
        return status;
    }
    set_longwave(maker);
    for (int day = 0; day < maker->days; day++) {
        maker->out->days_filled += maker->filled[day];
    }
    for (long n = 0; n < 24L * maker->days && isfinite(choice->wind_m_s); n++) {
        maker->out->hour[n].wind_m_s = choice->wind_m_s;
    }
    return CB_OK;
}

cb_status station_weather_make(station_weather *out, const station *one,
                               const station_site_choice *choice, cb_error *error)
{
    const int days = one->days < CB_YEAR_DAYS ? CB_YEAR_DAYS : one->days;
    *out = (station_weather){.days = days, .solar_from = "measurement"};
    station_maker maker = {.one = one, .out = out, .days = days, .per_day = one->per_day};
    const cb_status status =
        allocate(&maker)
            ? make(&maker, choice, error)
            : cb_fail(error, CB_NO_MEMORY, "no memory for the weather of %s", one->name);
    release(&maker);
    if (status != CB_OK) {
        station_weather_free(out);
    }
    return status;
}

void station_weather_free(station_weather *weather)
{
    free(weather->hour);
    *weather = (station_weather){0};
}
