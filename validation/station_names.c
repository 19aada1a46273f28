// SPDX-License-Identifier: MIT
#include "station_names.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct {
    const char *name;
    station_kind kind;
    bool second;
    double scale;
} weather_names[] = {
    {"t_daily_avg", STATION_AIR_C, false, 1},
    {"t_daily_mean", STATION_AIR_C, true, 1},
    {"t_hr_avg", STATION_AIR_C, false, 1},
    {"t_calc", STATION_AIR_C, true, 1},
    {"t_air_mean_c", STATION_AIR_C, false, 1},
    {"t_air_c", STATION_AIR_C, false, 1},
    {"t_air", STATION_AIR_C, false, 1},
    {"tavg", STATION_AIR_C, false, 1},
    {"tair", STATION_AIR_C, false, 1},
    {"ta", STATION_AIR_C, false, 1},
    {"air_temp", STATION_AIR_C, false, 1},
    {"air_temp_c", STATION_AIR_C, false, 1},
    {"air_temperature", STATION_AIR_C, false, 1},
    {"air_temperature_c", STATION_AIR_C, false, 1},
    {"t_daily_min", STATION_LOW_C, false, 1},
    {"t_air_min_c", STATION_LOW_C, false, 1},
    {"tmin", STATION_LOW_C, false, 1},
    {"t_daily_max", STATION_HIGH_C, false, 1},
    {"t_air_max_c", STATION_HIGH_C, false, 1},
    {"tmax", STATION_HIGH_C, false, 1},
    {"rh_daily_avg", STATION_HUMIDITY, false, 1},
    {"rh_hr_avg", STATION_HUMIDITY, false, 1},
    {"rh_mean_pct", STATION_HUMIDITY, false, 1},
    {"rhavg", STATION_HUMIDITY, false, 1},
    {"rh_avg", STATION_HUMIDITY, false, 1},
    {"rh", STATION_HUMIDITY, false, 1},
    {"rh_pct", STATION_HUMIDITY, false, 1},
    {"relative_humidity", STATION_HUMIDITY, false, 1},
    {"dewpoint_mean_c", STATION_DEW_POINT_C, false, 1},
    {"dew_point_c", STATION_DEW_POINT_C, false, 1},
    {"dew_point", STATION_DEW_POINT_C, false, 1},
    {"dewpoint", STATION_DEW_POINT_C, false, 1},
    {"solarad_daily", STATION_SOLAR_W_M2, false, 1}, // the unit follows from the size
    {"solarad", STATION_SOLAR_W_M2, false, 1},
    {"solar_mjm2", STATION_SOLAR_W_M2, false, 1},
    {"solar_w_m2", STATION_SOLAR_W_M2, false, 1},
    {"solar", STATION_SOLAR_W_M2, false, 1},
    {"solar_radiation", STATION_SOLAR_W_M2, false, 1},
    {"srad", STATION_SOLAR_W_M2, false, 1},
    {"sunshine_h", STATION_SUNSHINE_H, false, 1},
    {"sunshine_hours", STATION_SUNSHINE_H, false, 1},
    {"cloud_tenths", STATION_CLOUD, false, 0.1},
    {"cloud_oktas", STATION_CLOUD, false, 0.125},
    {"cloud_fraction", STATION_CLOUD, false, 1},
    {"wind_mean_ms", STATION_WIND_M_S, false, 1},
    {"wind_m_s", STATION_WIND_M_S, false, 1},
    {"wind_speed", STATION_WIND_M_S, false, 1},
    {"wspd", STATION_WIND_M_S, false, 1},
    {"wind", STATION_WIND_M_S, false, 1},
    {"p_daily_calc", STATION_RAIN_MM, false, 1},
    {"p_calc", STATION_RAIN_MM, false, 1},
    {"precip_mm", STATION_RAIN_MM, false, 1},
    {"precipitation_mm", STATION_RAIN_MM, false, 1},
    {"precip", STATION_RAIN_MM, false, 1},
    {"precipitation", STATION_RAIN_MM, false, 1},
    {"prcp", STATION_RAIN_MM, false, 1},
    {"rain_mm", STATION_RAIN_MM, false, 1},
    {"snow_depth_max_cm", STATION_SNOW_DEPTH_M, false, 0.01},
    {"snow_depth_cm", STATION_SNOW_DEPTH_M, false, 0.01},
    {"snow_depth_m", STATION_SNOW_DEPTH_M, false, 1},
    {"t_surface_mean_c", STATION_SURFACE_C, false, 1},
    {"t_surface_c", STATION_SURFACE_C, false, 1},
    {"ground_surface_temperature", STATION_SURFACE_C, false, 1},
    {"p_station_hpa", STATION_PRESSURE_KPA, false, 0.1},
    {"pressure_hpa", STATION_PRESSURE_KPA, false, 0.1},
    {"pressure_kpa", STATION_PRESSURE_KPA, false, 1},
    {"pressure", STATION_PRESSURE_KPA, false, 1}, // the unit follows from the size
};

static const struct {
    const char *name;
    station_role role;
} other_names[] = {
    {"date", STATION_TIME},
    {"lst_date", STATION_TIME},
    {"datetime", STATION_TIME},
    {"date_time", STATION_TIME},
    {"timestamp", STATION_TIME},
    {"time", STATION_TIME},
    {"lst_time", STATION_CLOCK},
    {"wban", STATION_ID},
    {"wbanno", STATION_ID},
    {"station_id", STATION_ID},
    {"name", STATION_NAMED},
    {"station", STATION_NAMED},
    {"station_name", STATION_NAMED},
    {"latitude", STATION_LATITUDE},
    {"lat", STATION_LATITUDE},
    {"longitude", STATION_LONGITUDE},
    {"lon", STATION_LONGITUDE},
    {"elevation", STATION_ELEVATION},
    {"elevation_m", STATION_ELEVATION},
};

