// SPDX-License-Identifier: MIT
// Many cells at a time.
#ifndef COILBED_GROUND_SOIL_CURVE_H
#define COILBED_GROUND_SOIL_CURVE_H

#include "coilbed/ground.h"

// cb_soil_dried_at of `count` cells, without the ice; slopes may be NULL: not wanted.
void cbx_soil_fill(const cb_soil_curve *curve, int count, const double *enthalpy_j_m3,
                   double dryness, double *temperature_c, double *conductivity_w_mk,
                   double *slope_k_m3_j);

// The same of cells in any soils: soil [count] are indices into curves (section.c).
void cbx_soil_rows(cb_soil_curve *const *curves, const int *soil, int count,
                   const double *enthalpy_j_m3, double dryness, double *temperature_c,
                   double *conductivity_w_mk, double *slope_k_m3_j);

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

// Enthalpy below which the soil holds ice.
double cbx_soil_onset_j_m3(const cb_soil_curve *curve);

#endif
