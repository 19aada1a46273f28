// SPDX-License-Identifier: MIT
/// The summary of the undisturbed ground: against waves known by formula, and against itself.
#include "engine/field.h"
#include "engine/ground_log.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double pi = 3.14159265358979323846;

static void check(const char *what, double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        fail_msg("%s: got %.9g, want %.9g within %g", what, got, want, tolerance);
    }
}

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", cb_status_text(status), error->message);
    }
}

enum { NZ = 4 };
static double edges_m[NZ + 1] = {0.0, 0.5, 1.0, 1.5, 2.0};
static const cb_section column = {.nx = 1, .nz = NZ, .cells = NZ, .z_edge_m = edges_m};
static const cb_design_run from_july = {.years = 1, .start_month = 7, .start_day = 1};

// ---- waves known by formula ------------------------------------------------------------------

/// Semi-infinite ground under a yearly wave, damped to 1/e and a radian late in `damping_m`:
/// Carslaw & Jaeger 1959, section 2.6. Coldest at the surface on 20 January 12:00.
static double wave_c(double depth_m, double day_of_year, double mean_c, double amplitude_k)
{
    const double damping_m = 2.0, coldest = 19.5;
    const double late = depth_m / damping_m;
    return mean_c -
           amplitude_k * exp(-late) * cos(2.0 * pi * (day_of_year - coldest) / CB_YEAR_DAYS - late);
}

/// Feeds whole years of the wave; snow of `snow_m` lies from day 150 of each run year on, for 90
/// days.
static void feed(cbx_ground_log *log, int years, double mean_c, double amplitude_k, double snow_m)
{
    const double start_day = cb_day_of_year(7, 1);
    for (long hour = 0; hour < (long)years * CB_YEAR_HOURS; hour++) {
        const double day = ((double)hour + 0.5) / 24.0;
        const long of_year = hour / 24 % CB_YEAR_DAYS;
        double cell_c[NZ];
        for (int k = 0; k < NZ; k++) {
            cell_c[k] = wave_c(cb_row_depth_m(&column, k), start_day + day, mean_c, amplitude_k);
        }
        const cb_yard_hour yard = {
            .surface_c = wave_c(0.0, start_day + day, mean_c, amplitude_k),
            .snow_depth_m = of_year >= 150 && of_year < 240 ? snow_m : 0.5 * CB_SNOW_LIES_M};
        cbx_ground_log_hour(log, hour, cell_c, &yard);
    }
}

static void a_wave_gives_back_its_mean_amplitude_and_coldest_day(void **state)
{
    (void)state;
    cbx_ground_log *ledger;
    cb_ground_summary *summary;
    cb_error error = {0};
    must(cbx_ground_log_create(&ledger, &summary, &column, &from_july, &error), &error);
    feed(ledger, 3, 6.0, 12.0, 0.3);
    cbx_ground_log_end_typical(ledger, summary);
    feed(ledger, 1, 4.0, 16.0, 0.4);
    cbx_ground_log_end_run(ledger, summary);
    assert_int_equal(summary->count, NZ + 1);
    for (int n = 0; n <= NZ; n++) {
        const cb_ground_depth *at = &summary->depth[n];
        const double damped = exp(-at->depth_m / 2.0);
        check("depth", at->depth_m, n ? 0.5 * n - 0.25 : 0.0, 1e-12);
        check("mean", at->mean_c, 6.0, 1e-9);
        check("amplitude", at->amplitude_k, 12.0 * damped, 2e-4); // a day's mean is a little less
        check("coldest day", at->coldest_day, 19.5 + at->depth_m / 2.0 * CB_YEAR_DAYS / (2.0 * pi),
              1e-6);
        check("lowest", at->lowest_c, 6.0 - 12.0 * damped, 1e-3);
        check("highest", at->highest_c, 6.0 + 12.0 * damped, 1e-3);
        check("run lowest", at->run_lowest_c, 4.0 - 16.0 * damped, 1e-3);
        check("run highest", at->run_highest_c, 4.0 + 16.0 * damped, 1e-3);
    }
    check("snow", summary->typical_snow_m, 0.3, 1e-12); // means over years of yearly extremes
    check("cover", summary->typical_snow_days, 90.0, 1e-12);
    check("run's snow", summary->run_snow_m, 0.4, 1e-12);
    check("run's cover", summary->run_snow_days, 90.0, 1e-12);
    assert_int_equal(summary->run_snow_begins, 150 * 24);
    assert_int_equal(summary->run_snow_hour, 150 * 24);
    // Deepest where the coldest of the year just reaches zero: amplitude exp(-z / 2 m) = mean. What
    // is left is the straight line between two cells.
    check("frost", summary->typical_frost_m, 2.0 * log(12.0 / 6.0), 0.02);
    assert_true(summary->run_frost_m > summary->typical_frost_m);
    assert_true(summary->run_frost_hour > 150 * 24 && summary->run_frost_hour < 330 * 24);
    cbx_ground_log_destroy(ledger);
    cb_ground_summary_destroy(summary);
}

