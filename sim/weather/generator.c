// SPDX-License-Identifier: MIT
/// A typical year from monthly normals. The means of temperature, dew point, wind and solar and the
/// precipitation of every generated month are the normals; departures come from the seed alone.
/// Sums and elementary functions differ in the last bits between processors and C libraries, so the
/// same seed gives the same bits on one machine and the same weather to rounding elsewhere.
#include "weather/generator.h"
#include "weather/calendar.h"
#include "weather/sky.h"
#include "weather/smooth.h"
#include "weather/source.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

// From the same three TMY3 years as in generator_days.c: coldest at 5 to 6 h, warmest at 15 h; the
// range of a day over its month's mean is about 0.62 + 0.38 times its clearness over the month's
// (slopes 0.34, 0.16, 0.64); dew point follows the temperature of the day by 0.97, 0.97, 1.21;
// wind from hour to hour 0.88, 0.77, 0.91, and 1.15 to 1.27 of its mean in the early afternoon.
static const double coldest_h = 5.5, warmest_h = 15.0;
static const double range_of_dull_day = 0.62;
static const double wind_memory = 0.87, wind_day_swing = 0.17, windiest_h = 14.5;

static const double least_depression_k = 0.1; // even fog is this far from saturation here

static const double pi = 3.14159265358979323846;

typedef struct generator {
    const cb_design *design;
    cbx_days days;
    double air_c[CB_YEAR_HOURS], dew_c[CB_YEAR_HOURS], wind_m_s[CB_YEAR_HOURS];
    double precipitation_kg_m2[CB_YEAR_HOURS];
    double work[CB_YEAR_HOURS], noise[CB_YEAR_HOURS];
} generator;

typedef struct limit {
    const char *key, *what, *unit;
    const double *month;
    double low, high;
} limit;

// Every month or none.
static cb_status check_precipitation(const cb_design *design, cb_error *error)
{
    // The wettest months on record had 9 m (from memory); a mean month has less than half of that.
    const double most_kg_m2 = 4000;
    const double *month = design->weather.normals.precipitation_kg_m2;
    int unsaid = 0;
    for (int m = 0; m < CB_MONTHS; m++) {
        unsaid += isnan(month[m]) ? 1 : 0;
    }
    for (int m = 0; m < CB_MONTHS && unsaid < CB_MONTHS; m++) {
        if (!(month[m] >= 0 && month[m] <= most_kg_m2)) {
            return cb_design_fail(
                design, "weather.normals.precipitation", error,
                "precipitation of %s is %.6g mm; expected 0 to %.0f mm, in every month or in none",
                cbx_month_name(m + 1), month[m], most_kg_m2);
        }
    }
    return CB_OK;
}

static cb_status check_normals(const cb_design *design, cb_error *error)
{
    const cb_normals *n = &design->weather.normals;
    const limit limits[] = {
        {"weather.normals.air_temperature", "air temperature", "degC", n->air_temperature_c, -70,
         45},
        {"weather.normals.daily_range", "daily range", "K", n->daily_range_k, 0, 35},
        {"weather.normals.solar", "daily solar", "J/m2", n->solar_j_m2_day, 0, 45e6},
        {"weather.normals.dew_point", "dew point", "degC", n->dew_point_c, -75, 35},
        {"weather.normals.wind", "wind", "m/s", n->wind_m_s, 0, 15},
        {"weather.normals.day_to_day", "day-to-day deviation", "K", n->day_to_day_k, 0, 15},
    };
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
        for (int m = 0; m < CB_MONTHS; m++) {
            const limit *l = &limits[i];
            if (!(l->month[m] >= l->low && l->month[m] <= l->high)) {
                return cb_design_fail(
                    design, l->key, error, "%s of %s is %.6g %s; expected %.6g to %.6g %s", l->what,
                    cbx_month_name(m + 1), l->month[m], l->unit, l->low, l->high, l->unit);
            }
        }
    }
    for (int m = 0; m < CB_MONTHS; m++) {
        if (n->dew_point_c[m] > n->air_temperature_c[m] - 3 * least_depression_k) {
            return cb_design_fail(design, "weather.normals.dew_point", error,
                                  "dew point of %s, %.4g degC, is not below the air temperature, "
                                  "%.4g degC",
                                  cbx_month_name(m + 1), n->dew_point_c[m],
                                  n->air_temperature_c[m]);
        }
    }
    return check_precipitation(design, error);
}

