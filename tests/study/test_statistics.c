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

static void quantiles_are_linear_between_values(void **state)
{
    (void)state;
    const double value[] = {4, 1, 3, 2}, share[] = {0, 0.5, 1, 0.25};
    const double want[] = {1, 2.5, 4, 1.75};
    double got[4];
    assert_int_equal(cb_quantiles(value, 4, share, got, 4, NULL), CB_OK);
    for (int i = 0; i < 4; i++) {
        if (!(fabs(got[i] - want[i]) < 1e-15)) {
            fail_msg("quantile %.2f: got %.17g, want %.17g", share[i], got[i], want[i]);
        }
    }
    assert_int_equal(cb_quantiles(value, 0, share, got, 4, NULL), CB_BAD_CALL);
}

// The interval is where a score test does not refuse p: |p_hat - p| = z sqrt(p (1 - p) / n) at its
// ends, which is its definition and not its formula.
static void wilson_ends_are_where_the_score_test_turns(void **state)
{
    (void)state;
    const double z = 1.959963984540054;
    const size_t row[][2] = {{0, 10}, {1, 10}, {5, 10}, {10, 10}, {3, 1000}, {1, 1}};
    for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
        const double n = (double)row[r][1], p = (double)row[r][0] / n;
        const cb_proportion got = cb_wilson(row[r][0], row[r][1]);
        const double end[] = {got.low, got.high};
        for (int e = 0; e < 2; e++) {
            const double score = fabs(p - end[e]), allowed = z * sqrt(end[e] * (1 - end[e]) / n);
            if (!(fabs(score - allowed) < 1e-12)) {
                fail_msg("%zu of %zu: end %d at %.9g, score %.9g, allowed %.9g", row[r][0],
                         row[r][1], e, end[e], score, allowed);
            }
        }
        assert_true(got.low <= p && p <= got.high && got.low >= 0 && got.high <= 1);
    }
}

static void ranks_correlate(void **state)
{
    (void)state;
    const double x[] = {1, 2, 3, 4, 5}, cubes[] = {1, 8, 27, 64, 125}, down[] = {9, 7, 5, 3, 1};
    const double flat[] = {2, 2, 2, 2, 2}, ties[] = {1, 2, 2, 3, 4};
    double got = 0;
    assert_int_equal(cb_spearman(x, cubes, 5, &got, NULL), CB_OK);
    assert_true(fabs(got - 1) < 1e-14);
    assert_int_equal(cb_spearman(x, down, 5, &got, NULL), CB_OK);
    assert_true(fabs(got + 1) < 1e-14);
    // Ranks 1, 2.5, 2.5, 4, 5: Pearson's coefficient with 1 .. 5 is 9.5 / sqrt(10 * 9.5).
    assert_int_equal(cb_spearman(x, ties, 5, &got, NULL), CB_OK);
    assert_true(fabs(got - 9.5 / sqrt(95)) < 1e-14);
    assert_int_equal(cb_spearman(x, flat, 5, &got, NULL), CB_OK);
    assert_true(isnan(got));
}

// ---- Sobol indices -----------------------------------------------------------------------------

// f = sin x1 + a sin^2 x2 + b x3^4 sin x1 on (-pi, pi)^3, a = 7, b = 0.1: T. Ishigami & T. Homma
// 1990, Proc. ISUMA '90, 398-403.
static const double a = 7, b = 0.1;

static double ishigami(const double *share)
{
    const double pi = acos(-1);
    const double x1 = pi * (2 * share[0] - 1), x2 = pi * (2 * share[1] - 1),
                 x3 = pi * (2 * share[2] - 1);
    return sin(x1) + a * sin(x2) * sin(x2) + b * x3 * x3 * x3 * x3 * sin(x1);
}

enum { ROWS = 16384, FACTORS = 3 };

static void fill_runs(double *results[FACTORS + 2], const double *share)
{
    for (size_t i = 0; i < ROWS; i++) {
        const double *own = share + i * 2 * FACTORS, *other = own + FACTORS;
        results[0][i] = ishigami(own);
        results[1][i] = ishigami(other);
        for (size_t f = 0; f < FACTORS; f++) {
            double mixed[FACTORS];
            memcpy(mixed, own, sizeof mixed);
            mixed[f] = other[f];
            results[2 + f][i] = ishigami(mixed);
        }
    }
}

static void ishigami_indices_are_the_published_ones(void **state)
{
    (void)state;
    // Closed forms of the variances (Ishigami & Homma 1990): of x1 alone 1/2 (1 + b pi^4/5)^2, of
    // x2 alone a^2/8, of x1 with x3 8 b^2 pi^8/225; x3 alone explains nothing.
    const double pi4 = pow(acos(-1), 4);
    const double v1 = 0.5 * (1 + b * pi4 / 5) * (1 + b * pi4 / 5), v2 = a * a / 8,
                 v13 = 8 * b * b * pi4 * pi4 / 225, v = v1 + v2 + v13;
    const double first[] = {v1 / v, v2 / v, 0}, total[] = {(v1 + v13) / v, v2 / v, v13 / v};
    const double published[] = {0.3139, 0.4424, 0}; // the usual four digits
    double *share = malloc(2 * FACTORS * ROWS * sizeof *share);
    double *results[FACTORS + 2], *all = malloc((FACTORS + 2) * ROWS * sizeof *all);
    assert_non_null(share);
    assert_non_null(all);
    for (size_t r = 0; r < FACTORS + 2; r++) {
        results[r] = all + r * ROWS;
    }
    assert_int_equal(cb_points_sobol(&(cb_points){ROWS, 2 * FACTORS, 1}, share, NULL), CB_OK);
    fill_runs(results, share);
    cb_sobol_index index[FACTORS];
    const cb_sobol_runs runs = {ROWS, FACTORS, results[0], results[1], results[2]};
    assert_int_equal(cb_sobol_indices(&runs, index, NULL), CB_OK);
    for (size_t f = 0; f < FACTORS; f++) {
        assert_true(fabs(first[f] - published[f]) < 5e-5);
        // Ten times tighter than the errors that independent points would have.
        if (!(fabs(index[f].first - first[f]) < 0.002) ||
            !(fabs(index[f].total - total[f]) < 0.002)) {
            fail_msg("x%zu: got first %.5f and total %.5f, want %.5f and %.5f", f + 1,
                     index[f].first, index[f].total, first[f], total[f]);
        }
        assert_true(0 < index[f].first_error && index[f].first_error < 0.02);
    }
    free(all);
    free(share);
}

static void results_that_do_not_vary_have_no_indices(void **state)
{
    (void)state;
    const double flat[] = {3, 3, 3};
    cb_sobol_index index;
    const cb_sobol_runs runs = {3, 1, flat, flat, flat};
    assert_int_equal(cb_sobol_indices(&runs, &index, NULL), CB_OK);
    assert_true(isnan(index.first) && isnan(index.total));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantiles_are_linear_between_values),
        cmocka_unit_test(wilson_ends_are_where_the_score_test_turns),
        cmocka_unit_test(ranks_correlate),
        cmocka_unit_test(ishigami_indices_are_the_published_ones),
        cmocka_unit_test(results_that_do_not_vary_have_no_indices),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
