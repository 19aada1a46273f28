// SPDX-License-Identifier: MIT
#include "loop/hydraulics.h"

#include <math.h>
#include <stdio.h>

// ---- root ------------------------------------------------------------------------------------

// Newton while it stays in the bracket, else the middle. A last Newton step of 1e-10 leaves its
// square, which is below round-off.
double cbx_root(cbx_function *function, const void *context, double low, double high, double start)
{
    double x = start > low && start < high ? start : 0.5 * (low + high);
    for (int n = 0; n < 200; n++) {
        const cbx_value at = function(context, x);
        if (at.value == 0.0) {
            break;
        }
        *(at.value > 0.0 ? &low : &high) = x;
        const double newton = x - at.value / at.slope;
        const bool inside = newton > low && newton < high;
        const double next = inside ? newton : 0.5 * (low + high);
        const double step = fabs(next - x);
        x = next;
        if (step <= (inside ? 1e-10 : 4e-16) * fabs(x)) {
            break;
        }
    }
    return x;
}

// ---- units -----------------------------------------------------------------------------------

// Smooth turbulent flow in the exchanger's channels: friction as Re^-1/4 (Blasius), so drop grows
// as flow^1.75, density^0.75, viscosity^0.25. A maker's factors of pressure drop for 20 % by mass
// against water at 30 degF, 1.163 to 1.343, follow within 4.1 % (validation: unit_drop).
static const double blasius = 0.25;

cb_status cbx_unit_curve_prepare(cbx_unit_curve *out, const cb_design *design, cb_error *error)
{
    const cb_design_piping *piping = &design->piping;
    *out = (cbx_unit_curve){.log_drop = {.count = piping->unit_drop_count}};
    if (piping->unit_drop_count == 0) {
        return CB_OK;
    }
    for (int n = 0; n < piping->unit_drop_count; n++) {
        const cb_flow_point *point = &piping->unit_drop[n];
        const bool good = point->flow_m3_s > 0.0 && point->drop_pa > 0.0;
        const bool grows = n == 0 || (point->flow_m3_s > point[-1].flow_m3_s &&
                                      point->drop_pa / point->flow_m3_s >=
                                          point[-1].drop_pa / point[-1].flow_m3_s);
        if (!good || !grows || !isfinite(point->drop_pa)) {
            char path[40];
            snprintf(path, sizeof path, "piping.units[%d]", n);
            return cb_design_fail(design, path, error,
                                  "%g Pa at %g L/s: flow and drop must be above zero, and the drop "
                                  "grow with the flow, in proportion to it or faster",
                                  point->drop_pa, 1e3 * point->flow_m3_s);
        }
        out->log_drop.x[n] = log(point->flow_m3_s);
        out->log_drop.y[n] = log(point->drop_pa);
    }
    cbx_monotone_fit_ends(&out->log_drop, 2.0 - blasius, 2.0 - blasius);
    const cb_design_fluid water = {.type = CB_WATER};
    cb_fluid fluid;
    cb_fluid_properties properties;
    cb_status status = cb_fluid_define(&fluid, &water, error);
    if (status == CB_OK && !cb_fluid_at(&fluid, piping->unit_water_c, &properties)) {
        status = cb_design_fail(design, "piping.unit_water", error,
                                "%g degC is outside the data for water, %g to %g degC",
                                piping->unit_water_c, fluid.minimum_c, fluid.maximum_c);
    }
    if (status == CB_OK) {
        out->density_kg_m3 = properties.density_kg_m3;
        out->viscosity_pa_s = properties.viscosity_pa_s;
    }
    return status;
}

cbx_value cbx_unit_drop(const cbx_unit_curve *curve, const cb_fluid_properties *fluid,
                        double flow_m3_s)
{
    if (curve->log_drop.count == 0 || !(flow_m3_s > 0.0)) {
        return (cbx_value){0.0, 0.0};
    }
    double power;
    const double log_drop = cbx_monotone_at(&curve->log_drop, log(flow_m3_s), &power);
    const double drop = exp(log_drop) *
                        pow(fluid->density_kg_m3 / curve->density_kg_m3, 1.0 - blasius) *
                        pow(fluid->viscosity_pa_s / curve->viscosity_pa_s, blasius);
    return (cbx_value){drop, drop * power / flow_m3_s};
}

// ---- pumps -----------------------------------------------------------------------------------

// Makers measure with water near 20 degC.
static const double water_density_kg_m3 = 998.2;

static cb_status refuse_point(const cb_design *design, int n, cb_error *error, const char *why)
{
    char path[40];
    const cb_pump_point *point = &design->pumps.curve[n];
    snprintf(path, sizeof path, "pumps.curve[%d]", n);
    return cb_design_fail(design, path, error, "%s (%g L/s, %g m, %g W)", why,
                          1e3 * point->flow_m3_s, point->head_m, point->power_w);
}

