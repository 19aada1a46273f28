// SPDX-License-Identifier: MIT
// What the hydraulics are made of: pipes, the units' drop and the pumps, each as a smooth function
// of flow with its slope.
#ifndef COILBED_LOOP_HYDRAULICS_H
#define COILBED_LOOP_HYDRAULICS_H

#include "base/monotone.h"
#include "coilbed/hydraulics.h"

static const double cbx_gravity_m_s2 = 9.80665;

typedef struct cbx_value {
    double value, slope;
} cbx_value;

// A line of pipe of one inside diameter, with the fittings in it.
typedef struct cbx_line {
    double inside_m;
    double straight_m, coiled_m;
    double curvature; // of the coiled part
    double roughness; // over inside diameter
    double fittings_k;
} cbx_line;

// f Re^2 and its slope over Re: unlike f it is tame at rest.
cbx_value cbx_friction_number(double reynolds, double roughness, double curvature);

// Drop [Pa] over flow [m3/s]; odd in the flow.
cbx_value cbx_line_drop(const cbx_line *line, const cb_fluid_properties *fluid, double flow_m3_s);

// Drop of the units, ln over ln of flow.
typedef struct cbx_unit_curve {
    cbx_monotone log_drop; // count 0: none
    double density_kg_m3, viscosity_pa_s;
} cbx_unit_curve;

cb_status cbx_unit_curve_prepare(cbx_unit_curve *out, const cb_design *design, cb_error *error);
cbx_value cbx_unit_drop(const cbx_unit_curve *curve, const cb_fluid_properties *fluid,
                        double flow_m3_s);

// Equal pumps, as one.
typedef struct cbx_pump {
    cbx_monotone head, power; // of one at full speed [m, W]; count 0: none
    double series, parallel;
    bool variable;
    double lowest_speed, highest_speed;
} cbx_pump;

cb_status cbx_pump_prepare(cbx_pump *out, const cb_design *design, cb_error *error);
// Head [m] of all at this flow and speed, and its slope over flow.
cbx_value cbx_pump_head(const cbx_pump *pump, double flow_m3_s, double speed);
// The same, and its slope over speed.
cbx_value cbx_pump_head_of_speed(const cbx_pump *pump, double flow_m3_s, double speed);
// Electric power [W] of all.
double cbx_pump_power_w(const cbx_pump *pump, double density_kg_m3, double flow_m3_s, double speed);
// Whether one pump runs where the curve has no points.
bool cbx_pump_beyond(const cbx_pump *pump, double flow_m3_s, double speed);

// Root of a falling function by Newton's method, held between a point where it is positive and one
// where it is negative.
typedef cbx_value cbx_function(const void *context, double x);
double cbx_root(cbx_function *function, const void *context, double low, double high, double start);

#endif
