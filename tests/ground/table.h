// SPDX-License-Identifier: MIT
/// Setup shared by the tests of this room: cmocka and one comparison that names its row.
#ifndef COILBED_TESTS_GROUND_TABLE_H
#define COILBED_TESTS_GROUND_TABLE_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "coilbed/ground.h"

/// Written so that NaN fails.
static inline void expect_near(const char *what, double got, double wanted, double tolerance)
{
    if (!(fabs(got - wanted) <= tolerance)) {
        fail_msg("%s: got %.15g, want %.15g +- %.3g", what, got, wanted, tolerance);
    }
}

static inline void expect_message(const cb_error *error, const char *part)
{
    if (!strstr(error->message, part)) {
        fail_msg("message \"%s\" does not say \"%s\"", error->message, part);
    }
}

#define COUNT(array) (sizeof(array) / sizeof *(array))

/// Soil of a texture with everything else left to it.
static inline cb_soil soil_of(const char *texture, double water_fraction)
{
    cb_soil soil = cb_soil_of(texture, water_fraction);
    assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
    return soil;
}

static inline cb_soil_curve *curve_of(const cb_soil *soil)
{
    cb_soil_curve *curve;
    assert_int_equal(cb_soil_curve_create(&curve, soil, NULL), CB_OK);
    return curve;
}

#endif
