// SPDX-License-Identifier: MIT
// One column of soil, stepped through a station's days.
#ifndef VALIDATION_STATION_RUN_H
#define VALIDATION_STATION_RUN_H

#include "station_judge.h"

// What drives the column: weather, or the temperatures of its two ends.
typedef struct station_drive {
    long hours;
    const cb_weather_hour *weather;     // [hours], or NULL for
    const double *surface_c, *bottom_c; // [hours]
} station_drive;

typedef struct station_run_plan {
    station_drive drive;
    station_ground *ground; // resolved in passing
    double elevation_m, depth_m;
    double offset_m;       // depth of the column's surface
    const double *start_c; // [depths] at depth_m of `out`, NaN unknown; NULL: settle
    long settle_hours;     // 0: start at the mean air
} station_run_plan;

// Fills modelled_c of the verdict's depths for `days` days, and cycles.
cb_status station_run(station_verdict *out, const station_run_plan *plan, int days,
                      cb_error *error);

#endif
