// SPDX-License-Identifier: MIT
/// A number with its derivative with respect to entering water, carried through the arithmetic so
/// that the Jacobian's slopes are exact in every branch.
#ifndef PLANT_DUAL_H
#define PLANT_DUAL_H

typedef struct cbx_dual {
    double value, slope;
} cbx_dual;

static inline cbx_dual cbx_constant(double value)
{
    return (cbx_dual){value, 0.0};
}

static inline cbx_dual cbx_add(cbx_dual a, cbx_dual b)
{
    return (cbx_dual){a.value + b.value, a.slope + b.slope};
}

static inline cbx_dual cbx_subtract(cbx_dual a, cbx_dual b)
{
    return (cbx_dual){a.value - b.value, a.slope - b.slope};
}

static inline cbx_dual cbx_multiply(cbx_dual a, cbx_dual b)
{
    return (cbx_dual){a.value * b.value, a.slope * b.value + a.value * b.slope};
}

static inline cbx_dual cbx_scale(double factor, cbx_dual a)
{
    return (cbx_dual){factor * a.value, factor * a.slope};
}

static inline cbx_dual cbx_divide(cbx_dual a, cbx_dual b)
{
    const double quotient = a.value / b.value;
    return (cbx_dual){quotient, (a.slope - quotient * b.slope) / b.value};
}

#endif
