// SPDX-License-Identifier: MIT
#include "weather/table.h"

#include <assert.h>
#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { DAY_MINUTES = 1440 };

cbx_column *cbx_table_add(cbx_table *table, const char *name, double low, double high,
                          const char *unit_name)
{
    assert(table->columns < CBX_TABLE_COLUMNS && name);
    cbx_column *column = &table->column[table->columns++];
    *column = (cbx_column){
        .name = name, .scale = 1, .low = low, .high = high, .unit_name = unit_name, .index = -1};
    return column;
}

cb_status cbx_column_convert(cbx_column *column, const cbx_column_unit *unit,
                             const cb_design *design, const cb_units *units, cb_error *error)
{
    column->key = unit->key;
    if (!unit->unit) {
        return CB_OK;
    }
    // Units of one kind differ by a scale and an offset only, which two values give.
    char zero_text[80], hundred_text[80];
    double zero = 0, hundred = 0;
    snprintf(zero_text, sizeof zero_text, "0 %s", unit->unit);
    snprintf(hundred_text, sizeof hundred_text, "100 %s", unit->unit);
    if (cb_units_parse(units, unit->kind, zero_text, &zero, NULL) != CB_OK ||
        cb_units_parse(units, unit->kind, hundred_text, &hundred, NULL) != CB_OK) {
        return cb_design_fail(design, unit->unit_key, error,
                              "\"%.40s\" (column \"%.60s\") is not a unit of %s; units as in %s or "
                              "%s are understood",
                              unit->unit, column->name, cb_kind_name(unit->kind),
                              cb_kind_us_example(unit->kind), cb_kind_si_example(unit->kind));
    }
    column->offset = zero;
    column->scale = (hundred - zero) / 100.0;
    return CB_OK;
}

// Where a row shows its time of day: a field with "H:MM" in it, or a column named "hour".
typedef struct clock_place {
    int field; // -1: nowhere
    bool hours_only;
} clock_place;

// `rest` follows the minutes; "am" or "pm" in it says that the hour is one of twelve.
static int on_24_hours(int hour, const char *rest)
{
    rest += strspn(rest, ":0123456789 ");
    if (strncasecmp(rest, "am", 2) == 0) {
        return hour % 12;
    }
    return strncasecmp(rest, "pm", 2) == 0 ? hour % 12 + 12 : hour;
}

// Minute of the day of the first "H:MM" or "HH:MM" in text; -1 if there is none.
static int clock_minute(const char *text)
{
    for (const char *colon = strchr(text, ':'); colon; colon = strchr(colon + 1, ':')) {
        if (colon == text || !isdigit((unsigned char)colon[-1]) ||
            !isdigit((unsigned char)colon[1]) || !isdigit((unsigned char)colon[2])) {
            continue;
        }
        int hour = colon[-1] - '0';
        const bool two = colon - text >= 2 && isdigit((unsigned char)colon[-2]);
        if (two) {
            hour += 10 * (colon[-2] - '0');
        }
        const bool longer = two && colon - text >= 3 && isdigit((unsigned char)colon[-3]);
        const int minute = 10 * (colon[1] - '0') + (colon[2] - '0');
        hour = on_24_hours(hour, colon + 3);
        if (!longer && minute < 60 && 60 * hour + minute <= DAY_MINUTES) {
            return 60 * hour + minute;
        }
    }
    return -1;
}

static int row_minute(const cbx_csv *csv, clock_place place)
{
    const char *text = csv->field[place.field].text;
    if (!place.hours_only) {
        return clock_minute(text);
    }
    int hour = 0, used = 0;
    const bool ok = sscanf(text, "%4d%n", &hour, &used) == 1 && text[used] == '\0' && hour >= 0;
    if (!ok) {
        return -1;
    }
    return hour <= 24 ? 60 * hour : 60 * (hour % 24); // some files count the hours of the year
}

static int hour_column(const cbx_csv *csv)
{
    for (int i = 0; i < csv->count; i++) {
        if (strcasecmp(csv->field[i].text, "hour") == 0) {
            return i;
        }
    }
    return -1;
}

