// SPDX-License-Identifier: MIT
// What the columns of a station's table mean, by their names.
#ifndef VALIDATION_STATION_COLUMNS_H
#define VALIDATION_STATION_COLUMNS_H

#include "station.h"
#include "station_text.h"

typedef enum station_role {
    STATION_IGNORED,
    STATION_TIME,  // date, with or without the time of day
    STATION_CLOCK, // time of day at the hour's end, beside a date
    STATION_ID,
    STATION_NAMED,
    STATION_LATITUDE,
    STATION_LONGITUDE,
    STATION_ELEVATION,
    STATION_WEATHER, // index: station_kind
    STATION_SOIL,    // index: of depth_m
    STATION_FLAG     // index: of the column that it judges; 0 is good
} station_role;

typedef struct station_column {
    station_role role;
    int index;
    bool second;          // only where the first column of its kind is missing
    double scale, offset; // value = offset + scale * number in the file
} station_column;

typedef struct station_columns {
    int count;
    station_column column[STATION_MOST_FIELDS];
    int depths;
    double depth_m[STATION_MOST_DEPTHS]; // in the order of the file
} station_columns;

// Finds the row of names among the first lines and reads it; what follows are rows of values. A
// file whose first line is a row of the US Climate Reference Network's hourly02 (38 columns) or
// daily01 (28 columns) text product has no row of names; the text is then left before that line.
// Errors: CB_BAD_INPUT if there is no time or no soil temperature.
cb_status station_columns_find(station_columns *columns, station_text *text, cb_error *error);

#endif
