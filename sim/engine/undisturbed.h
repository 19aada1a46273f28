// SPDX-License-Identifier: MIT
// The yard beside the field: settled under the typical weather, then stepped through the whole run.
#ifndef COILBED_ENGINE_UNDISTURBED_H
#define COILBED_ENGINE_UNDISTURBED_H

#include "coilbed/engine.h"
#include "coilbed/yard.h"

typedef struct cbx_undisturbed {
    int nz;
    double *start_c;    // [nz] at the run's start
    double *daily_c;    // [CB_YEAR_DAYS][nz] daily means of the typical year from the run's start
    long hours;         // of the run
    cb_yard_hour *hour; // [hours + 2] of the run, from hour -1 on
    double years;       // settled for
    cb_ground_summary *summary; // owned
} cbx_undisturbed;

// `column` (nx == 1) stands for the ground far from the field. Errors: those of the yard.
cb_status cbx_undisturbed_create(cbx_undisturbed **out, const cb_section *column,
                                 const cb_design *design, const cb_run_weather *weather,
                                 cb_error *error);
cbx_undisturbed *cbx_undisturbed_destroy(cbx_undisturbed *all);

// Hours before -1 and past the run take the nearest that is held.
const cb_yard_hour *cbx_undisturbed_hour(const cbx_undisturbed *all, long hour);

#endif
