// SPDX-License-Identifier: MIT
/// A number with its derivatives with respect to entering water, mean fluid of the loop and hot
/// water tank, carried through the arithmetic so that the Jacobian's slopes are exact in every
/// branch.
#ifndef PLANT_DUAL_H
#define PLANT_DUAL_H

#include "coilbed/plant.h"

typedef struct cbx_dual {
    double value;
    cb_plant_slopes by;
} cbx_dual;

static inline cbx_dual cbx_constant(double value)
{
    return (cbx_dual){value, {0.0, 0.0, 0.0}};
}

static inline cbx_dual cbx_of_entering(double value, double slope)
{
    return (cbx_dual){value, {.entering = slope}};
}

static inline cbx_dual cbx_of_fluid(double value, double slope)
{
    return (cbx_dual){value, {.fluid = slope}};
}

static inline cbx_dual cbx_of_tank(double value, double slope)
{
    return (cbx_dual){value, {.tank = slope}};
}

static inline cbx_dual cbx_least(cbx_dual a, cbx_dual b)
{
    return a.value <= b.value ? a : b;
}

/// a x + b y with constant a and b.
static inline cbx_dual cbx_combine(double a, cbx_dual x, double b, cbx_dual y)
{
    return (cbx_dual){a * x.value + b * y.value,
                      {a * x.by.entering + b * y.by.entering, a * x.by.fluid + b * y.by.fluid,
                       a * x.by.tank + b * y.by.tank}};
}

static inline cbx_dual cbx_add(cbx_dual a, cbx_dual b)
{
    return cbx_combine(1.0, a, 1.0, b);
}

static inline cbx_dual cbx_subtract(cbx_dual a, cbx_dual b)
{
    return cbx_combine(1.0, a, -1.0, b);
}

static inline cbx_dual cbx_scale(double factor, cbx_dual a)
{
    return cbx_combine(factor, a, 0.0, a);
}

static inline cbx_dual cbx_multiply(cbx_dual a, cbx_dual b)
{
    cbx_dual product = cbx_combine(b.value, a, a.value, b);
    product.value = a.value * b.value;
    return product;
}

/// a + share (b - a).
static inline cbx_dual cbx_between(cbx_dual a, cbx_dual b, cbx_dual share)
{
    return cbx_add(a, cbx_multiply(share, cbx_subtract(b, a)));
}

static inline cbx_dual cbx_divide(cbx_dual a, cbx_dual b)
{
    const double quotient = a.value / b.value;
    cbx_dual result = cbx_combine(1.0 / b.value, a, -quotient / b.value, b);
    result.value = quotient;
    return result;
}

#endif
