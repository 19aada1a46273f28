// SPDX-License-Identifier: MIT
/// Any CSV of whole years, hourly or at even parts of an hour, whose columns the design names. Rows
/// that show a date or time are checked for gaps by it, and the first one says where the file
/// begins; 29 February is dropped.
#include "weather/dates.h"
#include "weather/limits.h"
#include "weather/series.h"
#include "weather/sky.h"

#include <stdlib.h>
#include <string.h>

enum { ABSENT = -1 };

typedef struct reader {
    const cb_design *design;
    cbx_table table;
    int place[CBX_QUANTITIES]; // in the table; ABSENT if the map has none
    int humidity;
    cbx_series series;
} reader;

static cb_status take_row(void *context, const cbx_csv *csv, long row, const double *value,
                          cb_error *error)
{
    (void)row;
    reader *self = context;
    cbx_reading reading = cbx_no_reading();
    for (int q = 0; q < CBX_QUANTITIES; q++) {
        if (self->place[q] != ABSENT) {
            reading.value[q] = value[self->place[q]];
        }
    }
    const double air_c = reading.value[CBX_AIR];
    double *dew_c = &reading.value[CBX_DEW];
    int moist = self->place[CBX_DEW];
    if (moist == ABSENT) {
        moist = self->humidity;
        *dew_c = cbx_dew_point_c(air_c, value[moist]);
    }
    const cb_status status =
        cbx_check_dew(csv, self->table.column[moist].index, air_c, *dew_c, error);
    return status == CB_OK
               ? cbx_series_add(&self->series, &reading, self->table.clock.on_leap_day, error)
               : status;
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
    column->unit_key = "weather.columns.cloud.unit";
    column->measure = CBX_MEASURE_SHARE;
    column->unit = unit ? unit : "fraction";
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

static void map_humidity(reader *self)
{
    self->humidity = self->table.columns;
    // Hygrometers read a little over 100 % in fog; at exactly 0 % there is no dew point.
    cbx_column *column =
        cbx_table_add(&self->table, self->design->weather.columns.relative_humidity, 0.001, 1.05,
                      "of saturation");
    column->key = "weather.columns.relative_humidity.column";
    column->scale = 0.01;
    column->measure = CBX_MEASURE_SHARE;
    column->unit = "percent";
}

// A column of the map that has a unit of its own.
typedef struct wanted_column {
    cbx_quantity quantity;
    const char *name;
    double low, high;
    const char *unit_name;
    double per_si;
    cbx_column_unit unit;
} wanted_column;

static cb_status map_one(reader *self, const wanted_column *wanted, const cb_units *units,
                         cb_error *error)
{
    if (!wanted->name) {
        return CB_OK;
    }
    self->place[wanted->quantity] = self->table.columns;
    cbx_column *column =
        cbx_table_add(&self->table, wanted->name, wanted->low, wanted->high, wanted->unit_name);
    column->per_si = wanted->per_si;
    return cbx_column_convert(column, &wanted->unit, self->design, units, error);
}

static cb_status map_columns(reader *self, const cb_units *units, cb_error *error)
{
    const cb_weather_columns *map = &self->design->weather.columns;
    const wanted_column wanted[] = {
        {CBX_AIR,
         map->air_temperature,
         CBX_AIR_LOW_C,
         CBX_AIR_HIGH_C,
         "degC",
         1,
         {map->air_temperature_unit, CB_TEMPERATURE, KEY("air_temperature")}},
        {CBX_DEW,
         map->dew_point,
         CBX_AIR_LOW_C,
         CBX_AIR_HIGH_C,
         "degC",
         1,
         {map->dew_point_unit, CB_TEMPERATURE, KEY("dew_point")}},
        {CBX_SOLAR,
         map->solar,
         0,
         CBX_SOLAR_HIGH_W_M2,
         "W/m2",
         1,
         {map->solar_unit, CB_HEAT_FLUX, KEY("solar")}},
        {CBX_WIND,
         map->wind,
         0,
         CBX_WIND_HIGH_M_S,
         "m/s",
         1,
         {map->wind_unit, CB_SPEED, KEY("wind")}},
        {CBX_LONGWAVE,
         map->longwave,
         CBX_LONGWAVE_LOW_W_M2,
         CBX_LONGWAVE_HIGH_W_M2,
         "W/m2",
         1,
         {NULL, CB_HEAT_FLUX, KEY("longwave")}},
        {CBX_PRECIPITATION,
         map->precipitation,
         0,
         CBX_RAIN_HIGH_KG_M2,
         "mm",
         1000,
         {map->precipitation_unit, CB_LENGTH, KEY("precipitation")}},
        {CBX_SNOW_DEPTH,
         map->snow_depth,
         0,
         CBX_SNOW_HIGH_M,
         "m",
         1,
         {map->snow_depth_unit, CB_LENGTH, KEY("snow_depth")}},
    };
    cb_status status = CB_OK;
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted && status == CB_OK; i++) {
        status = map_one(self, &wanted[i], units, error);
    }
    if (!map->dew_point) {
        map_humidity(self);
    }
    if (status == CB_OK && map->cloud) {
        self->place[CBX_CLOUD] = self->table.columns;
        status = cloud_scale(cbx_table_add(&self->table, map->cloud, 0, 1, "of the sky"),
                             self->design, error);
    }
    return status;
}