static const char *point_fault(const cb_pump_point *point, bool first)
{
    const bool numbers =
        isfinite(point->flow_m3_s) && isfinite(point->head_m) && isfinite(point->power_w);
    if (!numbers || !(point->flow_m3_s >= 0.0 && point->head_m >= 0.0 && point->power_w > 0.0)) {
        return "flow and head must not be below zero, and power above it";
    }
    if (first) {
        return point->head_m > 0.0 ? NULL : "the first point must have some head";
    }
    if (!(point->flow_m3_s > point[-1].flow_m3_s)) {
        return "flow must rise from point to point";
    }
    return point->head_m <= point[-1].head_m
               ? NULL
               : "head must not rise with the flow: such a pump can run at two flows";
}

static cb_status check_numbers(const cb_design_pumps *pumps, const cb_design *design,
                               cb_error *error)
{
    if (pumps->curve_count == 1 || pumps->curve_count > CB_MAX_POINTS) {
        return cb_design_fail(design, "pumps.curve", error,
                              "%d point%s no curve, 2 to %d are wanted", pumps->curve_count,
                              pumps->curve_count == 1 ? " is" : "s are", CB_MAX_POINTS);
    }
    if (pumps->in_series < 1 || pumps->in_parallel < 1) {
        return cb_design_fail(design, "pumps", error, "%d in series and %d in parallel: 1 or more",
                              pumps->in_series, pumps->in_parallel);
    }
    const bool held = !pumps->variable_speed ||
                      (pumps->lowest_speed > 0.0 && pumps->lowest_speed <= pumps->speed);
    if (!(pumps->speed > 0.0) || !held) {
        return cb_design_fail(design, pumps->variable_speed ? "pumps.lowest_speed" : "pumps.speed",
                              error,
                              "lowest speed %g %%, speed %g %%: above zero and in that order",
                              100.0 * pumps->lowest_speed, 100.0 * pumps->speed);
    }
    return CB_OK;
}

cb_status cbx_pump_prepare(cbx_pump *out, const cb_design *design, cb_error *error)
{
    const cb_design_pumps *pumps = &design->pumps;
    *out = (cbx_pump){.series = pumps->in_series,
                      .parallel = pumps->in_parallel,
                      .variable = pumps->variable_speed,
                      .lowest_speed = pumps->lowest_speed,
                      .highest_speed = pumps->speed};
    if (pumps->curve_count == 0) {
        return CB_OK;
    }
    const cb_status status = check_numbers(pumps, design, error);
    if (status != CB_OK) {
        return status;
    }
    out->head.count = out->power.count = pumps->curve_count;
    for (int n = 0; n < pumps->curve_count; n++) {
        const cb_pump_point *point = &pumps->curve[n];
        const char *fault = point_fault(point, n == 0);
        if (fault) {
            return refuse_point(design, n, error, fault);
        }
        out->head.x[n] = out->power.x[n] = point->flow_m3_s;
        out->head.y[n] = point->head_m;
        out->power.y[n] = point->power_w;
    }
    cbx_monotone_fit(&out->head);
    cbx_monotone_fit(&out->power);
    return CB_OK;
}

// One pump at full speed. Past its last point the head bends down, so that some flow has none left
// and a solution exists; the caller reports that it lies beyond the curve.
static cbx_value one_head(const cbx_pump *pump, double flow_m3_s)
{
    const cbx_monotone *curve = &pump->head;
    const int last = curve->count - 1;
    cbx_value head;
    head.value = cbx_monotone_at(curve, flow_m3_s, &head.slope);
    const double past = flow_m3_s - curve->x[last];
    if (past > 0.0) {
        const double bend = curve->y[0] / (curve->x[last] * curve->x[last]);
        head.value -= bend * past * past;
        head.slope -= 2.0 * bend * past;
    }
    return head;
}

// Affinity laws: flow as speed, head as its square, power as its cube.
cbx_value cbx_pump_head(const cbx_pump *pump, double flow_m3_s, double speed)
{
    const cbx_value one = one_head(pump, flow_m3_s / (pump->parallel * speed));
    return (cbx_value){pump->series * speed * speed * one.value,
                       pump->series * speed * one.slope / pump->parallel};
}

cbx_value cbx_pump_head_of_speed(const cbx_pump *pump, double flow_m3_s, double speed)
{
    const double flow = flow_m3_s / (pump->parallel * speed);
    const cbx_value one = one_head(pump, flow);
    return (cbx_value){pump->series * speed * speed * one.value,
                       pump->series * speed * (2.0 * one.value - flow * one.slope)};
}

double cbx_pump_power_w(const cbx_pump *pump, double density_kg_m3, double flow_m3_s, double speed)
{
    const cbx_monotone *curve = &pump->power;
    const double flow = flow_m3_s / (pump->parallel * speed);
    const double held = fmin(fmax(flow, curve->x[0]), curve->x[curve->count - 1]);
    double slope;
    return pump->series * pump->parallel * speed * speed * speed *
           cbx_monotone_at(curve, held, &slope) * density_kg_m3 / water_density_kg_m3;
}

bool cbx_pump_beyond(const cbx_pump *pump, double flow_m3_s, double speed)
{
    const double flow = flow_m3_s / (pump->parallel * speed);
    return flow < pump->head.x[0] || flow > pump->head.x[pump->head.count - 1];
}
