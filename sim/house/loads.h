// SPDX-License-Identifier: MIT
/// The two ways to fill a house's loads; the arrays are there already.
#ifndef HOUSE_LOADS_H
#define HOUSE_LOADS_H

#include "coilbed/house.h"

cb_status cbx_load_line(cb_house *house, const cb_design *design, const cb_run_weather *weather,
                        cb_error *error);
cb_status cbx_load_file(cb_house *house, const cb_design *design, const cb_units *units,
                        cb_error *error);

/// Of the house's loads, for the design's units.
static inline double cbx_house_share(const cb_design *design)
{
    return design->house.share > 0.0 ? design->house.share : 1.0;
}

#endif
