// SPDX-License-Identifier: MIT
#include "ground/water.h"

#include <math.h>

static const double readily_drawn = 0.5;      // p of FAO-56, grass
static const double readily_evaporated = 0.4; // REW / TEW, FAO-56 table 19: 8 of 20 mm in loam

static double fading(double gone, double readily, double total)
{
    if (!(total > 0.0)) {
        return 0.0;
    }
    return fmin(1.0, fmax(0.0, (total - gone) / (total - readily * total)));
}

double cbx_leaf_stress(const cbx_water *water, const cb_cover *cover)
{
    return fading(water->root_gone_kg_m2, readily_drawn, cover->root_water_kg_m2);
}

double cbx_top_wetness(const cbx_water *water, const cb_cover *cover)
{
    return fading(water->top_gone_kg_m2, readily_evaporated, cover->top_water_kg_m2);
}

static double within(double value, double most)
{
    return fmin(most, fmax(0.0, value));
}

void cbx_water_step(cbx_water *water, const cb_cover *cover, double gained_kg_m2,
                    double from_leaves_kg_m2, double from_top_kg_m2)
{
    water->top_gone_kg_m2 =
        within(water->top_gone_kg_m2 + from_top_kg_m2 - gained_kg_m2, cover->top_water_kg_m2);
    water->root_gone_kg_m2 =
        within(water->root_gone_kg_m2 + from_leaves_kg_m2 + from_top_kg_m2 - gained_kg_m2,
               cover->root_water_kg_m2);
}

double cbx_dryness(const cbx_water *water, const cb_cover *cover)
{
    if (cover->root_water_kg_m2 > 0.0) {
        return water->root_gone_kg_m2 / cover->root_water_kg_m2;
    }
    return cover->top_water_kg_m2 > 0.0 ? water->top_gone_kg_m2 / cover->top_water_kg_m2 : 0.0;
}

cbx_water cbx_water_unknown(const cb_cover *cover)
{
    return (cbx_water){0.4 * cover->root_water_kg_m2, 0.4 * cover->top_water_kg_m2};
}
