// SPDX-License-Identifier: MIT
/// Soils that freeze at one temperature, as Neumann's solutions want them.
#ifndef COILBED_VALIDATION_GROUND_PHASES_H
#define COILBED_VALIDATION_GROUND_PHASES_H

#include "coilbed/ground.h"

typedef struct ground_phases {
    const char *what;
    double frozen_k, frozen_capacity, thawed_k, thawed_capacity, latent_j_m3;
    double start_c, surface_c; ///< of the plane front
} ground_phases;

enum { GROUND_PHASES = 4 };
static const ground_phases ground_phases_sets[GROUND_PHASES] = {
    {"a moist loam", 2.2, 1.9e6, 1.5, 2.6e6, 83.5e6, 5.0, -10.0},
    {"b drier sand", 1.4, 1.6e6, 1.2, 1.8e6, 33.4e6, 8.0, -5.0},
    {"c saturated clay", 2.4, 2.1e6, 1.4, 3.1e6, 150.3e6, 4.0, -8.0},
    {"d water to ice", 2.22, 1.93e6, 0.58, 4.2e6, 334e6, 4.0, -10.0},
};

/// Depth of the plane front, Carslaw & Jaeger 1959, 11.2, evaluated independently.
enum { GROUND_FRONT_MOMENTS = 6 };
static const double ground_front_days[GROUND_FRONT_MOMENTS] = {1, 5, 10, 30, 60, 100};
static const double ground_front_m[GROUND_PHASES][GROUND_FRONT_MOMENTS] = {
    {0.1803638456, 0.4033058194, 0.5703605596, 0.9878934678, 1.39709234, 1.803638456},
    {0.1254852914, 0.2805936418, 0.3968193338, 0.6873112476, 0.9720048879, 1.254852914},
    {0.1339329402, 0.2994831586, 0.4235331446, 0.7335809251, 1.037440093, 1.339329402},
    {0.1014733576, 0.2269013255, 0.3208869318, 0.5557924694, 0.7860092481, 1.014733576},
};

/// Neumann's solutions know one melting point and nothing between ice and water; the soil curve
/// comes close with an onset of -0.01 degC and a steep power law.
static inline cb_soil ground_sharp_soil(const ground_phases *phases)
{
    cb_soil soil = cb_soil_of("loam", phases->latent_j_m3 / 334e6);
    soil.conductivity_w_mk = phases->thawed_k;
    soil.frozen_conductivity_w_mk = phases->frozen_k;
    soil.heat_capacity_j_m3k = phases->thawed_capacity;
    soil.frozen_heat_capacity_j_m3k = phases->frozen_capacity;
    soil.freezing_start_c = -0.01;
    soil.freezing_exponent = 40.0;
    return soil;
}

#endif
