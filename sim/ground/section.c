// SPDX-License-Identifier: MIT
#include "base/wide.h"
#include "ground/face.h"
#include "ground/soil_curve.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static double *copy_values(const double *from, int count)
{
    double *copy = malloc((size_t)count * sizeof *copy);
    if (copy) {
        memcpy(copy, from, (size_t)count * sizeof *copy);
    }
    return copy;
}

static double *sizes_of(const cb_axis *axis)
{
    double *size = malloc((size_t)axis->cells * sizeof *size);
    for (int n = 0; size && n < axis->cells; n++) {
        size[n] = axis->edge_m[n + 1] - axis->edge_m[n];
    }
    return size;
}

static int soil_at(const cb_section_plan *plan, double x_m, double z_m)
{
    for (int b = plan->box_count - 1; b >= 0; b--) {
        const cb_soil_box *box = &plan->boxes[b];
        if (x_m > box->x_low_m && x_m < box->x_high_m && z_m > box->z_low_m &&
            z_m < box->z_high_m) {
            return box->soil;
        }
    }
    int layer = 0;
    while (layer < plan->layers - 1 && z_m > plan->layer_bottom_m[layer]) {
        layer++;
    }
    return layer;
}

static void fill_cells(cb_section *section, const cb_section_plan *plan)
{
    for (int i = 0; i < section->nx; i++) {
        const double x_m = 0.5 * (section->x_edge_m[i] + section->x_edge_m[i + 1]);
        for (int k = 0; k < section->nz; k++) {
            const double z_m = cb_row_depth_m(section, k);
            const int c = cb_cell(section, i, k);
            section->soil[c] = soil_at(plan, x_m, z_m);
            section->volume_m3[c] = section->dx_m[i] * section->dz_m[k] * section->depth_area_m;
        }
    }
}

cb_status cb_section_create(cb_section **out, const cb_section_plan *plan, cb_error *error)
{
    *out = NULL;
    cb_section *section = calloc(1, sizeof *section);
    if (section) {
        const int nx = plan->x->cells, nz = plan->z->cells;
        section->nx = nx;
        section->nz = nz;
        section->cells = nx * nz;
        section->curves = plan->curves;
        section->depth_area_m = plan->length_m * plan->scale;
        section->geothermal_flux_w_m2 = plan->geothermal_flux_w_m2;
        section->x_edge_m = copy_values(plan->x->edge_m, nx + 1);
        section->z_edge_m = copy_values(plan->z->edge_m, nz + 1);
        section->dx_m = sizes_of(plan->x);
        section->dz_m = sizes_of(plan->z);
        section->volume_m3 = malloc((size_t)section->cells * sizeof(double));
        section->soil = malloc((size_t)section->cells * sizeof(int));
    }
    if (!section || !section->x_edge_m || !section->z_edge_m || !section->dx_m || !section->dz_m ||
        !section->volume_m3 || !section->soil) {
        cb_section_destroy(section);
        return cb_fail(error, CB_NO_MEMORY, "no memory for a soil section");
    }
    fill_cells(section, plan);
    *out = section;
    return CB_OK;
}

cb_section *cb_section_destroy(cb_section *section)
{
    if (section) {
        free(section->x_edge_m);
        free(section->z_edge_m);
        free(section->dx_m);
        free(section->dz_m);
        free(section->volume_m3);
        free(section->soil);
        free(section);
    }
    return NULL;
}

cb_status cb_section_state_create(cb_section_state **out, const cb_section *section,
                                  cb_error *error)
{
    *out = NULL;
    const size_t n = (size_t)section->cells;
    cb_section_state *state = calloc(1, sizeof *state);
    double *block = calloc(5 * n + (size_t)section->nx, sizeof *block);
    if (!state || !block) {
        free(state);
        free(block);
        return cb_fail(error, CB_NO_MEMORY, "no memory for a section's state");
    }
    state->temperature_c = block;
    state->conductivity_w_mk = block + n;
    state->slope_k_m3_j = block + 2 * n;
    state->across_w_k = block + 3 * n;
    state->down_w_k = block + 4 * n;
    state->top_w_k = block + 5 * n;
    *out = state;
    return CB_OK;
}

cb_section_state *cb_section_state_destroy(cb_section_state *state)
{
    if (state) {
        free(state->temperature_c); // the one block that holds all arrays
        free(state);
    }
    return NULL;
}

