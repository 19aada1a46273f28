// SPDX-License-Identifier: MIT
// Rows of values as they stand in a file, and how they become a station's series.
#ifndef VALIDATION_STATION_ROWS_H
#define VALIDATION_STATION_ROWS_H

#include "station.h"
#include "station_columns.h"

typedef struct station_rows {
    int width; // values in a row: the weather's kinds, then the soil's depths in the file's order
    size_t count, capacity;
    int *station;
    long *minute; // since 1970-01-01
    double *value;
} station_rows;

// Adds a row of NaN; its values, valid until the next row, or NULL without memory.
double *station_rows_add(station_rows *rows, int owner);
void station_rows_time(station_rows *rows, long minute);
void station_rows_free(station_rows *rows);

// Lays the station's rows out by hour, or by day if no day has more than one; rows of one hour are
// averaged (rain is added). Days at the ends with less than half their rows are left off. Values
// outside what the quantity can be are missing. Errors: CB_BAD_INPUT for dates more than 200 years
// apart, CB_NO_MEMORY.
cb_status station_rows_lay_out(const station_rows *rows, int owner, const station_columns *columns,
                               station *out, cb_error *error);

#endif
