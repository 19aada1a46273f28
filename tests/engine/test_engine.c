// SPDX-License-Identifier: MIT
#include "engine/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const uint64_t FNV_START = 14695981039346656037u;

// What a sink saw of a run.
typedef struct watcher {
    const cb_engine *engine;
    long hours, days, months, last_month_hour;
    long stop_after_days;
    uint64_t hash;          // of the series, FNV-1a
    double worst_balance_w; // load = delivered + backup + unmet
    double coldest_c;
    bool finite;
    cb_status refuse;    // returned from hour 100 on
    cb_checkpoint *keep; // receives a copy of the first month's checkpoint
    const cb_checkpoint *from;
} watcher;

static void hash(watcher *self, double value)
{
    const unsigned char *byte = (const unsigned char *)&value;
    for (size_t n = 0; n < sizeof value; n++) {
        self->hash = (self->hash ^ byte[n]) * 1099511628211u;
    }
}

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    watcher *self = context;
    assert_int_equal(hour->run_hour, self->hours);
    self->hours++;
    hash(self, hour->entering_water_c);
    hash(self, hour->heat_from_ground_w);
    const double given =
        hour->heating_output_w + hour->cooling_output_w + hour->backup_power_w + hour->unmet_load_w;
    const double asked = hour->heating_load_w + hour->cooling_load_w;
    self->worst_balance_w = fmax(self->worst_balance_w, fabs(given - asked));
    self->coldest_c = fmin(self->coldest_c, hour->coldest_fluid_c);
    self->finite = self->finite &&
                   isfinite(hour->entering_water_c + hour->leaving_water_c + hour->coldest_fluid_c +
                            hour->reynolds + hour->heat_from_ground_w + hour->compressor_power_w);
    if (hour->run_hour >= 100 && self->refuse != CB_OK) {
        return cb_fail(error, self->refuse, "the sink is full");
    }
    return CB_OK;
}

static cb_status on_day(void *context, const cb_day *day, cb_error *error)
{
    (void)error;
    watcher *self = context;
    assert_int_equal(day->run_day, self->days);
    self->days++;
    const cb_sections *s = cb_engine_sections(self->engine);
    for (int c = 0; c < s->slices * s->nz * s->nx; c++) {
        if (!(day->temperature_c[c] > -60.0 && day->temperature_c[c] < 60.0 &&
              day->ice_fraction[c] >= 0.0 && day->ice_fraction[c] <= 1.0)) {
            fail_msg("day %ld cell %d: %g degC, ice %g", day->run_day, c, day->temperature_c[c],
                     day->ice_fraction[c]);
        }
    }
    for (int n = 0; n < s->slices; n++) {
        self->finite = self->finite && isfinite(day->coil_depth_c[n] + day->pipe_wall_c[n]) &&
                       day->ice_radius_m[n] >= 0.0;
    }
    return CB_OK;
}

static cb_status on_month(void *context, const cb_checkpoint *checkpoint, cb_error *error)
{
    (void)error;
    watcher *self = context;
    assert_int_equal(checkpoint->hours_done, self->hours);
    assert_int_equal(checkpoint->hours_done % 24, 0);
    self->months++;
    self->last_month_hour = checkpoint->hours_done;
    if (self->months == 1 && self->keep) {
        *self->keep = *checkpoint;
        double *copy = malloc(checkpoint->size * sizeof *copy);
        memcpy(copy, checkpoint->value, checkpoint->size * sizeof *copy);
        self->keep->value = copy;
        self->hash = FNV_START; // from here on another run must give the same
    }
    return CB_OK;
}

static bool on_stop(void *context)
{
    const watcher *self = context;
    return self->stop_after_days > 0 && self->days > self->stop_after_days;
}

static cb_status run(const cb_override *overrides, size_t count, watcher *watch,
                     cb_quality *quality, cb_error *error)
{
    test_field f;
    cb_engine *engine;
    field_open(&f, overrides, count);
    if (cb_engine_create(&engine, f.design, f.run_weather, f.house, error) != CB_OK) {
        fail_msg("%s", error->message);
    }
    watch->engine = engine;
    watch->finite = true;
    watch->coldest_c = 99.0;
    watch->hash = FNV_START;
    const cb_sink sink = {watch, on_hour, on_day, on_month, on_stop};
    const cb_status status = cb_engine_run(engine, &sink, watch->from, quality, error);
    cb_engine_destroy(engine);
    field_close(&f);
    return status;
}

