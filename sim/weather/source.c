// SPDX-License-Identifier: MIT
#include "weather/source.h"
#include "weather/sky.h"
#include "weather/smooth.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

cb_status cbx_check_dew(const cbx_csv *csv, int index, double air_c, double dew_c, cb_error *error)
{
    if (dew_c <= air_c + CBX_DEW_EXCESS_K) {
        return CB_OK;
    }
    return cbx_csv_fail(csv, index, error,
                        "the dew point of %.6g degC is above the air temperature of %.6g degC",
                        dew_c, air_c);
}

void cbx_finish_hour(cb_weather *weather, int hour, const cbx_raw_hour *raw)
{
    weather->hour[hour] = (cb_weather_hour){
        .precipitation_kg_m2 = NAN,
        .snow_depth_m = NAN,
        .air_temperature_c = raw->air_c,
        .dew_point_c = raw->dew_c,
        .solar_w_m2 = raw->solar_w_m2,
        .wind_m_s = raw->wind_m_s,
        .longwave_w_m2 = cb_sky_longwave_w_m2(raw->air_c, raw->dew_c, raw->cloud),
    };
}

void cbx_cloud_from_solar(const cb_site *site, cbx_raw_hour raw[CB_YEAR_HOURS])
{
    const double least_wh = 50.0; // below this the ratio of a day says nothing about its clouds
    double cloud[CB_YEAR_DAYS], last = 0.5;
    // Two laps, so that a year that opens in polar night takes the last lit day of December.
    for (int lap = 0; lap < 2; lap++) {
        for (int day = 0; day < CB_YEAR_DAYS; day++) {
            double solar = 0, clear = 0;
            for (int hour = 0; hour < 24; hour++) {
                solar += raw[24 * day + hour].solar_w_m2;
                clear += cbx_clear_sky_share(site) * cb_extraterrestrial_w_m2(site, day, hour);
            }
            if (clear > least_wh) {
                last = fmin(1.0, fmax(0.0, 1.0 - solar / clear));
            }
            cloud[day] = last;
        }
    }
    double hourly[CB_YEAR_HOURS];
    cbx_interpolate_days(cloud, hourly);
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        raw[hour].cloud = hourly[hour];
    }
}

const char *cbx_file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

cb_status cb_weather_create(cb_weather **out, const cb_design *design, const cb_units *units,
                            cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "cb_weather_create: out is NULL");
    }
    *out = NULL;
    if (!design) {
        return cb_fail(error, CB_BAD_CALL, "cb_weather_create: design is NULL");
    }
    cb_weather *weather = cb_weather_blank(1);
    if (!weather) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a year of weather");
    }
    const cb_weather_format format = design->weather.format;
    cb_status status = CB_OK;
    if (format == CB_WEATHER_NORMALS) {
        status = cbx_generate(weather, design, error);
    } else if (!design->weather.file) {
        status = cb_design_fail(design, "weather.file", error, "the weather needs a file");
    } else if (format == CB_WEATHER_TMY3) {
        status = cbx_read_tmy3(weather, design, error);
    } else if (format == CB_WEATHER_NSRDB) {
        status = cbx_read_nsrdb(weather, design, error);
    } else if (format == CB_WEATHER_PVGIS) {
        status = cbx_read_pvgis(weather, design, error);
    } else {
        status = cbx_read_columns(weather, design, units, error);
    }
    if (status != CB_OK) {
        weather = cb_weather_destroy(weather);
    }
    *out = weather;
    return status;
}

cb_weather *cb_weather_blank(int years)
{
    cb_weather *weather = calloc(1, sizeof *weather);
    if (!weather) {
        return NULL;
    }
    weather->years = years;
    weather->hour = calloc((size_t)years * CB_YEAR_HOURS, sizeof *weather->hour);
    return weather->hour ? weather : cb_weather_destroy(weather);
}

cb_weather *cb_weather_destroy(cb_weather *weather)
{
    if (weather) {
        free(weather->hour);
        free(weather);
    }
    return NULL;
}
