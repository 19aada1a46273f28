// SPDX-License-Identifier: MIT
#include "study/bench.h"

#include "coilbed/sensitivity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const cb_effect *effect_of(const cb_sensitivity *got, const char *path)
{
    for (int i = 0; i < got->count; i++) {
        if (strcmp(got->effect[i].path, path) == 0) {
            return &got->effect[i];
        }
    }
    fail_msg("%s is not among the effects", path);
    return NULL;
}

/// A made-up margin, 2 K less a twentieth of the depth squared [m] and so on: one value is moved at
/// a time, so each has a curve of its own, 0 where the design stands.
static double moved(const char *path, double si)
{
    if (strcmp(path, "field.depth") == 0) {
        const double from = si - 7 * 0.3048;
        return 1.5 * from + 0.4 * from * from;
    }
    if (strcmp(path, "field.length") == 0) {
        return 0.06 * (si - 150 * 0.3048);
    }
    if (strcmp(path, "fluid.concentration") == 0) {
        return 50.0 * (si - 0.2);
    }
    return 0.0;
}

static cb_status answer(void *context, const cb_case_source *source, const char *value,
                        cb_case **out, cb_error *error)
{
    const bench *b = context;
    cb_case *made = calloc(1, sizeof *made);
    made->headline.freeze_margin = 2.0;
    made->headline.coldest_fluid_drift = NAN;
    *out = made;
    if (strcmp(value, "as it is") == 0) {
        return CB_OK;
    }
    const cb_override *set = &source->set[source->set_count - 1];
    const bool fraction = strcmp(set->path, "fluid.concentration") == 0;
    const bool length = strncmp(set->path, "field.", 6) == 0;
    double si = 0.0;
    if (fraction || length) {
        bench_must(
            cb_units_parse(b->units, fraction ? CB_FRACTION : CB_LENGTH, set->value, &si, error),
            error);
        made->headline.freeze_margin += moved(set->path, si);
    }
    // The design can take no more antifreeze, and no other flow at all.
    if ((fraction && si > 0.2) || strcmp(set->path, "pumps.flow_per_circuit") == 0) {
        *out = cb_case_destroy(made);
        return cb_fail(error, CB_BAD_INPUT, "%s is refused", set->path);
    }
    return CB_OK;
}

static void slopes_of_known_curves(void **state)
{
    bench *b = *state;
    cb_error error = {0};
    cb_sensitivity got;
    const cb_override winter[] = {
        {"weather.hard_winters", "[{year: 1, one_in: 20}]"}, {"field.trenches", "2"}, {0}};
    const cb_sensitivity_order order = {
        .source = bench_source(b, winter), .get = answer, .context = b};
    bench_must(cb_sensitivity_run(&got, &order, b->units, &error), &error);
    assert_int_equal(got.count, CB_MAX_EFFECTS);
    bench_expect("base", got.base, 2.0, 0.0);
    bench_expect("noise: a millionth of the length", got.noise, 0.06 * 45.72e-6, 1e-12);

    const cb_effect *depth = effect_of(&got, "field.depth");
    bench_expect("slope of the depth", depth->slope, 1.5, 1e-9);
    bench_expect("its step", depth->step, 0.15, 1e-12);
    bench_expect("its effect", depth->effect, 1.5 * 0.3, 1e-9);
    bench_expect("its bend", depth->bend, 0.4 * 0.3 * 0.3, 1e-9);
    assert_true(depth->central);
    bench_expect("blur", depth->blur, 0.5 * got.noise / 0.15 * 0.3, 1e-12);

    const cb_effect *antifreeze = effect_of(&got, "fluid.concentration");
    bench_expect("slope from one side", antifreeze->slope, 50.0, 1e-9);
    assert_false(antifreeze->central);
    assert_true(isnan(antifreeze->bend));
    assert_string_equal(antifreeze->refused, "fluid.concentration is refused");

    // Ranked: 50 x 0.05 = 2.5, then 0.06 x 0.2 x 45.72 = 0.55, then 0.45; the refused one last.
    assert_string_equal(got.effect[0].path, "fluid.concentration");
    assert_string_equal(got.effect[1].path, "field.length");
    assert_string_equal(got.effect[2].path, "field.depth");
    assert_string_equal(got.effect[CB_MAX_EFFECTS - 1].path, "pumps.flow_per_circuit");
    assert_true(isnan(got.effect[CB_MAX_EFFECTS - 1].slope));
    assert_string_equal(got.effect[CB_MAX_EFFECTS - 1].refused,
                        "pumps.flow_per_circuit is refused");
}

static void only_what_a_design_has_is_looked_at(void **state)
{
    bench *b = *state;
    cb_error error = {0};
    cb_sensitivity got;
    const cb_override bare[] = {{"fluid", "{type: water}"}, {0}};
    const cb_sensitivity_order order = {
        .source = bench_source(b, bare), .get = answer, .context = b};
    bench_must(cb_sensitivity_run(&got, &order, b->units, &error), &error);
    assert_int_equal(got.count, CB_MAX_EFFECTS - 3); // no spacing, antifreeze or hard winter
    // 7 ft lies below 1 ft of loam, in the clay.
    const cb_effect *water = effect_of(&got, "ground.layers[1].water");
    bench_expect("water of the clay", water->value, 0.4, 1e-12);
    assert_true(effect_of(&got, "ground.layers[1].conductivity")->value > 0.5);
}

