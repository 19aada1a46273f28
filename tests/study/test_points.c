// SPDX-License-Identifier: MIT
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "coilbed/sampling.h"
#include "coilbed/statistics.h"

#define NO_BOUNDS .low = -INFINITY, .high = INFINITY

static void distributions_have_their_moments(void **state)
{
    (void)state;
    // Means and variances of the closed forms. Truncated normal: a normal (0, 1) above 0 is the
    // half-normal, mean sqrt(2/pi), variance 1 - 2/pi; triangular: (a+b+c)/3 and
    // (a^2+b^2+c^2-ab-ac-bc)/18.
    const double pi = acos(-1);
    const struct {
        const char *name;
        cb_distribution of;
        double mean, deviation;
    } row[] = {
        {"normal", {CB_NORMAL, 1.2, 0.3, 0, NO_BOUNDS}, 1.2, 0.3},
        {"log-normal", {CB_LOGNORMAL, 1.2, 0.3, 0, NO_BOUNDS}, 1.2, 0.3},
        {"uniform", {CB_UNIFORM, 2, 5, 0, NO_BOUNDS}, 3.5, 3 / sqrt(12)},
        {"triangular", {CB_TRIANGULAR, 1, 2, 4, NO_BOUNDS}, 7.0 / 3, sqrt((21 - 14) / 18.0)},
        {"half-normal", {CB_NORMAL, 0, 1, 0, 0, INFINITY}, sqrt(2 / pi), sqrt(1 - 2 / pi)},
    };
    enum { COUNT = 200000 }; // middles of equal slices of probability
    for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
        assert_int_equal(cb_distribution_check(&row[r].of, NULL), CB_OK);
        double sum = 0, squares = 0;
        for (int i = 0; i < COUNT; i++) {
            const double x = cb_distribution_quantile(&row[r].of, (i + 0.5) / COUNT);
            sum += x;
            squares += (x - row[r].mean) * (x - row[r].mean);
        }
        const double mean = sum / COUNT, deviation = sqrt(squares / COUNT);
        if (!(fabs(mean - row[r].mean) < 1e-5) || !(fabs(deviation - row[r].deviation) < 1e-4)) {
            fail_msg("%s: got mean %.7g and deviation %.7g, want %.7g and %.7g", row[r].name, mean,
                     deviation, row[r].mean, row[r].deviation);
        }
    }
}

static void quantiles_turn_shares_back(void **state)
{
    (void)state;
    const cb_distribution of[] = {
        {CB_NORMAL, 1.2, 0.3, 0, 0.6, 2.0},  {CB_LOGNORMAL, 1.2, 0.3, 0, NO_BOUNDS},
        {CB_UNIFORM, 2, 5, 0, 3, 4},         {CB_TRIANGULAR, 1, 2, 4, NO_BOUNDS},
        {CB_TRIANGULAR, 1, 1, 4, NO_BOUNDS}, {CB_TRIANGULAR, 1, 4, 4, 2, INFINITY},
    };
    for (size_t r = 0; r < sizeof of / sizeof *of; r++) {
        const double below = cb_distribution_share(&of[r], of[r].low);
        const double inside = cb_distribution_share(&of[r], of[r].high) - below;
        for (double share = 0.001; share < 1; share += 0.0499) {
            const double x = cb_distribution_quantile(&of[r], share);
            const double back = (cb_distribution_share(&of[r], x) - below) / inside;
            if (!(fabs(back - share) < 1e-12) || !(of[r].low <= x && x <= of[r].high)) {
                fail_msg("row %zu: share %.4g gives %.9g, which gives %.15g", r, share, x, back);
            }
        }
    }
}

static void impossible_distributions_are_refused(void **state)
{
    (void)state;
    const struct {
        cb_distribution of;
        const char *says;
    } row[] = {
        {{CB_NORMAL, 1, 0, 0, NO_BOUNDS}, "must be above 0"},
        {{CB_NORMAL, 1, NAN, 0, NO_BOUNDS}, "must be finite"},
        {{CB_LOGNORMAL, -1, 1, 0, NO_BOUNDS}, "log-normal must be above 0"},
        {{CB_UNIFORM, 2, 2, 0, NO_BOUNDS}, "below the highest"},
        {{CB_TRIANGULAR, 1, 5, 4, NO_BOUNDS}, "in this order"},
        {{CB_NORMAL, 1, 0.1, 0, 3, 2}, "behind \"from\" must be below"},
        {{CB_NORMAL, 1, 0.1, 0, 9, INFINITY}, "less than a millionth"},
    };
    for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
        cb_error error = {0};
        assert_int_equal(cb_distribution_check(&row[r].of, &error), CB_BAD_INPUT);
        if (!strstr(error.message, row[r].says)) {
            fail_msg("row %zu says \"%s\"", r, error.message);
        }
    }
}

enum { COUNT = 500, DIMENSIONS = 4 };

// Every slice of every dimension holds one point.
static void assert_stratified(const double *share)
{
    for (size_t d = 0; d < DIMENSIONS; d++) {
        int hits[COUNT] = {0};
        for (size_t i = 0; i < COUNT; i++) {
            const double x = share[i * DIMENSIONS + d];
            assert_true(0 < x && x < 1);
            hits[(int)(x * COUNT)]++;
        }
        for (int slice = 0; slice < COUNT; slice++) {
            if (hits[slice] != 1) {
                fail_msg("dimension %zu: %d points in slice %d", d, hits[slice], slice);
            }
        }
    }
}

