// SPDX-License-Identifier: MIT
// Performance tables over entering air.
#include "invented.h"
#include "plant/wet_bulb.h"

/// Heating by dry bulb, cooling by wet bulb, two flows each in heating: all invented.
static const cb_performance_table heating = {8,
                                             {{0, 7000, 1800, 2e-4, 15},
                                              {10, 9000, 1900, 2e-4, 15},
                                              {0, 7400, 1780, 4e-4, 15},
                                              {10, 9600, 1870, 4e-4, 15},
                                              {0, 6600, 2200, 2e-4, 25},
                                              {10, 8600, 2350, 2e-4, 25},
                                              {0, 7000, 2160, 4e-4, 25},
                                              {10, 9200, 2300, 4e-4, 25}}};
static const cb_performance_table cooling = {6,
                                             {{10, 8800, 1200, 0, 15},
                                              {30, 7600, 1900, 0, 15},
                                              {10, 9600, 1250, 0, 19},
                                              {30, 8400, 1980, 0, 19},
                                              {10, 10600, 1300, 0, 23},
                                              {30, 9300, 2050, 0, 23}}};

static cb_design airy_design(void)
{
    cb_design design = invented_design(1);
    design.heat_pump[0].heating = heating;
    design.heat_pump[0].cooling = cooling;
    design.heat_pump[0].air_dry_bulb = true;
    design.heat_pump[0].low_lockout_c = -20.0;
    design.heat_pump[0].high_lockout_c = 60.0;
    return design;
}

/// Asked for more than it can give, a unit gives its capacity.
static cb_plant_rates full_load(const cb_plant *plant, bool cools, double entering_c, double air_c,
                                double flow_m3_s)
{
    const cb_plant_point point = {.heating_load_w = cools ? 0 : 1e5,
                                  .cooling_load_w = cools ? 1e5 : 0,
                                  .entering_c = entering_c,
                                  .heating_air_c = air_c,
                                  .cooling_air_c = air_c,
                                  .loop = {.flow_m3_s = flow_m3_s, .capacity_flow_w_k = 2000.0}};
    cb_plant_rates rates;
    cb_plant_evaluate(plant, &point, &rates);
    return rates;
}

static void expect_full(const cb_plant *plant, bool cools, const cb_performance_point *want)
{
    const cb_plant_rates got =
        full_load(plant, cools, want->entering_c, want->air_c, want->flow_m3_s);
    expect("capacity", got.heating_output_w + got.cooling_output_w, want->capacity_w, 1e-9);
    expect("power", got.compressor_power_w, want->power_w, 1e-9);
}

static void every_point_of_the_table_is_given_back(void **state)
{
    (void)state;
    const cb_design design = airy_design();
    cb_plant *plant = plant_of(&design);
    for (int i = 0; i < heating.count; i++) {
        expect_full(plant, false, &heating.point[i]);
    }
    for (int i = 0; i < cooling.count; i++) {
        expect_full(plant, true, &cooling.point[i]);
    }
    cb_plant_destroy(plant);
}

/// Straight between two airs and two flows, constant beyond: means of the table above.
static void between_airs_it_goes_straight_and_beyond_them_not(void **state)
{
    (void)state;
    static const struct {
        bool cools;
        cb_performance_point want;
    } row[] = {
        {false, {0, 6800, 2000, 2e-4, 20}},  {false, {0, 6900, 1900, 2e-4, 17.5}},
        {false, {0, 7000, 1985, 3e-4, 20}},  {false, {10, 9600, 1870, 4e-4, 5}},
        {false, {10, 9200, 2300, 4e-4, 40}}, {false, {5, 7800, 2062.5, 2e-4, 20}},
        {true, {30, 8000, 1940, 1e-4, 17}},  {true, {10, 10100, 1275, 1e-4, 21}},
        {true, {10, 10600, 1300, 1e-4, 30}}, {true, {30, 7600, 1900, 1e-4, 10}},
    };
    const cb_design design = airy_design();
    cb_plant *plant = plant_of(&design);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        expect_full(plant, row[i].cools, &row[i].want);
    }
    cb_plant_destroy(plant);
}

