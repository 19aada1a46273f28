// SPDX-License-Identifier: MIT
/// CSV of a national solar radiation data base: a line of labels, a line of their values (place,
/// time zone, units), a row of names, then rows at even steps with Year, Month, Day, Hour, Minute.
/// Values are instants at their stamps (weather/README.md says how that was found).
#include "weather/heading.h"
#include "weather/limits.h"
#include "weather/series.h"
#include "weather/sky.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// The labels of the first line; their values are the fields of the second.
typedef struct labels {
    const char **name; // [count], owned; the text is the open file's
    int count;
} labels;

typedef struct reader {
    const cb_design *design;
    cbx_table table;
    int air, dew, humidity, solar, wind; // places in the table; -1: absent
    cbx_file_place place;
    double file_zone_h; // of the rows' stamps
    cbx_series series;
} reader;

static cb_status next_line(cbx_csv *csv, const char *what, cb_error *error)
{
    bool more = false;
    const cb_status status = cbx_csv_next(csv, &more, error);
    return status != CB_OK || more ? status
                                   : cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                                                "the file ends before its line of %s", what);
}

static cb_status read_labels(labels *l, cbx_csv *csv, cb_error *error)
{
    const cb_status status = next_line(csv, "labels", error);
    if (status != CB_OK) {
        return status;
    }
    l->name = calloc((size_t)csv->count, sizeof *l->name);
    if (!l->name) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for %s", csv->path);
    }
    for (l->count = 0; l->count < csv->count; l->count++) {
        l->name[l->count] = csv->field[l->count].text;
    }
    return CB_OK;
}

// Field of the line of values (now read) that a label stands over; -1 if there is none.
static int find_label(const labels *l, const cbx_csv *values, const char *name)
{
    for (int i = 0; i < l->count && i < values->count; i++) {
        if (strcmp(l->name[i], name) == 0) {
            return i;
        }
    }
    return -1;
}

typedef struct number_wanted {
    const char *label;
    double low, high;
} number_wanted;

static cb_status read_number(const labels *l, const cbx_csv *csv, const number_wanted *wanted,
                             double *number, cb_error *error)
{
    const int field = find_label(l, csv, wanted->label);
    if (field < 0) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line - 1, 1,
                          "the first line has no label \"%s\"; expected the two lines about the "
                          "place of an NSRDB file",
                          wanted->label);
    }
    const char *text = csv->field[field].text;
    if (!cbx_csv_real(csv, text, number) || *number < wanted->low || *number > wanted->high) {
        return cbx_csv_fail(csv, field, error, "%s is \"%.40s\"; expected a number %g to %g",
                            wanted->label, text, wanted->low, wanted->high);
    }
    return CB_OK;
}

static cb_status read_place(reader *self, const labels *l, const cbx_csv *csv, cb_error *error)
{
    const struct {
        number_wanted wanted;
        double *number;
    } row[] = {
        {{"Latitude", -90, 90}, &self->place.latitude_deg},
        {{"Longitude", -180, 180}, &self->place.longitude_deg},
        {{"Elevation", -500, 9000}, &self->place.elevation_m},
        {{"Time Zone", -12, 14}, &self->file_zone_h},
        {{"Local Time Zone", -12, 14}, &self->place.time_zone_h},
    };
    cb_status status = CB_OK;
    for (size_t i = 0; i < sizeof row / sizeof *row && status == CB_OK; i++) {
        status = read_number(l, csv, &row[i].wanted, row[i].number, error);
    }
    return status;
}

// Unit of a column from the two lines; only units of the right measure are taken.
static cb_status read_unit(cbx_column *column, const char *label, const labels *l,
                           const cbx_csv *csv, cb_error *error)
{
    const int field = find_label(l, csv, label);
    if (field < 0) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line - 1, 1,
                          "the first line has no label \"%s\", so the unit of column \"%s\" is not "
                          "known",
                          label, column->name);
    }
    const char *text = csv->field[field].text;
    const cbx_heading_unit *unit = cbx_heading_unit_find(text);
    if (!unit || unit->measure != column->measure) {
        return cbx_csv_fail(csv, field, error,
                            "%s is \"%.40s\", which is not known as a unit of %s; expected e.g. %s",
                            label, text, cbx_measure_name(column->measure), column->unit_name);
    }
    column->scale = unit->scale;
    column->offset = unit->offset;
    return CB_OK;
}