static void ground_that_never_freezes_has_no_frost_hour(void **state)
{
    (void)state;
    cbx_ground_log *ledger;
    cb_ground_summary *summary;
    cb_error error = {0};
    must(cbx_ground_log_create(&ledger, &summary, &column, &from_july, &error), &error);
    feed(ledger, 1, 14.0, 5.0, 0.0);
    cbx_ground_log_end_typical(ledger, summary);
    feed(ledger, 1, 14.0, 5.0, 0.0);
    cbx_ground_log_end_run(ledger, summary);
    check("frost", summary->typical_frost_m, 0.0, 0.0);
    check("frost of the run", summary->run_frost_m, 0.0, 0.0);
    assert_int_equal(summary->run_frost_hour, -1);
    assert_int_equal(summary->run_snow_begins, -1);
    cbx_ground_log_destroy(ledger);
    cb_ground_summary_destroy(summary);
}

static void frost_depth_is_where_the_deepest_zero_lies(void **state)
{
    (void)state;
    static const struct {
        double cell_c[NZ], want_m;
    } row[] = {
        {{1.0, 2.0, 3.0, 4.0}, 0.0},      // never freezes
        {{-2.0, -1.0, 1.0, 2.0}, 1.0},    // half way between cells at 0.75 and 1.25 m
        {{-2.0, -1.0, 3.0, 2.0}, 0.875},  // a quarter of the way
        {{3.0, -1.0, 1.0, 2.0}, 1.0},     // thawed above
        {{-4.0, -3.0, -2.0, -1.0}, 1.75}, // to the last cell
        {{-4.0, 0.0, 2.0, 2.0}, 0.75},    // just at a cell
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        check("frost depth", cbx_frost_depth_m(&column, row[i].cell_c), row[i].want_m, 1e-12);
    }
}

static void rows_between_cells_pass_the_turn_of_the_year(void **state)
{
    (void)state;
    cb_ground_depth depth[] = {
        {.depth_m = 0.0, .mean_c = 5.0, .amplitude_k = 10.0, .coldest_day = 355.0},
        {.depth_m = 1.0, .mean_c = 6.0, .amplitude_k = 6.0, .coldest_day = 10.0},
        {.depth_m = 3.0, .mean_c = 8.0, .amplitude_k = 2.0, .coldest_day = 90.0},
    };
    const cb_ground_summary summary = {.count = 3, .depth = depth};
    static const struct {
        double depth_m, mean_c, amplitude_k, coldest_day;
    } row[] = {
        {0.0, 5.0, 10.0, 355.0}, {0.25, 5.25, 9.0, 360.0}, {0.75, 5.75, 7.0, 5.0},
        {1.0, 6.0, 6.0, 10.0},   {2.0, 7.0, 4.0, 50.0},    {9.0, 8.0, 2.0, 90.0},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_ground_depth at = cb_ground_at(&summary, row[i].depth_m);
        check("mean", at.mean_c, row[i].mean_c, 1e-12);
        check("amplitude", at.amplitude_k, row[i].amplitude_k, 1e-12);
        check("coldest day", at.coldest_day, row[i].coldest_day, 1e-9);
    }
}

