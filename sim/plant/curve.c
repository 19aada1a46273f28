// SPDX-License-Identifier: MIT
#include "plant/curve.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

static_assert(CB_MAX_POINTS <= (int)CBX_MONOTONE_POINTS, "a curve holds a table's points");

static const double FADE_K = 0.5; // width over which a unit's share goes to nothing past its table

static cb_status refuse(const cbx_curve_source *from, cb_error *error, const char *text, int point)
{
    const cb_performance_point *at = &from->point[point];
    return cb_design_fail(from->design, from->path, error,
                          "the %s table of heat pump %d %s (point %d: entering water %g degC, "
                          "capacity %g W, power %g W)",
                          from->cooling ? "cooling" : "heating", from->unit + 1, text,
                          from->first + point + 1, at->entering_c, at->capacity_w, at->power_w);
}

/// NULL if point k may follow the points before it.
static const char *point_fault(const cbx_curve_source *from, int k)
{
    const cb_performance_point *point = from->point, *now = &point[k];
    if (!isfinite(now->entering_c) || !isfinite(now->capacity_w) || !isfinite(now->power_w)) {
        return "holds a value that is not a number";
    }
    if (!(now->capacity_w > 0.0 && now->power_w > 0.0)) {
        return "needs capacity and power above zero";
    }
    if (!from->cooling && !(now->capacity_w > now->power_w)) {
        return "needs a heating capacity above the power it takes";
    }
    if (k > 0 && !(now->entering_c > point[k - 1].entering_c)) {
        return "needs entering water that rises from point to point";
    }
    if (k > 1) {
        const double total = point[k - 1].capacity_w - point[0].capacity_w;
        const double step = now->capacity_w - point[k - 1].capacity_w;
        if (total * step < 0.0) {
            return "needs a capacity that only rises or only falls";
        }
    }
    return NULL;
}

/// Beyond the margin a unit is given up only where that is the careful answer: heating with water
/// too cold, cooling with water too warm. On the other side a real unit works on; it is not
/// credited with more than it does at the end of the margin.
static void set_ends(cbx_curve *curve, double margin_k, bool cooling)
{
    const cbx_monotone *x = &curve->capacity;
    const double low_c = x->x[0] - margin_k, high_c = x->x[x->count - 1] + margin_k;
    curve->low_end_c = cooling ? -INFINITY : low_c - FADE_K;
    curve->high_end_c = cooling ? high_c + FADE_K : INFINITY;
    curve->low_hold_c = cooling ? low_c : curve->low_end_c;
    curve->high_hold_c = cooling ? curve->high_end_c : high_c;
}

/// The straight extension must still describe a machine where it ends.
static bool extension_holds(const cbx_curve *curve, double entering_c, bool cooling)
{
    cbx_dual capacity, power;
    cbx_curve_at(curve, entering_c, &capacity, &power);
    return power.value > 0.0 && capacity.value > (cooling ? 0.0 : power.value);
}

cb_status cbx_curve_prepare(cbx_curve *curve, const cbx_curve_source *from, cb_error *error)
{
    *curve = (cbx_curve){.capacity.count = from->count, .power.count = from->count};
    for (int k = 0; k < from->count; k++) {
        const char *fault = point_fault(from, k);
        if (fault) {
            return refuse(from, error, fault, k);
        }
        curve->capacity.x[k] = curve->power.x[k] = from->point[k].entering_c;
        curve->capacity.y[k] = from->point[k].capacity_w;
        curve->power.y[k] = from->point[k].power_w;
    }
    cbx_monotone_fit(&curve->capacity);
    cbx_monotone_fit(&curve->power);

    set_ends(curve, from->margin_k, from->cooling);
    const char *fault = "cannot be carried that far beyond its end: lower its margin";
    if (!extension_holds(curve, curve->low_hold_c, from->cooling)) {
        return refuse(from, error, fault, 0);
    }
    if (!extension_holds(curve, curve->high_hold_c, from->cooling)) {
        return refuse(from, error, fault, from->count - 1);
    }
    return CB_OK;
}

static cbx_dual value_at(const cbx_monotone *curve, double at_c, bool held)
{
    double slope;
    const double value = cbx_monotone_at(curve, at_c, &slope);
    return cbx_of_entering(value, held ? 0.0 : slope);
}

void cbx_curve_at(const cbx_curve *curve, double entering_c, cbx_dual *capacity, cbx_dual *power)
{
    const bool held = entering_c < curve->low_hold_c || entering_c > curve->high_hold_c;
    const double at_c =
        held ? fmin(fmax(entering_c, curve->low_hold_c), curve->high_hold_c) : entering_c;
    *capacity = value_at(&curve->capacity, at_c, held);
    *power = value_at(&curve->power, at_c, held);
}

cbx_dual cbx_fade(double distance_k, double width_k, double direction)
{
    const double u = distance_k / width_k;
    if (!(u > 0.0)) {
        return cbx_constant(0.0);
    }
    if (u >= 1.0) {
        return cbx_constant(1.0);
    }
    return cbx_of_entering(u * u * (3.0 - 2.0 * u), direction * 6.0 * u * (1.0 - u) / width_k);
}

cbx_dual cbx_curve_share(const cbx_curve *curve, double entering_c)
{
    return cbx_multiply(cbx_fade(entering_c - curve->low_end_c, FADE_K, 1.0),
                        cbx_fade(curve->high_end_c - entering_c, FADE_K, -1.0));
}
