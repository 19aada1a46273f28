// SPDX-License-Identifier: MIT
// Many cells at a time.
#ifndef COILBED_GROUND_SOIL_CURVE_H
#define COILBED_GROUND_SOIL_CURVE_H

#include "coilbed/ground.h"

// A soil while it holds no ice, which most never does.
typedef struct cbx_thawed {
    double onset_j_m3; // enthalpy below which it holds some
    double slope_k_m3_j, conductivity_w_mk;
} cbx_thawed;
cbx_thawed cbx_soil_thawed(const cb_soil_curve *curve, double dryness);

// Cells in a row, from `first` to before `end`.
typedef struct cbx_cell_range {
    int first, end;
} cbx_cell_range;

// cb_soil_dried_at, without the ice, of those of `count` cells that are below their onset; the
// others' numbers are left alone. Slopes may be NULL: not wanted. Returns where those are: none are
// outside.
cbx_cell_range cbx_soil_freeze(const cb_soil_curve *curve, int count, const double *enthalpy_j_m3,
                               double dryness, double *temperature_c, double *conductivity_w_mk,
                               double *slope_k_m3_j);

// cb_soil_dried_at of all cells, without the ice, in any soils: soil [count] are indices into
// curves; slopes may be NULL: not wanted (section.c).
void cbx_soil_rows(cb_soil_curve *const *curves, const int *soil, int count,
                   const double *enthalpy_j_m3, double dryness, double *temperature_c,
                   double *conductivity_w_mk, double *slope_k_m3_j);

// Where the run of cells from `first` that have its soil ends.
static inline int cbx_soil_run_end(const int *soil, int first, int count)
{
    int end = first + 1;
    while (end < count && soil[end] == soil[first]) {
        end++;
    }
    return end;
}

// Cells with weights: which of a section's, and the soils of all of that.
typedef struct cbx_soil_patch {
    int count;
    const int *cell;      // [count]
    const double *weight; // [count]
    const int *soil;      // [cells]
} cbx_soil_patch;

// Weighted sum of their temperatures.
double cbx_soil_mean_c(cb_soil_curve *const *curves, const cbx_soil_patch *patch,
                       const double *enthalpy_j_m3);

#endif
