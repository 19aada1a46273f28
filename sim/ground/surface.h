// SPDX-License-Identifier: MIT
// The heat balance of what the sun sees: plants, soil, stones or snow.
#ifndef GROUND_SURFACE_H
#define GROUND_SURFACE_H

#include "coilbed/yard.h"

// The surface of one hour, apart from its temperature.
typedef struct cbx_surface {
    double albedo, emissivity, shade;
    double height_m;            // roughness
    double leaf_share;          // of the ground under leaves that transpire now, 0..1
    double leaf_resistance_s_m; // of those leaves
    double soil_share;          // of the ground whose top is wet enough to evaporate, 0..1
    double soil_resistance_s_m;
    double latent_j_kg; // of evaporation, or of sublimation from snow
    bool snow;          // vapour pressure over ice, evaporation without resistance
} cbx_surface;

// Heat into the surface [W/m2] and its tangent at one surface temperature.
typedef struct cbx_balance {
    double heat_w_m2, slope_w_m2k; // slope < 0
    double latent_w_m2, latent_slope_w_m2k;
    double leaf_part; // share of the latent heat that plants give off
} cbx_balance;

// Absorbed sun; longwave from sky and, for the shaded share, from trees at air temperature;
// convection by the aerodynamic resistance of FAO-56 eq. 4 with the stability correction of
// Choudhury, Reginato & Idso 1986 (from memory); evaporation through the resistances of leaves and
// soil in parallel (Penman-Monteith before its linearisation), dew without resistance.
cbx_balance cbx_surface_balance(const cbx_surface *surface, const cb_weather_hour *hour,
                                double elevation_m, double surface_c);

// The tangent as an exchange.
cb_surface_exchange cbx_tangent(const cbx_balance *balance, double surface_c);

#endif