static void a_number_that_is_none_is_refused(void **state)
{
    bench *b = *state;
    cb_error error = {0};
    cb_sensitivity got;
    cb_sensitivity_order order = {.source = bench_source(b, NULL), .get = answer, .context = b};
    const struct {
        const char *number, *wanted;
    } row[] = {
        {"warmth", "--of warmth: take one of worst_margin, freeze_margin, coldest_fluid, "},
        {"coldest_fluid_time", "--of coldest_fluid_time: take one of "},
        {"coldest_fluid_drift", "the run of this design has no such number"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        order.number = row[i].number;
        assert_int_equal(cb_sensitivity_run(&got, &order, b->units, &error), CB_BAD_INPUT);
        if (!strstr(error.message, row[i].wanted)) {
            fail_msg("got '%s', want '%s'", error.message, row[i].wanted);
        }
    }
}

// ---- kept with a run -------------------------------------------------------------------------

/// As answer, of a design whose margin is that of the run in the bench.
typedef struct kept {
    bench *b;
    double base;
    int asked;
} kept;

static cb_status answer_like_run(void *context, const cb_case_source *source, const char *value,
                                 cb_case **out, cb_error *error)
{
    kept *k = context;
    k->asked++;
    const cb_status status = answer(k->b, source, value, out, error);
    if (status == CB_OK) {
        (*out)->headline.freeze_margin += k->base - 2.0;
    }
    return status;
}

static void run_to_file(bench *b, double *margin)
{
    cb_error error = {0};
    cb_case *ran;
    const cb_case_order order = {.source = bench_source(b, NULL), .file = b->run};
    bench_must(cb_case_run(&ran, &order, b->units, &error), &error);
    *margin = ran->headline.freeze_margin;
    cb_case_destroy(ran);
}

static void a_run_keeps_the_effects_of_its_own_design(void **state)
{
    bench *b = *state;
    cb_error error = {0};
    kept k = {.b = b};
    run_to_file(b, &k.base);
    cb_sensitivity got;
    const cb_sensitivity_order order = {
        .source = bench_source(b, NULL), .into = b->run, .get = answer_like_run, .context = &k};
    bench_must(cb_sensitivity_run(&got, &order, b->units, &error), &error);
    cb_run_data *data;
    bench_must(cb_record_read(&data, b->run, &error), &error);
    assert_int_equal(data->effects.count, got.count);
    assert_string_equal(data->effects.number, "freeze_margin");
    assert_string_equal(data->effects.effect[0].path, "fluid.concentration");
    assert_int_equal(data->effects.effect[0].kind, CB_FRACTION);
    bench_expect("slope", data->effects.effect[0].slope, got.effect[0].slope, 0.0);
    assert_true(isnan(data->effects.effect[got.count - 1].slope));
    cb_run_data_destroy(data);
}

static void effects_that_do_not_fit_a_run_are_refused(void **state)
{
    bench *b = *state;
    cb_error error = {0};
    kept k = {.b = b};
    run_to_file(b, &k.base);
    cb_sensitivity got;
    const cb_override deeper[] = {{"field.depth", "8 ft"}, {0}};
    const cb_override none[] = {{0}};
    const struct {
        const cb_override *set;
        const char *number, *file, *wanted;
        double off;
        int runs;
    } row[] = {
        {deeper, NULL, b->run, "a run of another design", 0, 0},
        {none, "entering_minimum", b->run, "with --into take freeze_margin or worst_margin", 0, 0},
        {none, NULL, b->path, "is not an HDF5 file", 0, 0},
        {none, NULL, b->run, "have changed; run it again", 0.01, 1},
    };
    const double base = k.base;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        k.base = base + row[i].off;
        k.asked = 0;
        const cb_sensitivity_order order = {.source = bench_source(b, row[i].set),
                                            .number = row[i].number,
                                            .into = row[i].file,
                                            .get = answer_like_run,
                                            .context = &k};
        assert_true(cb_sensitivity_run(&got, &order, b->units, &error) != CB_OK);
        if (!strstr(error.message, row[i].wanted)) {
            fail_msg("row %zu: got '%s', want '%s'", i, error.message, row[i].wanted);
        }
        assert_int_equal(k.asked, row[i].runs);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(slopes_of_known_curves, bench_open, bench_close),
        cmocka_unit_test_setup_teardown(only_what_a_design_has_is_looked_at, bench_open,
                                        bench_close),
        cmocka_unit_test_setup_teardown(a_number_that_is_none_is_refused, bench_open, bench_close),
        cmocka_unit_test_setup_teardown(a_run_keeps_the_effects_of_its_own_design, bench_open,
                                        bench_close),
        cmocka_unit_test_setup_teardown(effects_that_do_not_fit_a_run_are_refused, bench_open,
                                        bench_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
