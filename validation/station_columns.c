// SPDX-License-Identifier: MIT
#include "station_columns.h"
#include "station_names.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST_LINES_BEFORE_NAMES = 20 };

static bool has_role(const station_columns *columns, station_role role, int index)
{
    for (int n = 0; n < columns->count; n++) {
        const station_column *one = &columns->column[n];
        if (one->role == role && one->index == index && !one->second) {
            return true;
        }
    }
    return false;
}

static int column_named(char names[][STATION_COLUMN_NAME_SIZE], int count, const char *name)
{
    for (int n = 0; n < count; n++) {
        if (strcmp(names[n], name) == 0) {
            return n;
        }
    }
    return -1;
}

// SOLARAD_FLAG judges SOLARAD.
static void find_flagged(station_columns *columns, char names[][STATION_COLUMN_NAME_SIZE])
{
    for (int n = 0; n < columns->count; n++) {
        const size_t length = strlen(names[n]);
        if (length > 5 && strcmp(names[n] + length - 5, "_flag") == 0) {
            names[n][length - 5] = '\0';
            const int judged = column_named(names, columns->count, names[n]);
            if (judged >= 0) {
                columns->column[n].role = STATION_FLAG;
                columns->column[n].index = judged;
            }
        }
    }
}

static void add(station_columns *columns, const char *name)
{
    double depth_m = NAN;
    station_column column = station_named_column(name, &depth_m);
    if (column.role == STATION_SOIL) {
        for (int d = 0; d < columns->depths; d++) {
            if (fabs(columns->depth_m[d] - depth_m) < 1e-6) {
                column.role = STATION_IGNORED; // a second probe at the same depth
            }
        }
        if (columns->depths == STATION_MOST_DEPTHS) {
            column.role = STATION_IGNORED;
        }
        if (column.role == STATION_SOIL) {
            column.index = columns->depths;
            columns->depth_m[columns->depths++] = depth_m;
        }
    } else if (column.role == STATION_TIME && has_role(columns, STATION_TIME, 0)) {
        column.role = strcmp(name, "time") == 0 ? STATION_CLOCK : STATION_IGNORED;
    } else if (column.role != STATION_IGNORED && !column.second &&
               has_role(columns, column.role, column.index)) {
        column.role = STATION_IGNORED; // the first of a kind counts
    }
    columns->column[columns->count++] = column;
}

static void read_names(station_columns *columns, char *const *field, int fields)
{
    char names[STATION_MOST_FIELDS][STATION_COLUMN_NAME_SIZE];
    *columns = (station_columns){0};
    for (int n = 0; n < fields; n++) {
        station_plain_name(field[n], names[n]);
        add(columns, names[n]);
    }
    find_flagged(columns, names);
}

static void read_product(station_columns *columns, const char *product)
{
    char *field[STATION_MOST_FIELDS], copy[2048], *rest;
    int fields = 0;
    snprintf(copy, sizeof copy, "%s", product);
    for (char *name = strtok_r(copy, " ", &rest); name; name = strtok_r(NULL, " ", &rest)) {
        field[fields++] = name;
    }
    read_names(columns, field, fields);
}

static bool all_digits(const char *field, size_t count)
{
    return strlen(field) == count && strspn(field, "0123456789") == count;
}

static const char *product_of(const station_text *text)
{
    const bool shape = text->separator == ' ' && text->fields > 2 && all_digits(text->field[1], 8);
    return shape && isdigit((unsigned char)text->field[0][0])
               ? station_unnamed_product(text->fields)
               : NULL;
}

cb_status station_columns_find(station_columns *columns, station_text *text, cb_error *error)
{
    bool soil = false;
    if (!station_text_next(text, true)) {
        return station_text_fail(text, error, "the file has no lines");
    }
    const char *product = product_of(text);
    if (product) { // the line holds values: read it again
        read_product(columns, product);
        station_text_again(text);
        return CB_OK;
    }
    for (int n = 0; n < MOST_LINES_BEFORE_NAMES; n++) {
        read_names(columns, text->field, text->fields);
        if (columns->depths > 0 && has_role(columns, STATION_TIME, 0)) {
            return CB_OK;
        }
        soil = soil || columns->depths > 0;
        if (!station_text_next(text, true)) {
            break;
        }
    }
    text->line = 1;
    return station_text_fail(
        text, error,
        soil ? "the row of names has no column for the time (date, datetime, lst_date, time ...)"
             : "no format this command knows: expected a row of names with soil temperatures "
               "(T5cm, t_100cm_C, soil_temp_50_daily, soiltemp_5cm ...) and a time, or the text of "
               "the US Climate Reference Network with 38 (hourly02) or 28 (daily01) columns");
}
