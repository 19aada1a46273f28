// SPDX-License-Identifier: MIT
#include "weather/calendar.h"
#include "weather/generator.h"
#include "weather/sky.h"
#include "weather/smooth.h"

#include <math.h>
#include <string.h>

// Fitted to TMY3 years of three stations (cold plains, mixed-humid, cool marine; month means taken
// off): correlation from day to day of the daily mean temperature 0.72, 0.69, 0.79 (0.68 in 25
// years of daily records at the first) and of the logit of clearness 0.27, 0.32, 0.21; standard
// deviation of that logit 1.15, 1.12, 0.96. Taking the month means off and make_typical() lower a
// correlation, so 0.85 goes in for 0.69 to come out.
static const double temperature_memory = 0.85, clearness_memory = 0.28, clearness_spread = 1.1;

// In winter clear days are cold (correlation about -0.4 at those stations), in summer they are a
// little warm (about +0.2).
static const double cold_when_clear_mean = -0.1, cold_when_clear_swing = -0.3;

// A month whose clear sky gives less a day is dark: its solar is as it comes, not fitted.
static const double dark_j = 1e5;

static const double pi = 3.14159265358979323846;

// A typical year holds each month's usual spread of departures, not one lucky or unlucky draw: the
// ranks are kept, the values become the expected normal order statistics (Blom 1958, Statistical
// Estimates and Transformed Beta-Variables: p = (i - 3/8) / (n + 1/4)).
static void make_typical(double *departure)
{
    double drawn[31];
    for (int m = 0; m < CB_MONTHS; m++) {
        const int days = cbx_month_days[m];
        memcpy(drawn, departure, (size_t)days * sizeof *drawn);
        for (int day = 0; day < days; day++) {
            int rank = 1;
            for (int other = 0; other < days; other++) {
                rank += drawn[other] < drawn[day] ? 1 : 0;
            }
            departure[day] = cbx_inverse_normal((rank - 0.375) / (days + 0.25));
        }
        departure += days;
    }
}

static void shape_departures(double *departure, const double deviation_k[CB_MONTHS])
{
    static const double none[CB_MONTHS] = {0};
    double square[CB_YEAR_DAYS], month[CB_MONTHS], factor[CB_YEAR_DAYS];
    for (int round = 0; round < 40; round++) {
        cbx_recentre_months(departure, 1, none);
        for (int day = 0; day < CB_YEAR_DAYS; day++) {
            square[day] = departure[day] * departure[day];
        }
        cbx_month_means(square, 1, month);
        for (int m = 0; m < CB_MONTHS; m++) {
            month[m] = month[m] > 0 ? deviation_k[m] / sqrt(month[m]) : 0.0;
        }
        cbx_interpolate_months(month, 1, factor);
        for (int day = 0; day < CB_YEAR_DAYS; day++) {
            departure[day] *= factor[day];
        }
    }
    cbx_recentre_months(departure, 1, none);
}

static double logistic(double x)
{
    return 1.0 / (1.0 + exp(-x));
}

// Moves the monthly course of the logit until the months' solar is right (Newton, month by month;
// the solar rises with the logit, so it cannot run away). clear_j is each day's clear-sky solar.
static void fit_clearness(cbx_days *days, const double *departure, const double *clear_j,
                          const double solar_j[CB_MONTHS])
{
    const double longest_step = 1.0;
    double point[CB_MONTHS], course[CB_YEAR_DAYS], arrived[CB_YEAR_DAYS], slope[CB_YEAR_DAYS];
    double mean[CB_MONTHS], mean_slope[CB_MONTHS], clear_mean[CB_MONTHS];
    cbx_month_means(clear_j, 1, clear_mean);
    for (int m = 0; m < CB_MONTHS; m++) {
        point[m] = 0.5;
    }
    for (int round = 0; round < 200; round++) {
        cbx_interpolate_months(point, 1, course);
        for (int day = 0; day < CB_YEAR_DAYS; day++) {
            const double r = logistic(course[day] + clearness_spread * departure[day]);
            days->clearness[day] = r;
            arrived[day] = r * clear_j[day];
            slope[day] = r * (1.0 - r) * clear_j[day];
        }
        cbx_month_means(arrived, 1, mean);
        cbx_month_means(slope, 1, mean_slope);
        for (int m = 0; m < CB_MONTHS; m++) {
            if (clear_mean[m] >= dark_j) {
                const double step = (solar_j[m] - mean[m]) / mean_slope[m];
                point[m] += fmax(-longest_step, fmin(longest_step, step));
            }
        }
    }
}

static cb_status check_solar(const cb_design *design, const double *clear_j, cb_error *error)
{
    // Outside this share every day would have to be alike; no climate is.
    const double least = 0.05, most = 0.97;
    double clear_month[CB_MONTHS];
    cbx_month_means(clear_j, 1, clear_month);
    for (int m = 0; m < CB_MONTHS; m++) {
        const double given = design->weather.normals.solar_j_m2_day[m];
        if (clear_month[m] < dark_j && given >= 0 && given < dark_j) {
            continue; // polar night
        }
        if (!(given >= least * clear_month[m] && given <= most * clear_month[m])) {
            return cb_design_fail(design, "weather.normals.solar", error,
                                  "solar of %s is %.3g MJ/m2 a day; under the site's sun it can be "
                                  "%.3g to %.3g MJ/m2",
                                  cbx_month_name(m + 1), given / 1e6, least * clear_month[m] / 1e6,
                                  most * clear_month[m] / 1e6);
        }
    }
    return CB_OK;
}

cb_status cbx_generate_days(cbx_days *days, const cb_design *design, cbx_random *random,
                            cb_error *error)
{
    const cb_normals *normals = &design->weather.normals;
    const cb_site *site = &design->site;
    double clear_j[CB_YEAR_DAYS], warm[CB_YEAR_DAYS], bright[CB_YEAR_DAYS];
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        clear_j[day] = 0;
        for (int hour = 0; hour < 24; hour++) {
            clear_j[day] +=
                3600.0 * cbx_clear_sky_share(site) * cb_extraterrestrial_w_m2(site, day, hour);
        }
        warm[day] = cbx_random_normal(random);
        const double season = cos(2.0 * pi * (day - 15) / CB_YEAR_DAYS); // +1 in mid-January
        const double shared = cold_when_clear_mean +
                              cold_when_clear_swing * (site->latitude_deg < 0 ? -season : season);
        bright[day] = shared * warm[day] + sqrt(1.0 - shared * shared) * cbx_random_normal(random);
    }
    const cb_status status = check_solar(design, clear_j, error);
    if (status != CB_OK) {
        return status;
    }
    double brightness[CB_YEAR_DAYS];
    cbx_autoregression(temperature_memory, warm, CB_YEAR_DAYS, days->departure_k);
    cbx_autoregression(clearness_memory, bright, CB_YEAR_DAYS, brightness);
    make_typical(days->departure_k);
    shape_departures(days->departure_k, normals->day_to_day_k);
    fit_clearness(days, brightness, clear_j, normals->solar_j_m2_day);
    return CB_OK;
}