static clock_place find_clock(const cbx_csv *first_row, int named_hour)
{
    for (int i = 0; i < first_row->count; i++) {
        if (clock_minute(first_row->field[i].text) >= 0) {
            return (clock_place){i, false};
        }
    }
    return (clock_place){named_hour, true};
}

static cb_status check_clock(const cbx_table *table, const cbx_csv *csv, clock_place place,
                             long row, cb_error *error)
{
    const int got = row_minute(csv, place);
    const char *text = csv->field[place.field].text;
    if (got < 0) {
        return cbx_csv_fail(csv, place.field, error, "\"%.40s\" is not a time of day", text);
    }
    const int want = (int)((table->first_minute + 60 * (row % 24)) % DAY_MINUTES);
    const int late = (got - want + 2 * DAY_MINUTES) % DAY_MINUTES;
    if (late == 0) {
        return CB_OK;
    }
    const char *what = late > DAY_MINUTES / 2 ? "an hour is repeated or rows come more often than "
                                                "once an hour"
                                              : "an hour is missing";
    return cbx_csv_fail(csv, place.field, error, "expected %02d:%02d, found \"%.40s\": %s",
                        want / 60, want % 60, text, what);
}

static cb_status fail_rows(const cbx_table *table, const cbx_csv *csv, cb_error *error)
{
    const long a = table->accepted_rows[0], b = table->accepted_rows[1];
    char wanted[64];
    if (a == b) {
        snprintf(wanted, sizeof wanted, "%ld", a);
    } else {
        snprintf(wanted, sizeof wanted, "%ld or %ld", a, b);
    }
    if (table->rows > a && table->rows > b) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 1,
                          "row %ld of the data; expected %s hourly rows and nothing after them",
                          table->rows, wanted);
    }
    return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                      "the file ends after %ld data rows; expected %s hourly rows", table->rows,
                      wanted);
}

static cb_status read_row(cbx_table *table, const cbx_csv *csv, cb_error *error)
{
    double value[CBX_TABLE_COLUMNS];
    for (int i = 0; i < table->columns; i++) {
        const cb_status status = cbx_csv_number(csv, &table->column[i], &value[i], error);
        if (status != CB_OK) {
            return status;
        }
    }
    return table->row(table->context, csv, table->rows, value, error);
}

static cb_status read_rows(cbx_table *table, cbx_csv *csv, int fields, int named_hour,
                           cb_error *error)
{
    const long a = table->accepted_rows[0], b = table->accepted_rows[1], most = a > b ? a : b;
    clock_place place = {-1, false};
    table->first_minute = -1;
    bool more = true;
    for (table->rows = 0;; table->rows++) {
        cb_status status = cbx_csv_next(csv, &more, error);
        if (status != CB_OK || !more) {
            return status;
        }
        if (table->rows == most) {
            table->rows++;
            return fail_rows(table, csv, error);
        }
        if (csv->count != fields) {
            return cbx_csv_fail(csv, csv->count - 1, error,
                                "the row has %d fields; the row of names has %d", csv->count,
                                fields);
        }
        if (table->rows == 0 && table->check_clock) {
            place = find_clock(csv, named_hour);
            table->first_minute = place.field >= 0 ? row_minute(csv, place) : -1;
        }
        if (place.field >= 0) {
            status = check_clock(table, csv, place, table->rows, error);
        }
        if (status == CB_OK) {
            status = read_row(table, csv, error);
        }
        if (status != CB_OK) {
            return status;
        }
    }
}

cb_status cbx_table_read(cbx_table *table, cbx_csv *csv, cb_error *error)
{
    bool more = false;
    cb_status status = cbx_csv_next(csv, &more, error);
    if (status == CB_OK && !more) {
        status = cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                            "the file ends before its row of column names");
    }
    for (int i = 0; i < table->columns && status == CB_OK; i++) {
        status = cbx_csv_find(csv, &table->column[i], error);
    }
    if (status == CB_OK) {
        status = read_rows(table, csv, csv->count, hour_column(csv), error);
    }
    if (status == CB_OK && table->rows != table->accepted_rows[0] &&
        table->rows != table->accepted_rows[1]) {
        status = fail_rows(table, csv, error);
    }
    return status;
}
