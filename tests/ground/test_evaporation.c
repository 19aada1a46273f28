// SPDX-License-Identifier: MIT
// Allen et al. 1998, FAO Irrigation and Drainage Paper 56: tables of its annex 2 (from memory), and
// what must hold at any place. Its worked examples are in the validation table.
#include "coilbed/yard.h"
#include "ground/table.h"

static const double gram = 1e-3;

static void vapour_pressure_of_table_2_3(void **state)
{
    (void)state;
    static const struct {
        double air_c, kpa;
    } row[] = {{1, 0.657}, {10, 1.228}, {20, 2.338}, {30, 4.243}, {40, 7.376}};
    for (size_t n = 0; n < COUNT(row); n++) {
        expect_near("e0(T) [kPa]", cb_saturation_kpa(row[n].air_c), row[n].kpa, 0.5 * gram);
    }
}

static void slope_of_table_2_4(void **state)
{
    (void)state;
    static const struct {
        double air_c, kpa_k;
    } row[] = {{1, 0.047}, {10, 0.082}, {20, 0.145}, {30, 0.243}, {40, 0.393}};
    for (size_t n = 0; n < COUNT(row); n++) {
        expect_near("slope [kPa/K]", cb_saturation_slope_kpa_k(row[n].air_c), row[n].kpa_k,
                    0.51 * gram);
    }
}

// 4098 in eq. 13 is 17.27 times 237.3 rounded.
static void slope_is_the_derivative(void **state)
{
    (void)state;
    for (int t = -40; t <= 50; t += 5) {
        const double wanted = (cb_saturation_kpa(t + 1e-3) - cb_saturation_kpa(t - 1e-3)) / 2e-3;
        expect_near("slope [kPa/K]", cb_saturation_slope_kpa_k(t), wanted, 5e-5 * wanted);
    }
}

static void pressure_and_psychrometric_constant_of_tables_2_1_and_2_2(void **state)
{
    (void)state;
    static const struct {
        double elevation_m, kpa, gamma;
    } row[] = {{0, 101.3, 0.067},
               {500, 95.5, 0.064},
               {1000, 90.0, 0.060},
               {1800, 81.8, 0.054},
               {3000, 70.5, 0.047}};
    for (size_t n = 0; n < COUNT(row); n++) {
        const double z = row[n].elevation_m;
        expect_near("pressure [kPa]", cb_air_pressure_kpa(z), row[n].kpa, 0.051);
        expect_near("gamma [kPa/K]", cb_psychrometric_kpa_k(z), row[n].gamma, 0.51 * gram);
    }
}

static void wind_factors_of_table_2_9(void **state)
{
    (void)state;
    static const struct {
        double height_m, factor;
    } row[] = {{1, 1.178}, {2, 1.000}, {3, 0.921}, {4, 0.872}, {6, 0.812}, {10, 0.748}};
    for (size_t n = 0; n < COUNT(row); n++) {
        expect_near("wind at 2 m over wind", cb_wind_at_2m_m_s(1.0, row[n].height_m), row[n].factor,
                    0.51 * gram);
    }
}

static void days_have_24_hours_of_light_and_night(void **state)
{
    (void)state;
    for (int day = 0; day < CB_YEAR_DAYS; day += 7) {
        expect_near("the equator [h]", cb_daylight_h(0.0, day), 12.0, 1e-9);
        for (int latitude = 10; latitude <= 90; latitude += 10) {
            expect_near("both hemispheres [h]",
                        cb_daylight_h(latitude, day) + cb_daylight_h(-latitude, day), 24.0, 1e-6);
        }
    }
    expect_near("midsummer at 80 N [h]", cb_daylight_h(80.0, 171), 24.0, 0.0);
    expect_near("midwinter at 80 N [h]", cb_daylight_h(80.0, 354), 0.0, 0.0);
}

static void an_overcast_or_humid_sky_lets_less_out(void **state)
{
    (void)state;
    const double clear = cb_net_longwave_mj_m2_day(25.0, 15.0, 1.5, 1.0);
    assert_true(cb_net_longwave_mj_m2_day(25.0, 15.0, 1.5, 0.5) < clear);
    assert_true(cb_net_longwave_mj_m2_day(25.0, 15.0, 2.5, 1.0) < clear);
    expect_near("more sun than a clear sky counts as clear",
                cb_net_longwave_mj_m2_day(25.0, 15.0, 1.5, 1.2), clear, 0.0);
    // 2.043e-10 is 4.903e-9 / 24 rounded.
    expect_near("24 hours of one temperature [MJ/m2]",
                24.0 * cb_net_longwave_mj_m2_h(20.0, 1.5, 0.8),
                cb_net_longwave_mj_m2_day(20.0, 20.0, 1.5, 0.8), 2e-4 * clear);
    assert_true(isnan(cb_net_longwave_mj_m2_h(20.0, 1.5, NAN)));
}

// Still saturated air without radiation evaporates nothing; in still air the energy term alone.
static void limits_of_penman_and_monteith(void **state)
{
    (void)state;
    cb_reference_day day = {20.0, 2.3, 2.3, 0.0, 0.0, 0.0, 0.0};
    expect_near("nothing [mm]", cb_reference_evapotranspiration_day_kg_m2(&day), 0.0, 0.0);
    day.net_mj_m2 = 10.0;
    day.ground_mj_m2 = 1.0;
    const double slope = cb_saturation_slope_kpa_k(20.0), gamma = cb_psychrometric_kpa_k(0.0);
    const double wanted = 0.408 * 9.0 * slope / (slope + gamma);
    expect_near("calm day [mm]", cb_reference_evapotranspiration_day_kg_m2(&day), wanted, 1e-12);
    expect_near("calm hour [mm]", cb_reference_evapotranspiration_hour_kg_m2(&day), wanted, 1e-12);
    day = (cb_reference_day){20.0, 2.3, 1.3, 1e12, 0.0, 0.0, 0.0};
    // Endless wind: gamma u (900 / (T + 273)) (es - ea) over 0.34 gamma u.
    expect_near("gale [mm]", cb_reference_evapotranspiration_day_kg_m2(&day), 900.0 / 293.0 / 0.34,
                1e-6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vapour_pressure_of_table_2_3),
        cmocka_unit_test(slope_of_table_2_4),
        cmocka_unit_test(slope_is_the_derivative),
        cmocka_unit_test(pressure_and_psychrometric_constant_of_tables_2_1_and_2_2),
        cmocka_unit_test(wind_factors_of_table_2_9),
        cmocka_unit_test(days_have_24_hours_of_light_and_night),
        cmocka_unit_test(an_overcast_or_humid_sky_lets_less_out),
        cmocka_unit_test(limits_of_penman_and_monteith),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
