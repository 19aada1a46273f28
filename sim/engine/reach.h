// SPDX-License-Identifier: MIT
// What a unit of a run's heat does to the cells around it within a step of Newton's method: B^-1 w
// of soil_solver.h. Heat of an hour does not get far.
#ifndef COILBED_ENGINE_REACH_H
#define COILBED_ENGINE_REACH_H

#include "engine/incomplete.h"

typedef struct cbx_area {
    int first_column, end_column, first_row, end_row; // ends are one past the last
} cbx_area;

typedef struct cbx_reach {
    const cb_section *section;
    const cbx_run *run;
    cbx_area most; // beyond which nothing is looked for
    cbx_area area; // beyond which nothing is felt
    float *value;  // [columns of area][rows of area][CBX_LANES], with room for `most`
} cbx_reach;

// Both arguments must outlive it. False if memory runs out.
bool cbx_reach_create(cbx_reach *out, const cb_section *section, const cbx_run *run);
void cbx_reach_free(cbx_reach *reach);

// Takes it from a factor; x [cbx_incomplete_room] is workspace.
void cbx_reach_fill(cbx_reach *reach, const cbx_incomplete *factor, float *x);

// What a run feels of it, the mean over its cells [CBX_LANES].
void cbx_reach_mean(const cbx_reach *reach, const cbx_run *run, double *mean);

// Takes `heat` [CBX_LANES] times the reach out of x.
void cbx_reach_take(const cbx_reach *reach, const cbx_incomplete *factor, const float *heat,
                    float *x);

#endif