static void capacity_is_monotone_over_air(void **state)
{
    (void)state;
    const cb_design design = airy_design();
    cb_plant *plant = plant_of(&design);
    for (int water_c = -1; water_c <= 11; water_c++) {
        cb_plant_rates before = full_load(plant, false, water_c, 10, 3e-4);
        for (int tenth = 101; tenth < 300; tenth++) {
            const cb_plant_rates now = full_load(plant, false, water_c, 0.1 * tenth, 3e-4);
            assert_true(now.heating_output_w <= before.heating_output_w);
            assert_true(now.compressor_power_w >= before.compressor_power_w);
            assert_true(before.heating_output_w - now.heating_output_w < 10.0); // no jump
            before = now;
        }
    }
    cb_plant_destroy(plant);
}

/// Slopes by entering water against differences, at an air between two of the table.
static void slopes_hold_between_airs(void **state)
{
    (void)state;
    const cb_design design = airy_design();
    cb_plant *plant = plant_of(&design);
    const double step_k = 1e-4;
    for (int cools = 0; cools < 2; cools++) {
        for (int n = 0; n < (cools ? 26 : 14); n++) {
            const double at_c = (cools ? 11 : 0.3) + 0.7 * n;
            const double low = full_load(plant, cools, at_c - step_k, 18, 3e-4).heat_to_loop_w;
            const double high = full_load(plant, cools, at_c + step_k, 18, 3e-4).heat_to_loop_w;
            const cb_plant_rates at = full_load(plant, cools, at_c, 18, 3e-4);
            expect("slope", at.heat_to_loop_by.entering, (high - low) / (2 * step_k), 1e-3);
        }
    }
    cb_plant_destroy(plant);
}

/// Wet bulb of 1013.25 hPa: the paper's example to its digit; the others by bisection of e_s(t') -
/// 6.62e-4 (1 + 0.00115 t') 1013.25 (t - t') = phi e_s(t), e_s = 6.112 exp(17.62 t / (243.12 + t)),
/// computed apart from this program; 0.3 K is what the header promises.
static void wet_bulb_agrees_with_the_psychrometric_equation(void **state)
{
    (void)state;
    static const struct {
        double dry_c, humidity, wet_c, tolerance_k;
    } row[] = {
        {20, 0.5, 13.7, 0.05},   {18, 0.3, 9.558, 0.3},     {18, 0.7, 14.685, 0.3},
        {21, 0.5, 14.706, 0.3},  {24.4, 0.5, 17.506, 0.05}, {26.67, 0.5, 19.378, 0.1},
        {27, 0.4, 17.897, 0.15}, {32, 0.4, 21.773, 0.31},   {32, 0.7, 27.395, 0.3},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        expect("wet bulb", cbx_wet_bulb_c(row[i].dry_c, row[i].humidity), row[i].wet_c,
               row[i].tolerance_k);
    }
}

/// The set point is a dry bulb: cooling tables by wet bulb are asked for 17.48 degC at 24.4 degC
/// and half saturated, heating tables for the set point as it is.
static void cooling_tables_go_by_wet_bulb_unless_told(void **state)
{
    (void)state;
    cb_design design = airy_design();
    design.heat_pump[0].air_dry_bulb = false;
    cb_plant *plant = plant_of(&design);
    double air_c = 0;
    assert_true(cb_plant_unit_air(plant, 0, true, 24.4, &air_c));
    expect("wet bulb", air_c, cbx_wet_bulb_c(24.4, 0.5), 1e-12);
    const double way = (air_c - 15) / 4;
    expect("capacity", full_load(plant, true, 30, 24.4, 1e-4).cooling_output_w, 7600 + way * 800,
           1e-9);
    assert_true(cb_plant_unit_air(plant, 0, false, 24.4, &air_c));
    expect("dry bulb", air_c, 24.4, 0);
    assert_false(cb_plant_unit_air(plant, 1, false, 24.4, &air_c));
    cb_plant_destroy(plant);

    design.heat_pump[0].air_humidity = 0.7;
    plant = plant_of(&design);
    assert_true(cb_plant_unit_air(plant, 0, true, 24.4, &air_c));
    expect("damper", air_c, cbx_wet_bulb_c(24.4, 0.7), 1e-12);
    cb_plant_destroy(plant);
}

