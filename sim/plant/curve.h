// SPDX-License-Identifier: MIT
/// One mode of one unit: capacity and power as C1 functions of entering water.
#ifndef PLANT_CURVE_H
#define PLANT_CURVE_H

#include "coilbed/design.h"
#include "plant/dual.h"

/// Cubic in (entering - from_c), lowest power first.
typedef struct cbx_piece {
    double from_c;
    double capacity[4], power[4];
} cbx_piece;

typedef struct cbx_curve {
    int count; ///< points of the table; 0: no such mode
    double entering_c[CB_MAX_POINTS];
    cbx_piece piece[CB_MAX_POINTS + 1]; ///< [i] holds where i of the points lie at or below
    double low_end_c, high_end_c;       ///< where the unit's share has faded to nothing, or never
    double low_hold_c, high_hold_c;     ///< beyond these capacity and power stay as they are there
    double low_lockout_c, high_lockout_c;
} cbx_curve;

/// Prepares a mode of the design's unit. Errors: CB_BAD_INPUT with the table's place.
cb_status cbx_curve_prepare(cbx_curve *curve, const cb_design *design, int unit, bool cooling,
                            cb_error *error);

/// Full-load capacity and power; their slope is 0 where they are held. count must not be 0.
void cbx_curve_at(const cbx_curve *curve, double entering_c, cbx_dual *capacity, cbx_dual *power);

/// Share of the time the unit may run at this entering water, 0..1.
cbx_dual cbx_curve_share(const cbx_curve *curve, double entering_c);

#endif
