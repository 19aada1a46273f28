// SPDX-License-Identifier: MIT
#include "ground/sweep.h"

#include "base/wide.h"
#include "ground/face.h"
#include "ground/soil_curve.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

// A column's cells while none holds ice, [nz] each. Most columns have the soils of the one before.
typedef struct thawed_column {
    const int *soil;
    double *onset_j_m3, *slope_k_m3_j, *conductivity_w_mk;
    double *down;   // to the cell below, for a face of twice 1 m2 [W/K]
    double *across; // conductivity times height [W/K]
} thawed_column;

// What is held of a column.
typedef struct column {
    double *t;                  // [nz]
    double *own;                // [nz] room for conductivities
    const double *conductivity; // [nz] those, or the thawed ones
    cbx_cell_range icy;         // all others are as thawed
} column;

// West and east are the flows from the column before and to the next.
enum { ARRAYS = 13 }; // [nz] of two columns, a thawed one, and flows

typedef struct flows {
    double *west, *east;
    double *fall; // [nz + 1] into each cell from above, the last out of the bottom
    double *heat;
} flows;

size_t cbx_sweep_room(const cb_section *section)
{
    return (size_t)ARRAYS * (size_t)section->nz + 1;
}

// ---- cells -----------------------------------------------------------------------------------

static void know_soils(const cbx_sweep *sweep, const int *soil, thawed_column *thawed)
{
    const cb_section *section = sweep->section;
    const double *dz = section->dz_m;
    double *k = thawed->conductivity_w_mk;
    thawed->soil = soil;
    for (int n = 0; n < section->nz; n++) {
        const cbx_thawed like = cbx_soil_thawed(section->curves[soil[n]], sweep->dryness);
        thawed->onset_j_m3[n] = like.onset_j_m3;
        thawed->slope_k_m3_j[n] = like.slope_k_m3_j;
        k[n] = like.conductivity_w_mk;
        thawed->across[n] = like.conductivity_w_mk * dz[n];
    }
    for (int n = 0; n < section->nz - 1; n++) {
        thawed->down[n] = cbx_face_w_k(1.0, dz[n], k[n], dz[n + 1], k[n + 1]);
    }
}

// Temperatures as if there were no ice. Returns whether there is some.
CBX_INLINE bool fill_thawed(int nz, const thawed_column *thawed,
                            const double *restrict enthalpy_j_m3, double *restrict t)
{
    const double *restrict onset = thawed->onset_j_m3, *restrict slope = thawed->slope_k_m3_j;
    int64_t below = 0; // as wide as what is compared
    for (int n = 0; n < nz; n++) {
        t[n] = enthalpy_j_m3[n] * slope[n];
        below |= enthalpy_j_m3[n] < onset[n];
    }
    return below != 0;
}

static cbx_cell_range freeze(const cbx_sweep *sweep, const int *soil, const double *enthalpy_j_m3,
                             const column *out)
{
    const cb_section *section = sweep->section;
    cbx_cell_range all = {section->nz, 0};
    for (int first = 0, end; first < section->nz; first = end) {
        end = cbx_soil_run_end(soil, first, section->nz);
        const cbx_cell_range icy =
            cbx_soil_freeze(section->curves[soil[first]], end - first, enthalpy_j_m3 + first,
                            sweep->dryness, out->t + first, out->own + first, NULL);
        if (icy.end > icy.first) {
            all.first = all.end > 0 ? all.first : first + icy.first;
            all.end = first + icy.end;
        }
    }
    return all;
}

// `before` is the column before, or one not filled yet. Returns whether it has the same soils.
CBX_INLINE bool fill_column(const cbx_sweep *sweep, int i, thawed_column *thawed, column *before,
                            column *out)
{
    const cb_section *section = sweep->section;
    const size_t nz = (size_t)section->nz, at = (size_t)i * nz;
    const int *soil = section->soil + at;
    const bool alike = thawed->soil && memcmp(soil, thawed->soil, nz * sizeof *soil) == 0;
    if (!alike) {
        if (before->conductivity == thawed->conductivity_w_mk) {
            memcpy(before->own, thawed->conductivity_w_mk, nz * sizeof *before->own);
            before->conductivity = before->own;
        }
        know_soils(sweep, soil, thawed);
    }
    out->conductivity = thawed->conductivity_w_mk;
    out->icy = (cbx_cell_range){section->nz, 0};
    if (fill_thawed(section->nz, thawed, sweep->enthalpy_j_m3 + at, out->t)) {
        memcpy(out->own, thawed->conductivity_w_mk, nz * sizeof *out->own);
        out->icy = freeze(sweep, soil, sweep->enthalpy_j_m3 + at, out);
        out->conductivity = out->own;
    }
    return alike;
}

// ---- flows -----------------------------------------------------------------------------------

// Through the faces below cells from `first` to before `end`: fall[first + 1..end].
CBX_INLINE void fall_between(int first, int end, double width2_m2, const double *restrict dz,
                             const double *restrict t, const double *restrict conductivity,
                             double *restrict fall)
{
    for (int k = first; k < end; k++) {
        fall[k + 1] =
            cbx_face_w_k(width2_m2, dz[k], conductivity[k], dz[k + 1], conductivity[k + 1]) *
            (t[k] - t[k + 1]);
    }
}

