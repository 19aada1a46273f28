// SPDX-License-Identifier: MIT
// The names that columns of stations go by.
#ifndef VALIDATION_STATION_NAMES_H
#define VALIDATION_STATION_NAMES_H

#include "station_columns.h"

enum { STATION_COLUMN_NAME_SIZE = 64 };

// Lower case; all but letters, digits and points become one underscore between words.
void station_plain_name(const char *field, char name[STATION_COLUMN_NAME_SIZE]);

// What a plain name means; depth_m is set for soil temperature.
station_column station_named_column(const char *name, double *depth_m);

// Names of the columns of a file that has no row of names, separated by blanks; NULL if so many
// columns are none of the known products.
const char *station_unnamed_product(int columns);

#endif
