// SPDX-License-Identifier: MIT
/// Setup shared by the tests of this room: cmocka and one comparison that names its row.
#ifndef COILBED_TESTS_LOOP_TABLE_H
#define COILBED_TESTS_LOOP_TABLE_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

/// Written so that NaN fails.
static inline void expect_near(const char *what, double got, double wanted, double tolerance)
{
    if (!(fabs(got - wanted) <= tolerance)) {
        fail_msg("%s: got %.12g, want %.12g +- %.3g", what, got, wanted, tolerance);
    }
}

static inline void expect_relative(const char *what, double got, double wanted, double tolerance)
{
    expect_near(what, got, wanted, tolerance * fabs(wanted));
}

#define COUNT(array) (sizeof(array) / sizeof *(array))

#endif
