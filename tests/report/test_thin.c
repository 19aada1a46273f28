// SPDX-License-Identifier: MIT
// Thinned series keep every extreme, at its place.
#include "report/thin.h"

#include "coilbed/weather.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

/// A year's swing, a day's swing and a spike no neighbour shares.
static double value_at(long hour)
{
    const double day = (double)hour / 24.0;
    const double spike = hour == 54321 ? -20.0 : 0.0;
    return 10.0 * cos(day / 58.09) + 3.0 * cos(day * 6.283185307) + spike;
}

static double *series(long hours)
{
    double *value = malloc((size_t)hours * sizeof *value);
    for (long h = 0; h < hours; h++) {
        value[h] = value_at(h);
    }
    return value;
}

typedef struct spot {
    double value;
    long hour;
} spot;

static spot lowest(const cbx_thin *thin, const double *point)
{
    spot low = {INFINITY, -1};
    for (size_t s = 0; s < thin->count; s++) {
        const cbx_stretch *stretch = &thin->stretch[s];
        const int per_point = stretch->bucket_h == 1 ? 1 : stretch->bucket_h / 2;
        for (size_t p = 0; p < stretch->points; p++, point++) {
            if (*point < low.value) {
                low = (spot){*point, stretch->first_hour + (long)p * per_point};
            }
        }
    }
    return low;
}

static void a_short_run_is_kept_whole(void **state)
{
    (void)state;
    const long hours = 1000;
    double *value = series(hours), *point = calloc((size_t)hours, sizeof *point);
    const cbx_kept kept = {0};
    cbx_thin thin;
    assert_true(cbx_thin_plan(&thin, hours, 5000, &kept));
    assert_int_equal(thin.bucket_h, 1);
    assert_int_equal(thin.points, hours);
    cbx_thin_apply(&thin, value, point);
    assert_memory_equal(point, value, (size_t)hours * sizeof *value);
    cbx_thin_free(&thin);
    free(value);
    free(point);
}

static void stretches_follow_one_another(const cbx_thin *thin, long hours)
{
    long next = 0;
    size_t points = 0;
    for (size_t s = 0; s < thin->count; s++) {
        assert_int_equal(thin->stretch[s].first_hour, next);
        next += thin->stretch[s].hours;
        points += thin->stretch[s].points;
    }
    assert_int_equal(next, hours);
    assert_int_equal(points, thin->points);
}

static void a_long_run_keeps_its_extremes(void **state)
{
    (void)state;
    const long run[] = {100 * CB_YEAR_HOURS, 25 * CB_YEAR_HOURS + 1, 13 * CB_YEAR_HOURS + 7};
    for (size_t r = 0; r < sizeof run / sizeof *run; r++) {
        const long hours = run[r], extreme[] = {54321, -1, hours - 1};
        const cbx_kept kept = {extreme, 3, 168};
        double *value = series(hours);
        cbx_thin thin;
        assert_true(cbx_thin_plan(&thin, hours, 100000, &kept));
        stretches_follow_one_another(&thin, hours);
        assert_true(thin.bucket_h > 1 && thin.points < 102000);
        double *point = malloc(thin.points * sizeof *point);
        cbx_thin_apply(&thin, value, point);
        const spot low = lowest(&thin, point);
        assert_true(low.value == value[54321]); // bit for bit, and at its hour
        assert_int_equal(low.hour, 54321);
        free(point);
        cbx_thin_free(&thin);

        const cbx_kept nothing = {0}; // found without being told where to look, to the bucket
        assert_true(cbx_thin_plan(&thin, hours, 100000, &nothing));
        point = malloc(thin.points * sizeof *point);
        cbx_thin_apply(&thin, value, point);
        const spot bucket = lowest(&thin, point);
        assert_true(bucket.value == value[54321]);
        assert_true(labs(bucket.hour - 54321) <= thin.bucket_h);
        free(point);
        cbx_thin_free(&thin);
        free(value);
    }
}

static void a_bucket_keeps_order_and_gaps(void **state)
{
    (void)state;
    const struct {
        double value[4], want[2];
    } row[] = {
        {{1, 2, 3, 4}, {1, 4}},       // rising
        {{4, 3, 2, 1}, {4, 1}},       // falling
        {{0, 5, -5, 0}, {5, -5}},     // a peak, then a trough
        {{NAN, 2, NAN, NAN}, {2, 2}}, // one value stands for both
        {{NAN, NAN, NAN, NAN}, {NAN, NAN}},
    };
    const cbx_kept nothing = {0};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double out[2] = {-99, -99};
        cbx_thin thin;
        assert_true(cbx_thin_plan(&thin, 4, 3, &nothing));
        if (thin.bucket_h != 4 || thin.points != 2) {
            fail_msg("row %zu: buckets of %d h, %zu points", i, thin.bucket_h, thin.points);
        }
        cbx_thin_apply(&thin, row[i].value, out);
        for (int k = 0; k < 2; k++) {
            const bool same = isnan(row[i].want[k]) ? isnan(out[k]) : out[k] == row[i].want[k];
            if (!same) {
                fail_msg("row %zu, point %d: got %g, want %g", i, k, out[k], row[i].want[k]);
            }
        }
        cbx_thin_free(&thin);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_short_run_is_kept_whole),
        cmocka_unit_test(a_long_run_keeps_its_extremes),
        cmocka_unit_test(a_bucket_keeps_order_and_gaps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
