// SPDX-License-Identifier: MIT
// The water's side of the system: network, film, and the order in which water visits the pieces.
#ifndef COILBED_ENGINE_CIRCUITS_H
#define COILBED_ENGINE_CIRCUITS_H

#include "engine/layout.h"

// What a design's pipes and fluid are.
typedef struct cbx_piping {
    cb_pipe field, runout; // runout: only where the design has one
    cb_fluid fluid;
} cbx_piping;

cb_status cbx_piping_of(cbx_piping *out, const cb_design *design, cb_error *error);

// Film resistance of a coil with the coldest fluid there are data for, at the wanted flow.
double cbx_coldest_film_mk_w(const cbx_piping *piping, const cb_design *design);

// Network and the fluid's heat capacities.
cb_status cbx_circuits_make_network(cbx_system *system, const cbx_piping *piping, cb_error *error);

// What the runs' pipe is to their water; the runs' place must be known.
void cbx_circuits_fill_runs(cbx_system *system, const cbx_layout *layout, const cbx_piping *piping);

// Which piece follows which, from supply to return.
cb_status cbx_circuits_make_paths(cbx_system *system, const cbx_layout *layout, cb_error *error);

void cbx_circuits_free(cbx_system *system);

#endif
