// SPDX-License-Identifier: MIT
// Where trenches, pipes and cells lie in the section.
#ifndef COILBED_ENGINE_LAYOUT_H
#define COILBED_ENGINE_LAYOUT_H

#include "coilbed/ground.h"
#include "engine/assemble.h"
#include "loop/near_field.h"

// Supply and return of the run-out are two parts after those of a trench.
enum { CBX_MAX_KINDS = CBX_MAX_PARTS + 2 };

// A kind of pipe run: a part of each trench, or one of the run-out.
typedef struct cbx_kind {
    cbx_part part;
    cbx_block block; // of the whole leg
    cbx_near_field near_field;
} cbx_kind;

// Everything about the field's plan that the grid and the runs are made from.
typedef struct cbx_layout {
    bool half;                            // only x >= 0 is modelled
    int trenches;                         // in the section, run-out not counted
    int real[CB_MAX_TRENCHES];            // number of each in the design's field
    double centre_m[CB_MAX_TRENCHES + 1]; // the last is the run-out's
    double length_m[CB_MAX_TRENCHES + 1]; // of each real one
    double multiplicity[CB_MAX_TRENCHES + 1];
    int part_count; // of a trench
    bool runout;    // then kinds part_count and part_count + 1 are its supply and return
    cbx_kind kind[CBX_MAX_KINDS];
    double trench_m;  // the longest trench
    double longest_m; // trench or run-out: what the slices share
} cbx_layout;

// runout_pipe: NULL without a run-out.
void cbx_layout_plan(cbx_layout *layout, const cb_design *design, const cb_pipe *pipe,
                     const cb_pipe *runout_pipe, const cbx_accuracy *accuracy);

// Axes of the section. Free both with cb_axis_free.
cb_status cbx_layout_axes(const cbx_layout *layout, const cb_design *design,
                          const cbx_accuracy *accuracy, cb_axis *x, cb_axis *z, cb_error *error);

// Kinds that lie in a trench (layout->trenches: the run-out): returns the first, *end is one past
// the last.
int cbx_layout_kinds(const cbx_layout *layout, int trench, int *end);

// The trench bottom, under the lowest pipe.
double cbx_trench_floor_m(const cbx_layout *layout);

// Cells and weights of a kind in trench number `trench` (layout->trenches: the run-out), as a run
// without volumes. False if memory runs out.
bool cbx_layout_run(const cbx_layout *layout, int trench, int kind, const cb_section *section,
                    cbx_run *run);

// Takes the room of pipe and shells of a run, as far as they lie in a slice, out of its cells'
// volumes [cells].
void cbx_layout_carve(const cb_section *section, const cbx_run *run, double share,
                      double *volume_m3);

#endif
