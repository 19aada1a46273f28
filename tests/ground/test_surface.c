// SPDX-License-Identifier: MIT
#include "ground/table.h"

static const double stefan_boltzmann = 5.670374419e-8; // CODATA 2018

/// Worked with the formulas of the header in a separate program.
static void exchange_matches_worked_hours(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        cb_surface surface;
        cb_weather_hour hour; // air, dew point, sun, wind, longwave
        double elevation_m, h_w_m2k, other_w_m2;
    } rows[] = {
        {"summer noon",
         {0.23, 0.95, 0.7},
         {20.0, 10.0, 500.0, 3.2, 330.0},
         300.0,
         18.86215240783309,
         117.69901261019436},
        {"thaw, calm",
         {0.2, 1.0, 1.0},
         {2.5, 0.0, 200.0, 0.0, 280.0},
         0.0,
         7.843559513315698,
         81.67700119384479},
    };
    for (size_t n = 0; n < COUNT(rows); n++) {
        const cb_surface_exchange got =
            cb_surface_exchange_at(&rows[n].surface, &rows[n].hour, rows[n].elevation_m);
        assert_true(got.air_c == rows[n].hour.air_temperature_c);
        expect_near(rows[n].what, got.h_w_m2k, rows[n].h_w_m2k, 1e-12);
        expect_near(rows[n].what, got.other_w_m2, rows[n].other_w_m2, 1e-11);
    }
}

// By hand: no sun, sky as warm as the air, calm at 0 degC and sea level: radiation 4 sigma T^3 =
// 4.6224, air 1.292 kg/m3 x 1005 x 0.5 m/s / 208 s/m = 3.1213.
static void grey_calm_hour_exchanges_by_film_alone(void **state)
{
    (void)state;
    const cb_surface surface = {0.2, 1.0, 1.0};
    const double kelvin = 273.15;
    const cb_weather_hour hour = {0.0, 0.0, 0.0, 0.1, stefan_boltzmann * pow(kelvin, 4.0)};
    const cb_surface_exchange got = cb_surface_exchange_at(&surface, &hour, 0.0);
    expect_near("film", got.h_w_m2k, 4.6224 + 3.1213, 2e-4);
    expect_near("other", got.other_w_m2, 0.0, 1e-10);
}

// FAO-56 example 14: 3.2 m/s at 10 m is 2.4 m/s at 2 m.
static void wind_is_taken_to_two_metres(void **state)
{
    (void)state;
    const cb_surface surface = {0.2, 1.0, 0.0};
    const cb_weather_hour windy = {0.0, 0.0, 0.0, 3.2, 300.0}, calm = {0.0, 0.0, 0.0, 0.0, 300.0};
    const double more = cb_surface_exchange_at(&surface, &windy, 0.0).h_w_m2k -
                        cb_surface_exchange_at(&surface, &calm, 0.0).h_w_m2k;
    expect_near("convection", more, 1.292 * 1005.0 * (2.4 - 0.5) / 208.0, 0.05);
}

static double evaporation(double air_c, double solar_w_m2, double longwave_w_m2)
{
    const cb_surface dry = {0.2, 1.0, 0.0}, wet = {0.2, 1.0, 1.0};
    const cb_weather_hour hour = {air_c, 0.0, solar_w_m2, 2.0, longwave_w_m2};
    return cb_surface_exchange_at(&dry, &hour, 0.0).other_w_m2 -
           cb_surface_exchange_at(&wet, &hour, 0.0).other_w_m2;
}

static void water_evaporates_by_day_above_freezing_only(void **state)
{
    (void)state;
    assert_true(evaporation(-3.0, 400.0, 250.0) == 0.0);
    assert_true(evaporation(0.0, 400.0, 250.0) == 0.0);
    assert_true(evaporation(15.0, 0.0, 250.0) == 0.0); // a clear night
    // Half thawed at 2.5 degC, whole from 5 degC; 1.26 Delta / (Delta + gamma) of what is there is
    // 0.69 at 10 degC and sea level (FAO-56 annex 2: Delta 0.082, gamma 0.067 kPa/K).
    const double sky_10 = stefan_boltzmann * pow(283.15, 4.0);
    expect_near("10 degC", evaporation(10.0, 500.0, sky_10), 400.0 * 1.26 * 0.082 / 0.149, 2.0);
    const double sky_2 = stefan_boltzmann * pow(275.65, 4.0);
    const double sky_5 = stefan_boltzmann * pow(278.15, 4.0);
    const double ratio = evaporation(2.5, 500.0, sky_2) / evaporation(5.0, 500.0, sky_5);
    assert_true(ratio > 0.45 && ratio < 0.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exchange_matches_worked_hours),
        cmocka_unit_test(grey_calm_hour_exchanges_by_film_alone),
        cmocka_unit_test(wind_is_taken_to_two_metres),
        cmocka_unit_test(water_evaporates_by_day_above_freezing_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
