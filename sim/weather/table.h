// SPDX-License-Identifier: MIT
/// A CSV table: a row of names, then rows at even steps of time, gap-free.
#ifndef WEATHER_TABLE_H
#define WEATHER_TABLE_H

#include "coilbed/design.h"
#include "weather/clock.h"
#include "weather/csv.h"

enum { CBX_TABLE_COLUMNS = 8 };

typedef struct cbx_table {
    cbx_column column[CBX_TABLE_COLUMNS];
    int columns;
    long accepted_rows[2]; ///< the table has one of these numbers of rows; 0 and 0: any
    bool check_clock;      ///< rows that carry a time of day must follow each other
    cbx_clock clock;       ///< when they do: how strictly, and what was found
    /// Called for each row with the columns' values in SI.
    cb_status (*row)(void *context, const cbx_csv *csv, long row, const double *value,
                     cb_error *error);
    void *context;
    long rows;      ///< filled: rows read
    int first_line; ///< filled: of the first row; the others follow line by line
} cbx_table;

/// Adds a column with its SI limits (scale 1) and returns it; the name must not be NULL.
cbx_column *cbx_table_add(cbx_table *table, const char *name, double low, double high,
                          const char *unit_name);

/// Unit of a column as the design gives it.
typedef struct cbx_column_unit {
    const char *unit; ///< NULL: the column is SI already
    cb_kind kind;
    const char *key;      ///< of the column in the design
    const char *unit_key; ///< of its unit
} cbx_column_unit;

/// Sets the column's conversion, key and the measure its heading is checked against. Errors:
/// CB_BAD_INPUT at the design's unit_key for a unit that is unknown or of another kind.
cb_status cbx_column_convert(cbx_column *column, const cbx_column_unit *unit,
                             const cb_design *design, const cb_units *units, cb_error *error);

/// Reads the row of names and all rows from the present place of an open file. Every row must have
/// as many fields as the row of names.
cb_status cbx_table_read(cbx_table *table, cbx_csv *csv, cb_error *error);

#endif
