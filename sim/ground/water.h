// SPDX-License-Identifier: MIT
// Water in reach of the surface: a root zone and, inside it, the top that dries to the air.
#ifndef GROUND_WATER_H
#define GROUND_WATER_H

#include "coilbed/yard.h"

typedef struct cbx_water {
    double root_gone_kg_m2, top_gone_kg_m2; // below field capacity
} cbx_water;

// Stress of plants short of water and of a drying top, 1 (none) to 0: FAO-56 eq. 84 with p = 0.5,
// and eq. 74 with readily evaporable water 0.4 of the total (table 19).
double cbx_leaf_stress(const cbx_water *water, const cb_cover *cover);
double cbx_top_wetness(const cbx_water *water, const cb_cover *cover);

// One hour: what fell or melted and what evaporated; what is above field capacity drains away.
void cbx_water_step(cbx_water *water, const cb_cover *cover, double gained_kg_m2,
                    double from_leaves_kg_m2, double from_top_kg_m2);

// Share of the root zone's water that is gone, 0..1; of the top's where nothing grows.
double cbx_dryness(const cbx_water *water, const cb_cover *cover);

// The state held where the weather tells of no precipitation: neither wet nor dry.
cbx_water cbx_water_unknown(const cb_cover *cover);

#endif
