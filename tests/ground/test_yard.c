// SPDX-License-Identifier: MIT
/// The yard under invented weather: what it gives the field, its snow and its water.
#include "coilbed/yard.h"
#include "ground/table.h"

#include <stdlib.h>

enum { DAY = 24 };

typedef struct yard_bench {
    cb_soil_curve *curve[1];
    cb_section *section;
    cb_surface surface;
    cb_weather_hour hour;
    double daily_swing_k, yearly_swing_k;
    cb_yard *yard;
} yard_bench;

static cb_weather_hour weather_at(const void *context, long hour)
{
    const yard_bench *b = context;
    cb_weather_hour now = b->hour;
    const double pi = acos(-1.0);
    now.air_temperature_c -= b->yearly_swing_k * cos(2.0 * pi * (double)hour / CB_YEAR_HOURS) +
                             b->daily_swing_k * cos(2.0 * pi * (double)hour / DAY);
    now.dew_point_c = fmin(now.dew_point_c, now.air_temperature_c);
    return now;
}

static yard_bench bench_of(const char *cover)
{
    yard_bench b = {.surface = {.cover = cover,
                                .albedo = NAN,
                                .emissivity = NAN,
                                .shade = 0.0,
                                .snow_kept = 1.0,
                                .evaporation_share = 1.0},
                    .hour = {.air_temperature_c = 8.0,
                             .dew_point_c = 2.0,
                             .solar_w_m2 = 120.0,
                             .wind_m_s = 3.0,
                             .longwave_w_m2 = 290.0,
                             .precipitation_kg_m2 = 0.0,
                             .snow_depth_m = NAN}};
    return b;
}

static void build(yard_bench *b)
{
    cb_error error = {0};
    cb_soil soil = soil_of("loam", 0.25);
    assert_int_equal(cb_soil_resolve(&soil, &error), CB_OK);
    assert_int_equal(cb_soil_curve_create(&b->curve[0], &soil, &error), CB_OK);
    double across[] = {0.0, 1.0}, down[41];
    down[0] = 0.0;
    for (int k = 0; k < 40; k++) {
        down[k + 1] = down[k] + 0.02 + 0.2 * down[k];
    }
    const double bottom_m[] = {100.0};
    const cb_axis x = {1, across}, z = {40, down};
    const cb_section_plan plan = {.x = &x,
                                  .z = &z,
                                  .length_m = 1.0,
                                  .scale = 1.0,
                                  .geothermal_flux_w_m2 = 0.06,
                                  .curves = b->curve,
                                  .layer_bottom_m = bottom_m,
                                  .layers = 1};
    assert_int_equal(cb_section_create(&b->section, &plan, &error), CB_OK);
    const cb_yard_plan yard = {.column = b->section,
                               .surface = &b->surface,
                               .elevation_m = 300.0,
                               .weather = weather_at,
                               .context = b};
    assert_int_equal(cb_yard_create(&b->yard, &yard, &error), CB_OK);
}

static void take_down(yard_bench *b)
{
    b->yard = cb_yard_destroy(b->yard);
    b->section = cb_section_destroy(b->section);
    b->curve[0] = cb_soil_curve_destroy(b->curve[0]);
}

static double stored_j(const yard_bench *b)
{
    return cb_section_stored_j(b->section, cb_yard_enthalpy_j_m3(b->yard));
}

static cb_yard_hour step(yard_bench *b, long hour)
{
    cb_yard_hour out;
    cb_error error = {0};
    if (cb_yard_step(b->yard, hour, &out, &error) != CB_OK) {
        fail_msg("hour %ld: %s", hour, error.message);
    }
    return out;
}

// The exchange at the surface temperature the yard had is the heat its soil gained, less what came
// from below: with grass and sun, through frost and thaw, and under snow.
static void the_field_sees_the_heat_the_yard_took(void **state)
{
    (void)state;
    for (int snow = 0; snow < 2; snow++) {
        yard_bench b = bench_of("short_grass");
        b.hour.air_temperature_c = snow ? -8.0 : 1.0;
        b.hour.precipitation_kg_m2 = snow ? 0.3 : 0.0;
        b.daily_swing_k = 6.0;
        build(&b);
        double most_w_m2 = 0.0;
        for (long hour = 0; hour < 20 * DAY; hour++) {
            const double before_j = stored_j(&b);
            const cb_yard_hour out = step(&b, hour);
            const double took_w_m2 = (stored_j(&b) - before_j) / 3600.0 - 0.06;
            const double seen_w_m2 =
                out.exchange.intake_w_m2 - out.exchange.h_w_m2k * out.surface_c;
            most_w_m2 = fmax(most_w_m2, fabs(seen_w_m2 - took_w_m2));
            assert_true(out.exchange.h_w_m2k > 0.0);
        }
        assert_int_equal(snow, step(&b, 20 * DAY).snow_depth_m > 0.1);
        expect_near(snow ? "under snow" : "bare of snow", most_w_m2, 0.0, 1e-4);
        take_down(&b);
    }
}

