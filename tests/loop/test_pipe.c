// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"

#include "loop/table.h"
#include "published.h"

#include <string.h>

static void dimensions_match_the_published_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(published_pipe); i++) {
        char what[64];
        snprintf(what, sizeof what, "%s SDR %g", published_pipe[i].nominal, published_pipe[i].sdr);
        cb_pipe pipe;
        assert_int_equal(
            cb_pipe_find(&pipe, published_pipe[i].nominal, published_pipe[i].sdr, NULL), CB_OK);
        expect_near(what, 1000.0 * pipe.outside_diameter_m, published_pipe[i].outside_mm, 5e-4);
        expect_near(what, 1000.0 * pipe.inside_diameter_m, published_pipe[i].inside_mm, 5.1e-4);
    }
}

static void every_listed_size_can_be_found(void **state)
{
    (void)state;
    int count = 0;
    for (; cb_pipe_nominal(count); count++) {
        cb_pipe pipe;
        assert_int_equal(cb_pipe_find(&pipe, cb_pipe_nominal(count), 11.0, NULL), CB_OK);
        assert_true(0.0 < pipe.inside_diameter_m &&
                    pipe.inside_diameter_m < pipe.outside_diameter_m);
    }
    assert_int_equal(count, 11);
    assert_null(cb_pipe_nominal(-1));
}

static void expect_refusal(const char *nominal, double sdr, const char *const *wanted)
{
    cb_error error;
    cb_pipe pipe = {1.0, 1.0};
    assert_int_equal(cb_pipe_find(&pipe, nominal, sdr, &error), CB_BAD_INPUT);
    assert_true(pipe.inside_diameter_m == 0.0);
    for (; *wanted; wanted++) {
        if (!strstr(error.message, *wanted)) {
            fail_msg("\"%s\" is missing in \"%s\"", *wanted, error.message);
        }
    }
}

static void unknown_pipe_is_refused_with_the_choices(void **state)
{
    (void)state;
    expect_refusal(
        "7/8 in", 11.0,
        (const char *const[]){"7/8 in", "3/4 in, 1 in, 1-1/4 in", "63 mm", "13.5", NULL});
    expect_refusal("3/4 in", 12.0, (const char *const[]){"SDR 12", "9, 11, 13.5, 17", NULL});
    expect_refusal("25 mm", 17.0, (const char *const[]){"25 mm", "SDR 17", "11, 13.6", NULL});
    expect_refusal("1 in", NAN, (const char *const[]){"1 in", "9, 11, 13.5, 17", NULL});
    cb_pipe pipe;
    assert_int_equal(cb_pipe_find(&pipe, NULL, 11.0, NULL), CB_BAD_CALL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dimensions_match_the_published_tables),
        cmocka_unit_test(every_listed_size_can_be_found),
        cmocka_unit_test(unknown_pipe_is_refused_with_the_choices),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