static void the_air_is_the_units_own_else_the_houses_else_the_usual(void **state)
{
    (void)state;
    static const struct {
        double fixed_c, indoor_c;
        cb_house_model model;
        double want_c;
    } row[] = {
        {0, 18, CB_HOUSE_ENVELOPE, 18},
        {17, 18, CB_HOUSE_ENVELOPE, 17},
        {0, NAN, CB_HOUSE_ENVELOPE, 22},
        {0, NAN, CB_HOUSE_LOAD_LINE, 190.0 / 9},
        {NAN, NAN, CB_HOUSE_LOAD_FILE, 190.0 / 9},
        {16, NAN, CB_HOUSE_LOAD_LINE, 16},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = airy_design();
        design.house.model = row[i].model;
        design.house.envelope.heating_day_c = 22;
        design.heat_pump[0].heating_air_c = row[i].fixed_c;
        cb_plant *plant = plant_of(&design);
        double air_c = 0;
        assert_true(cb_plant_unit_air(plant, 0, false, row[i].indoor_c, &air_c));
        expect("air", air_c, row[i].want_c, 1e-12);
        const double way = (air_c - 15) / 10;
        expect("capacity", full_load(plant, false, 0, row[i].indoor_c, 2e-4).heating_output_w,
               7000 - way * 400, 1e-9);
        cb_plant_destroy(plant);
    }
}

static void a_table_without_air_does_not_heed_it(void **state)
{
    (void)state;
    const cb_design design = invented_design(1);
    cb_plant *plant = plant_of(&design);
    double air_c = -1;
    assert_false(cb_plant_unit_air(plant, 0, false, 20, &air_c));
    expect("nothing stored", air_c, -1, 0);
    expect("colder", full_load(plant, false, 0, 5, 3e-4).heating_output_w, 7000, 1e-9);
    expect("warmer", full_load(plant, false, 0, 30, 3e-4).heating_output_w, 7000, 1e-9);
    cb_plant_destroy(plant);
}

static void axes_that_are_none_are_refused(void **state)
{
    (void)state;
    static const struct {
        int point[2];
        double air_c, flow_m3_s;
        const char *message;
    } row[] = {
        {{4, 8}, 15, 5e-4, "one entering air is no table over it"},
        {{4, 8}, 12, 2e-4, "point 5: entering air must rise from group to group"},
        {{4, 8},
         0,
         2e-4,
         "point 5: every point of a table has a flow or none, and an entering air"},
        {{6, 8}, 25, 1e-4, "point 7: flow must rise from group to group"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = airy_design();
        for (int k = row[i].point[0]; k < row[i].point[1]; k++) {
            design.heat_pump[0].heating.point[k].air_c = row[i].air_c;
            design.heat_pump[0].heating.point[k].flow_m3_s =
                row[i].flow_m3_s + (k >= 6 && row[i].point[0] == 4 ? 1e-4 : 0);
        }
        cb_plant *plant = NULL;
        cb_error error = {0};
        assert_int_equal(cb_plant_create(&plant, &design, &error), CB_BAD_INPUT);
        assert_null(plant);
        if (!strstr(error.message, row[i].message)) {
            fail_msg("row %zu: \"%s\" lacks \"%s\"", i, error.message, row[i].message);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_point_of_the_table_is_given_back),
        cmocka_unit_test(between_airs_it_goes_straight_and_beyond_them_not),
        cmocka_unit_test(capacity_is_monotone_over_air),
        cmocka_unit_test(slopes_hold_between_airs),
        cmocka_unit_test(wet_bulb_agrees_with_the_psychrometric_equation),
        cmocka_unit_test(cooling_tables_go_by_wet_bulb_unless_told),
        cmocka_unit_test(the_air_is_the_units_own_else_the_houses_else_the_usual),
        cmocka_unit_test(a_table_without_air_does_not_heed_it),
        cmocka_unit_test(axes_that_are_none_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