// Half a cosine down from the warmest to the coldest hour and half a cosine up again, moved and
// scaled so that its 24 hourly values have mean 0 and range 1.
static void day_shape(double shape[24])
{
    const double rise_h = warmest_h - coldest_h, fall_h = 24.0 - rise_h;
    double low = 1, high = -1, mean = 0;
    for (int hour = 0; hour < 24; hour++) {
        const double since_coldest = fmod(hour + 0.5 - coldest_h + 24.0, 24.0);
        shape[hour] = since_coldest < rise_h ? -cos(pi * since_coldest / rise_h)
                                             : cos(pi * (since_coldest - rise_h) / fall_h);
        low = fmin(low, shape[hour]);
        high = fmax(high, shape[hour]);
        mean += shape[hour] / 24.0;
    }
    for (int hour = 0; hour < 24; hour++) {
        shape[hour] = (shape[hour] - mean) / (high - low);
    }
}

static void mean_ranges(const double *air_c, double range_k[CB_MONTHS])
{
    double day_range[CB_YEAR_DAYS];
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        const double *t = air_c + (ptrdiff_t)24 * day;
        double low = t[0], high = t[0];
        for (int hour = 1; hour < 24; hour++) {
            low = fmin(low, t[hour]);
            high = fmax(high, t[hour]);
        }
        day_range[day] = high - low;
    }
    cbx_month_means(day_range, 1, range_k);
}

// work holds the course of the daily means; swing_k the month's factor of the day's shape.
static void add_day_shape(generator *g, const double swing_k[CB_MONTHS],
                          const double clearness[CB_MONTHS])
{
    const cb_normals *n = &g->design->weather.normals;
    double shape[24], swing[CB_YEAR_DAYS], usual[CB_YEAR_DAYS];
    day_shape(shape);
    cbx_interpolate_months(swing_k, 1, swing);
    cbx_interpolate_months(clearness, 1, usual);
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        swing[day] *=
            range_of_dull_day + (1.0 - range_of_dull_day) * g->days.clearness[day] / usual[day];
    }
    cbx_interpolate_days(swing, g->noise);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        g->air_c[i] = g->work[i] + g->noise[i] * shape[i % 24];
    }
    cbx_recentre_months(g->air_c, 24, n->air_temperature_c);
}

static void generate_air(generator *g)
{
    const cb_normals *n = &g->design->weather.normals;
    double daily[CB_YEAR_DAYS], swing_k[CB_MONTHS], clearness[CB_MONTHS], got_k[CB_MONTHS];
    cbx_smooth_months(n->air_temperature_c, 1, daily);
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        daily[day] += g->days.departure_k[day];
    }
    cbx_smooth_days(daily, g->work);
    cbx_month_means(g->days.clearness, 1, clearness);
    for (int m = 0; m < CB_MONTHS; m++) {
        swing_k[m] = n->daily_range_k[m];
    }
    // Warming and cooling from day to day widens the ranges, so the shape is made to fit them.
    for (int round = 0; round < 12; round++) {
        add_day_shape(g, swing_k, clearness);
        mean_ranges(g->air_c, got_k);
        for (int m = 0; m < CB_MONTHS; m++) {
            swing_k[m] *= got_k[m] > 0 ? n->daily_range_k[m] / got_k[m] : 1.0;
        }
    }
    add_day_shape(g, swing_k, clearness);
}

// The dew point follows the day's temperature, steady within the day, and stays below the air;
// each month is moved until its mean is right in spite of that ceiling.
static void generate_dew_point(generator *g)
{
    const cb_normals *n = &g->design->weather.normals;
    double daily[CB_YEAR_DAYS], shift_k[CB_MONTHS] = {0}, mean[CB_MONTHS], free_share[CB_MONTHS];
    cbx_smooth_months(n->dew_point_c, 1, daily);
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        daily[day] += g->days.departure_k[day];
    }
    cbx_smooth_days(daily, g->work);
    for (int round = 0; round < 200; round++) {
        cbx_interpolate_months(shift_k, 24, g->noise);
        for (int i = 0; i < CB_YEAR_HOURS; i++) {
            const double ceiling = g->air_c[i] - least_depression_k;
            const double wanted = g->work[i] + g->noise[i];
            g->dew_c[i] = fmin(wanted, ceiling);
            g->noise[i] = wanted < ceiling ? 1.0 : 0.0;
        }
        cbx_month_means(g->dew_c, 24, mean);
        cbx_month_means(g->noise, 24, free_share);
        for (int m = 0; m < CB_MONTHS; m++) {
            shift_k[m] += (n->dew_point_c[m] - mean[m]) / fmax(0.1, free_share[m]);
        }
    }
}

