// SPDX-License-Identifier: MIT
// A curve through given points: piecewise cubic, once continuously differentiable, and between two
// points never outside their values.
#ifndef COILBED_BASE_MONOTONE_H
#define COILBED_BASE_MONOTONE_H

enum { CBX_MONOTONE_POINTS = 16 };

typedef struct cbx_monotone {
    int count;
    double x[CBX_MONOTONE_POINTS], y[CBX_MONOTONE_POINTS], slope[CBX_MONOTONE_POINTS];
} cbx_monotone;

// Finds the slopes of a curve whose count (>= 1), x (rising) and y are set. One point makes a
// level.
void cbx_monotone_fit(cbx_monotone *curve);

// As above, with slopes wanted at both ends; they are kept as far as the curve stays monotone.
void cbx_monotone_fit_ends(cbx_monotone *curve, double first_slope, double last_slope);

// Value at x; straight on beyond the ends.
double cbx_monotone_at(const cbx_monotone *curve, double x, double *slope);

#endif
