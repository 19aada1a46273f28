// SPDX-License-Identifier: MIT
#include "study/bench.h"

#include "study/cache.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static cb_case *run(bench *b, const cb_override *more, const char *file)
{
    cb_case *result;
    cb_error error = {0};
    const cb_case_order order = {.source = bench_source(b, more), .cache = b->cache, .file = file};
    bench_must(cb_case_run(&result, &order, b->units, &error), &error);
    return result;
}

static void expect_same(const cb_case *got, const cb_case *want)
{
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        bench_expect(cb_headline_row_of(i)->name, cb_headline_value(&got->headline, i),
                     cb_headline_value(&want->headline, i), 0.0);
    }
    assert_int_equal(got->findings->count, want->findings->count);
    assert_int_equal(got->findings->verdict, want->findings->verdict);
    assert_int_equal(got->findings->complete, want->findings->complete);
    for (size_t i = 0; i < want->findings->count; i++) {
        const cb_finding *g = &got->findings->finding[i], *w = &want->findings->finding[i];
        assert_string_equal(g->code, w->code);
        assert_string_equal(g->sentence, w->sentence);
        assert_int_equal(g->severity, w->severity);
        assert_int_equal(g->kind, w->kind);
        assert_int_equal(g->run_hour, w->run_hour);
        bench_expect(w->code, g->value, w->value, 0.0);
        bench_expect(w->code, g->limit, w->limit, 0.0);
        bench_expect(w->code, g->margin, w->margin, 0.0);
    }
}

static double sum_j(const double *power_w, long hours)
{
    double sum = 0.0;
    for (long h = 0; h < hours; h++) {
        sum += power_w[h] * 3600.0;
    }
    return sum;
}

static void the_headline_is_that_of_the_run(const cb_case *result, const char *path)
{
    cb_run_data *data;
    cb_error error = {0};
    bench_must(cb_record_read(&data, path, &error), &error);
    const cb_headline *h = &result->headline;
    bench_expect("coldest fluid", data->coldest_fluid_c[(long)(h->coldest_fluid_time / 3600.0)],
                 h->coldest_fluid, 0.0);
    bench_expect("coldest water", data->entering_water_c[(long)(h->entering_minimum_time / 3600.0)],
                 h->entering_minimum, 0.0);
    bench_expect("freeze margin", cb_case_finding(result, "freeze_margin")->margin,
                 h->freeze_margin, 0.0);
    bench_expect("compressor", h->compressor_energy, sum_j(data->compressor_power_w, data->hours),
                 1.0);
    bench_expect("pump", h->pump_energy, sum_j(data->pump_power_w, data->hours), 1.0);
    bench_expect("ground", h->heat_from_ground - h->heat_to_ground,
                 sum_j(data->heat_from_ground_w, data->hours), 1.0);
    bench_expect("trench of 150 ft", h->trench_length, 150 * 0.3048, 1e-9);
    bench_expect("no drift from one year", h->coldest_fluid_drift, NAN, 0.0);
    assert_int_equal(h->verdict, result->findings->verdict);
    cb_run_data_destroy(data);
}

static void a_case_is_run_once_and_read_back_to_the_same_bits(void **state)
{
    bench *b = *state;
    cb_case *first = run(b, NULL, b->run);
    assert_false(first->from_cache);
    the_headline_is_that_of_the_run(first, b->run);

    cb_case *again = run(b, NULL, b->run), *unkept = run(b, NULL, NULL), *of_run;
    cb_error error = {0};
    assert_true(again->from_cache);
    assert_true(unkept->from_cache);
    assert_string_equal(again->key, first->key);
    assert_string_equal(first->name, "Starter farmhouse (invented)");
    bench_must(cb_case_of_run(&of_run, b->run, b->units, &error), &error);
    expect_same(again, first);
    expect_same(unkept, first);
    expect_same(of_run, first);

    // Without the wanted file, what is kept is not enough.
    unlink(b->run);
    cb_case *fresh = run(b, NULL, b->run);
    assert_false(fresh->from_cache);
    expect_same(fresh, first);
    cb_case_destroy(fresh);
    cb_case_destroy(first);
    cb_case_destroy(again);
    cb_case_destroy(unkept);
    cb_case_destroy(of_run);
}

/// Keeps a made-up case and spoils its entry in one place.
static void a_damaged_entry_counts_as_none(void **state)
{
    bench *b = *state;
    cb_finding finding = {.code = "freeze_margin",
                          .severity = CB_CLOSE,
                          .value = -1.25,
                          .limit = NAN,
                          .margin = 0.1,
                          .kind = CB_TEMPERATURE,
                          .run_hour = 77,
                          .sentence = "A sentence of its own."};
    cb_findings findings = {.count = 1, .finding = &finding, .verdict = CB_CLOSE, .complete = true};
    cb_case kept = {.key = "0123", .findings = &findings};
    kept.headline.coldest_fluid = -1.0 / 3.0;
    cb_error error = {0};
    bench_must(cbx_make_folder(b->cache, &error), &error);
    bench_must(cbx_cache_write(&kept, b->cache, &error), &error);
    cb_case *back = calloc(1, sizeof *back);
    strcpy(back->key, kept.key);
    assert_true(cbx_cache_read(back, b->cache));
    expect_same(back, &kept);
    cb_case_destroy(back);

    char *path = cbx_cache_path(b->cache, kept.key, ".case", false);
    FILE *file = fopen(path, "r");
    char text[8192];
    const size_t size = fread(text, 1, sizeof text, file);
    fclose(file);
    assert_true(size > 100 && size < sizeof text);
    const size_t cut[] = {0, 10, size / 2, size - 65, size - 1}; // bytes left of it
    for (size_t i = 0; i < sizeof cut / sizeof *cut; i++) {
        file = fopen(path, "w");
        fwrite(text, 1, cut[i], file);
        fclose(file);
        cb_case part = {.key = "0123"};
        if (cbx_cache_read(&part, b->cache)) {
            fail_msg("%zu of %zu bytes were taken for an entry", cut[i], size);
        }
    }
    text[size / 2]++;
    file = fopen(path, "w");
    fwrite(text, 1, size, file);
    fclose(file);
    cb_case changed = {.key = "0123"};
    assert_false(cbx_cache_read(&changed, b->cache));
    free(path);
}