CBX_INLINE void fall_thawed(int first, int end, double width2_m2, const double *restrict down,
                            const double *restrict t, double *restrict fall)
{
    for (int k = first; k < end; k++) {
        fall[k + 1] = width2_m2 * down[k] * (t[k] - t[k + 1]);
    }
}

CBX_INLINE void fall_within(const cb_section *section, double width2_m2, const column *here,
                            const double *down, double *fall)
{
    const int faces = section->nz - 1;
    const int first = here->icy.first > 0 ? here->icy.first - 1 : 0;
    const int end = here->icy.end < faces ? here->icy.end : faces;
    if (end <= first) {
        fall_thawed(0, faces, width2_m2, down, here->t, fall);
        return;
    }
    fall_thawed(0, first, width2_m2, down, here->t, fall);
    fall_between(first, end, width2_m2, section->dz_m, here->t, here->conductivity, fall);
    fall_thawed(end, faces, width2_m2, down, here->t, fall);
}

CBX_INLINE void east_between(const cb_section *section, int i, const cbx_cell_range *some,
                             const column *here, const column *next, double *restrict east)
{
    const double *restrict dz = section->dz_m, *restrict t = here->t, *restrict next_t = next->t;
    const double *restrict k = here->conductivity, *restrict next_k = next->conductivity;
    const double here_m = section->dx_m[i], next_m = section->dx_m[i + 1];
    const double length2_m = 2.0 * section->depth_area_m;
    for (int n = some->first; n < some->end; n++) {
        east[n] =
            cbx_face_w_k(dz[n] * length2_m, here_m, k[n], next_m, next_k[n]) * (t[n] - next_t[n]);
    }
}

CBX_INLINE void east_thawed(int first, int end, double per_w_k, const double *restrict across,
                            const double *restrict t, const double *restrict next_t,
                            double *restrict east)
{
    for (int n = first; n < end; n++) {
        east[n] = per_w_k * across[n] * (t[n] - next_t[n]);
    }
}

CBX_INLINE void flow_east(const cb_section *section, int i, const column *here, const column *next,
                          const double *across, bool alike, double *east)
{
    const int nz = section->nz;
    const double per = 2.0 * section->depth_area_m / (section->dx_m[i] + section->dx_m[i + 1]);
    cbx_cell_range other = {0, nz}; // than both thawed
    if (alike) {
        other.first = here->icy.first < next->icy.first ? here->icy.first : next->icy.first;
        other.end = here->icy.end > next->icy.end ? here->icy.end : next->icy.end;
    }
    if (other.end <= other.first) {
        east_thawed(0, nz, per, across, here->t, next->t, east);
        return;
    }
    east_thawed(0, other.first, per, across, here->t, next->t, east);
    east_between(section, i, &other, here, next, east);
    east_thawed(other.end, nz, per, across, here->t, next->t, east);
}

CBX_INLINE void sum_flows(int nz, const double *restrict west, const double *restrict east,
                          const double *restrict fall, double *restrict heat)
{
    for (int k = 0; k < nz; k++) {
        heat[k] = (west[k] - east[k]) + (fall[k] - fall[k + 1]);
    }
}

CBX_WIDE double cbx_section_sweep(const cbx_sweep *sweep, cbx_column_taker *take, void *context)
{
    const cb_section *section = sweep->section;
    const size_t nz = (size_t)section->nz;
    double *work = sweep->work;
    column here = {work, work + nz, work + nz, {0, 0}};
    column next = {work + 2 * nz, work + 3 * nz, work + 3 * nz, {0, 0}};
    thawed_column thawed = {NULL,          work + 4 * nz, work + 5 * nz,
                            work + 6 * nz, work + 7 * nz, work + 8 * nz};
    flows f = {work + 9 * nz, work + 10 * nz, work + 11 * nz, work + 12 * nz + 1};
    const cb_surface_exchange *surface = sweep->surface;
    const double outside_c = surface->intake_w_m2 / surface->h_w_m2k;
    double surface_w = 0.0;
    memset(f.west, 0, nz * sizeof *f.west);
    fill_column(sweep, 0, &thawed, &next, &here);
    for (int i = 0; i < section->nx; i++) {
        const double area_m2 = section->dx_m[i] * section->depth_area_m;
        f.fall[0] = cbx_top_w_k(area_m2, surface->h_w_m2k, section->dz_m[0], here.conductivity[0]) *
                    (outside_c - here.t[0]);
        fall_within(section, 2.0 * area_m2, &here, thawed.down, f.fall);
        f.fall[nz] = -section->geothermal_flux_w_m2 * area_m2;
        if (i + 1 < section->nx) {
            const bool alike = fill_column(sweep, i + 1, &thawed, &here, &next);
            flow_east(section, i, &here, &next, thawed.across, alike, f.east);
        } else {
            memset(f.east, 0, nz * sizeof *f.east);
        }
        surface_w += f.fall[0];
        sum_flows(section->nz, f.west, f.east, f.fall, f.heat);
        take(context, i, f.heat);
        const column done = here;
        here = next;
        next = done;
        double *const passed = f.west;
        f.west = f.east;
        f.east = passed;
    }
    return surface_w;
}
