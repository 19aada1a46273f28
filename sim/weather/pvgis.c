// SPDX-License-Identifier: MIT
/// Typical-year CSV of the European Union's solar tool: lines "label: value" about the place, a
/// table of the years that the months were taken from, a row of names, 8760 rows in UTC, then notes
/// after a blank line. The year is turned to the site's clock.
#include "weather/dates.h"
#include "weather/limits.h"
#include "weather/series.h"
#include "weather/sky.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { AIR, HUMIDITY, SOLAR, LONGWAVE, WIND };

typedef struct reader {
    const cb_design *design;
    cbx_table table;
    cbx_file_place place;
    double solar_late_h; // "Irradiance Time Offset"
    int year_of[13];     // by month, 1..12
    cbx_series series;
} reader;

typedef struct head_line {
    const char *label;
    double low, high;
    double *number;
    bool found;
} head_line;

// "label: value"
static cb_status take_head_line(head_line *lines, size_t count, const cbx_csv *csv, cb_error *error)
{
    const char *text = csv->field[0].text;
    for (size_t i = 0; i < count; i++) {
        const size_t length = strlen(lines[i].label);
        if (strncmp(text, lines[i].label, length) != 0 || text[length] != ':') {
            continue;
        }
        const char *value = text + length + 1;
        value += strspn(value, " \t");
        if (!cbx_csv_real(csv, value, lines[i].number) || *lines[i].number < lines[i].low ||
            *lines[i].number > lines[i].high) {
            return cbx_csv_fail(csv, 0, error, "%s is \"%.40s\"; expected a number %g to %g",
                                lines[i].label, value, lines[i].low, lines[i].high);
        }
        lines[i].found = true;
    }
    return CB_OK;
}

static cb_status read_place(reader *self, cbx_csv *csv, cb_error *error)
{
    head_line lines[] = {
        {"Latitude (decimal degrees)", -90, 90, &self->place.latitude_deg, false},
        {"Longitude (decimal degrees)", -180, 180, &self->place.longitude_deg, false},
        {"Elevation (m)", -500, 9000, &self->place.elevation_m, false},
        {"Irradiance Time Offset (h)", -1, 1, &self->solar_late_h, true}, // older files have none
    };
    const size_t count = sizeof lines / sizeof *lines;
    bool more = true;
    while (more) {
        cb_status status = cbx_csv_next(csv, &more, error);
        if (status != CB_OK) {
            return status;
        }
        if (!more || (csv->count == 2 && strcmp(csv->field[0].text, "month") == 0)) {
            break;
        }
        status = take_head_line(lines, count, csv, error);
        if (status != CB_OK) {
            return status;
        }
    }
    for (size_t i = 0; i < count; i++) {
        if (!lines[i].found) {
            return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                              "no line \"%s: ...\" was found; expected the head of a PVGIS typical "
                              "year",
                              lines[i].label);
        }
    }
    return more
               ? CB_OK
               : cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                            "no line \"month,year\" was found; expected a PVGIS typical year (TMY) "
                            "in CSV");
}

cb_status cbx_pvgis_place(cbx_file_place *place, cbx_csv *csv, cb_error *error)
{
    reader self = {.place = {NAN, NAN, NAN, NAN}};
    const cb_status status = read_place(&self, csv, error);
    *place = self.place;
    return status;
}

static cb_status read_months(reader *self, cbx_csv *csv, cb_error *error)
{
    for (int month = 1; month <= 12; month++) {
        bool more = false;
        const cb_status status = cbx_csv_next(csv, &more, error);
        if (status != CB_OK) {
            return status;
        }
        double number = 0, year = 0;
        if (!more || csv->count != 2 || !cbx_csv_real(csv, csv->field[0].text, &number) ||
            number != month || !cbx_csv_real(csv, csv->field[1].text, &year) || year < 1900 ||
            year > 2200) {
            return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, more ? 1 : 0,
                              "expected month %d and the year it was taken from", month);
        }
        self->year_of[month] = (int)year;
    }
    return CB_OK;
}

