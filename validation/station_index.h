// SPDX-License-Identifier: MIT
// Stations that an index marks as faulty.
#ifndef VALIDATION_STATION_INDEX_H
#define VALIDATION_STATION_INDEX_H

#include "station.h"

#include <stdbool.h>

typedef struct station_index {
    int count;
    struct station_flag {
        char id[32], name[STATION_NAME_SIZE], flag[128];
    } * flagged;
} station_index;

// A CSV with columns flag and wban or name; a station whose flag is not empty is left out.
// Errors: CB_IO, CB_BAD_INPUT, CB_NO_MEMORY. Free in any case.
cb_status station_index_read(station_index *out, const char *path, cb_error *error);
void station_index_free(station_index *index);

// What is wrong with the station; NULL if the index has nothing against it.
const char *station_index_flag(const station_index *index, const station *one);

#endif
