// SPDX-License-Identifier: MIT
// From a design to the ODE systems it asks for.
#ifndef COILBED_ENGINE_ASSEMBLE_H
#define COILBED_ENGINE_ASSEMBLE_H

#include "engine/system.h"

// What an accuracy asks of grid and integrator.
typedef struct cbx_accuracy {
    double cell_m; // at the pipe
    double surface_cell_m;
    double growth;        // of cells, per metre of distance
    double coil_sideways; // growth beside a coil, over that above and below it
    double temperature_k; // absolute tolerance near the pipe
    double relative;      // relative tolerance
    double slice_k;       // of the coldest water, granted to slicing (engine/slicing.h)
} cbx_accuracy;

cbx_accuracy cbx_accuracy_of(cb_accuracy accuracy);

// The field as one system. On success *out is owned by the caller.
cb_status cbx_system_create(cbx_system **out, const cb_design *design,
                            const cb_run_weather *weather, const cb_house *house, cb_error *error);

// One undisturbed column of 1 m2 with the depths and soils of `field`, which must outlive it.
cb_status cbx_column_section_create(cb_section **out, const cbx_system *field, cb_error *error);

// Gives each slice its volumes: the section's, less the room of the pipe and shells in the slice.
cb_status cbx_system_volumes(cbx_system *system, cb_error *error);

// Gives the system what its rates are worked out in; slices and section are there already.
cb_status cbx_system_workspace(cbx_system *system, cb_error *error);

cbx_system *cbx_system_destroy(cbx_system *system);

// Heat that all units at full load take from the loop (give to it) at an entering water [W].
double cbx_full_heat_w(const cbx_system *system, bool cooling, double entering_c);

// Absolute tolerances for every state [size].
void cbx_tolerances(const cbx_system *system, double *tolerance);

#endif
