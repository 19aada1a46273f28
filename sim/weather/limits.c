// SPDX-License-Identifier: MIT
#include "weather/limits.h"
#include "weather/calendar.h"
#include "weather/source.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

void cbx_describe(cb_weather *weather, const char *format, ...)
{
    const size_t used = strlen(weather->description);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(weather->description + used, sizeof weather->description - used, format, arguments);
    va_end(arguments);
}

void cbx_note_place(cb_weather *weather, const cb_site *site, const cbx_file_place *place)
{
    const double apart_deg = 0.5; // some 50 km, a typical station's reach on even land
    double east_deg = fabs(place->longitude_deg - site->longitude_deg);
    east_deg = fmin(east_deg, 360.0 - east_deg);
    if (fabs(place->latitude_deg - site->latitude_deg) > apart_deg || east_deg > apart_deg) {
        cbx_describe(weather,
                     "; caution: the file was taken at %.2f, %.2f (latitude, longitude), the site "
                     "is at %.2f, %.2f",
                     place->latitude_deg, place->longitude_deg, site->latitude_deg,
                     site->longitude_deg);
    }
    if (fabs(place->time_zone_h - site->time_zone_h) > 0.5) {
        cbx_describe(weather, "; caution: the file's place keeps UTC%+g h, the site UTC%+g h",
                     place->time_zone_h, site->time_zone_h);
    }
}

// Phase of a day's course as a fraction of a turn; false if the course has none to speak of.
static bool phase(const double day[24], double *turns)
{
    double x = 0, y = 0, sum = 0;
    for (int hour = 0; hour < 24; hour++) {
        const double angle = 2.0 * pi * (hour + 0.5) / 24.0;
        x += day[hour] * cos(angle);
        y += day[hour] * sin(angle);
        sum += day[hour];
    }
    *turns = atan2(y, x) / (2.0 * pi);
    return sum > 0 && hypot(x, y) > 0.1 * sum;
}

bool cbx_sun_late_h(const cb_weather *weather, const cb_site *site, double *late_h)
{
    double measured[24] = {0}, sun[24] = {0}, measured_turns = 0, sun_turns = 0;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        sun[i % 24] += cb_extraterrestrial_w_m2(site, i / 24, i % 24);
    }
    for (int i = 0; i < weather->years * CB_YEAR_HOURS; i++) {
        measured[i % 24] += weather->hour[i].solar_w_m2;
    }
    if (!phase(measured, &measured_turns) || !phase(sun, &sun_turns)) {
        return false;
    }
    const double late = measured_turns - sun_turns;
    *late_h = 24.0 * (late - floor(late + 0.5));
    return true;
}

static cb_status check_sun_time(cb_weather *weather, const cb_site *site, const cbx_csv *csv,
                                bool turned, cb_error *error)
{
    // Afternoon clouds move a measured sun by some minutes only.
    const double suspicious_h = 0.75, wrong_h = 2.5;
    double late_h = 0;
    if (!cbx_sun_late_h(weather, site, &late_h) || fabs(late_h) <= suspicious_h) {
        return CB_OK;
    }
    const char *way = late_h > 0 ? "late" : "early";
    if (fabs(late_h) <= wrong_h) {
        cbx_describe(weather,
                     "; caution: its sun runs %.1f h %s against the site, check time zone and "
                     "stamps",
                     fabs(late_h), way);
        return CB_OK;
    }
    if (turned) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, 0, 0,
                          "the file's sun runs %.1f h %s against the site's sun, more than 2.5 h: "
                          "the file's own time zone or site.longitude (%.2f deg) is wrong",
                          fabs(late_h), way, site->longitude_deg);
    }
    double zone_h = round(2.0 * (site->time_zone_h + late_h)) / 2.0;
    zone_h += zone_h < -12.0 ? 24.0 : zone_h > 14.0 ? -24.0 : 0.0;
    return cb_fail_at(error, CB_BAD_INPUT, csv->path, 0, 0,
                      "the file's sun runs %.1f h %s against the site's sun, more than 2.5 h: the "
                      "rows look like UTC%+g h, the design's site.time_zone is %+g h; set "
                      "site.time_zone to %g h, or site.longitude (%.2f deg) right, or write the "
                      "file in local standard time",
                      fabs(late_h), way, zone_h, site->time_zone_h, zone_h, site->longitude_deg);
}

static cb_status check_sun_sum(const cb_weather *weather, const cb_site *site, const cbx_csv *csv,
                               cb_error *error)
{
    const double least_share = 0.03; // under heavy cloud all year a fifth comes through
    double above = 0;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        above += cb_extraterrestrial_w_m2(site, i / 24, i % 24);
    }
    for (int year = 0; year < weather->years; year++) {
        double sum = 0;
        for (int i = 0; i < CB_YEAR_HOURS; i++) {
            sum += weather->hour[year * CB_YEAR_HOURS + i].solar_w_m2;
        }
        if (!(sum >= least_share * above && sum <= above)) {
            return cb_fail_at(error, CB_BAD_INPUT, csv->path, 0, 0,
                              "the sun of year %d of the file adds up to %.4g kWh/m2; at latitude "
                              "%.2f deg %.4g to %.4g kWh/m2 are possible: check the unit of the "
                              "solar column (MJ/m2/h or kW/m2 taken for W/m2?)",
                              year + 1, sum / 1000, site->latitude_deg, least_share * above / 1000,
                              above / 1000);
        }
    }
    return CB_OK;
}

cb_status cbx_check_sun(cb_weather *weather, const cb_site *site, const cbx_csv *csv, bool turned,
                        cb_error *error)
{
    const cb_status status = check_sun_sum(weather, site, csv, error);
    return status == CB_OK ? check_sun_time(weather, site, csv, turned, error) : status;
}

cb_status cbx_check_rain(cb_weather *weather, const cbx_csv *csv, cb_error *error)
{
    double sum = 0;
    for (int i = 0; i < weather->years * CB_YEAR_HOURS; i++) {
        const double rain = weather->hour[i].precipitation_kg_m2;
        if (rain > CBX_RAIN_HIGH_KG_M2) {
            int month = 0, day = 0;
            cbx_month_day(i / 24 % CB_YEAR_DAYS, &month, &day);
            return cb_fail_at(error, CB_BAD_INPUT, csv->path, 0, 0,
                              "the rows of %d %s %02d:00 (year %d of the file) add up to %.6g mm "
                              "of precipitation; expected at most %g mm in an hour",
                              day, cbx_month_name(month), i % 24, i / CB_YEAR_HOURS + 1, rain,
                              CBX_RAIN_HIGH_KG_M2);
        }
        sum += rain;
    }
    if (!isnan(sum)) {
        cbx_describe(weather, ", with %.0f mm of precipitation a year", sum / weather->years);
    }
    return CB_OK;
}
