// SPDX-License-Identifier: MIT
/// One table of one flow: capacity and power as C1 functions of entering water.
#ifndef PLANT_CURVE_H
#define PLANT_CURVE_H

#include "base/monotone.h"
#include "coilbed/design.h"
#include "plant/dual.h"

typedef struct cbx_curve {
    cbx_monotone capacity, power;
    double low_end_c, high_end_c;   ///< where the unit's share has faded to nothing, or never
    double low_hold_c, high_hold_c; ///< beyond these capacity and power stay as they are there
} cbx_curve;

/// What a curve is made of, and where it stands in the design.
typedef struct cbx_curve_source {
    const cb_design *design;
    const char *path; ///< of the whole table
    int unit;
    bool cooling;
    double margin_k;
    int count, first; ///< points of this flow, and those of the table that come before them
    cb_performance_point point[CB_MAX_POINTS]; ///< corrected
} cbx_curve_source;

/// Errors: CB_BAD_INPUT with the table's place.
cb_status cbx_curve_prepare(cbx_curve *curve, const cbx_curve_source *from, cb_error *error);

/// Capacity and power; their slope is 0 where they are held.
void cbx_curve_at(const cbx_curve *curve, double entering_c, cbx_dual *capacity, cbx_dual *power);

/// Share of the time the table allows the unit to run at this entering water, 0..1.
cbx_dual cbx_curve_share(const cbx_curve *curve, double entering_c);

/// 0 at distance_k <= 0, 1 from width_k on, C1 between; its slope is that by entering water.
/// direction: slope of distance_k, +1 or -1.
cbx_dual cbx_fade(double distance_k, double width_k, double direction);

#endif
