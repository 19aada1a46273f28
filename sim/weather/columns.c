// SPDX-License-Identifier: MIT
/// Any hourly CSV whose columns the design names. 8760 rows, or 8784 of which 29 February is
/// dropped. Rows that show a time of day (a field with H:MM, or a column "hour") are checked for
/// gaps by it, and the first one says at which hour the file begins.
#include "weather/calendar.h"
#include "weather/sky.h"
#include "weather/source.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LEAP_YEAR_HOURS = 8784, LEAP_DAY = 59, ABSENT = -1 };

typedef struct reader {
    const cb_design *design;
    cbx_table table;
    int air, dew, humidity, solar, wind, cloud; // places in the table; ABSENT if the map has none
    cbx_raw_hour *raw;                          // [LEAP_YEAR_HOURS], in the file's order
} reader;

static cb_status take_row(void *context, const cbx_csv *csv, long row, const double *value,
                          cb_error *error)
{
    reader *self = context;
    cbx_raw_hour *raw = &self->raw[row];
    raw->air_c = value[self->air];
    raw->solar_w_m2 = value[self->solar];
    raw->wind_m_s = value[self->wind];
    raw->cloud = self->cloud != ABSENT ? value[self->cloud] : 0.0;
    const int moist = self->dew != ABSENT ? self->dew : self->humidity;
    raw->dew_c =
        self->dew != ABSENT ? value[self->dew] : cbx_dew_point_c(raw->air_c, value[self->humidity]);
    return cbx_check_dew(csv, self->table.column[moist].index, raw->air_c, raw->dew_c, error);
}

static cb_status fail_absent(const cb_design *design, const char *key, cb_error *error,
                             const char *what)
{
    return cb_design_fail(design, key, error, "a column map needs the name of the %s column", what);
}

static cb_status check_required(const cb_design *design, cb_error *error)
{
    const cb_weather_columns *map = &design->weather.columns;
    if (!map->air_temperature) {
        return fail_absent(design, "weather.columns.air_temperature", error, "air temperature");
    }
    if (!map->solar) {
        return fail_absent(design, "weather.columns.solar", error, "global horizontal solar");
    }
    if (!map->wind) {
        return fail_absent(design, "weather.columns.wind", error, "wind speed");
    }
    if (!map->dew_point && !map->relative_humidity) {
        return fail_absent(design, "weather.columns.dew_point", error,
                           "dew point or relative humidity");
    }
    return CB_OK;
}

static cb_status cloud_scale(cbx_column *column, const cb_design *design, cb_error *error)
{
    static const struct {
        const char *unit;
        double scale;
    } known[] = {{"fraction", 1}, {"1", 1}, {"percent", 0.01}, {"%", 0.01}, {"tenths", 0.1}};
    const char *unit = design->weather.columns.cloud_unit;
    column->key = "weather.columns.cloud.column";
    if (!unit) {
        return CB_OK;
    }
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strcmp(unit, known[i].unit) == 0) {
            column->scale = known[i].scale;
            return CB_OK;
        }
    }
    return cb_design_fail(design, "weather.columns.cloud.unit", error,
                          "\"%.40s\" is not a unit of cloud cover; expected fraction, percent or "
                          "tenths",
                          unit);
}

#define KEY(NAME) "weather.columns." NAME ".column", "weather.columns." NAME ".unit"

static cb_status map_moisture(reader *self, const cb_units *units, cb_error *error)
{
    const cb_weather_columns *map = &self->design->weather.columns;
    if (map->dew_point) {
        const cbx_column_unit unit = {map->dew_point_unit, CB_TEMPERATURE, KEY("dew_point")};
        self->dew = self->table.columns;
        cbx_column *column =
            cbx_table_add(&self->table, map->dew_point, CBX_AIR_LOW_C, CBX_AIR_HIGH_C, "degC");
        return cbx_column_convert(column, &unit, self->design, units, error);
    }
    self->humidity = self->table.columns;
    // Hygrometers read a little over 100 % in fog; at exactly 0 % there is no dew point.
    cbx_column *column =
        cbx_table_add(&self->table, map->relative_humidity, 0.001, 1.05, "of saturation");
    column->key = "weather.columns.relative_humidity.column";
    column->scale = 0.01;
    return CB_OK;
}

