// SPDX-License-Identifier: MIT
// Monotone piecewise cubic interpolation:
//     F. N. Fritsch, R. E. Carlson, Monotone piecewise cubic interpolation,
//     SIAM J. Numer. Anal. 17 (1980) 238-246, doi:10.1137/0717021.
// Slopes start from the parabola through three neighbours and are pulled into the circle
// alpha^2 + beta^2 <= 9 of that paper, so no interval overshoots its end points. Where the data
// turn, the slope is zero, so tables whose power is not monotone stay within their points too.
#include "plant/curve.h"

#include <math.h>
#include <stdio.h>

static const double FADE_K = 0.5; // width over which a unit's share goes to nothing

/// Slope at the first (or last) point of the parabola through it and its two neighbours.
static double end_slope(double h_near, double h_far, double secant_near, double secant_far)
{
    return ((2.0 * h_near + h_far) * secant_near - h_near * secant_far) / (h_near + h_far);
}

static void initial_slopes(const double *x, const double *y, int count, double *slope)
{
    if (count < 3) {
        slope[0] = count == 2 ? (y[1] - y[0]) / (x[1] - x[0]) : 0.0;
        slope[count - 1] = slope[0];
        return;
    }
    double h[CB_MAX_POINTS], secant[CB_MAX_POINTS];
    for (int k = 0; k + 1 < count; k++) {
        h[k] = x[k + 1] - x[k];
        secant[k] = (y[k + 1] - y[k]) / h[k];
    }
    const int last = count - 2; // interval
    slope[0] = end_slope(h[0], h[1], secant[0], secant[1]);
    slope[count - 1] = end_slope(h[last], h[last - 1], secant[last], secant[last - 1]);
    for (int k = 1; k <= last; k++) {
        slope[k] = (h[k] * secant[k - 1] + h[k - 1] * secant[k]) / (h[k - 1] + h[k]);
    }
}

/// Both ends of each interval into the circle; shrinking a slope never leaves a neighbour's circle.
static void limit_slopes(const double *x, const double *y, int count, double *slope)
{
    for (int k = 0; k + 1 < count; k++) {
        const double secant = (y[k + 1] - y[k]) / (x[k + 1] - x[k]);
        if (secant == 0.0) {
            slope[k] = slope[k + 1] = 0.0;
            continue;
        }
        slope[k] = slope[k] / secant < 0.0 ? 0.0 : slope[k];
        slope[k + 1] = slope[k + 1] / secant < 0.0 ? 0.0 : slope[k + 1];
        const double radius = hypot(slope[k] / secant, slope[k + 1] / secant);
        if (radius > 3.0) {
            slope[k] *= 3.0 / radius;
            slope[k + 1] *= 3.0 / radius;
        }
    }
}

/// Coefficients of all pieces of one quantity, capacity or power.
static void fill_pieces(cbx_curve *curve, const double *y, bool power)
{
    const int count = curve->count;
    const double *x = curve->entering_c;
    double slope[CB_MAX_POINTS];
    initial_slopes(x, y, count, slope);
    limit_slopes(x, y, count, slope);
    for (int i = 0; i <= count; i++) {
        const int k = i > 0 ? i - 1 : 0; // point the piece starts from
        double *c = power ? curve->piece[i].power : curve->piece[i].capacity;
        curve->piece[i].from_c = x[k];
        c[0] = y[k];
        c[1] = slope[k];
        c[2] = c[3] = 0.0; // straight beyond the table
        if (i > 0 && i < count) {
            const double h = x[k + 1] - x[k], secant = (y[k + 1] - y[k]) / h;
            c[2] = (3.0 * secant - 2.0 * slope[k] - slope[k + 1]) / h;
            c[3] = (slope[k] + slope[k + 1] - 2.0 * secant) / (h * h);
        }
    }
}

static cb_status refuse(const cb_design *design, int unit, bool cooling, cb_error *error,
                        const char *text, int point)
{
    char path[64];
    const char *mode = cooling ? "cooling" : "heating";
    snprintf(path, sizeof path, "heat_pumps[%d].%s", unit, mode);
    const cb_performance_table *table =
        cooling ? &design->heat_pump[unit].cooling : &design->heat_pump[unit].heating;
    const cb_performance_point *at = &table->point[point];
    return cb_design_fail(design, path, error,
                          "the %s table of heat pump %d %s (point %d: entering water %g degC, "
                          "capacity %g W, power %g W)",
                          mode, unit + 1, text, point + 1, at->entering_c, at->capacity_w,
                          at->power_w);
}

/// NULL if point k may follow the points before it.
static const char *point_fault(const cb_performance_table *table, int k, bool cooling)
{
    const cb_performance_point *now = &table->point[k];
    if (!isfinite(now->entering_c) || !isfinite(now->capacity_w) || !isfinite(now->power_w)) {
        return "holds a value that is not a number";
    }
    if (!(now->capacity_w > 0.0 && now->power_w > 0.0)) {
        return "needs capacity and power above zero";
    }
    if (!cooling && !(now->capacity_w > now->power_w)) {
        return "needs a heating capacity above the power it takes";
    }
    if (k > 0 && !(now->entering_c > table->point[k - 1].entering_c)) {
        return "needs entering water that rises from point to point";
    }
    if (k > 1) {
        const double total = table->point[k - 1].capacity_w - table->point[0].capacity_w;
        const double step = now->capacity_w - table->point[k - 1].capacity_w;
        if (total * step < 0.0) {
            return "needs a capacity that only rises or only falls";
        }
    }
    return NULL;
}

