// SPDX-License-Identifier: MIT
/// One mode of one unit, heating or cooling: its levels from the lowest to full load, each a table
/// over entering water and, where given, flow.
#ifndef PLANT_MODE_H
#define PLANT_MODE_H

#include "plant/curve.h"

enum { CBX_LEVELS = CB_MAX_LEVELS + 1 };

typedef struct cbx_level {
    int flows;
    double flow_m3_s[CB_MAX_FLOWS]; ///< rising; unused for one flow
    cbx_curve curve[CB_MAX_FLOWS];
} cbx_level;

typedef struct cbx_mode {
    int levels; ///< 0: no such mode; the last is full load
    cbx_level level[CBX_LEVELS];
    bool cooling;
    double low_lockout_c, high_lockout_c, recovery_k;
    double cycling_loss;
    double fan_w;   ///< while the unit runs, within the power below
    double added_w; ///< of it, what the tables do not hold
} cbx_mode;

/// What a mode can do at one moment.
typedef struct cbx_working {
    int levels;
    cbx_dual capacity[CBX_LEVELS], power[CBX_LEVELS]; ///< by level, rising capacity
    cbx_dual share;                                   ///< of the time the unit may run, 0..1
} cbx_working;

/// Prepares a mode of the design's unit. Errors: CB_BAD_INPUT with the place.
cb_status cbx_mode_prepare(cbx_mode *mode, const cb_design *design, int unit, bool cooling,
                           cb_error *error);

/// flow_m3_s: of water through the unit. levels must not be 0.
void cbx_mode_at(const cbx_mode *mode, double entering_c, cbx_dual flow_m3_s, cbx_working *out);

/// Per unit of run time.
typedef struct cbx_pace {
    cbx_dual run;      ///< share of the time given that the unit runs
    cbx_dual capacity; ///< while it runs
    cbx_dual power;
} cbx_pace;

/// How the unit works to carry `rate` [W], at most the capacity of its highest level, as a mean
/// over the time given: between two levels it spends its time on both; below the lowest it cycles,
/// and its run fraction is PLR / (1 - loss (1 - PLR)) with PLR the rate over the lowest capacity.
cbx_pace cbx_mode_pace(const cbx_mode *mode, const cbx_working *at, cbx_dual rate);

#endif
