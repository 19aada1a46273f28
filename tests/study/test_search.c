// SPDX-License-Identifier: MIT
#include "coilbed/search.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

typedef double margin_at(double value);

typedef struct script {
    margin_at *at;
    double low, high; ///< what may be asked for
    bool whole;
    int asked, fail_after; ///< 0: never
} script;

static cb_status ask(void *context, double value, double *margin, cb_error *error)
{
    script *s = context;
    if (!(value >= s->low && value <= s->high) || (s->whole && value != round(value))) {
        fail_msg("asked for %.17g, out of %g to %g", value, s->low, s->high);
    }
    if (s->fail_after > 0 && ++s->asked >= s->fail_after) {
        return cb_fail(error, CB_BAD_INPUT, "%g is refused", value);
    }
    *margin = s->at(value);
    return CB_OK;
}

static double cube_root(double x)
{
    return cbrt(x - 37.25);
}
static double falling(double x)
{
    return exp(-x / 30.0) - exp(-61.5 / 30.0);
}
static double jump(double x)
{
    return x < 12.5 ? -1.0 : 4.0;
}
static double endless(double x)
{
    return x < 50.0 ? -INFINITY : INFINITY;
}
static double never(double x)
{
    return -1.0 / x;
}
static double always(double x)
{
    return x;
}
static double hump(double x)
{
    return 20.0 - fabs(x - 50.0); // holds from 30 to 70
}
static double dip(double x)
{
    return fabs(x - 50.0) - 20.0; // holds up to 30 and from 70 on
}
static double late_dip(double x)
{
    return x < 20.0 ? -1.0 : fabs(x - 80.0) - 10.0; // holds from 20, not from 70 to 90
}
static double wavy(double x)
{
    return x - 40.0 + 0.5 * sin(3.0 * x); // noise that a search must not take for a turn
}

static const struct row {
    const char *name;
    margin_at *at;
    double low, high, step;
    bool whole, most;
    double noise;
    cb_search_outcome outcome;
    double value; ///< the planted answer; found at or up to a step beyond it
    bool turns, contradicted;
    int most_asked;
} row[] = {
    // The number of points: two ends, twice the halvings of range / step, three looks.
    {"least, flat and steep", cube_root, 1, 100, 0.1, false, false, 0, CB_SEARCH_FOUND, 37.25,
     false, false, 25},
    {"most", falling, 1, 100, 0.01, false, true, 0, CB_SEARCH_FOUND, 61.5, false, false, 33},
    {"whole", jump, 1, 40, 1, true, false, 0, CB_SEARCH_FOUND, 13, false, false, 17},
    {"whole, three values", jump, 12, 14, 1, true, false, 0, CB_SEARCH_FOUND, 13, false, false, 3},
    {"whole, in steps", jump, 1, 40, 4, true, false, 0, CB_SEARCH_FOUND, 13, false, false, 14},
    {"infinite margins", endless, 1, 100, 0.5, false, false, 0, CB_SEARCH_FOUND, 50, false, false,
     21},
    {"never", never, 1, 100, 1, false, false, 0, CB_SEARCH_NONE_HOLD, NAN, false, false, 5},
    {"always", always, 1, 100, 1, false, false, 0, CB_SEARCH_ALL_HOLD, 1, false, false, 5},
    {"hump: an end in between holds", hump, 0, 100, 1, false, false, 0, CB_SEARCH_UNFINISHED, 50,
     true, true, 5},
    {"hump under the limit", hump, 0, 28, 1, false, false, 0, CB_SEARCH_NONE_HOLD, NAN, false,
     false, 5},
    {"dip between two ends that hold", dip, 0, 100, 1, false, false, 0, CB_SEARCH_ALL_HOLD, 0, true,
     true, 5},
    {"dip beyond the answer", late_dip, 0, 100, 1, false, false, 0, CB_SEARCH_FOUND, 20, true, true,
     20},
    {"noise", wavy, 0, 100, 1, false, false, 1.0, CB_SEARCH_FOUND, 40, false, false, 19},
};

