// SPDX-License-Identifier: MIT
// F. N. Fritsch, R. E. Carlson, Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17
// (1980) 238-246, doi:10.1137/0717021: slopes of the parabola through three neighbours, pulled into
// the circle alpha^2 + beta^2 <= 9; zero where the points turn.
#include "base/monotone.h"

#include <math.h>

static double secant(const cbx_monotone *c, int k)
{
    return (c->y[k + 1] - c->y[k]) / (c->x[k + 1] - c->x[k]);
}

static double end_slope(double near_m, double far_m, double near_secant, double far_secant)
{
    return ((2.0 * near_m + far_m) * near_secant - near_m * far_secant) / (near_m + far_m);
}

static void start_slopes(cbx_monotone *c)
{
    const int last = c->count - 1;
    c->slope[0] = c->slope[last] = last > 0 ? secant(c, 0) : 0.0;
    for (int k = 1; k < last; k++) {
        const double before = c->x[k] - c->x[k - 1], after = c->x[k + 1] - c->x[k];
        c->slope[k] = (after * secant(c, k - 1) + before * secant(c, k)) / (before + after);
    }
    if (last > 1) {
        c->slope[0] = end_slope(c->x[1] - c->x[0], c->x[2] - c->x[1], secant(c, 0), secant(c, 1));
        c->slope[last] = end_slope(c->x[last] - c->x[last - 1], c->x[last - 1] - c->x[last - 2],
                                   secant(c, last - 1), secant(c, last - 2));
    }
}

// Shrinking a slope never leaves the circle of the other interval it belongs to.
static void limit_slopes(cbx_monotone *c)
{
    for (int k = 0; k + 1 < c->count; k++) {
        const double rise = secant(c, k);
        if (rise == 0.0) {
            c->slope[k] = c->slope[k + 1] = 0.0;
            continue;
        }
        c->slope[k] = c->slope[k] / rise < 0.0 ? 0.0 : c->slope[k];
        c->slope[k + 1] = c->slope[k + 1] / rise < 0.0 ? 0.0 : c->slope[k + 1];
        const double radius = hypot(c->slope[k], c->slope[k + 1]) / fabs(rise);
        if (radius > 3.0) {
            c->slope[k] *= 3.0 / radius;
            c->slope[k + 1] *= 3.0 / radius;
        }
    }
}

void cbx_monotone_fit(cbx_monotone *curve)
{
    start_slopes(curve);
    limit_slopes(curve);
}

void cbx_monotone_fit_ends(cbx_monotone *curve, double first_slope, double last_slope)
{
    start_slopes(curve);
    curve->slope[0] = first_slope;
    curve->slope[curve->count - 1] = last_slope;
    limit_slopes(curve);
}

double cbx_monotone_at(const cbx_monotone *curve, double x, double *slope)
{
    const int last = curve->count - 1;
    if (x <= curve->x[0] || x >= curve->x[last]) {
        const int end = x <= curve->x[0] ? 0 : last;
        *slope = curve->slope[end];
        return curve->y[end] + curve->slope[end] * (x - curve->x[end]);
    }
    int k = 0;
    while (x > curve->x[k + 1]) {
        k++;
    }
    const double h = curve->x[k + 1] - curve->x[k], rise = secant(curve, k);
    const double t = x - curve->x[k];
    const double second = (3.0 * rise - 2.0 * curve->slope[k] - curve->slope[k + 1]) / h;
    const double third = (curve->slope[k] + curve->slope[k + 1] - 2.0 * rise) / (h * h);
    *slope = curve->slope[k] + t * (2.0 * second + t * 3.0 * third);
    return curve->y[k] + t * (curve->slope[k] + t * (second + t * third));
}
