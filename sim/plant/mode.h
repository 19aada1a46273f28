// SPDX-License-Identifier: MIT
/// One mode of one unit, heating or cooling: its levels from the lowest to full load, each a table
/// over entering water and, where given, flow and entering air.
#ifndef PLANT_MODE_H
#define PLANT_MODE_H

#include "plant/curve.h"

enum { CBX_LEVELS = CB_MAX_LEVELS + 1 };

/// The part of a table that belongs to one entering air.
typedef struct cbx_sheet {
    int flows;
    double flow_m3_s[CB_MAX_FLOWS]; ///< rising; unused for one flow
    cbx_curve curve[CB_MAX_FLOWS];
} cbx_sheet;

typedef struct cbx_level {
    int airs;
    double air_c[CB_MAX_AIRS]; ///< rising; unused for one air
    cbx_sheet sheet[CB_MAX_AIRS];
} cbx_level;

typedef struct cbx_mode {
    int levels; ///< 0: no such mode; the last is full load
    cbx_level level[CBX_LEVELS];
    bool cooling;
    double low_lockout_c, high_lockout_c, recovery_k;
    double cycling_loss;
    double fan_w;   ///< while the unit runs, within the power below
    double added_w; ///< of it, what the tables do not hold
    bool wet_bulb;  ///< of the tables' entering air
    double humidity;
    double usual_air_c; ///< dry bulb where the house names none
    bool air_is_fixed;  ///< the usual one at all hours
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

typedef struct cbx_condition {
    double entering_c;
    cbx_dual flow_m3_s; ///< of water through the unit
    double air_c;       ///< as cbx_mode_air_c; unused by tables of one air
} cbx_condition;

/// levels must not be 0.
void cbx_mode_at(const cbx_mode *mode, const cbx_condition *condition, cbx_working *out);

/// Whether any table of the mode depends on entering air.
bool cbx_mode_has_air(const cbx_mode *mode);

/// The air to ask the mode's tables for, dry or wet bulb as they state it. indoor_c: dry bulb that
/// the house asks for at this moment; NaN: it names none.
double cbx_mode_air_c(const cbx_mode *mode, double indoor_c);

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