static cb_status take_row(void *context, const cbx_csv *csv, long row, const double *value,
                          cb_error *error)
{
    (void)row;
    reader *self = context;
    const cbx_clock *clock = &self->table.clock;
    if (clock->form != CBX_DATE_COMPACT || !clock->shows_time) {
        return cbx_csv_fail(csv, 0, error, "\"%.40s\" is not a time such as 20180131:2300",
                            csv->field[0].text);
    }
    if (clock->year != self->year_of[clock->month]) {
        return cbx_csv_fail(csv, clock->date_field, error,
                            "\"%.40s\" is not of %d, the year the file gives for month %d",
                            csv->field[clock->date_field].text, self->year_of[clock->month],
                            clock->month);
    }
    cbx_reading reading = cbx_no_reading();
    reading.value[CBX_AIR] = value[AIR];
    reading.value[CBX_DEW] = cbx_dew_point_c(value[AIR], value[HUMIDITY]);
    reading.value[CBX_SOLAR] = value[SOLAR];
    reading.value[CBX_LONGWAVE] = value[LONGWAVE];
    reading.value[CBX_WIND] = value[WIND];
    const cb_status status = cbx_check_dew(csv, self->table.column[HUMIDITY].index, value[AIR],
                                           reading.value[CBX_DEW], error);
    return status == CB_OK ? cbx_series_add(&self->series, &reading, clock->on_leap_day, error)
                           : status;
}

static void add_columns(cbx_table *table)
{
    cbx_table_add(table, "T2m", CBX_AIR_LOW_C, CBX_AIR_HIGH_C, "degC");
    cbx_table_add(table, "RH", 0.001, 1.05, "of saturation")->scale = 0.01;
    cbx_table_add(table, "G(h)", 0, CBX_SOLAR_HIGH_W_M2, "W/m2");
    cbx_table_add(table, "IR(h)", CBX_LONGWAVE_LOW_W_M2, CBX_LONGWAVE_HIGH_W_M2, "W/m2");
    cbx_table_add(table, "WS10m", 0, CBX_WIND_HIGH_M_S, "m/s");
}

static cb_status read_file(reader *self, cbx_csv *csv, cb_error *error)
{
    cb_status status = read_place(self, csv, error);
    if (status == CB_OK) {
        status = read_months(self, csv, error);
    }
    if (status == CB_OK) {
        status = cbx_table_read(&self->table, csv, error);
    }
    if (status == CB_OK) {
        const cbx_extent extent = {1, 1, 1};
        status = cbx_series_place(&self->series, &self->table, csv, &extent, error);
    }
    return status;
}

static cb_status finish(reader *self, cb_weather *weather, const cbx_csv *csv, cb_error *error)
{
    const cb_site *site = &self->design->site;
    self->series.turned = true;
    self->series.ahead_of_file_h = site->time_zone_h;
    self->series.solar_late_min = 60.0 * self->solar_late_h;
    cbx_describe(weather,
                 "Typical year of %.2f, %.2f (latitude, longitude), read from %.60s (PVGIS)%s, "
                 "turned from UTC, sky longwave as the file has it",
                 self->place.latitude_deg, self->place.longitude_deg, cbx_file_name(csv->path),
                 self->series.leap_rows > 0 ? ", 29 February dropped" : "");
    cbx_note_place(weather, site, &self->place);
    return cbx_series_finish(&self->series, weather, site, csv, error);
}

cb_status cbx_read_pvgis(cb_weather *weather, const cb_design *design, cb_error *error)
{
    reader self = {.design = design, .place = {NAN, NAN, NAN, NAN}, .series = {.instants = true}};
    self.table = (cbx_table){
        .check_clock = true, .clock = {.dates = true}, .row = take_row, .context = &self};
    add_columns(&self.table);
    cbx_csv csv;
    cb_status status = cbx_csv_open(&csv, design->weather.file, error);
    if (status == CB_OK) {
        csv.notes_follow = true;
        status = read_file(&self, &csv, error);
    }
    if (status == CB_OK) {
        status = finish(&self, weather, &csv, error);
    }
    cbx_csv_close(&csv);
    cbx_series_free(&self.series);
    return status;
}