static cb_status map_columns(reader *self, const cb_units *units, cb_error *error)
{
    const cb_design *design = self->design;
    const cb_weather_columns *map = &design->weather.columns;
    const struct {
        int *place;
        const char *name;
        double low, high;
        const char *unit_name;
        cbx_column_unit unit;
    } wanted[] = {
        {&self->air,
         map->air_temperature,
         CBX_AIR_LOW_C,
         CBX_AIR_HIGH_C,
         "degC",
         {map->air_temperature_unit, CB_TEMPERATURE, KEY("air_temperature")}},
        {&self->solar,
         map->solar,
         0,
         CBX_SOLAR_HIGH_W_M2,
         "W/m2",
         {map->solar_unit, CB_HEAT_FLUX, KEY("solar")}},
        {&self->wind,
         map->wind,
         0,
         CBX_WIND_HIGH_M_S,
         "m/s",
         {map->wind_unit, CB_SPEED, KEY("wind")}},
    };
    cb_status status = map_moisture(self, units, error);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted && status == CB_OK; i++) {
        *wanted[i].place = self->table.columns;
        cbx_column *column = cbx_table_add(&self->table, wanted[i].name, wanted[i].low,
                                           wanted[i].high, wanted[i].unit_name);
        status = cbx_column_convert(column, &wanted[i].unit, design, units, error);
    }
    if (status == CB_OK && map->cloud) {
        self->cloud = self->table.columns;
        status =
            cloud_scale(cbx_table_add(&self->table, map->cloud, 0, 1, "of the sky"), design, error);
    }
    return status;
}

// Hour of the day at which the first row's hour begins; -1 is the last hour of the day before.
static int first_hour(const reader *self)
{
    const int minute = self->table.first_minute;
    if (minute < 0) {
        return 0;
    }
    const bool closing = self->design->weather.columns.hour_ending && minute % 60 == 0;
    return minute / 60 - (closing ? 1 : 0);
}

// Day of the file's year (365 or 366 days) of its first row; -1 if there is no such day.
static int first_day(const cb_weather_columns *map, bool leap)
{
    if (leap && map->first_month == 2 && map->first_day == 29) {
        return LEAP_DAY;
    }
    const int day = cb_day_of_year(map->first_month, map->first_day);
    return leap && day >= LEAP_DAY ? day + 1 : day;
}

static cb_status place_rows(reader *self, cbx_raw_hour *year, cb_error *error)
{
    const cb_weather_columns *map = &self->design->weather.columns;
    const bool leap = self->table.rows == LEAP_YEAR_HOURS;
    const int day = first_day(map, leap);
    if (day < 0) {
        return cb_design_fail(self->design, "weather.columns.first", error,
                              "the first row's day, month %d day %d, is not in a year of %ld hours",
                              map->first_month, map->first_day, self->table.rows);
    }
    const long hours = self->table.rows;
    for (long row = 0; row < hours; row++) {
        long hour = (24L * day + first_hour(self) + row + hours) % hours;
        if (leap && hour / 24 == LEAP_DAY) {
            continue;
        }
        if (leap && hour / 24 > LEAP_DAY) {
            hour -= 24;
        }
        year[hour] = self->raw[row];
    }
    return CB_OK;
}

static cb_status finish(reader *self, cb_weather *weather, const cbx_csv *csv, cb_error *error)
{
    cbx_raw_hour *year = calloc(CB_YEAR_HOURS, sizeof *year);
    if (!year) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a year of weather");
    }
    const cb_status status = place_rows(self, year, error);
    if (status == CB_OK) {
        if (self->cloud == ABSENT) {
            cbx_cloud_from_solar(&self->design->site, year);
        }
        for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
            cbx_finish_hour(weather, hour, &year[hour]);
        }
        snprintf(weather->description, sizeof weather->description, "Year read from %.80s%s%s",
                 cbx_file_name(csv->path),
                 self->table.rows == LEAP_YEAR_HOURS ? ", 29 February dropped" : "",
                 self->cloud == ABSENT ? ", clouds estimated from its solar" : "");
        memcpy(weather->sha256, csv->sha256, sizeof weather->sha256);
        cbx_note_sun_offset(weather, &self->design->site);
    }
    free(year);
    return status;
}

static cb_status read_open(reader *self, cbx_csv *csv, cb_error *error)
{
    const int header_lines = self->design->weather.columns.header_lines;
    const cb_status status = cbx_csv_skip(csv, header_lines, error);
    return status == CB_OK ? cbx_table_read(&self->table, csv, error) : status;
}

cb_status cbx_read_columns(cb_weather *weather, const cb_design *design, const cb_units *units,
                           cb_error *error)
{
    reader self = {.design = design, .dew = ABSENT, .humidity = ABSENT, .cloud = ABSENT};
    self.table = (cbx_table){.accepted_rows = {CB_YEAR_HOURS, LEAP_YEAR_HOURS},
                             .check_clock = true,
                             .row = take_row,
                             .context = &self};
    cb_status status = check_required(design, error);
    if (status == CB_OK) {
        status = map_columns(&self, units, error);
    }
    if (status != CB_OK) {
        return status;
    }
    self.raw = calloc(LEAP_YEAR_HOURS, sizeof *self.raw);
    if (!self.raw) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a year of weather");
    }
    cbx_csv csv;
    status = cbx_csv_open(&csv, design->weather.file, error);
    if (status == CB_OK) {
        status = read_open(&self, &csv, error);
    }
    if (status == CB_OK) {
        status = finish(&self, weather, &csv, error);
    }
    cbx_csv_close(&csv);
    free(self.raw);
    return status;
}
