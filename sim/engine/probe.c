// SPDX-License-Identifier: MIT
#include "coilbed/engine.h"

#include "engine/assemble.h"

cb_status cb_engine_probe(cb_grid_size *out, const cb_design *design, const cb_run_weather *weather,
                          const cb_house *house, cb_error *error)
{
    *out = (cb_grid_size){0};
    cbx_system *system;
    const cb_status status = cbx_system_create(&system, design, weather, house, error);
    if (status != CB_OK) {
        return status;
    }
    *out = (cb_grid_size){
        .slices = system->slices,
        .nx = system->section->nx,
        .nz = system->section->nz,
        .states = system->size,
        .half = system->section->x_edge_m[0] == 0.0,
    };
    cbx_system_destroy(system);
    return CB_OK;
}