static const char hourly02[] =
    "WBANNO UTC_DATE UTC_TIME LST_DATE LST_TIME CRX_VN LONGITUDE LATITUDE T_CALC T_HR_AVG T_MAX "
    "T_MIN P_CALC SOLARAD SOLARAD_FLAG SOLARAD_MAX SOLARAD_MAX_FLAG SOLARAD_MIN SOLARAD_MIN_FLAG "
    "SUR_TEMP_TYPE SUR_TEMP SUR_TEMP_FLAG SUR_TEMP_MAX SUR_TEMP_MAX_FLAG SUR_TEMP_MIN "
    "SUR_TEMP_MIN_FLAG RH_HR_AVG RH_HR_AVG_FLAG SOIL_MOISTURE_5 SOIL_MOISTURE_10 SOIL_MOISTURE_20 "
    "SOIL_MOISTURE_50 SOIL_MOISTURE_100 SOIL_TEMP_5 SOIL_TEMP_10 SOIL_TEMP_20 SOIL_TEMP_50 "
    "SOIL_TEMP_100";
static const char daily01[] =
    "WBANNO LST_DATE CRX_VN LONGITUDE LATITUDE T_DAILY_MAX T_DAILY_MIN T_DAILY_MEAN T_DAILY_AVG "
    "P_DAILY_CALC SOLARAD_DAILY SUR_TEMP_DAILY_TYPE SUR_TEMP_DAILY_MAX SUR_TEMP_DAILY_MIN "
    "SUR_TEMP_DAILY_AVG RH_DAILY_MAX RH_DAILY_MIN RH_DAILY_AVG SOIL_MOISTURE_5_DAILY "
    "SOIL_MOISTURE_10_DAILY SOIL_MOISTURE_20_DAILY SOIL_MOISTURE_50_DAILY SOIL_MOISTURE_100_DAILY "
    "SOIL_TEMP_5_DAILY SOIL_TEMP_10_DAILY SOIL_TEMP_20_DAILY SOIL_TEMP_50_DAILY "
    "SOIL_TEMP_100_DAILY";

const char *station_unnamed_product(int columns)
{
    return columns == 38 ? hourly02 : columns == 28 ? daily01 : NULL;
}

void station_plain_name(const char *field, char name[STATION_COLUMN_NAME_SIZE])
{
    int length = 0;
    for (; *field && length < STATION_COLUMN_NAME_SIZE - 1; field++) {
        const unsigned char c = (unsigned char)*field;
        if (isalnum(c) || c == '.') {
            name[length++] = (char)tolower(c);
        } else if (length > 0 && name[length - 1] != '_') {
            name[length++] = '_';
        }
    }
    while (length > 0 && name[length - 1] == '_') {
        length--;
    }
    name[length] = '\0';
}

// "soil_temp_5_daily", "t_100cm_c", "T5cm", "soiltemp_20cm": a word for soil temperature, a number,
// a unit (cm unless said; a bare T needs it), and nothing that names an extreme.
static bool soil_depth(const char *name, double *depth_m)
{
    static const char *const words[] = {"t",        "ts",    "st",       "tg",
                                        "tsoil",    "soilt", "soiltemp", "soiltemperature",
                                        "tempsoil", "stemp"};
    char word[STATION_COLUMN_NAME_SIZE] = "";
    size_t length = 0;
    const char *at = name;
    for (; *at && !isdigit((unsigned char)*at); at++) {
        if (*at != '_') {
            word[length++] = *at;
        }
    }
    word[length] = '\0';
    bool known = false;
    for (size_t n = 0; n < sizeof words / sizeof *words; n++) {
        known = known || strcmp(word, words[n]) == 0;
    }
    if (!known || *at == '\0') {
        return false;
    }
    char *rest;
    const double number = strtod(at, &rest);
    rest += strspn(rest, "_");
    const bool centimetres = strncmp(rest, "cm", 2) == 0;
    const bool metres = rest[0] == 'm' && (rest[1] == '\0' || rest[1] == '_');
    if ((length == 1 && !centimetres) || strstr(rest, "max") || strstr(rest, "min")) {
        return false;
    }
    *depth_m = metres ? number : 0.01 * number;
    return *depth_m > 0.0 && *depth_m < 50.0;
}

station_column station_named_column(const char *name, double *depth_m)
{
    station_column column = {.role = STATION_IGNORED, .scale = 1.0};
    for (size_t n = 0; n < sizeof weather_names / sizeof *weather_names; n++) {
        if (strcmp(name, weather_names[n].name) == 0) {
            column.role = STATION_WEATHER;
            column.index = (int)weather_names[n].kind;
            column.second = weather_names[n].second;
            column.scale = weather_names[n].scale;
            return column;
        }
    }
    for (size_t n = 0; n < sizeof other_names / sizeof *other_names; n++) {
        if (strcmp(name, other_names[n].name) == 0) {
            column.role = other_names[n].role;
            return column;
        }
    }
    if (strncmp(name, "time_", 5) == 0) { // time_cst and the like
        column.role = STATION_TIME;
    } else if (soil_depth(name, depth_m)) {
        column.role = STATION_SOIL;
        const size_t length = strlen(name);
        if (length > 2 && strcmp(name + length - 2, "_f") == 0) {
            column.scale = 5.0 / 9.0;
            column.offset = -32.0 * 5.0 / 9.0;
        }
    }
    return column;
}
