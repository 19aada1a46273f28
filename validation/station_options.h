// SPDX-License-Identifier: MIT
#ifndef VALIDATION_STATION_OPTIONS_H
#define VALIDATION_STATION_OPTIONS_H

#include "station_judge.h"

typedef struct station_options {
    bool json, explain;
    const char *index, *series; // paths; or NULL
    station_choice choice;
    int files;
    char *const *file;
} station_options;

// -1 to go on, else the exit status; messages go to stderr, help to stdout.
int station_options_read(station_options *out, int argc, char **argv);

#endif