// ---- whole file ------------------------------------------------------------------------------

static cb_status check_first(const reader *self, cb_error *error)
{
    const cb_design *design = self->design;
    const cb_weather_columns *map = &design->weather.columns;
    const int day = cb_day_of_year(map->first_month, map->first_day);
    const bool leap_day = map->first_month == 2 && map->first_day == 29;
    if (day < 0 && !(leap_day && self->series.leap_rows > 0)) {
        return cb_design_fail(design, "weather.columns.first", error,
                              "the first row's day, month %d day %d, is not in a year of %ld hours",
                              map->first_month, map->first_day,
                              self->table.rows * self->table.clock.step_minutes / 60);
    }
    const bool stated =
        cb_design_where(design, "weather.columns.first").origin != CB_ORIGIN_DEFAULT;
    if (!stated || self->table.clock.form == CBX_NO_DATE) {
        return CB_OK;
    }
    char date[32];
    cbx_date_text(self->table.clock.first_stamp % CBX_LEAP_YEAR_MINUTES, date);
    const long stated_minute =
        (long)cbx_leap_day_of_year(map->first_month, map->first_day) * CBX_DAY_MINUTES;
    // A row that closes 31 December may be stamped 1 January.
    const long apart = labs(self->table.clock.first_stamp - stated_minute);
    return apart <= CBX_DAY_MINUTES || apart >= CBX_LEAP_YEAR_MINUTES - CBX_DAY_MINUTES
               ? CB_OK
               : cb_design_fail(design, "weather.columns.first", error,
                                "the first row is dated %s, not month %d day %d", date,
                                map->first_month, map->first_day);
}

// A heading such as MJ/m2 was taken for the sum of an hour.
static cb_status check_sums(const reader *self, const cbx_csv *csv, cb_error *error)
{
    const cbx_column *solar = &self->table.column[self->place[CBX_SOLAR]];
    if (!solar->sums || self->table.clock.step_minutes == 60) {
        return CB_OK;
    }
    return cb_fail_at(error, CB_BAD_INPUT, csv->path, self->table.first_line - 1, 0,
                      "column \"%.60s\" holds sums, and a row is %d minutes long; only hourly rows "
                      "of sums are read",
                      solar->name, self->table.clock.step_minutes);
}

static void describe(const reader *self, cb_weather *weather, const cbx_csv *csv)
{
    const cbx_series *series = &self->series;
    const long years = series->rows * series->step_minutes / CBX_YEAR_MINUTES;
    if (years > 1) {
        cbx_describe(weather, "%ld years", years);
    } else {
        cbx_describe(weather, "Year");
    }
    cbx_describe(weather, " read from %.80s", cbx_file_name(csv->path));
    if (series->step_minutes < 60) {
        cbx_describe(weather, ", rows of %d minutes averaged", series->step_minutes);
    }
    if (series->leap_rows > 0) {
        cbx_describe(weather, ", 29 February dropped");
    }
    if (self->place[CBX_LONGWAVE] != ABSENT) {
        cbx_describe(weather, ", sky longwave as measured");
    } else if (self->place[CBX_CLOUD] == ABSENT) {
        cbx_describe(weather, ", clouds estimated from its solar");
    }
}

static cb_status read_open(reader *self, cb_weather *weather, cbx_csv *csv, cb_error *error)
{
    const cb_weather_columns *map = &self->design->weather.columns;
    cb_status status = cbx_csv_skip(csv, map->header_lines, error);
    if (status == CB_OK) {
        status = cbx_table_read(&self->table, csv, error);
    }
    if (status == CB_OK) {
        const cbx_extent extent = {map->first_month, map->first_day, CB_MAX_WEATHER_YEARS};
        status = cbx_series_place(&self->series, &self->table, csv, &extent, error);
    }
    if (status == CB_OK) {
        status = check_first(self, error);
    }
    if (status == CB_OK) {
        status = check_sums(self, csv, error);
    }
    if (status != CB_OK) {
        return status;
    }
    describe(self, weather, csv);
    return cbx_series_finish(&self->series, weather, &self->design->site, csv, error);
}

cb_status cbx_read_columns(cb_weather *weather, const cb_design *design, const cb_units *units,
                           cb_error *error)
{
    const cb_weather_columns *map = &design->weather.columns;
    reader self = {.design = design, .humidity = ABSENT};
    for (int q = 0; q < CBX_QUANTITIES; q++) {
        self.place[q] = ABSENT;
    }
    self.table = (cbx_table){.check_clock = true,
                             .clock = {.dates = true,
                                       .parts = true,
                                       .hour_ending = map->hour_ending,
                                       .first_month = map->first_month,
                                       .first_day = map->first_day},
                             .row = take_row,
                             .context = &self};
    cb_status status = check_required(design, error);
    if (status == CB_OK) {
        status = map_columns(&self, units, error);
    }
    if (status != CB_OK) {
        return status;
    }
    cbx_csv csv;
    status = cbx_csv_open(&csv, design->weather.file, error);
    if (status == CB_OK) {
        status = read_open(&self, weather, &csv, error);
    }
    cbx_csv_close(&csv);
    cbx_series_free(&self.series);
    return status;
}
