// SPDX-License-Identifier: MIT
#include "station_day.h"
#include "station_text.h"
#include "station_weather.h"

#include "coilbed/yard.h"

#include <math.h>

enum { PARTS = 24, LEAST_DAYS = 300 }; // of a year; days that must be known

// The best day of each half month.
typedef struct envelope {
    double value[PARTS];
    int day_of_year[PARTS];
    int days;
} envelope;

static envelope envelope_of(const double *value, int days, long first_day)
{
    envelope out = {.days = 0};
    for (int day = 0; day < days; day++) {
        int year, month, day_of_month, day_of_year;
        station_calendar(first_day + day, &year, &month, &day_of_month, &day_of_year);
        const int part = day_of_year * PARTS / CB_YEAR_DAYS;
        out.days += isfinite(value[day]);
        if (value[day] > out.value[part]) {
            out.value[part] = value[day];
            out.day_of_year[part] = day_of_year;
        }
    }
    return out;
}

static double solar_at(double latitude_deg, int day_of_year)
{
    const cb_site site = station_site(latitude_deg, 0.0);
    return station_day_extraterrestrial_w_m2(&site, day_of_year);
}

// Spread of the logarithm of measured over possible: how badly the shape fits.
static double misfit(const envelope *best, double (*possible)(double, int), double latitude_deg)
{
    double sum = 0.0, squares = 0.0;
    int count = 0;
    for (int part = 0; part < PARTS; part++) {
        const double most = possible(latitude_deg, best->day_of_year[part]);
        if (best->value[part] > 0.0 && most > 0.0) {
            const double ratio = log(best->value[part] / most);
            sum += ratio;
            squares += ratio * ratio;
            count++;
        }
    }
    return squares / count - (sum / count) * (sum / count);
}

static double fit(const envelope *best, double (*possible)(double, int))
{
    if (best->days < LEAST_DAYS) {
        return NAN;
    }
    double found = NAN, least = INFINITY;
    for (int half_degrees = -132; half_degrees <= 132; half_degrees++) {
        const double latitude_deg = 0.5 * half_degrees;
        const double error = misfit(best, possible, latitude_deg);
        if (error < least) {
            least = error;
            found = latitude_deg;
        }
    }
    return found;
}

double station_latitude_by_solar(const double *mean_w_m2, int days, long first_day)
{
    const envelope best = envelope_of(mean_w_m2, days, first_day);
    return fit(&best, solar_at);
}

double station_latitude_by_sunshine(const double *sunshine_h, int days, long first_day)
{
    const envelope best = envelope_of(sunshine_h, days, first_day);
    return fit(&best, cb_daylight_h);
}