// ---- of a design -----------------------------------------------------------------------------

static const cb_override quick[] = {
    {"run.accuracy", "draft"}, {"run.years", "2"}, {"run.slices", "1"}, {"field.trenches", "1"}};
enum { QUICK = sizeof quick / sizeof *quick };

static cb_ground_summary *summarise(const test_field *f)
{
    cb_error error = {0};
    cb_ground_summary *summary;
    must(cb_ground_summary_create(&summary, f->design, f->run_weather, &error), &error);
    return summary;
}

static void the_summary_alone_is_that_of_the_engine_and_of_its_daily_means(void **state)
{
    (void)state;
    test_field f;
    field_open(&f, quick, QUICK);
    cb_error error = {0};
    cb_engine *engine;
    must(cb_engine_create(&engine, f.design, f.run_weather, f.house, &error), &error);
    cb_ground_summary *alone = summarise(&f);
    const cb_ground_summary *with = cb_engine_ground_summary(engine);
    const cb_sections *sections = cb_engine_sections(engine);
    const double *daily_c = cb_engine_undisturbed_c(engine);
    assert_int_equal(alone->count, sections->nz + 1);
    assert_memory_equal(alone->depth, with->depth, (size_t)alone->count * sizeof *alone->depth);
    check("frost", alone->run_frost_m, with->run_frost_m, 0.0);
    for (int k = 0; k < sections->nz; k++) {
        const cb_ground_depth *at = &alone->depth[k + 1];
        double mean_c = 0.0, lowest_c = INFINITY;
        for (int day = 0; day < CB_YEAR_DAYS; day++) {
            mean_c += daily_c[day * sections->nz + k] / CB_YEAR_DAYS;
            lowest_c = fmin(lowest_c, daily_c[day * sections->nz + k]);
        }
        check("depth", at->depth_m, sections->z_m[k], 1e-12);
        check("mean", at->mean_c, mean_c, 1e-9);
        check("lowest", at->lowest_c, lowest_c, 1e-9);
        assert_true(at->amplitude_k <= at[-1].amplitude_k); // the wave dies out downward
    }
    assert_true(alone->cycles >= 1 && alone->weather_years == 1);
    check("residual", alone->residual_k, 0.0, 0.1);
    cb_ground_summary_destroy(alone);
    cb_engine_destroy(engine);
    field_close(&f);
}

static void a_hard_winter_shows_in_the_run_and_not_in_the_typical_year(void **state)
{
    (void)state;
    cb_override set[QUICK + 1];
    memcpy(set, quick, sizeof quick);
    test_field f;
    field_open(&f, set, QUICK);
    cb_ground_summary *plain = summarise(&f);
    field_close(&f);
    set[QUICK] = (cb_override){"weather.hard_winters", "[{year: 2, one_in: 20}]"};
    field_open(&f, set, QUICK + 1);
    cb_ground_summary *hard = summarise(&f);
    check("typical frost", hard->typical_frost_m, plain->typical_frost_m, 1e-12);
    // The run of plain years is the typical one, but for what the settling left.
    check("plain run", plain->run_frost_m, plain->typical_frost_m, 0.03);
    assert_true(hard->run_frost_m > plain->run_frost_m + 0.05);
    assert_true(hard->run_frost_hour >= CB_YEAR_HOURS);
    assert_true(hard->depth[1].run_lowest_c < hard->depth[1].lowest_c - 1.0);
    cb_ground_summary_destroy(plain);
    cb_ground_summary_destroy(hard);
    field_close(&f);
}

