// SPDX-License-Identifier: MIT
#include "study/bench.h"

#include "coilbed/size.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/// A made-up model: the last override's value, read in its unit, makes the margin.
typedef struct model {
    const cb_units *units;
    cb_kind kind;
    double (*margin)(double si);
    const char *code;
    int asked;
} model;

static cb_status answer(void *context, const cb_case_source *source, const char *value,
                        cb_case **out, cb_error *error)
{
    model *m = context;
    double si = 0.0;
    assert_string_equal(source->set[source->set_count - 1].value, value);
    bench_must(cb_units_parse(m->units, m->kind, value, &si, error), error);
    cb_case *made = calloc(1, sizeof *made);
    made->findings = calloc(1, sizeof *made->findings);
    made->findings->count = 1;
    made->findings->finding = calloc(1, sizeof *made->findings->finding);
    strcpy(made->findings->finding->code, m->code);
    made->findings->finding->margin = m->margin(si);
    m->asked++;
    *out = made;
    return CB_OK;
}

static double by_length(double metres)
{
    return (metres - 40.0) / 10.0;
}
static double by_pitch(double metres)
{
    return 0.8 - metres;
}
static double by_trenches(double count)
{
    return count - 6.2;
}

static void values_and_margins_are_read_in_their_units(void **state)
{
    bench *b = *state;
    const struct {
        const char *path, *low, *high, *margin, *step;
        bool most;
        cb_kind kind;
        double (*at)(double);
        double want, step_si;
    } row[] = {
        {"field.length", "100 ft", "80 m", NULL, "1 ft", false, CB_LENGTH, by_length, 40.0, 0.3048},
        {"field.length", "100 ft", "80 m", "1.8 delta_degF", "1 ft", false, CB_LENGTH, by_length,
         50.0, 0.3048},
        {"field.coil.pitch", "12 in", "4 ft", NULL, NULL, true, CB_LENGTH, by_pitch, 0.8,
         0.9144 / 50},
        {"field.trenches", "2", "12", NULL, NULL, false, CB_NUMBER, by_trenches, 7, 0},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        model m = {
            .units = b->units, .kind = row[i].kind, .margin = row[i].at, .code = "freeze_margin"};
        const cb_size_order order = {.source = bench_source(b, NULL),
                                     .path = row[i].path,
                                     .low = row[i].low,
                                     .high = row[i].high,
                                     .margin = row[i].margin,
                                     .step = row[i].step,
                                     .most = row[i].most,
                                     .get = answer,
                                     .context = &m};
        cb_sized got;
        cb_error error = {0};
        bench_must(cb_size_run(&got, &order, b->units, &error), &error);
        assert_int_equal(got.search.outcome, CB_SEARCH_FOUND);
        assert_int_equal(got.search.count, m.asked);
        const double past =
            row[i].most ? row[i].want - got.search.value : got.search.value - row[i].want;
        if (!(past >= -1e-9 && past <= row[i].step_si * 1.000001 + 1e-9)) {
            fail_msg("%s: got %.9g, want %.9g and at most %g beyond", row[i].path, got.search.value,
                     row[i].want, row[i].step_si);
        }
        double back = 0.0;
        bench_must(cb_units_parse(b->units, row[i].kind, got.answer, &back, &error), &error);
        bench_expect("the answer as text", back, got.search.value, 1e-9);
        // Who is to set it by hand gets it without more decimals than the step needs.
        assert_in_range(strlen(got.answer), 1, strlen("00.000 ft"));
    }
}

