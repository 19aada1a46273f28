// SPDX-License-Identifier: MIT
/// Coefficients behind coilbed/loop.h's fluids; values and sources in fluid_table.c.
#ifndef COILBED_LOOP_FLUID_TABLE_H
#define COILBED_LOOP_FLUID_TABLE_H

#include "coilbed/loop.h"

enum { CBX_TEMPERATURE_TERMS = 4, CBX_CONCENTRATION_TERMS = 6, CBX_WATER_TERMS = 7 };

/// What "per cent by volume" means for an additive.
typedef enum cbx_volume_basis {
    CBX_BEFORE_MIXING, ///< additive over additive plus water, each measured at 20 degC
    CBX_OF_SOLUTION,   ///< additive at 20 degC over the mixed solution at 20 degC
    CBX_MASS_ONLY      ///< a salt: nothing
} cbx_volume_basis;

/// P(T, x) = sum_i sum_j c[i][j] (T - base_c)^i (x - base_fraction)^j, x the mass fraction.
typedef double cbx_surface[CBX_TEMPERATURE_TERMS][CBX_CONCENTRATION_TERMS];

typedef struct cbx_brine {
    cb_fluid_type type;
    cbx_volume_basis volume_basis;
    double base_fraction, base_c;
    double lowest_fraction, highest_fraction; ///< by mass, span of the data
    double lowest_c, highest_c;
    double additive_density_kg_m3;            ///< pure additive at 20 degC; NaN: solid
    double freeze_k[CBX_CONCENTRATION_TERMS]; ///< kelvin, in powers of x - base_fraction
    cbx_surface density;                      ///< kg/m3
    cbx_surface heat_capacity;                ///< J/(kg K)
    cbx_surface conductivity;                 ///< W/(m K)
    cbx_surface log_viscosity;                ///< ln of Pa s
} cbx_brine;

/// Polynomials in (T - base_c) / scale_k.
typedef struct cbx_water {
    double base_c, scale_k;
    double lowest_c, highest_c;
    double density[CBX_WATER_TERMS];
    double heat_capacity[CBX_WATER_TERMS];
    double conductivity[CBX_WATER_TERMS];
    double log_viscosity[CBX_WATER_TERMS];
} cbx_water;

/// NULL for water.
const cbx_brine *cbx_brine_find(cb_fluid_type type);
const cbx_water *cbx_water_table(void);

#endif
