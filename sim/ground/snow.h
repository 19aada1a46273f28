// SPDX-License-Identifier: MIT
// The snow on the yard: cells of equal mass with one density, their heat, and how it falls, ages
// and melts.
#ifndef GROUND_SNOW_H
#define GROUND_SNOW_H

#include "coilbed/yard.h"

enum { CBX_SNOW_CELLS = 3 };

typedef struct cbx_snow {
    double mass_kg_m2; // 0: no snow
    double density_kg_m3;
    double albedo;
    double waiting_kg_m2;             // fallen, too little to be a layer yet
    double heat_j_m2[CBX_SNOW_CELLS]; // from the top down; 0: ice at 0 degC, melting above
} cbx_snow;

static inline double cbx_snow_depth_m(const cbx_snow *snow)
{
    return snow->mass_kg_m2 > 0.0 ? snow->mass_kg_m2 / snow->density_kg_m3 : 0.0;
}

// Temperature of a cell of `mass` and dT/dE [K m2/J]. Melting is spread over a few hundredths of a
// kelvin so that the slope is never zero; a cell that melts away stays near 0 degC until drained.
double cbx_snow_cell_c(double mass_kg_m2, double heat_j_m2, double *slope_k_m2_j);

// Share of the precipitation that falls as snow: all below 0 degC, none above 2 degC of air
// (common practice, no source).
double cbx_snow_share(double air_c);

// Lays snow on top.
void cbx_snow_fall(cbx_snow *snow, double mass_kg_m2, double air_c);

// Takes snow off the top, its heat with it.
void cbx_snow_take(cbx_snow *snow, double mass_kg_m2);

// One hour of settling and dulling: density towards 300 kg/m3 in 100 h (Verseghy 1991), albedo by
// 0.008 a day of cold and towards 0.50 at 0.24 a day of melt (Douville et al. 1995); both from
// memory.
void cbx_snow_age(cbx_snow *snow, bool melting);

// Lets the water of melted cells go; returns it [kg/m2] and what heat melted cells took on beyond
// [J/m2].
double cbx_snow_drain(cbx_snow *snow, double *surplus_j_m2);

#endif
