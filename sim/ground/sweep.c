// SPDX-License-Identifier: MIT
#include "ground/sweep.h"

#include "base/wide.h"
#include "ground/face.h"
#include "ground/soil_curve.h"

#include <string.h>

// What is held of a column, [nz] each.
typedef struct column {
    double *t, *conductivity;
} column;

enum { ARRAYS = 8 }; // of two columns, and those of `flows`

typedef struct flows {
    double *west, *east; // from the column before, to the next
    double *fall;        // [nz + 1] into each cell from above, the last out of the bottom
    double *heat;
} flows;

size_t cbx_sweep_room(const cb_section *section)
{
    return (size_t)ARRAYS * (size_t)section->nz + 1;
}

static void fill_column(const cbx_sweep *sweep, int i, const column *out)
{
    const cb_section *section = sweep->section;
    const size_t at = (size_t)i * (size_t)section->nz;
    cbx_soil_rows(section->curves, section->soil + at, section->nz, sweep->enthalpy_j_m3 + at,
                  sweep->dryness, out->t, out->conductivity, NULL);
}

// Through the faces between the cells of a column: fall[1..nz - 1].
CBX_INLINE void fall_between(int nz, double width2_m2, const double *restrict dz,
                             const double *restrict t, const double *restrict conductivity,
                             double *restrict fall)
{
    for (int k = 0; k < nz - 1; k++) {
        fall[k + 1] =
            cbx_face_w_k(width2_m2, dz[k], conductivity[k], dz[k + 1], conductivity[k + 1]) *
            (t[k] - t[k + 1]);
    }
}

CBX_INLINE void flow_east(const cb_section *section, int i, const column *here, const column *next,
                          double *restrict east)
{
    const double *restrict dz = section->dz_m, *restrict t = here->t, *restrict next_t = next->t;
    const double *restrict k = here->conductivity, *restrict next_k = next->conductivity;
    const double here_m = section->dx_m[i], next_m = section->dx_m[i + 1];
    const double length2_m = 2.0 * section->depth_area_m;
    for (int n = 0; n < section->nz; n++) {
        east[n] =
            cbx_face_w_k(dz[n] * length2_m, here_m, k[n], next_m, next_k[n]) * (t[n] - next_t[n]);
    }
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
    column here = {work, work + nz}, next = {work + 2 * nz, work + 3 * nz};
    flows f = {work + 4 * nz, work + 5 * nz, work + 6 * nz, work + 7 * nz + 1};
    const cb_surface_exchange *surface = sweep->surface;
    const double outside_c = surface->intake_w_m2 / surface->h_w_m2k;
    double surface_w = 0.0;
    memset(f.west, 0, nz * sizeof *f.west);
    fill_column(sweep, 0, &here);
    for (int i = 0; i < section->nx; i++) {
        const double area_m2 = section->dx_m[i] * section->depth_area_m;
        if (i + 1 < section->nx) {
            fill_column(sweep, i + 1, &next);
            flow_east(section, i, &here, &next, f.east);
        } else {
            memset(f.east, 0, nz * sizeof *f.east);
        }
        f.fall[0] = cbx_top_w_k(area_m2, surface->h_w_m2k, section->dz_m[0], here.conductivity[0]) *
                    (outside_c - here.t[0]);
        fall_between(section->nz, 2.0 * area_m2, section->dz_m, here.t, here.conductivity, f.fall);
        f.fall[nz] = -section->geothermal_flux_w_m2 * area_m2;
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
