// SPDX-License-Identifier: MIT
// Where trenches, pipes and cells lie in the section.
#ifndef COILBED_ENGINE_LAYOUT_H
#define COILBED_ENGINE_LAYOUT_H

#include "coilbed/ground.h"
#include "engine/assemble.h"
#include "loop/near_field.h"

enum { CBX_MAX_TRENCHES = 64 };

// Everything about the field's plan that the grid and the runs are made from.
typedef struct cbx_layout {
    bool half;    // only x >= 0 is modelled
    int trenches; // in the section
    double centre_m[CBX_MAX_TRENCHES];
    double multiplicity[CBX_MAX_TRENCHES];
    int leg_count;
    cbx_leg leg[CBX_MAX_LEGS];
    cbx_block block[CBX_MAX_LEGS];
    cbx_near_field near_field[CBX_MAX_LEGS];
    double pipe_radius_m;
} cbx_layout;

void cbx_layout_plan(cbx_layout *layout, const cb_design *design, const cb_pipe *pipe,
                     const cbx_accuracy *accuracy);

// The trench bottom, under the lowest pipe.
double cbx_trench_floor_m(const cbx_layout *layout);

// Axes of the section. Free both with cb_axis_free.
cb_status cbx_layout_axes(const cbx_layout *layout, const cb_design *design,
                          const cbx_accuracy *accuracy, cb_axis *x, cb_axis *z, cb_error *error);

// Cells and weights of leg `leg` in trench `trench`, as a run without volumes; its cells lose the
// volume of pipe and shells. False if memory runs out.
bool cbx_layout_run(const cbx_layout *layout, int trench, int leg, cb_section *section,
                    cbx_run *run);

#endif