// One trench and an eighth of the starter's house, one short year.
static const cb_override small[] = {
    {"run.accuracy", "draft"},
    {"run.years", "1"},
    {"run.slices", "2"},
    {"field.trenches", "1"},
    {"field.header_volume", "3 gal"},
    {"pumps.power", "30 W"},
    {"house.load_line.heating_design", "3.25 kBTU/h"},
    {"house.load_line.cooling_design", "2 kBTU/h"},
    {"heat_pumps[0].heating", "[{entering_water: 20 degF, capacity: 3.4 kBTU/h, power: 0.33 kW}, "
                              "{entering_water: 60 degF, capacity: 5.6 kBTU/h, power: 0.37 kW}]"},
    {"heat_pumps[0].cooling", "[{entering_water: 50 degF, capacity: 5.9 kBTU/h, power: 0.22 kW}, "
                              "{entering_water: 110 degF, capacity: 4.3 kBTU/h, power: 0.49 kW}]"},
};
enum { SMALL = sizeof small / sizeof *small };

static void a_year_hands_out_every_hour_once_and_loses_no_heat(void **state)
{
    (void)state;
    watcher watch = {0};
    cb_quality quality;
    cb_error error = {0};
    assert_int_equal(run(small, SMALL, &watch, &quality, &error), CB_OK);
    assert_int_equal(watch.hours, 8760);
    assert_int_equal(watch.days, 366); // both ends of the year
    assert_int_equal(watch.months, 12);
    assert_true(watch.finite);
    assert_true(watch.worst_balance_w < 1e-6);
    assert_true(watch.coldest_c > -12.0 && watch.coldest_c < 6.0);
    // What factors of four digits leave of Newton's corrections; the target is 1e-5.
    assert_true(quality.energy_audit_relative < 1e-7);
    assert_true(quality.surface_heat_mismatch_relative < 5e-3);
    assert_true(quality.steps >= 8760 && quality.linear_setups > 0 && quality.cells > 0);
}

static void the_same_design_gives_the_same_bits(void **state)
{
    (void)state;
    watcher a = {.stop_after_days = 40}, b = {.stop_after_days = 40};
    cb_quality quality;
    cb_error error = {0};
    assert_int_equal(run(small, SMALL, &a, &quality, &error), CB_STOPPED);
    assert_int_equal(run(small, SMALL, &b, &quality, &error), CB_STOPPED);
    assert_true(a.hash == b.hash && a.hours == b.hours);
}

static void any_number_of_threads_gives_the_same_bits(void **state)
{
    (void)state;
    static const char *const threads[] = {"1", "2", "3"};
    cb_override set[SMALL];
    memcpy(set, small, sizeof small);
    assert_string_equal(set[2].path, "run.slices");
    set[2].value = "5"; // 3 threads take 2, 2 and 1
    uint64_t first = 0;
    for (size_t n = 0; n < sizeof threads / sizeof *threads; n++) {
        watcher watch = {.stop_after_days = 60};
        cb_quality quality;
        cb_error error = {0};
        assert_int_equal(setenv("COILBED_THREADS", threads[n], 1), 0);
        const cb_status status = run(set, SMALL, &watch, &quality, &error);
        unsetenv("COILBED_THREADS");
        assert_int_equal(status, CB_STOPPED);
        assert_int_equal(watch.hours, 60 * 24);
        first = n == 0 ? watch.hash : first;
        if (watch.hash != first) {
            fail_msg("%s threads: got hash %016llx, want %016llx", threads[n],
                     (unsigned long long)watch.hash, (unsigned long long)first);
        }
    }
}

static void stopping_keeps_what_was_done(void **state)
{
    (void)state;
    watcher watch = {.stop_after_days = 40};
    cb_quality quality;
    cb_error error = {0};
    assert_int_equal(run(small, SMALL, &watch, &quality, &error), CB_STOPPED);
    assert_int_equal(watch.hours, 40 * 24);
    assert_int_equal(watch.last_month_hour, 31 * 24); // July
    assert_non_null(strstr(error.message, "40"));
    assert_true(quality.steps > 0 && quality.energy_audit_relative < 1e-7);
}