static void snow_lies_and_keeps_frost_out_unless_it_is_cleared(void **state)
{
    (void)state;
    test_field f;
    field_open(&f, quick, QUICK);
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        f.weather->hour[hour].precipitation_kg_m2 = hour % 50 == 0 ? 4.0 : 0.0; // 700 mm a year
    }
    cb_ground_summary *lies = summarise(&f);
    f.design->ground.surface.snow_kept = 0.0;
    cb_ground_summary *cleared = summarise(&f);
    assert_true(lies->precipitation && cleared->precipitation);
    assert_true(lies->typical_snow_m > 0.1 && lies->typical_snow_days > 20.0);
    assert_true(lies->run_snow_hour >= 0 && lies->run_snow_begins >= 0);
    check("cleared", cleared->run_snow_m, 0.0, 0.0);
    assert_int_equal(cleared->run_snow_begins, -1);
    if (!(lies->typical_frost_m < cleared->typical_frost_m - 0.1)) {
        fail_msg("frost %g m under snow, %g m cleared", lies->typical_frost_m,
                 cleared->typical_frost_m);
    }
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        f.weather->hour[hour].precipitation_kg_m2 = NAN;
    }
    cb_ground_summary *unknown = summarise(&f);
    assert_false(unknown->precipitation);
    cb_ground_summary_destroy(lies);
    cb_ground_summary_destroy(cleared);
    cb_ground_summary_destroy(unknown);
    field_close(&f);
}

static void an_unknown_cover_is_refused(void **state)
{
    (void)state;
    test_field f;
    field_open(&f, quick, QUICK);
    f.design->ground.surface.cover = "lava";
    cb_ground_summary *summary = (cb_ground_summary *)&f;
    cb_error error = {0};
    assert_int_equal(cb_ground_summary_create(&summary, f.design, f.run_weather, &error),
                     CB_BAD_INPUT);
    assert_null(summary);
    assert_non_null(strstr(error.message, "lava"));
    assert_null(cb_ground_summary_destroy(NULL));
    field_close(&f);
}

// ---- hour by hour ----------------------------------------------------------------------------

typedef struct seen {
    double deepest_snow_m, surface_c;
    long hours;
    bool in_range;
} seen;

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    (void)error;
    seen *self = context;
    self->deepest_snow_m = fmax(self->deepest_snow_m, hour->snow_depth_m);
    self->surface_c += hour->yard_surface_c;
    self->in_range = self->in_range && hour->root_dryness >= 0.0 && hour->root_dryness <= 1.0 &&
                     isfinite(hour->weather.precipitation_kg_m2);
    self->hours++;
    return CB_OK;
}

static void hours_of_a_run_carry_the_yard(void **state)
{
    (void)state;
    test_field f;
    cb_override set[QUICK];
    memcpy(set, quick, sizeof quick);
    set[1].value = "1";
    field_open(&f, set, QUICK);
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        f.weather->hour[hour].precipitation_kg_m2 = hour % 50 == 0 ? 4.0 : 0.0;
    }
    cb_error error = {0};
    cb_engine *engine;
    must(cb_engine_create(&engine, f.design, f.run_weather, f.house, &error), &error);
    seen all = {.in_range = true};
    cb_quality quality;
    const cb_sink sink = {.context = &all, .hour = on_hour};
    must(cb_engine_run(engine, &sink, NULL, &quality, &error), &error);
    const cb_ground_summary *summary = cb_engine_ground_summary(engine);
    assert_int_equal(all.hours, CB_YEAR_HOURS);
    assert_true(all.in_range);
    check("deepest snow", all.deepest_snow_m, summary->run_snow_m, 0.0);
    // One typical year, but for what the settling left.
    check("surface", all.surface_c / CB_YEAR_HOURS, summary->depth[0].mean_c, 0.05);
    cb_engine_destroy(engine);
    field_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_wave_gives_back_its_mean_amplitude_and_coldest_day),
        cmocka_unit_test(ground_that_never_freezes_has_no_frost_hour),
        cmocka_unit_test(frost_depth_is_where_the_deepest_zero_lies),
        cmocka_unit_test(rows_between_cells_pass_the_turn_of_the_year),
        cmocka_unit_test(the_summary_alone_is_that_of_the_engine_and_of_its_daily_means),
        cmocka_unit_test(a_hard_winter_shows_in_the_run_and_not_in_the_typical_year),
        cmocka_unit_test(snow_lies_and_keeps_frost_out_unless_it_is_cleared),
        cmocka_unit_test(an_unknown_cover_is_refused),
        cmocka_unit_test(hours_of_a_run_carry_the_yard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