static void snow_that_falls_lies_or_goes_into_the_air(void **state)
{
    (void)state;
    yard_bench b = bench_of("short_grass");
    b.hour.air_temperature_c = -10.0;
    b.hour.dew_point_c = -12.0;
    b.hour.precipitation_kg_m2 = 1.0;
    b.hour.solar_w_m2 = 20.0;
    build(&b);
    const double cold[40] = {-3, -3, -3, -3, -3, -3, -3, -3, -3, -3, -2, -2, -2, -2,
                             -2, -2, -2, -2, -2, -2, -1, -1, -1, -1, -1, -1, -1, -1,
                             -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1};
    cb_yard_start(b.yard, cold);
    double gone = 0.0;
    cb_yard_hour out = {0};
    for (long hour = 0; hour < 2 * DAY; hour++) {
        out = step(&b, hour);
        gone += fmax(0.0, out.evaporation_kg_m2);
    }
    expect_near("mass of snow", out.snow_water_kg_m2 + gone, 48.0, 1e-6);
    assert_true(out.snow_depth_m > 0.2 && out.snow_depth_m < 0.7); // 70 to 240 kg/m3
    b.hour.air_temperature_c = 9.0;
    b.hour.dew_point_c = 5.0;
    b.hour.precipitation_kg_m2 = 0.0;
    b.hour.solar_w_m2 = 250.0;
    for (long hour = 0; hour < 30 * DAY; hour++) {
        out = step(&b, hour);
    }
    assert_true(out.snow_water_kg_m2 == 0.0 && out.surface_c > 0.0);
    take_down(&b);
}

typedef struct settled_yard {
    double coldest_c, mean_c, dryness;
} settled_yard;

static settled_yard settle(yard_bench *b)
{
    cb_error error = {0};
    cb_yard_settled how;
    settled_yard seen = {INFINITY, 0.0, 0.0};
    build(b);
    if (cb_yard_settle(b->yard, 0, CB_YEAR_HOURS, &how, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    assert_true(how.cycles > 0 && how.residual_k < 0.1);
    int k = 0;
    while (cb_row_depth_m(b->section, k) < 1.0) {
        k++;
    }
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        const cb_yard_hour out = step(b, hour);
        const double now_c = cb_yard_temperature_c(b->yard)[k];
        seen.coldest_c = fmin(seen.coldest_c, now_c);
        seen.mean_c += now_c / CB_YEAR_HOURS;
        seen.dryness += out.dryness / CB_YEAR_HOURS;
    }
    take_down(b);
    return seen;
}

static void a_cleared_yard_a_dry_one_and_pavement_differ_as_they_must(void **state)
{
    (void)state;
    yard_bench as_it_is = bench_of("short_grass");
    as_it_is.hour.precipitation_kg_m2 = 0.08;
    as_it_is.yearly_swing_k = 17.0;
    as_it_is.daily_swing_k = 4.0;
    as_it_is.hour.air_temperature_c = 6.0;
    yard_bench cleared = as_it_is, rainless = as_it_is, paved = as_it_is;
    cleared.surface.snow_kept = 0.0;
    rainless.hour.precipitation_kg_m2 = 0.005;
    paved.surface.cover = "pavement";
    const settled_yard grass = settle(&as_it_is), bare = settle(&cleared);
    const settled_yard dry = settle(&rainless), hard = settle(&paved);
    print_message("coldest at 1 m: snow %.2f, cleared %.2f degC; mean: grass %.2f, dry %.2f, "
                  "pavement %.2f degC\n",
                  grass.coldest_c, bare.coldest_c, grass.mean_c, dry.mean_c, hard.mean_c);
    assert_true(bare.coldest_c < grass.coldest_c - 0.3);
    assert_true(dry.dryness > grass.dryness + 0.2 && dry.mean_c > grass.mean_c);
    assert_true(hard.mean_c > grass.mean_c + 0.5);
}

static void an_unknown_cover_is_refused(void **state)
{
    (void)state;
    yard_bench b = bench_of("astro_turf");
    cb_yard *yard;
    cb_error error = {0};
    const cb_yard_plan plan = {.surface = &b.surface, .weather = weather_at, .context = &b};
    assert_int_equal(cb_yard_create(&yard, &plan, &error), CB_BAD_INPUT);
    assert_null(yard);
    expect_message(&error, "unknown cover \"astro_turf\"");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_field_sees_the_heat_the_yard_took),
        cmocka_unit_test(snow_that_falls_lies_or_goes_into_the_air),
        cmocka_unit_test(a_cleared_yard_a_dry_one_and_pavement_differ_as_they_must),
        cmocka_unit_test(an_unknown_cover_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