// As if there were no ice. Returns whether there is.
CBX_WIDE static bool fill_thawed(const cbx_thawed *soil, int count,
                                 const double *restrict enthalpy_j_m3,
                                 double *restrict temperature_c, double *restrict conductivity_w_mk,
                                 double *restrict slope_k_m3_j)
{
    const cbx_thawed like = *soil;
    int64_t below = 0; // as wide as what is compared
    for (int n = 0; n < count; n++) {
        temperature_c[n] = enthalpy_j_m3[n] * like.slope_k_m3_j;
        conductivity_w_mk[n] = like.conductivity_w_mk;
        below |= enthalpy_j_m3[n] < like.onset_j_m3;
    }
    for (int n = 0; slope_k_m3_j && n < count; n++) {
        slope_k_m3_j[n] = like.slope_k_m3_j;
    }
    return below != 0;
}

void cbx_soil_rows(cb_soil_curve *const *curves, const int *soil, int count,
                   const double *enthalpy_j_m3, double dryness, double *temperature_c,
                   double *conductivity_w_mk, double *slope_k_m3_j)
{
    for (int first = 0, end; first < count; first = end) {
        end = cbx_soil_run_end(soil, first, count);
        const cb_soil_curve *curve = curves[soil[first]];
        const cbx_thawed like = cbx_soil_thawed(curve, dryness);
        const double *enthalpy = enthalpy_j_m3 + first;
        double *t = temperature_c + first, *conductivity = conductivity_w_mk + first;
        double *slope = slope_k_m3_j ? slope_k_m3_j + first : NULL;
        if (fill_thawed(&like, end - first, enthalpy, t, conductivity, slope)) {
            cbx_soil_freeze(curve, end - first, enthalpy, dryness, t, conductivity, slope);
        }
    }
}

// To the cells below in one column: [nz - 1].
CBX_WIDE static void fill_down(int nz, double width2_m2, const double *restrict dz,
                               const double *restrict conductivity, double *restrict down)
{
    for (int k = 0; k < nz - 1; k++) {
        down[k] = cbx_face_w_k(width2_m2, dz[k], conductivity[k], dz[k + 1], conductivity[k + 1]);
    }
}

// To the cells of the next column: [nz].
CBX_WIDE static void fill_across(int nz, double length2_m, const double *restrict dz,
                                 const double *dx, const double *restrict conductivity,
                                 double *restrict across)
{
    const double here_m = dx[0], next_m = dx[1];
    for (int k = 0; k < nz; k++) {
        across[k] =
            cbx_face_w_k(dz[k] * length2_m, here_m, conductivity[k], next_m, conductivity[k + nz]);
    }
}

void cb_section_update(const cb_section *section, const double *enthalpy_j_m3,
                       double surface_h_w_m2k, double dryness, cb_section_state *state)
{
    const int nx = section->nx, nz = section->nz;
    const double *dx = section->dx_m, *dz = section->dz_m;
    cbx_soil_rows(section->curves, section->soil, section->cells, enthalpy_j_m3, dryness,
                  state->temperature_c, state->conductivity_w_mk, state->slope_k_m3_j);
    for (int i = 0; i < nx; i++) {
        const double *conductivity = state->conductivity_w_mk + (size_t)i * (size_t)nz;
        double *down = state->down_w_k + (size_t)i * (size_t)nz;
        double *across = state->across_w_k + (size_t)i * (size_t)nz;
        const double width2 = 2.0 * dx[i] * section->depth_area_m;
        state->top_w_k[i] = cbx_top_w_k(0.5 * width2, surface_h_w_m2k, dz[0], conductivity[0]);
        fill_down(nz, width2, dz, conductivity, down);
        down[nz - 1] = 0.0;
        if (i < nx - 1) {
            fill_across(nz, 2.0 * section->depth_area_m, dz, dx + i, conductivity, across);
        } else {
            memset(across, 0, (size_t)nz * sizeof *across);
        }
    }
}

double cb_section_stored_j(const cb_section *section, const double *enthalpy_j_m3)
{
    double sum = 0.0;
    for (int c = 0; c < section->cells; c++) {
        sum += section->volume_m3[c] * enthalpy_j_m3[c];
    }
    return sum;
}