// Speeds of a Rayleigh distribution (common practice for hourly wind, no source), which have a
// light tail: 8760 hours reach about 3.4 times the mean.
static void generate_wind(generator *g, cbx_random *random)
{
    const cb_normals *n = &g->design->weather.normals;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        g->noise[i] = cbx_random_normal(random);
    }
    cbx_autoregression(wind_memory, g->noise, CB_YEAR_HOURS, g->work);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        const double above = 0.5 * erfc(g->work[i] / sqrt(2.0));
        const double time_of_day = 2.0 * pi * (i % 24 + 0.5 - windiest_h) / 24.0;
        g->wind_m_s[i] = sqrt(-log(above)) * (1.0 + wind_day_swing * cos(time_of_day));
    }
    double factor[CB_MONTHS], mean[CB_MONTHS];
    for (int round = 0; round < 60; round++) {
        cbx_month_means(g->wind_m_s, 24, mean);
        for (int m = 0; m < CB_MONTHS; m++) {
            factor[m] = mean[m] > 0 ? n->wind_m_s[m] / mean[m] : 0.0;
        }
        cbx_interpolate_months(factor, 24, g->work);
        for (int i = 0; i < CB_YEAR_HOURS; i++) {
            g->wind_m_s[i] *= g->work[i];
        }
    }
}

static cb_status finish(generator *g, cb_weather *weather, cb_error *error)
{
    const cb_site *site = &g->design->site;
    double *clearness = g->work;
    cbx_interpolate_days(g->days.clearness, clearness);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        const double above = cb_extraterrestrial_w_m2(site, i / 24, i % 24);
        const cbx_raw_hour raw = {
            .air_c = g->air_c[i],
            .dew_c = g->dew_c[i],
            .solar_w_m2 = g->days.clearness[i / 24] * cbx_clear_sky_share(site) * above,
            .wind_m_s = g->wind_m_s[i],
            .cloud = 1.0 - clearness[i], // Crawford & Duchon's own definition
        };
        if (!(raw.air_c >= CBX_AIR_LOW_C && raw.air_c <= CBX_AIR_HIGH_C) ||
            !(raw.dew_c >= CBX_AIR_LOW_C && raw.wind_m_s <= CBX_WIND_HIGH_M_S)) {
            return cb_design_fail(g->design, "weather.normals", error,
                                  "the normals lead to an hour of %.4g degC, dew point %.4g degC, "
                                  "wind %.4g m/s, which no weather has",
                                  raw.air_c, raw.dew_c, raw.wind_m_s);
        }
        cbx_finish_hour(weather, i, &raw);
        weather->hour[i].precipitation_kg_m2 = g->precipitation_kg_m2[i];
    }
    const char *name = g->design->weather.normals.name;
    snprintf(weather->description, sizeof weather->description,
             "Year generated from the monthly normals of %.100s, seed %u",
             name ? name : "an unnamed climate", g->design->weather.seed);
    cbx_sha256(weather->hour, CB_YEAR_HOURS * sizeof *weather->hour, weather->sha256);
    return CB_OK;
}

cb_status cbx_generate(cb_weather *weather, const cb_design *design, cb_error *error)
{
    cb_status status = check_normals(design, error);
    if (status != CB_OK) {
        return status;
    }
    generator *g = calloc(1, sizeof *g);
    if (!g) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to generate a year of weather");
    }
    g->design = design;
    cbx_random random = cbx_random_seeded(design->weather.seed);
    status = cbx_generate_days(&g->days, design, &random, error);
    if (status == CB_OK) {
        generate_air(g);
        generate_dew_point(g);
        generate_wind(g, &random);
        cbx_generate_precipitation(&g->days, design->weather.normals.precipitation_kg_m2, &random,
                                   g->precipitation_kg_m2);
        status = finish(g, weather, error);
    }
    free(g);
    return status;
}