static void key_of(bench *b, const cb_override *more, const char *text, char key[65])
{
    cb_inputs inputs;
    cb_error error = {0};
    cb_case_source source = bench_source(b, more);
    source.text = text;
    bench_must(cb_inputs_open(&inputs, &source, b->units, &error), &error);
    bench_must(cbx_case_key(key, &inputs, &error), &error);
    cb_inputs_close(&inputs);
}

static void a_key_stands_for_values_not_for_how_they_are_written(void **state)
{
    bench *b = *state;
    char key[65], same[65], other[65];
    key_of(b, NULL, NULL, key);
    char commented[16384];
    snprintf(commented, sizeof commented, "# another comment\n%s", cb_starter_design());
    key_of(b, NULL, commented, same);
    assert_string_equal(same, key);
    key_of(b, (cb_override[]){{"field.depth", "7 ft"}, {0}}, NULL, same);
    assert_string_equal(same, key);
    const cb_override different[] = {{"field.depth", "7.01 ft"},
                                     {"weather.seed", "2"},
                                     {"house.load_line.heating_design", "3.3 kBTU/h"},
                                     {"limits.freeze_margin", "9 delta_degF"}};
    for (size_t i = 0; i < sizeof different / sizeof *different; i++) {
        key_of(b, (cb_override[]){different[i], {0}}, NULL, other);
        if (strcmp(other, key) == 0) {
            fail_msg("%s=%s has the same key", different[i].path, different[i].value);
        }
    }
}

static void a_failure_names_its_place(void **state)
{
    bench *b = *state;
    cb_case *result = NULL;
    cb_error error = {0};
    char *text = strdup(cb_starter_design());
    memcpy(strstr(text, "latitude: 47 deg"), "latitude: 97 deg", strlen("latitude: 97 deg"));
    cb_case_order order = {.source = {.path = "mine.yaml", .text = text}, .cache = b->cache};
    assert_int_equal(cb_case_run(&result, &order, b->units, &error), CB_BAD_INPUT);
    assert_null(result);
    assert_string_equal(error.file, "mine.yaml");
    assert_int_equal(error.line, 14);
    assert_int_equal(error.column, 13);
    free(text);

    order = (cb_case_order){.source = bench_source(b, NULL), .cache = b->path};
    assert_int_equal(cb_case_run(&result, &order, b->units, &error), CB_IO);
    assert_string_equal(error.file, b->path);
    assert_non_null(strstr(error.message, "the folder cannot be written to: "));
    assert_int_equal(cb_case_of_run(&result, b->path, b->units, &error), CB_IO);
    assert_null(result);
}

static bool stop_at_once(void *context)
{
    ++*(int *)context;
    return true;
}

static void a_stopped_case_is_not_kept(void **state)
{
    bench *b = *state;
    int asked = 0;
    const cb_watch watch = {.context = &asked, .stop = stop_at_once};
    cb_case *result;
    cb_error error = {0};
    const cb_case_order order = {
        .source = bench_source(b, NULL), .cache = b->cache, .watch = &watch};
    assert_int_equal(cb_case_run(&result, &order, b->units, &error), CB_STOPPED);
    assert_null(result);
    assert_int_equal(asked, 1);
    char key[65];
    key_of(b, NULL, NULL, key);
    cb_case none = {0};
    strcpy(none.key, key);
    assert_false(cbx_cache_read(&none, b->cache));
}

static void headline_rows_are_found_by_name(void **state)
{
    (void)state;
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        assert_int_equal(cb_headline_find(cb_headline_row_of(i)->name), i);
    }
    assert_null(cb_headline_row_of(CB_HEADLINE_COUNT));
    assert_int_equal(cb_headline_find("warmth"), -1);
    assert_true(isnan(cb_headline_value(&(cb_headline){0}, CB_HEADLINE_COUNT)));
}

static void the_usual_cache_follows_the_environment(void **state)
{
    (void)state;
    setenv("HOME", "/h", 1);
    unsetenv("XDG_CACHE_HOME");
    unsetenv("COILBED_CACHE");
    const char *const want[] = {"/h/.cache/coilbed", "/x/coilbed", "/c"};
    const char *const name[] = {"HOME", "XDG_CACHE_HOME", "COILBED_CACHE"};
    const char *const value[] = {"/h", "/x", "/c"};
    for (size_t i = 0; i < 3; i++) {
        setenv(name[i], value[i], 1);
        char *got = cb_case_usual_cache();
        assert_string_equal(got, want[i]);
        free(got);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_case_is_run_once_and_read_back_to_the_same_bits,
                                        bench_open, bench_close),
        cmocka_unit_test_setup_teardown(a_damaged_entry_counts_as_none, bench_open, bench_close),
        cmocka_unit_test_setup_teardown(a_key_stands_for_values_not_for_how_they_are_written,
                                        bench_open, bench_close),
        cmocka_unit_test_setup_teardown(a_failure_names_its_place, bench_open, bench_close),
        cmocka_unit_test_setup_teardown(a_stopped_case_is_not_kept, bench_open, bench_close),
        cmocka_unit_test(headline_rows_are_found_by_name),
        cmocka_unit_test(the_usual_cache_follows_the_environment),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
