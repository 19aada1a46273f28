// SPDX-License-Identifier: MIT
#include "weather/table.h"
#include "weather/heading.h"

#include <assert.h>
#include <stdio.h>

cbx_column *cbx_table_add(cbx_table *table, const char *name, double low, double high,
                          const char *unit_name)
{
    assert(table->columns < CBX_TABLE_COLUMNS && name);
    cbx_column *column = &table->column[table->columns++];
    *column = (cbx_column){.name = name,
                           .scale = 1,
                           .per_si = 1,
                           .low = low,
                           .high = high,
                           .unit_name = unit_name,
                           .index = -1};
    return column;
}

cb_status cbx_column_convert(cbx_column *column, const cbx_column_unit *unit,
                             const cb_design *design, const cb_units *units, cb_error *error)
{
    column->key = unit->key;
    column->unit_key = unit->unit_key;
    column->unit = unit->unit;
    column->measure = cbx_measure_of(unit->kind);
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
    column->offset = zero * column->per_si;
    column->scale = (hundred - zero) / 100.0 * column->per_si;
    return CB_OK;
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

static cb_status check_row(cbx_table *table, const cbx_csv *csv, int fields, cb_error *error)
{
    if (csv->count != fields) {
        return cbx_csv_fail(csv, csv->count - 1, error,
                            "the row has %d fields; the row of names has %d", csv->count, fields);
    }
    return table->check_clock ? cbx_clock_row(&table->clock, csv, table->rows, error) : CB_OK;
}

static cb_status read_rows(cbx_table *table, cbx_csv *csv, int fields, cb_error *error)
{
    const long a = table->accepted_rows[0], b = table->accepted_rows[1], most = a > b ? a : b;
    bool more = true;
    table->first_line = csv->line + 1;
    for (table->rows = 0;; table->rows++) {
        cb_status status = cbx_csv_next(csv, &more, error);
        if (status != CB_OK || !more) {
            return status;
        }
        if (most > 0 && table->rows == most) {
            table->rows++;
            return fail_rows(table, csv, error);
        }
        status = check_row(table, csv, fields, error);
        if (status == CB_OK) {
            status = read_row(table, csv, error);
        }
        if (status != CB_OK) {
            return status;
        }
    }
}

static cb_status read_names(cbx_table *table, cbx_csv *csv, cb_error *error)
{
    bool more = false;
    cb_status status = cbx_csv_next(csv, &more, error);
    if (status == CB_OK && !more) {
        status = cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                            "the file ends before its row of column names");
    }
    for (int i = 0; i < table->columns && status == CB_OK; i++) {
        status = cbx_csv_find(csv, &table->column[i], error);
        if (status == CB_OK) {
            status = cbx_heading_check(csv, &table->column[i], error);
        }
    }
    if (status == CB_OK) {
        cbx_clock_names(&table->clock, csv);
    }
    return status;
}

cb_status cbx_table_read(cbx_table *table, cbx_csv *csv, cb_error *error)
{
    cb_status status = read_names(table, csv, error);
    if (status == CB_OK) {
        status = read_rows(table, csv, csv->count, error);
    }
    const bool any = table->accepted_rows[0] == 0 && table->accepted_rows[1] == 0;
    if (status == CB_OK && !any && table->rows != table->accepted_rows[0] &&
        table->rows != table->accepted_rows[1]) {
        status = fail_rows(table, csv, error);
    }
    return status;
}
