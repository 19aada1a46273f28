// SPDX-License-Identifier: MIT
#include "station.h"
#include "station_columns.h"
#include "station_rows.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct reader {
    station_text text;
    station_columns columns;
    station_rows rows;
    station_list *list;
    int first; // of this file's stations in the list
} reader;

static void clear_station(station *one)
{
    for (int n = 0; n < STATION_KINDS; n++) {
        free(one->value[n]);
    }
    for (int d = 0; d < STATION_MOST_DEPTHS; d++) {
        free(one->soil_c[d]);
        free(one->daily_c[d]);
    }
}

static void shorten(station_list *list, int count)
{
    while (list->count > count) {
        clear_station(&list->one[--list->count]);
    }
}

void station_list_free(station_list *list)
{
    shorten(list, 0);
    free(list->one);
    *list = (station_list){0};
}

// The file's name without folders and endings.
static void stem(char *out, size_t size, const char *path)
{
    const char *slash = strrchr(path, '/');
    snprintf(out, size, "%s", slash ? slash + 1 : path);
    static const char *const endings[] = {".gz", ".csv", ".txt"};
    for (size_t n = 0; n < sizeof endings / sizeof *endings; n++) {
        const size_t length = strlen(out), ending = strlen(endings[n]);
        if (length > ending && strcmp(out + length - ending, endings[n]) == 0) {
            out[length - ending] = '\0';
        }
    }
}

static const char *text_of(const reader *self, station_role role)
{
    for (int n = 0; n < self->columns.count; n++) {
        if (self->columns.column[n].role == role) {
            return self->text.field[n];
        }
    }
    return NULL;
}

static double number_of(const reader *self, station_role role)
{
    const char *field = text_of(self, role);
    double value = NAN;
    return field && station_number(field, &value) ? value : NAN;
}

// The station of the present row; -1 without memory.
static int station_of_row(reader *self)
{
    const char *id = text_of(self, STATION_ID), *name = text_of(self, STATION_NAMED);
    for (int n = self->list->count - 1; n >= self->first; n--) {
        const station *one = &self->list->one[n];
        if ((!id || strcmp(one->id, id) == 0) &&
            (id || !name || strncmp(one->name, name, STATION_NAME_SIZE - 1) == 0)) {
            return n;
        }
    }
    station *bigger =
        realloc(self->list->one, (size_t)(self->list->count + 1) * sizeof *self->list->one);
    if (!bigger) {
        return -1;
    }
    self->list->one = bigger;
    station *one = &bigger[self->list->count];
    *one = (station){.latitude_deg = number_of(self, STATION_LATITUDE),
                     .longitude_deg = number_of(self, STATION_LONGITUDE),
                     .elevation_m = number_of(self, STATION_ELEVATION)};
    snprintf(one->file, sizeof one->file, "%s", self->text.path);
    snprintf(one->id, sizeof one->id, "%s", id ? id : "");
    if (name) {
        snprintf(one->name, sizeof one->name, "%s", name);
    } else {
        stem(one->name, sizeof one->name, self->text.path);
    }
    return self->list->count++;
}

static cb_status read_time(reader *self, long *minute, cb_error *error)
{
    const char *stamp = text_of(self, STATION_TIME), *clock = text_of(self, STATION_CLOCK);
    long day;
    int of_day;
    if (!station_date(stamp, &day, &of_day)) {
        return station_text_fail(&self->text, error,
                                 "\"%.40s\" is no date; expected e.g. 2020-01-31, 20200131 or "
                                 "1/31/20, with or without a time of day",
                                 stamp);
    }
    if (clock) { // these columns name the hour's end
        if (!station_clock(clock, &of_day)) {
            return station_text_fail(&self->text, error, "\"%.40s\" is no time of day", clock);
        }
        of_day -= 60;
    }
    *minute = day * 1440 + of_day;
    return CB_OK;
}

static cb_status read_values(reader *self, double *value, cb_error *error)
{
    for (int second = 0; second < 2; second++) {
        for (int n = 0; n < self->columns.count; n++) {
            const station_column *column = &self->columns.column[n];
            const bool wanted = column->role == STATION_WEATHER || column->role == STATION_SOIL;
            if (!wanted || column->second != second) {
                continue;
            }
            const int place = column->index + (column->role == STATION_SOIL ? STATION_KINDS : 0);
            double number;
            if (!station_number(self->text.field[n], &number)) {
                return station_text_fail(&self->text, error,
                                         "column %d: \"%.40s\" is no number and no word for a "
                                         "missing value",
                                         n + 1, self->text.field[n]);
            }
            if (isnan(value[place])) {
                value[place] = column->offset + column->scale * number;
            }
        }
    }
    return CB_OK;
}

static void drop_flagged(const reader *self, double *value)
{
    for (int n = 0; n < self->columns.count; n++) {
        const station_column *column = &self->columns.column[n];
        double flag;
        if (column->role == STATION_FLAG && station_number(self->text.field[n], &flag) &&
            flag != 0.0) {
            const station_column *judged = &self->columns.column[column->index];
            if (judged->role == STATION_WEATHER) {
                value[judged->index] = NAN;
            }
        }
    }
}

static cb_status read_row(reader *self, cb_error *error)
{
    if (self->text.fields != self->columns.count) {
        return station_text_fail(&self->text, error, "the line has %d values; expected %d",
                                 self->text.fields, self->columns.count);
    }
    const int owner = station_of_row(self);
    double *value = owner >= 0 ? station_rows_add(&self->rows, owner) : NULL;
    if (!value) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to read %s", self->text.path);
    }
    long minute = 0;
    cb_status status = read_time(self, &minute, error);
    if (status == CB_OK) {
        station_rows_time(&self->rows, minute);
        status = read_values(self, value, error);
    }
    drop_flagged(self, value);
    return status;
}

static cb_status read_file(reader *self, const char *path, cb_error *error)
{
    cb_status status = station_text_open(&self->text, path, error);
    if (status == CB_OK) {
        status = station_columns_find(&self->columns, &self->text, error);
    }
    if (status == CB_OK) {
        self->rows.width = STATION_KINDS + self->columns.depths;
    }
    while (status == CB_OK && station_text_next(&self->text, false)) {
        status = read_row(self, error);
    }
    if (status == CB_OK && self->list->count == self->first) {
        status = station_text_fail(&self->text, error, "the file has names but no values");
    }
    for (int n = self->first; n < self->list->count && status == CB_OK; n++) {
        status = station_rows_lay_out(&self->rows, n, &self->columns, &self->list->one[n], error);
        if (status == CB_OK) {
            status = station_daily_soil(&self->list->one[n], error);
        }
    }
    return status;
}

cb_status station_read(station_list *list, const char *path, cb_error *error)
{
    reader self = {.list = list, .first = list->count};
    const cb_status status = read_file(&self, path, error);
    if (status != CB_OK) {
        shorten(list, self.first);
    }
    station_rows_free(&self.rows);
    station_text_close(&self.text);
    return status;
}
