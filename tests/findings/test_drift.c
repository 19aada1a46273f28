// SPDX-License-Identifier: MIT
#include "findings/fixture.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { MOST = 100 };

static void exponential_series_give_back_their_settled_value(void **state)
{
    (void)state;
    static const struct {
        double settled, rise, tau;
        int years, skip; ///< every skip-th year is a hard winter; 0: none
    } row[] = {
        {-2.0, 3.0, 4.0, 20, 0},   {-2.0, 3.0, 4.0, 20, 5}, {1.5, -2.0, 2.0, 10, 0},
        {1.5, -2.0, 0.5, 10, 3},   {0.0, 6.0, 12.0, 25, 0}, {0.0, 6.0, 12.0, 12, 4},
        {40.0, -8.0, 30.0, 20, 0}, {3.0, 1.0, 1.0, 4, 0},   {3.0, 0.05, 6.0, 100, 20},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double annual[MOST];
        bool use[MOST];
        for (int n = 0; n < row[i].years; n++) {
            use[n] = row[i].skip == 0 || (n + 1) % row[i].skip != 0;
            annual[n] = use[n] ? row[i].settled + row[i].rise * exp(-n / row[i].tau) : -99.0;
        }
        const cb_drift drift = cb_drift_fit(annual, use, row[i].years);
        if (!drift.fitted || !(fabs(drift.settled_c - row[i].settled) <= 1e-5)) {
            fail_msg("row %zu: fitted %d, settled %.9g, want %g", i, drift.fitted, drift.settled_c,
                     row[i].settled);
        }
    }
}

/// A tenth of a kelvin of scatter must not send the settled value far off.
static void scatter_moves_the_settled_value_little(void **state)
{
    (void)state;
    double annual[20];
    bool use[20];
    for (int n = 0; n < 20; n++) {
        use[n] = true;
        annual[n] = 2.0 + 3.0 * exp(-n / 5.0) + (n % 2 ? 0.05 : -0.05);
    }
    const cb_drift drift = cb_drift_fit(annual, use, 20);
    assert_true(drift.fitted);
    fixture_expect("settled", drift.settled_c, 2.0, 0.15);
}

static void years_that_do_not_tell_are_not_fitted(void **state)
{
    (void)state;
    double line[20], noise[20], few[3] = {3.0, 2.0, 1.5};
    bool use[20];
    for (int n = 0; n < 20; n++) {
        use[n] = true;
        line[n] = 5.0 - 0.2 * n;
        noise[n] = 4.0 + (n % 2 ? 0.3 : -0.3);
    }
    const struct {
        const char *what;
        const double *annual;
        int years;
        double last_change, settled;
    } row[] = {
        {"a straight decline", line, 20, -0.2, 1.2},
        {"scatter", noise, 20, 0.6, 4.3},
        {"three years", few, 3, -0.5, 1.5},
        {"one year", few, 1, NAN, 3.0},
        {"no year", few, 0, NAN, NAN},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_drift drift = cb_drift_fit(row[i].annual, use, row[i].years);
        fixture_expect(row[i].what, drift.fitted, 0.0, 0.0);
        fixture_expect(row[i].what, drift.last_change_k, row[i].last_change, 1e-12);
        fixture_expect(row[i].what, drift.settled_c, row[i].settled, 1e-12);
    }
}

static void steady_years_are_settled(void **state)
{
    (void)state;
    const double annual[] = {4.0, 4.0, 4.0, 4.0, 4.0};
    const bool use[] = {true, true, true, true, true};
    const cb_drift drift = cb_drift_fit(annual, use, 5);
    assert_true(drift.fitted);
    fixture_expect("settled", drift.settled_c, 4.0, 0.0);
    fixture_expect("change", drift.last_change_k, 0.0, 0.0);
}

/// Across a hard winter the change is spread over the years between.
static void the_last_change_skips_years_not_in_use(void **state)
{
    (void)state;
    const double annual[] = {5.0, 4.0, -9.0, 3.4, -9.0};
    const bool use[] = {true, true, false, true, false};
    const cb_drift drift = cb_drift_fit(annual, use, 5);
    fixture_expect("change", drift.last_change_k, -0.3, 1e-12);
    fixture_expect("settled", drift.settled_c, 3.4, 0.0);
    assert_false(drift.fitted);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exponential_series_give_back_their_settled_value),
        cmocka_unit_test(scatter_moves_the_settled_value_little),
        cmocka_unit_test(years_that_do_not_tell_are_not_fitted),
        cmocka_unit_test(steady_years_are_settled),
        cmocka_unit_test(the_last_change_skips_years_not_in_use),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