static void planted_answers_are_found(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const struct row *r = &row[i];
        script s = {.at = r->at, .low = r->low, .high = r->high, .whole = r->whole};
        const cb_search search = {.low = r->low,
                                  .high = r->high,
                                  .step = r->step,
                                  .whole = r->whole,
                                  .most = r->most,
                                  .noise = r->noise,
                                  .looks = 3,
                                  .most_points = CB_SEARCH_POINTS,
                                  .margin = ask,
                                  .context = &s};
        cb_search_result got;
        cb_error error = {0};
        assert_int_equal(cb_search_run(&got, &search, &error), CB_OK);
        const double past = r->most ? r->value - got.value : got.value - r->value;
        const double room = r->at == wavy ? 1.5 * r->step : r->step;
        const bool there =
            isnan(r->value) ? isnan(got.value) : past >= -room + r->step && past <= room;
        if (got.outcome != r->outcome || !there || got.turns != r->turns ||
            got.contradicted != r->contradicted || got.count > r->most_asked) {
            fail_msg(
                "%s: got outcome %d, %.6g (beyond %.6g), turns %d (%g to %g), contradicted %d, "
                "%d asked; want %d, %.6g, %d, %d, %d",
                r->name, (int)got.outcome, got.value, got.beyond, got.turns, got.turn_from,
                got.turn_to, got.contradicted, got.count, (int)r->outcome, r->value, r->turns,
                r->contradicted, r->most_asked);
        }
        if (got.outcome == CB_SEARCH_FOUND) {
            const double gap = fabs(got.value - got.beyond);
            assert_true(r->at(got.value) >= 0.0 && r->at(got.beyond) < 0.0);
            assert_true(gap <= r->step * (1.0 + 1e-6));
        }
    }
}

static void a_margin_that_falls_without_crossing_is_told(void **state)
{
    (void)state;
    script s = {.at = hump, .low = 0, .high = 65};
    const cb_search search = {.low = 0,
                              .high = 65,
                              .step = 1,
                              .looks = 3,
                              .most_points = 40,
                              .margin = ask,
                              .context = &s};
    cb_search_result got;
    assert_int_equal(cb_search_run(&got, &search, NULL), CB_OK);
    assert_int_equal(got.outcome, CB_SEARCH_FOUND);
    assert_true(fabs(got.value - 30.5) <= 0.5);
    assert_true(got.turns && !got.contradicted);
    assert_true(got.turn_from < 65.0 && got.turn_to == 65.0);
}

static void points_that_run_out_are_told(void **state)
{
    (void)state;
    script s = {.at = cube_root, .low = 1, .high = 100};
    const cb_search search = {.low = 1,
                              .high = 100,
                              .step = 1e-9,
                              .looks = 3,
                              .most_points = 9,
                              .margin = ask,
                              .context = &s};
    cb_search_result got;
    assert_int_equal(cb_search_run(&got, &search, NULL), CB_OK);
    assert_int_equal(got.outcome, CB_SEARCH_UNFINISHED);
    assert_int_equal(got.count, 9);
    assert_true(got.beyond < 37.25 && got.value >= 37.25);
}

static double no_number(double x)
{
    return x < 50.0 ? -1.0 : NAN;
}

static void failures_end_the_search(void **state)
{
    (void)state;
    script s = {.at = cube_root, .low = 1, .high = 100, .fail_after = 4};
    cb_search search = {.low = 1,
                        .high = 100,
                        .step = 1,
                        .looks = 3,
                        .most_points = 30,
                        .margin = ask,
                        .context = &s};
    cb_search_result got;
    cb_error error = {0};
    assert_int_equal(cb_search_run(&got, &search, &error), CB_BAD_INPUT);
    assert_int_equal(got.count, 3);
    s = (script){.at = no_number, .low = 1, .high = 100};
    assert_int_equal(cb_search_run(&got, &search, &error), CB_NUMERICS);
    assert_string_equal(error.message, "the margin at 100 is not a number");

    const double bad[][3] = {{100, 1, 1}, {1, 1, 1}, {1, INFINITY, 1}, {NAN, 2, 1}, {1, 2, 0}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        search.low = bad[i][0];
        search.high = bad[i][1];
        search.step = bad[i][2];
        assert_int_equal(cb_search_run(&got, &search, &error), CB_BAD_CALL);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(planted_answers_are_found),
        cmocka_unit_test(a_margin_that_falls_without_crossing_is_told),
        cmocka_unit_test(points_that_run_out_are_told),
        cmocka_unit_test(failures_end_the_search),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
