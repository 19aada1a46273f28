// SPDX-License-Identifier: MIT
#include "engine/snapshot.h"

#include <math.h>
#include <stdlib.h>

struct cbx_snapshot {
    const cbx_system *system;
    cb_sections sections;
    double *z_m, *x_m, *slice_m;
    double *temperature_c, *ice;            // [slices][nz][nx]
    double *coil_c, *wall_c, *ice_radius_m; // [slices]
};

static double *middles(const double *edge, int count)
{
    double *middle = calloc((size_t)count, sizeof *middle);
    for (int n = 0; middle && n < count; n++) {
        middle[n] = 0.5 * (edge[n] + edge[n + 1]);
    }
    return middle;
}

cb_status cbx_snapshot_create(cbx_snapshot **out, const cbx_system *system, cb_error *error)
{
    *out = NULL;
    const cb_section *section = system->section;
    const size_t slices = (size_t)system->slices, all = slices * (size_t)section->cells;
    cbx_snapshot *snapshot = calloc(1, sizeof *snapshot);
    if (snapshot) {
        snapshot->system = system;
        snapshot->z_m = middles(section->z_edge_m, section->nz);
        snapshot->x_m = middles(section->x_edge_m, section->nx);
        snapshot->slice_m = calloc(slices, sizeof(double));
        snapshot->temperature_c = calloc(all, sizeof(double));
        snapshot->ice = calloc(all, sizeof(double));
        snapshot->coil_c = calloc(slices, sizeof(double));
        snapshot->wall_c = calloc(slices, sizeof(double));
        snapshot->ice_radius_m = calloc(slices, sizeof(double));
    }
    if (!snapshot || !snapshot->z_m || !snapshot->x_m || !snapshot->slice_m ||
        !snapshot->temperature_c || !snapshot->ice || !snapshot->coil_c || !snapshot->wall_c ||
        !snapshot->ice_radius_m) {
        cbx_snapshot_destroy(snapshot);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the daily soil sections");
    }
    const bool half = section->x_edge_m[0] == 0.0;
    for (size_t s = 0; s < slices; s++) {
        snapshot->slice_m[s] = ((double)s + 0.5) * section->depth_area_m / (half ? 2.0 : 1.0);
    }
    snapshot->sections = (cb_sections){
        .slices = system->slices,
        .nz = section->nz,
        .nx = section->nx,
        .trenches = system->trenches,
        .z_m = snapshot->z_m,
        .x_m = snapshot->x_m,
        .z_edge_m = section->z_edge_m,
        .x_edge_m = section->x_edge_m,
        .half = half,
        .slice_m = snapshot->slice_m,
    };
    *out = snapshot;
    return CB_OK;
}

cbx_snapshot *cbx_snapshot_destroy(cbx_snapshot *snapshot)
{
    if (snapshot) {
        free(snapshot->z_m);
        free(snapshot->x_m);
        free(snapshot->slice_m);
        free(snapshot->temperature_c);
        free(snapshot->ice);
        free(snapshot->coil_c);
        free(snapshot->wall_c);
        free(snapshot->ice_radius_m);
        free(snapshot);
    }
    return NULL;
}

const cb_sections *cbx_snapshot_sections(const cbx_snapshot *snapshot)
{
    return &snapshot->sections;
}

static void copy_section(cbx_snapshot *snapshot, int slice, const double *enthalpy)
{
    const cb_section *section = snapshot->system->section;
    const size_t start = (size_t)slice * (size_t)section->cells;
    for (int i = 0; i < section->nx; i++) {
        for (int k = 0; k < section->nz; k++) {
            const int c = cb_cell(section, i, k);
            const cb_soil_state soil = cb_soil_at(section->curves[section->soil[c]], enthalpy[c]);
            const size_t at = start + (size_t)k * (size_t)section->nx + (size_t)i;
            snapshot->temperature_c[at] = soil.temperature_c;
            snapshot->ice[at] = soil.ice;
        }
    }
}

// Half the height of the frozen body through a block's middle, where it has outgrown the shells.
static double frozen_half_height(const cbx_snapshot *snapshot, int slice, int cell)
{
    const cb_section *section = snapshot->system->section;
    const int i = cell / section->nz, middle = cell % section->nz;
    const double *ice = snapshot->ice + (size_t)slice * (size_t)section->cells;
    double height = 0.0;
    for (int k = middle; k < section->nz && ice[k * section->nx + i] >= 0.5; k++) {
        height += section->dz_m[k];
    }
    for (int k = middle - 1; k >= 0 && ice[k * section->nx + i] >= 0.5; k--) {
        height += section->dz_m[k];
    }
    return 0.5 * height;
}

static double ice_radius(const cbx_snapshot *snapshot, int slice, const cbx_run *run,
                         const double *shell_enthalpy)
{
    double radius = 0.0;
    for (int n = 0; n < CBX_SHELLS; n++) {
        if (cb_soil_at(snapshot->system->curves[run->soil], shell_enthalpy[n]).ice < 0.5) {
            return radius;
        }
        radius = run->near_field.radius_m[n + 1];
    }
    return fmax(radius, frozen_half_height(snapshot, slice, run->cell[run->block_cells / 2]));
}

// Of the field's pipe, or of the run-out's where only that reaches the slice.
static bool reaches(const cbx_system *system, int slice)
{
    for (int r = 0; r < system->run_count; r++) {
        if (!system->run[r].runout && system->share[cbx_node(system, slice, r)] > 0.0) {
            return true;
        }
    }
    return false;
}

static void look_at_pipes(cbx_snapshot *snapshot, int slice, const double *y, double dryness)
{
    const cbx_system *system = snapshot->system;
    const cb_section *section = system->section;
    const double *temperature = snapshot->temperature_c + (size_t)slice * (size_t)section->cells;
    const bool runout = !reaches(system, slice);
    double weight = 0.0, sum = 0.0;
    snapshot->wall_c[slice] = INFINITY;
    snapshot->ice_radius_m[slice] = 0.0;
    for (int r = 0; r < system->run_count; r++) {
        const cbx_run *run = &system->run[r];
        const int node = cbx_node(system, slice, r);
        const double pipe_m = system->share[node] * run->pipe_m;
        if (run->runout != runout || !(pipe_m > 0.0)) {
            continue;
        }
        for (int n = 0; n < run->block_cells; n++) {
            const int i = run->cell[n] / section->nz, k = run->cell[n] % section->nz;
            sum += pipe_m * run->weight[n] * temperature[k * section->nx + i];
            weight += pipe_m * run->weight[n];
        }
        snapshot->wall_c[slice] =
            fmin(snapshot->wall_c[slice], cbx_wall_c(system, node, dryness, y));
        snapshot->ice_radius_m[slice] =
            fmax(snapshot->ice_radius_m[slice],
                 ice_radius(snapshot, slice, run, y + cbx_shell_at(system, node)));
    }
    snapshot->coil_c[slice] = sum / weight;
}

cb_day cbx_snapshot_take(cbx_snapshot *snapshot, const double *y, long run_day)
{
    const cbx_system *system = snapshot->system;
    const double dryness = cbx_undisturbed_hour(system->forcing.ground, 24 * run_day)->dryness;
    for (int s = 0; s < system->slices; s++) {
        copy_section(snapshot, s, y + cbx_section_at(system, s));
        look_at_pipes(snapshot, s, y, dryness);
    }
    return (cb_day){run_day,          snapshot->temperature_c, snapshot->ice,
                    snapshot->coil_c, snapshot->wall_c,        snapshot->ice_radius_m};
}
