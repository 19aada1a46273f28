// SPDX-License-Identifier: MIT
#include "station_day.h"

#include "coilbed/yard.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const double warmest_h = 15.0;

cb_site station_site(double latitude_deg, double elevation_m)
{
    return (cb_site){.latitude_deg = latitude_deg, .elevation_m = elevation_m};
}

double station_day_extraterrestrial_w_m2(const cb_site *site, int day_of_year)
{
    double sum = 0.0;
    for (int hour = 0; hour < STATION_DAY_HOURS; hour++) {
        sum += cb_extraterrestrial_w_m2(site, day_of_year, hour);
    }
    return sum / STATION_DAY_HOURS;
}

// Between two turning points at `from` and `to` o'clock.
static double between(double hour, double from_h, double from_c, double to_h, double to_c)
{
    const double part = (hour - from_h) / (to_h - from_h);
    return from_c + (to_c - from_c) * 0.5 * (1.0 - cos(pi * part));
}

void station_day_air_c(const cb_site *site, int day_of_year, const station_day_air *day,
                       double hour_c[STATION_DAY_HOURS])
{
    const double daylight_h = cb_daylight_h(site->latitude_deg, day_of_year);
    const double sunrise_h = fmin(9.0, fmax(3.0, 12.0 - 0.5 * daylight_h));
    double sum = 0.0;
    for (int n = 0; n < STATION_DAY_HOURS; n++) {
        const double hour = n + 0.5;
        if (hour < sunrise_h) {
            hour_c[n] = between(hour, warmest_h - 24.0, day->high_before_c, sunrise_h, day->low_c);
        } else if (hour < warmest_h) {
            hour_c[n] = between(hour, sunrise_h, day->low_c, warmest_h, day->high_c);
        } else {
            hour_c[n] = between(hour, warmest_h, day->high_c, sunrise_h + 24.0, day->low_after_c);
        }
        sum += hour_c[n];
    }
    for (int n = 0; n < STATION_DAY_HOURS; n++) {
        hour_c[n] += day->mean_c - sum / STATION_DAY_HOURS;
    }
}

void station_day_solar_w_m2(const cb_site *site, int day_of_year, double mean_w_m2,
                            double hour_w_m2[STATION_DAY_HOURS])
{
    const double above_w_m2 = station_day_extraterrestrial_w_m2(site, day_of_year);
    for (int n = 0; n < STATION_DAY_HOURS; n++) {
        hour_w_m2[n] = above_w_m2 > 0.0 ? fmax(0.0, mean_w_m2) / above_w_m2 *
                                              cb_extraterrestrial_w_m2(site, day_of_year, n)
                                        : 0.0;
    }
}

double station_angstrom_w_m2(const cb_site *site, int day_of_year, double sunshine_share)
{
    const double share = fmin(1.0, fmax(0.0, sunshine_share));
    return (0.25 + 0.50 * share) * station_day_extraterrestrial_w_m2(site, day_of_year);
}

double station_hargreaves_w_m2(const cb_site *site, int day_of_year, double low_c, double high_c)
{
    const double share = fmin(0.75, 0.16 * sqrt(fmax(0.0, high_c - low_c)));
    return share * station_day_extraterrestrial_w_m2(site, day_of_year);
}

double station_dew_point_c(double low_c, double high_c, double humidity)
{
    const double share = fmin(100.0, fmax(1.0, humidity)) / 100.0;
    const double vapour_kpa = 0.5 * share * (cb_saturation_kpa(low_c) + cb_saturation_kpa(high_c));
    // Inverse of FAO-56 eq. 11.
    const double power = log(vapour_kpa / 0.6108);
    return 237.3 * power / (17.27 - power);
}

double station_usual_wind_m_s(void)
{
    return 2.0 / cb_wind_at_2m_m_s(1.0, 10.0);
}