static void what_cannot_be_sized_is_refused_with_the_reason(void **state)
{
    bench *b = *state;
    const struct {
        const char *path, *low, *high, *finding, *margin, *step, *wanted;
    } row[] = {
        {"field.dept", "1 m", "2 m", NULL, NULL, NULL, "--vary field.dept: unknown key \"dept\""},
        {"field.layout", "1", "2", NULL, NULL, NULL, "--vary field.layout: that is no number"},
        {"field", "1", "2", NULL, NULL, NULL, "--vary field: field is a block"},
        {"ground.layers[7].water", "10 %", "20 %", NULL, NULL, NULL, "is past the last"},
        {"field.depth", "5 degF", "8 ft", NULL, NULL, NULL, "--between field.depth: \"5 degF\""},
        {"field.depth", "5", "8 ft", NULL, NULL, NULL, "--between field.depth: "},
        {"field.depth", "8 ft", "5 ft", NULL, NULL, NULL, "8 ft..5 ft: the range is reversed"},
        {"field.depth", "8 ft", "8 ft", NULL, NULL, NULL, "the range is empty"},
        {"field.depth", "5 ft", "9 km", NULL, NULL, NULL, "--between field.depth: "},
        {"field.trenches", "2.5", "8", NULL, NULL, NULL, "--between field.trenches: "},
        {"field.depth", "5 ft", "8 ft", "warmth", NULL, NULL,
         "--hold warmth: no such finding can be held; take one of freeze_margin, "},
        {"field.depth", "5 ft", "8 ft", "frost_depth", "3 K", NULL, "--margin: "},
        {"field.depth", "5 ft", "8 ft", NULL, "2 degF", NULL, "--margin: "},
        {"field.depth", "5 ft", "8 ft", NULL, NULL, "1 K", "--step: "},
        {"field.depth", "5 ft", "8 ft", NULL, NULL, "0 ft", "--step 0 ft: "},
        {"field.depth", "5 ft", "8 ft", NULL, NULL, "4 ft", "--step 4 ft: "},
        {"field.trenches", "2", "8", NULL, NULL, "0.5", "--step 0.5: "},
        {"field.depth", "5 ft", "8 ft", "drift_coldest", NULL, NULL,
         "--hold drift_coldest: these runs do not have that finding"},
    };
    model m = {.units = b->units, .kind = CB_LENGTH, .margin = by_length, .code = "freeze_margin"};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_size_order order = {.source = bench_source(b, NULL),
                                     .path = row[i].path,
                                     .low = row[i].low,
                                     .high = row[i].high,
                                     .finding = row[i].finding,
                                     .margin = row[i].margin,
                                     .step = row[i].step,
                                     .get = answer,
                                     .context = &m};
        cb_sized got;
        cb_error error = {0};
        const cb_status status = cb_size_run(&got, &order, b->units, &error);
        if (status != CB_BAD_INPUT || !strstr(error.message, row[i].wanted)) {
            fail_msg("row %zu: got status %d and '%s', want '%s'", i, (int)status, error.message,
                     row[i].wanted);
        }
    }
    assert_int_equal(m.asked, 1); // only the last of them needed a run
}

/// The margin of one length is asked for as the one to hold: that length is the planted answer.
static void the_real_model_gives_a_planted_length_back(void **state)
{
    bench *b = *state;
    cb_error error = {0};
    cb_case *planted;
    const cb_case_order one = {.source =
                                   bench_source(b, (cb_override[]){{"field.length", "50 m"}, {0}}),
                               .cache = b->cache};
    bench_must(cb_case_run(&planted, &one, b->units, &error), &error);
    char margin[40];
    snprintf(margin, sizeof margin, "%.17g K", planted->headline.freeze_margin);
    cb_case_destroy(planted);

    const cb_size_order order = {.source = bench_source(b, NULL),
                                 .path = "field.length",
                                 .low = "40 m",
                                 .high = "60 m",
                                 .margin = margin,
                                 .step = "2 m",
                                 .get = bench_run,
                                 .context = b};
    cb_sized got;
    bench_must(cb_size_run(&got, &order, b->units, &error), &error);
    assert_int_equal(got.search.outcome, CB_SEARCH_FOUND);
    assert_false(got.search.turns);
    bench_expect("length", got.search.value, 50.0, 2.0);
    assert_true(got.search.value >= 50.0 && got.search.beyond <= 50.0);
}

static void a_value_the_design_refuses_is_named(void **state)
{
    bench *b = *state;
    cb_error error = {0};
    cb_sized got;
    const cb_override two[] = {{"field.trenches", "2"}, {0}};
    const cb_size_order order = {.source = bench_source(b, two),
                                 .path = "field.spacing",
                                 .low = "1 ft", // the trenches are 3 ft wide
                                 .high = "2 ft",
                                 .get = bench_run,
                                 .context = b};
    assert_int_equal(cb_size_run(&got, &order, b->units, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "--set field.spacing="));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(values_and_margins_are_read_in_their_units, bench_open,
                                        bench_close),
        cmocka_unit_test_setup_teardown(what_cannot_be_sized_is_refused_with_the_reason, bench_open,
                                        bench_close),
        cmocka_unit_test_setup_teardown(the_real_model_gives_a_planted_length_back, bench_open,
                                        bench_close),
        cmocka_unit_test_setup_teardown(a_value_the_design_refuses_is_named, bench_open,
                                        bench_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