static void a_run_from_a_checkpoint_has_the_bits_of_one_never_interrupted(void **state)
{
    (void)state;
    cb_checkpoint kept = {0};
    cb_quality whole, resumed;
    cb_error error = {0};
    watcher a = {.stop_after_days = 75, .keep = &kept};
    assert_int_equal(run(small, SMALL, &a, &whole, &error), CB_STOPPED);
    assert_int_equal(kept.hours_done, 31 * 24);
    watcher b = {.hours = kept.hours_done, .days = 32, .stop_after_days = 75, .from = &kept};
    assert_int_equal(run(small, SMALL, &b, &resumed, &error), CB_STOPPED);
    assert_int_equal(b.hours, a.hours);
    assert_true(a.hash == b.hash);
    assert_int_equal(whole.steps, resumed.steps);
    assert_true(whole.energy_audit_relative == resumed.energy_audit_relative);

    kept.size--;
    watcher c = {.from = &kept};
    assert_int_equal(run(small, SMALL, &c, &resumed, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "checkpoint"));
    free((void *)kept.value);
}

static void a_sink_that_fails_ends_the_run_with_its_own_status(void **state)
{
    (void)state;
    watcher watch = {.refuse = CB_IO};
    cb_quality quality;
    cb_error error = {0};
    assert_int_equal(run(small, SMALL, &watch, &quality, &error), CB_IO);
    assert_string_equal(error.message, "the sink is full");
    assert_int_equal(watch.hours, 101);
}

// Without its return pipe the coil's trench is one way; straight pipes make a lopsided section.
static void other_layouts_run_too(void **state)
{
    (void)state;
    static const struct {
        const char *path, *value;
    } layouts[][3] = {
        {{"field.coil.return", "none"}},
        {{"field.layout", "straight"},
         {"field.straight", "[{across: -1 ft, depth: 6 ft}, {across: 1 ft, depth: 6 ft}]"}},
        {{"field.layout", "straight"},
         {"field.straight", "[{across: -1 ft, depth: 6 ft}, {across: -1 ft, depth: 5 ft}, "
                            "{across: 1 ft, depth: 5 ft}, {across: 1 ft, depth: 6 ft}]"}},
        {{"field.trenches", "3"}, {"field.coil.pitch", "56 in"}},
        {{"field.coil.pitch", "8 in"}},
        {{"ground.backfill", "{material: sand, water: 20 %, width: 3 ft, height: 2 ft}"}},
        {{"fluid.type", "methanol"}},
        {{"pumps.control", "always"}},
    };
    for (size_t n = 0; n < sizeof layouts / sizeof *layouts; n++) {
        cb_override set[SMALL + 3];
        size_t count = SMALL;
        memcpy(set, small, sizeof small);
        for (size_t k = 0; k < 3 && layouts[n][k].path; k++) {
            set[count++] = (cb_override){layouts[n][k].path, layouts[n][k].value};
        }
        watcher watch = {.stop_after_days = 20};
        cb_quality quality;
        cb_error error = {0};
        if (run(set, count, &watch, &quality, &error) != CB_STOPPED) {
            fail_msg("layout %zu: %s", n, error.message);
        }
        assert_true(watch.finite);
        if (!(quality.energy_audit_relative < 1e-7)) {
            fail_msg("layout %zu: audit %g", n, quality.energy_audit_relative);
        }
    }
}

static void impossible_soil_is_refused_at_its_place(void **state)
{
    (void)state;
    test_field f;
    const cb_override set[] = {{"ground.layers[1].water", "58 %"}};
    cb_error error = {0};
    cb_engine *engine;
    field_open(&f, set, 1);
    assert_int_equal(cb_engine_create(&engine, f.design, f.run_weather, f.house, &error),
                     CB_BAD_INPUT);
    assert_null(engine);
    assert_non_null(strstr(error.message, "clay holds at most"));
    field_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_year_hands_out_every_hour_once_and_loses_no_heat),
        cmocka_unit_test(the_same_design_gives_the_same_bits),
        cmocka_unit_test(any_number_of_threads_gives_the_same_bits),
        cmocka_unit_test(stopping_keeps_what_was_done),
        cmocka_unit_test(a_run_from_a_checkpoint_has_the_bits_of_one_never_interrupted),
        cmocka_unit_test(a_sink_that_fails_ends_the_run_with_its_own_status),
        cmocka_unit_test(other_layouts_run_too),
        cmocka_unit_test(impossible_soil_is_refused_at_its_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
