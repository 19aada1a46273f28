// SPDX-License-Identifier: MIT
// How much cutting a trench into slices errs by, judged before the run by a steady state.
//
// One circuit in the ground of one trench, whose pipes warm each other in every slice, solved by
// the very formulas of the rates (engine/system.c: the wall linear along a piece, its slope from
// the neighbours, the fluid exact) with few slices and with so many that they leave nothing. The
// ground resists as in steady state: line sources and coils under a plane of constant temperature
// (Carslaw & Jaeger sec. 10, loop/near_field.h). Against runs of a hard winter in 12 to 16 slices
// the estimate for the coldest water is 0.4 to 3 times what is found where the ground freezes in
// part, and more than is found elsewhere (tests/engine/test_slicing.c).
#ifndef COILBED_ENGINE_SLICING_H
#define COILBED_ENGINE_SLICING_H

#include "engine/circuits.h"

enum { CBX_MOST_CHOSEN = 16 };

// One circuit in its trench; the trench's others are copies of it.
typedef struct cbx_slicing {
    int pipes; // out and back, in the order the water visits them
    bool outward[CB_MAX_PIPES];
    double pipe_per_metre[CB_MAX_PIPES]; // of trench
    double inside_mk_w;                  // fluid to the pipe's outer wall, per metre of pipe
    // Wall to undisturbed ground: how one metre of trench warms pipe [i] by the heat of pipe [j].
    double soil_mk_w[CB_MAX_PIPES][CB_MAX_PIPES];
    double length_m, flow_w_k;
    double heating_k, cooling_k;   // change of the water over the units at full load
    double halves_k[CB_MAX_PIPES]; // an upright coil's lower half is warmer by; 0 of other pipes
} cbx_slicing;

// Of the design's longest trench with its least flow, in soil of one conductivity. The plant, the
// network and the flow's heat capacity must be known.
void cbx_slicing_of(cbx_slicing *out, const cbx_system *system, const cbx_layout *layout,
                    const cbx_piping *piping, double conductivity_w_mk);

// What slicing changes while the units take all they can, as absolute values.
typedef struct cbx_slicing_error {
    double pumped_k; // of the water entering and leaving the units
    double idle_k;   // of the wall at the circuit's end: a trickle in winter leaves as cold as that
} cbx_slicing_error;

// NaN if memory runs out.
cbx_slicing_error cbx_slicing_errs(const cbx_slicing *trench, int slices);

// The fewest slices, up to CBX_MOST_CHOSEN, from which on the water is within `granted_k` and the
// wall at the end within five thirds of that (few hours hang on it). One slice has no slope and
// would err by far more than the estimate if that were wrong: it has to stay below a quarter.
int cbx_slicing_choose(const cbx_slicing *trench, double granted_k);

// What pipes err by that end inside a slice, for they draw on all its soil: on `share` more trench
// than there is.
double cbx_slicing_overhang_k(const cbx_slicing *trench, double share);

// Water at the end of a pass [degC] with the ground at 0 and the inlet at 1 degC.
double cbx_slicing_outlet_c(const cbx_slicing *trench, int slices);

#endif
