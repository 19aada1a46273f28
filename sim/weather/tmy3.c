// SPDX-License-Identifier: MIT
/// TMY3-style CSV: a line about the station, a row of names, 8760 rows stamped with the end of
/// their hour (01:00..24:00) in local standard time. The months come from different years, so the
/// year of a date means nothing and month, day and hour must run on without a gap.
#include "weather/calendar.h"
#include "weather/limits.h"
#include "weather/source.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct reader {
    cbx_table table;
    cbx_raw_hour *raw; // [CB_YEAR_HOURS]
} reader;

enum { AIR, DEW, SOLAR, WIND };

// Hour of the year (0..8759) that a date MM/DD/YYYY and a time HH:MM close; -1 if they do not.
static long closed_hour(const char *date, const char *time)
{
    int month = 0, day = 0, hour = 0, minute = 0, date_used = 0, time_used = 0;
    if (sscanf(date, "%2d/%2d/%*4d%n", &month, &day, &date_used) != 2 || date[date_used] ||
        sscanf(time, "%2d:%2d%n", &hour, &minute, &time_used) != 2 || time[time_used]) {
        return -1;
    }
    const int day_of_year = cb_day_of_year(month, day);
    if (day_of_year < 0 || hour < 1 || hour > 24 || minute != 0) {
        return -1;
    }
    return 24L * day_of_year + hour - 1;
}

static cb_status check_date(const cbx_csv *csv, long row, cb_error *error)
{
    const char *date = csv->field[0].text, *time = csv->field[1].text;
    const long got = closed_hour(date, time);
    if (got == row) {
        return CB_OK;
    }
    int month = 0, day = 0;
    cbx_month_day((int)(row / 24), &month, &day);
    const int hour = (int)(row % 24) + 1;
    if (got < 0) {
        return cbx_csv_fail(csv, 0, error,
                            "\"%.20s %.20s\" is not a date MM/DD/YYYY (without 29 February) and an "
                            "hour 01:00 to 24:00; expected %02d/%02d %02d:00",
                            date, time, month, day, hour);
    }
    return cbx_csv_fail(csv, 0, error, "expected %02d/%02d %02d:00, found \"%.20s %.20s\": %s",
                        month, day, hour, date, time,
                        got > row ? "an hour is missing" : "an hour is repeated");
}

static cb_status take_row(void *context, const cbx_csv *csv, long row, const double *value,
                          cb_error *error)
{
    reader *self = context;
    const cb_status status = check_date(csv, row, error);
    if (status != CB_OK) {
        return status;
    }
    self->raw[row] = (cbx_raw_hour){.air_c = value[AIR],
                                    .dew_c = value[DEW],
                                    .solar_w_m2 = value[SOLAR],
                                    .wind_m_s = value[WIND]};
    return cbx_check_dew(csv, self->table.column[DEW].index, value[AIR], value[DEW], error);
}

// "code, name, state, time zone, latitude, longitude, elevation"
cb_status cbx_tmy3_place(cbx_file_place *place, cbx_csv *csv, cb_error *error)
{
    const struct {
        const char *what;
        double low, high, *number;
        int field;
    } row[] = {
        {"time zone", -12, 14, &place->time_zone_h, 3},
        {"latitude", -90, 90, &place->latitude_deg, 4},
        {"longitude", -180, 180, &place->longitude_deg, 5},
        {"elevation", -500, 9000, &place->elevation_m, 6},
    };
    bool more = false;
    const cb_status status = cbx_csv_next(csv, &more, error);
    if (status != CB_OK) {
        return status;
    }
    if (csv->count != 7) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 1,
                          "the first line has %d fields; expected the 7 of a TMY3 station line "
                          "(code, name, state, time zone, latitude, longitude, elevation)",
                          csv->count);
    }
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const char *text = csv->field[row[i].field].text;
        if (!cbx_csv_real(csv, text, row[i].number) || *row[i].number < row[i].low ||
            *row[i].number > row[i].high) {
            return cbx_csv_fail(csv, row[i].field, error,
                                "the %s is \"%.40s\"; expected a number %g to %g", row[i].what,
                                text, row[i].low, row[i].high);
        }
    }
    return CB_OK;
}

static cb_status read_station(cb_weather *weather, const cb_site *site, cbx_csv *csv,
                              cb_error *error)
{
    cbx_file_place place;
    const cb_status status = cbx_tmy3_place(&place, csv, error);
    if (status == CB_OK) {
        cbx_describe(weather,
                     "Typical year of %.60s, %.20s, read from %.60s, its rain column left aside",
                     csv->field[1].text, csv->field[2].text, cbx_file_name(csv->path));
        cbx_note_place(weather, site, &place);
    }
    return status;
}

static cb_status read_open(reader *self, cb_weather *weather, const cb_site *site, cbx_csv *csv,
                           cb_error *error)
{
    const cb_status status = read_station(weather, site, csv, error);
    if (status != CB_OK) {
        return status;
    }
    self->table = (cbx_table){
        .accepted_rows = {CB_YEAR_HOURS, CB_YEAR_HOURS}, .row = take_row, .context = self};
    cbx_table *table = &self->table;
    cbx_table_add(table, "Dry-bulb (C)", CBX_AIR_LOW_C, CBX_AIR_HIGH_C, "degC");
    cbx_table_add(table, "Dew-point (C)", CBX_AIR_LOW_C, CBX_AIR_HIGH_C, "degC");
    cbx_table_add(table, "GHI (W/m^2)", 0, CBX_SOLAR_HIGH_W_M2, "W/m2");
    cbx_table_add(table, "Wspd (m/s)", 0, CBX_WIND_HIGH_M_S, "m/s");
    return cbx_table_read(table, csv, error);
}

// The file's total sky cover is left alone: it counts thin high clouds in full and gives about
// 20 W/m2 more sky longwave than clouds by solar, which agree with reanalysis (weather/README.md).
static void finish(const reader *self, cb_weather *weather, const cb_site *site)
{
    cbx_cloud_from_solar(site, self->raw);
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        cbx_finish_hour(weather, hour, &self->raw[hour]);
    }
}

cb_status cbx_read_tmy3(cb_weather *weather, const cb_design *design, cb_error *error)
{
    reader self = {.raw = calloc(CB_YEAR_HOURS, sizeof *self.raw)};
    if (!self.raw) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a year of weather");
    }
    cbx_csv csv;
    cb_status status = cbx_csv_open(&csv, design->weather.file, error);
    if (status == CB_OK) {
        status = read_open(&self, weather, &design->site, &csv, error);
    }
    if (status == CB_OK) {
        finish(&self, weather, &design->site);
        memcpy(weather->sha256, csv.sha256, sizeof weather->sha256);
        status = cbx_check_sun(weather, &design->site, &csv, false, error);
    }
    cbx_csv_close(&csv);
    free(self.raw);
    return status;
}