// Which moisture column there is shows in the unit labels, before the row of names is read.
static cb_status add_columns(reader *self, const labels *l, const cbx_csv *csv, cb_error *error)
{
    const bool dew = find_label(l, csv, "Dew Point Units") >= 0;
    const struct {
        int *place;
        const char *name, *label;
        double low, high;
        cbx_measure measure;
        const char *unit_name;
    } row[] = {
        {&self->air, "Temperature", "Temperature Units", CBX_AIR_LOW_C, CBX_AIR_HIGH_C,
         CBX_MEASURE_TEMPERATURE, "degC"},
        {&self->dew, "Dew Point", "Dew Point Units", CBX_AIR_LOW_C, CBX_AIR_HIGH_C,
         CBX_MEASURE_TEMPERATURE, "degC"},
        {&self->humidity, "Relative Humidity", "Relative Humidity Units", 0.001, 1.05,
         CBX_MEASURE_SHARE, "of saturation"},
        {&self->solar, "GHI", "GHI Units", 0, CBX_SOLAR_HIGH_W_M2, CBX_MEASURE_FLUX, "W/m2"},
        {&self->wind, "Wind Speed", "Wind Speed Units", 0, CBX_WIND_HIGH_M_S, CBX_MEASURE_SPEED,
         "m/s"},
    };
    cb_status status = CB_OK;
    for (size_t i = 0; i < sizeof row / sizeof *row && status == CB_OK; i++) {
        if (row[i].place == (dew ? &self->humidity : &self->dew)) {
            continue;
        }
        *row[i].place = self->table.columns;
        cbx_column *column =
            cbx_table_add(&self->table, row[i].name, row[i].low, row[i].high, row[i].unit_name);
        column->measure = row[i].measure;
        status = read_unit(column, row[i].label, l, csv, error);
    }
    return status;
}

static cb_status take_row(void *context, const cbx_csv *csv, long row, const double *value,
                          cb_error *error)
{
    reader *self = context;
    if (row == 0 && self->table.clock.form != CBX_DATE_COLUMNS) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line - 1, 1,
                          "the row of names has no Month and Day; expected Year, Month, Day, Hour, "
                          "Minute");
    }
    cbx_reading reading = cbx_no_reading();
    reading.value[CBX_AIR] = value[self->air];
    reading.value[CBX_SOLAR] = value[self->solar];
    reading.value[CBX_WIND] = value[self->wind];
    const int moist = self->dew >= 0 ? self->dew : self->humidity;
    reading.value[CBX_DEW] =
        self->dew >= 0 ? value[moist] : cbx_dew_point_c(value[self->air], value[moist]);
    const cb_status status = cbx_check_dew(csv, self->table.column[moist].index, value[self->air],
                                           reading.value[CBX_DEW], error);
    return status == CB_OK
               ? cbx_series_add(&self->series, &reading, self->table.clock.on_leap_day, error)
               : status;
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
    cbx_describe(weather,
                 " of %.2f, %.2f (latitude, longitude), read from %.60s, NSRDB rows of %d "
                 "minutes",
                 self->place.latitude_deg, self->place.longitude_deg, cbx_file_name(csv->path),
                 series->step_minutes);
    if (series->leap_rows > 0) {
        cbx_describe(weather, ", 29 February dropped");
    }
    if (series->ahead_of_file_h != 0) {
        cbx_describe(weather, ", turned from UTC%+g h", self->file_zone_h);
    }
    cbx_describe(weather, ", clouds estimated from its solar");
}

// columns: whether the units in the head are wanted too, for the rows that follow.
static cb_status read_head(reader *self, bool columns, cbx_csv *csv, cb_error *error)
{
    labels l = {0};
    cb_status status = read_labels(&l, csv, error);
    if (status == CB_OK) {
        status = next_line(csv, "values of the labels", error);
    }
    if (status == CB_OK) {
        status = read_place(self, &l, csv, error);
    }
    if (status == CB_OK && columns) {
        status = add_columns(self, &l, csv, error);
    }
    free(l.name);
    return status;
}

cb_status cbx_nsrdb_place(cbx_file_place *place, cbx_csv *csv, cb_error *error)
{
    reader self = {0};
    const cb_status status = read_head(&self, false, csv, error);
    *place = self.place;
    return status;
}

static cb_status read_open(reader *self, cb_weather *weather, cbx_csv *csv, cb_error *error)
{
    const cb_site *site = &self->design->site;
    self->series.instants = true;
    cb_status status = read_head(self, true, csv, error);
    if (status == CB_OK) {
        status = cbx_table_read(&self->table, csv, error);
    }
    if (status == CB_OK) {
        const cbx_extent extent = {1, 1, CB_MAX_WEATHER_YEARS};
        status = cbx_series_place(&self->series, &self->table, csv, &extent, error);
    }
    if (status != CB_OK) {
        return status;
    }
    self->series.turned = true;
    self->series.ahead_of_file_h = site->time_zone_h - self->file_zone_h;
    describe(self, weather, csv);
    cbx_note_place(weather, site, &self->place);
    return cbx_series_finish(&self->series, weather, site, csv, error);
}

cb_status cbx_read_nsrdb(cb_weather *weather, const cb_design *design, cb_error *error)
{
    reader self = {.design = design, .dew = -1, .humidity = -1};
    self.table = (cbx_table){.check_clock = true,
                             .clock = {.dates = true, .parts = true},
                             .row = take_row,
                             .context = &self};
    cbx_csv csv;
    cb_status status = cbx_csv_open(&csv, design->weather.file, error);
    if (status == CB_OK) {
        status = read_open(&self, weather, &csv, error);
    }
    cbx_csv_close(&csv);
    cbx_series_free(&self.series);
    return status;
}