static double rank_correlation(const double *share, size_t a, size_t b)
{
    double x[COUNT], y[COUNT], correlation = 0;
    for (size_t i = 0; i < COUNT; i++) {
        x[i] = share[i * DIMENSIONS + a];
        y[i] = share[i * DIMENSIONS + b];
    }
    assert_int_equal(cb_spearman(x, y, COUNT, &correlation, NULL), CB_OK);
    return correlation;
}

static void a_latin_hypercube_is_stratified_also_when_correlated(void **state)
{
    (void)state;
    static double share[COUNT * DIMENSIONS];
    const cb_points points = {COUNT, DIMENSIONS, 7};
    assert_int_equal(cb_points_latin(&points, share, NULL), CB_OK);
    assert_stratified(share);
    // Four standard errors of a rank correlation of independent values, 1 / sqrt(n - 1).
    assert_true(fabs(rank_correlation(share, 0, 1)) < 4 / sqrt(COUNT - 1));

    double wanted[DIMENSIONS][DIMENSIONS] = {
        {1, 0.7, 0, 0}, {0.7, 1, 0, 0}, {0, 0, 1, -0.5}, {0, 0, -0.5, 1}};
    assert_int_equal(cb_points_correlate(&points, &wanted[0][0], true, share, NULL), CB_OK);
    assert_stratified(share);
    for (size_t a = 0; a < DIMENSIONS; a++) {
        for (size_t b = 0; b < a; b++) {
            const double got = rank_correlation(share, a, b);
            if (!(fabs(got - wanted[a][b]) < 4 / sqrt(COUNT - 1))) {
                fail_msg("%zu with %zu: got %.3f, want %.3f", a, b, got, wanted[a][b]);
            }
        }
    }
}

static void correlations_that_contradict_each_other_are_refused(void **state)
{
    (void)state;
    double share[3 * 5];
    const cb_points points = {5, 3, 1};
    assert_int_equal(cb_points_latin(&points, share, NULL), CB_OK);
    const double wanted[3][3] = {{1, 0.9, 0.9}, {0.9, 1, -0.9}, {0.9, -0.9, 1}};
    cb_error error = {0};
    assert_int_equal(cb_points_correlate(&points, &wanted[0][0], true, share, &error),
                     CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "contradict each other"));
}

static void seeds_decide_the_points(void **state)
{
    (void)state;
    typedef cb_status fill(const cb_points *points, double *share, cb_error *error);
    fill *const schemes[] = {cb_points_latin, cb_points_sobol};
    for (size_t s = 0; s < 2; s++) {
        double first[32], again[32], other[32];
        assert_int_equal(schemes[s](&(cb_points){8, 4, 3}, first, NULL), CB_OK);
        assert_int_equal(schemes[s](&(cb_points){8, 4, 3}, again, NULL), CB_OK);
        assert_int_equal(schemes[s](&(cb_points){8, 4, 4}, other, NULL), CB_OK);
        assert_memory_equal(first, again, sizeof first);
        assert_true(memcmp(first, other, sizeof first) != 0);
    }
}

// GSL leaves out the sequence's first point, so one of the 2^m slices is empty and one holds two.
static void a_sobol_sequence_fills_the_interval_evenly(void **state)
{
    (void)state;
    enum { POINTS = 256, SOBOL_DIMENSIONS = 10 };
    static double share[POINTS * SOBOL_DIMENSIONS];
    assert_int_equal(cb_points_sobol(&(cb_points){POINTS, SOBOL_DIMENSIONS, 5}, share, NULL),
                     CB_OK);
    for (size_t d = 0; d < SOBOL_DIMENSIONS; d++) {
        double sum = 0;
        int left = 0;
        for (size_t i = 0; i < POINTS; i++) {
            sum += share[i * SOBOL_DIMENSIONS + d];
            left += share[i * SOBOL_DIMENSIONS + d] < 0.5;
        }
        // Random points would scatter by 8 about POINTS / 2, their mean by 4.6 / POINTS.
        if (!(abs(left - POINTS / 2) <= 1) || !(fabs(sum / POINTS - 0.5) < 2.0 / POINTS)) {
            fail_msg("dimension %zu: %d of %d left of the middle, mean %.4f", d, left, POINTS,
                     sum / POINTS);
        }
    }
    cb_error error = {0};
    assert_int_equal(cb_points_sobol(&(cb_points){1, 41, 5}, share, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "1 to 40 dimensions, not 41"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(distributions_have_their_moments),
        cmocka_unit_test(quantiles_turn_shares_back),
        cmocka_unit_test(impossible_distributions_are_refused),
        cmocka_unit_test(a_latin_hypercube_is_stratified_also_when_correlated),
        cmocka_unit_test(correlations_that_contradict_each_other_are_refused),
        cmocka_unit_test(seeds_decide_the_points),
        cmocka_unit_test(a_sobol_sequence_fills_the_interval_evenly),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