/// Beyond the margin a unit is given up only where that is the careful answer: heating with water
/// too cold, cooling with water too warm. On the other side a real unit works on; it is not
/// credited with more than it does at the end of the margin.
static void set_ends(cbx_curve *curve, const cb_design_heat_pump *pump, bool cooling)
{
    const double low_c = curve->entering_c[0] - pump->table_margin_k;
    const double high_c = curve->entering_c[curve->count - 1] + pump->table_margin_k;
    curve->low_end_c = cooling ? -INFINITY : low_c - FADE_K;
    curve->high_end_c = cooling ? high_c + FADE_K : INFINITY;
    curve->low_hold_c = cooling ? low_c : -INFINITY;
    curve->high_hold_c = cooling ? INFINITY : high_c;
    curve->low_lockout_c = cooling ? -INFINITY : pump->low_lockout_c;
    curve->high_lockout_c = cooling ? pump->high_lockout_c : INFINITY;
}

/// The straight extension must still describe a machine where it ends.
static bool extension_holds(const cbx_curve *curve, double entering_c, bool cooling)
{
    cbx_dual capacity, power;
    cbx_curve_at(curve, entering_c, &capacity, &power);
    return power.value > 0.0 && capacity.value > (cooling ? 0.0 : power.value);
}

static double factor(double given)
{
    return given > 0.0 ? given : 1.0;
}

static cb_performance_table correct(const cb_design_heat_pump *pump, bool cooling)
{
    const cb_unit_correction *by = &pump->correction;
    const double capacity = factor(cooling ? by->cooling_capacity : by->heating_capacity);
    const double power = factor(cooling ? by->cooling_power : by->heating_power);
    cb_performance_table table = cooling ? pump->cooling : pump->heating;
    for (int k = 0; k < table.count; k++) {
        table.point[k].capacity_w *= capacity;
        table.point[k].power_w *= power;
    }
    return table;
}

cb_status cbx_curve_prepare(cbx_curve *curve, const cb_design *design, int unit, bool cooling,
                            cb_error *error)
{
    const cb_design_heat_pump *pump = &design->heat_pump[unit];
    const cb_performance_table corrected = correct(pump, cooling);
    const cb_performance_table *table = &corrected;
    *curve = (cbx_curve){.count = table->count};
    if (table->count < 1) {
        return CB_OK;
    }
    double capacity[CB_MAX_POINTS] = {0.0}, power[CB_MAX_POINTS] = {0.0};
    for (int k = 0; k < table->count; k++) {
        const char *fault = point_fault(table, k, cooling);
        if (fault) {
            return refuse(design, unit, cooling, error, fault, k);
        }
        curve->entering_c[k] = table->point[k].entering_c;
        capacity[k] = table->point[k].capacity_w;
        power[k] = table->point[k].power_w;
    }
    fill_pieces(curve, capacity, false);
    fill_pieces(curve, power, true);

    set_ends(curve, pump, cooling);
    const char *fault = "cannot be carried that far beyond its end: lower its margin";
    if (!extension_holds(curve, fmax(curve->low_end_c, curve->low_hold_c), cooling)) {
        return refuse(design, unit, cooling, error, fault, 0);
    }
    if (!extension_holds(curve, fmin(curve->high_end_c, curve->high_hold_c), cooling)) {
        return refuse(design, unit, cooling, error, fault, table->count - 1);
    }
    return CB_OK;
}

static cbx_dual cubic(const double *c, double t)
{
    return cbx_of_entering(c[0] + t * (c[1] + t * (c[2] + t * c[3])),
                           c[1] + t * (2.0 * c[2] + t * 3.0 * c[3]));
}

void cbx_curve_at(const cbx_curve *curve, double entering_c, cbx_dual *capacity, cbx_dual *power)
{
    const bool held = entering_c < curve->low_hold_c || entering_c > curve->high_hold_c;
    const double at_c =
        held ? fmin(fmax(entering_c, curve->low_hold_c), curve->high_hold_c) : entering_c;
    int i = 0;
    while (i < curve->count && curve->entering_c[i] <= at_c) {
        i++;
    }
    const cbx_piece *piece = &curve->piece[i];
    *capacity = cubic(piece->capacity, at_c - piece->from_c);
    *power = cubic(piece->power, at_c - piece->from_c);
    if (held) {
        *capacity = cbx_constant(capacity->value);
        *power = cbx_constant(power->value);
    }
}

/// 0 at distance_k <= 0, 1 from FADE_K on, C1 between. direction: slope of distance_k, +1 or -1.
static cbx_dual fade(double distance_k, double direction)
{
    const double u = distance_k / FADE_K;
    if (u <= 0.0) {
        return cbx_constant(0.0);
    }
    if (u >= 1.0) {
        return cbx_constant(1.0);
    }
    return cbx_of_entering(u * u * (3.0 - 2.0 * u), direction * 6.0 * u * (1.0 - u) / FADE_K);
}

cbx_dual cbx_curve_share(const cbx_curve *curve, double entering_c)
{
    const cbx_dual cold = cbx_multiply(fade(entering_c - curve->low_end_c, 1.0),
                                       fade(entering_c - curve->low_lockout_c, 1.0));
    const cbx_dual warm = cbx_multiply(fade(curve->high_end_c - entering_c, -1.0),
                                       fade(curve->high_lockout_c - entering_c, -1.0));
    return cbx_multiply(cold, warm);
}
