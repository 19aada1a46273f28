// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"

#include "loop/table.h"

#include <string.h>

// Published walls and the average inside diameters that follow from them, ASTM D3035 and
// ISO 4427-2 tables; computed independently of the library.
typedef struct pipe_row {
    const char *nominal;
    double sdr, outside_mm, inside_mm;
} pipe_row;

static const pipe_row rows[] = {
    {"3/4 in", 9, 26.670, 20.370},      {"1 in", 9, 33.401, 25.539},
    {"1-1/4 in", 9, 42.164, 32.256},    {"1-1/2 in", 9, 48.260, 36.898},
    {"2 in", 9, 60.325, 46.109},        {"3/4 in", 11, 26.670, 21.554},
    {"1 in", 11, 33.401, 26.939},       {"1-1/4 in", 11, 42.164, 34.033},
    {"1-1/2 in", 11, 48.260, 38.944},   {"2 in", 11, 60.325, 48.694},
    {"3/4 in", 13.5, 26.670, 22.470},   {"1 in", 13.5, 33.401, 28.178},
    {"1-1/4 in", 13.5, 42.164, 35.541}, {"1-1/2 in", 13.5, 48.260, 40.667},
    {"2 in", 13.5, 60.325, 50.848},     {"3/4 in", 17, 26.670, 23.331},
    {"1 in", 17, 33.401, 29.255},       {"1-1/4 in", 17, 42.164, 36.887},
    {"1-1/2 in", 17, 48.260, 42.229},   {"2 in", 17, 60.325, 52.786},
    {"25 mm", 11, 25, 20.00},           {"25 mm", 13.6, 25, 20.70},
    {"32 mm", 11, 32, 25.60},           {"32 mm", 13.6, 32, 26.80},
    {"32 mm", 17, 32, 27.70},           {"40 mm", 11, 40, 32.10},
    {"40 mm", 13.6, 40, 33.50},         {"40 mm", 17, 40, 34.80},
    {"50 mm", 11, 50, 40.20},           {"50 mm", 13.6, 50, 42.10},
    {"50 mm", 17, 50, 43.60},           {"63 mm", 11, 63, 50.70},
    {"63 mm", 13.6, 63, 53.00},         {"63 mm", 17, 63, 54.90},
};

static void dimensions_match_the_published_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char what[64];
        snprintf(what, sizeof what, "%s SDR %g", rows[i].nominal, rows[i].sdr);
        cb_pipe pipe;
        assert_int_equal(cb_pipe_find(&pipe, rows[i].nominal, rows[i].sdr, NULL), CB_OK);
        expect_near(what, 1000.0 * pipe.outside_diameter_m, rows[i].outside_mm, 5e-4);
        expect_near(what, 1000.0 * pipe.inside_diameter_m, rows[i].inside_mm, 5.1e-4);
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
