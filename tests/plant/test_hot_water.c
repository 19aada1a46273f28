// SPDX-License-Identifier: MIT
// The tank by hand and in balance, and the slopes of everything the plant has.
#include "invented.h"

static const double WATER_J_M3K = 992.2 * 4179.0;

/// Everything at once: two units, the first with a level below, both with desuperheaters; flow,
/// fans and cycling count.
static cb_design full_design(void)
{
    cb_design design = invented_design(2);
    cb_design_heat_pump *first = &design.heat_pump[0], *second = &design.heat_pump[1];
    first->name = "first";
    first->level_count = 1;
    first->level[0].heating = (cb_performance_table){
        3, {{-5, 3200, 800, 0, 0}, {3, 4100, 850, 0, 0}, {10, 5000, 900, 0, 0}}};
    first->level[0].cooling = (cb_performance_table){
        3, {{10, 5000, 500, 0, 0}, {25, 4500, 700, 0, 0}, {40, 3600, 1100, 0, 0}}};
    first->cycling_loss = 0.15;
    first->fan_w = 150;
    first->fan_beside = true;
    first->lockout_recovery_k = 2.0;
    second->name = "second";
    second->heating = (cb_performance_table){4,
                                             {{-5, 5600, 1850, 2e-4, 0.0},
                                              {10, 9000, 2100, 2e-4, 0.0},
                                              {-5, 6200, 1900, 4e-4, 0.0},
                                              {10, 9700, 2150, 4e-4, 0.0}}};
    second->cycling_loss = 0.1;
    second->fan_w = 120;
    design.hot_water = (cb_design_hot_water){
        .given = true,
        .volume_m3 = 0.2,
        .loss_w_k = 1.5,
        .room_c = 20,
        .draw_m3 = 0.24,
        .draw_c = 42,
        .element_w = 4500,
        .set_point_c = 50,
        .band_k = 4,
        .desuperheater_count = 2,
        .desuperheater = {{"first", 1200, 50, 75, 58, 0.2}, {"second", 900, 45, 70, 60, 0.15}}};
    return design;
}

/// One unit with 7000 W of heat and 2000 W at 0 degC, 8500 W of cooling with 1600 W at 20 degC, and
/// a desuperheater of 1000 W at 50 degC that ends at 70 degC.
static cb_design plain_design(void)
{
    cb_design design = invented_design(1);
    design.heat_pump[0].name = "unit";
    design.hot_water = full_design().hot_water;
    design.hot_water.desuperheater_count = 1;
    design.hot_water.desuperheater[0] = (cb_desuperheater){"unit", 1000, 50, 70, 65, 0.3};
    return design;
}

static void desuperheaters_match_hand_calculation(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        double heating_w, cooling_w, entering_c, tank_c;
        double output_w, power_w, tank_w, loop_w;
    } row[] = {
        // 1000 W of 7000 W go to the tank; 6000 W are left at full load.
        {"heating, full", 6000, 0, 0, 50, 6000, 2000, 1000, -5000 + 120},
        {"heating, half", 3000, 0, 0, 50, 3000, 1000, 500, -2500 + 60},
        {"half as hot again", 6500, 0, 0, 60, 6500, 2000, 500, -5000 + 120},
        {"nothing at the limit", 7000, 0, 0, 65, 7000, 2000, 0, -5000 + 120},
        {"half in the middle of the fade, 300 W", 6850, 0, 0, 64, 6850, 2000, 150, -5000 + 120},
        {"cold tank, 30 % at most", 4900, 0, 0, 5, 4900, 2000, 2100, -5000 + 120},
        {"cooling, full", 0, 8500, 20, 50, 8500, 1600, 1000, 8500 + 1600 - 1000 + 120},
        {"cooling, half", 0, 4250, 20, 50, 4250, 800, 500, 5050 - 500 + 60},
        {"not running", 0, 0, 20, 30, 0, 0, 0, 0},
    };
    const cb_design design = plain_design();
    cb_plant *plant = plant_of(&design);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_plant_point point = {.heating_load_w = row[i].heating_w,
                                      .cooling_load_w = row[i].cooling_w,
                                      .entering_c = row[i].entering_c,
                                      .tank_c = row[i].tank_c,
                                      .loop = {.flow_m3_s = 5e-4,
                                               .capacity_flow_w_k = 2000,
                                               .pump_power_w = 150,
                                               .pump_heat_w = 120}};
        cb_plant_rates got;
        cb_plant_evaluate(plant, &point, &got);
        expect(row[i].what, got.heating_output_w + got.cooling_output_w, row[i].output_w, 1e-9);
        expect(row[i].what, got.compressor_power_w, row[i].power_w, 1e-9);
        expect(row[i].what, got.desuperheater_w, row[i].tank_w, 1e-9);
        expect(row[i].what, got.heat_to_loop_w, row[i].loop_w, 1e-9);
        expect(row[i].what, got.unmet_load_w, 0, 1e-9);
    }
    cb_plant_destroy(plant);
}

/// Element of 4500 W, set point 50 degC, band 4 K: smoothstep(1/2) = 1/2. Loss 1.5 W/K to 20 degC.
/// Wanted at the tap 42 degC.
static void the_tank_matches_hand_calculation(void **state)
{
    (void)state;
    const double draw_m3_s = 1e-5, w_k = WATER_J_M3K * draw_m3_s;
    static const struct {
        const char *what;
        double tank_c, mains_c, element_w, drawn_k, unmet_k;
    } row[] = {
        {"hot: the valve mixes", 50, 10, 0, 32, 0},
        {"half on", 48, 10, 2250, 32, 0},
        {"fully on", 46, 10, 4500, 32, 0},
        {"too cold at the tap", 30, 10, 4500, 20, 12},
        {"mains warmer than the tank", 8, 10, 4500, 0, 32},
        {"mains warmer than wanted", 50, 45, 0, 0, 0},
    };
    const cb_design design = plain_design();
    cb_plant *plant = plant_of(&design);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_plant_point point = {.entering_c = 5,
                                      .tank_c = row[i].tank_c,
                                      .draw_m3_s = draw_m3_s,
                                      .mains_c = row[i].mains_c,
                                      .loop = {.capacity_flow_w_k = 2000}};
        cb_plant_rates got;
        cb_plant_evaluate(plant, &point, &got);
        expect(row[i].what, got.element_power_w, row[i].element_w, 1e-9);
        expect(row[i].what, got.hot_water_w, w_k * row[i].drawn_k, 1e-9);
        expect(row[i].what, got.hot_water_unmet_w, w_k * row[i].unmet_k, 1e-9);
        expect(row[i].what, got.tank_loss_w, 1.5 * (row[i].tank_c - 20), 1e-9);
    }
    expect("capacity", cb_plant_tank_capacity_j_k(plant), WATER_J_M3K * 0.2, 1e-6);
    expect("start", cb_plant_tank_start_c(plant), 50, 0);
    cb_plant_destroy(plant);
}

static void the_draw_adds_up_to_the_day(void **state)
{
    (void)state;
    cb_design design = plain_design();
    for (int given = 0; given < 2; given++) {
        design.hot_water.draw_weight_count = given ? CB_DAY_HOURS : 0;
        for (int hour = 0; hour < CB_DAY_HOURS; hour++) {
            design.hot_water.draw_weight[hour] = hour == 7 ? 3 : hour == 19 ? 1 : 0;
        }
        cb_plant *plant = plant_of(&design);
        double sum_m3 = 0.0;
        for (int minute = 0; minute < 24 * 60; minute++) {
            sum_m3 += 60.0 * cb_plant_draw_m3_s(plant, (minute + 0.5) / 60.0);
        }
        expect("day", sum_m3, 0.24, 1e-12);
        if (given) {
            expect("07:30", cb_plant_draw_m3_s(plant, 7.5), 0.18 / 3600.0, 1e-15);
            expect("19:00", cb_plant_draw_m3_s(plant, 19.0), 0.06 / 3600.0, 1e-15);
            expect("24:00", cb_plant_draw_m3_s(plant, 24.0), 0.0, 0.0);
        }
        cb_plant_destroy(plant);
    }
    design.hot_water.given = false;
    cb_plant *plant = plant_of(&design);
    expect("no hot water", cb_plant_draw_m3_s(plant, 7.5), 0.0, 0.0);
    expect("no tank", cb_plant_tank_capacity_j_k(plant), 0.0, 0.0);
    cb_plant_destroy(plant);
}

// ---- properties ------------------------------------------------------------------------------

static cb_plant_point random_point(uint64_t *seed)
{
    cb_plant_point point = {.heating_load_w = random_load_w(seed),
                            .cooling_load_w = random_load_w(seed),
                            .entering_c = random_between(seed, -9, 44),
                            .outdoor_c = random_between(seed, -30, 30),
                            .tank_c = random_between(seed, 2, 80),
                            .draw_m3_s = fmax(0, random_between(seed, -5e-5, 5e-5)),
                            .mains_c = random_between(seed, 1, 25)};
    // A loop whose flow, pump and fluid follow its mean temperature.
    const double fluid = random_between(seed, -5, 30);
    point.loop = (cb_loop_point){4e-4 + 1e-5 * fluid, 1e-5, 1600 + 30 * fluid, 30,
                                 200 - fluid,         -1,   150 - 0.5 * fluid, -0.5};
    return point;
}

static void shift_fluid(cb_loop_point *loop, double by_k)
{
    loop->flow_m3_s += by_k * loop->flow_slope;
    loop->capacity_flow_w_k += by_k * loop->capacity_flow_slope;
    loop->pump_power_w += by_k * loop->pump_power_slope;
    loop->pump_heat_w += by_k * loop->pump_heat_slope;
}

static void house_loop_and_tank_balance_everywhere(void **state)
{
    (void)state;
    cb_design design = full_design();
    design.backup.has_outdoor_limit = true;
    design.backup.emergency_share = 0.5;
    cb_plant *plant = plant_of(&design);
    uint64_t seed = 3;
    for (int i = 0; i < 40000; i++) {
        const cb_plant_point point = random_point(&seed);
        cb_plant_rates r;
        cb_plant_evaluate(plant, &point, &r);
        const double scale = 1.0 + point.heating_load_w + point.cooling_load_w + r.hot_water_w +
                             r.hot_water_unmet_w + r.element_power_w;
        const double tolerance = 1e-12 * scale;
        expect("loads", r.heating_output_w + r.cooling_output_w + r.backup_power_w + r.unmet_load_w,
               point.heating_load_w + point.cooling_load_w, tolerance);
        expect("loop",
               r.cooling_output_w - r.heating_output_w - r.desuperheater_w + r.compressor_power_w +
                   r.fan_power_w + point.loop.pump_heat_w * r.pump_fraction,
               r.heat_to_loop_w, tolerance);
        expect("tank", r.desuperheater_w + r.element_power_w - r.hot_water_w - r.tank_loss_w,
               r.tank_heat_w, tolerance);
        expect("tap", r.hot_water_w + r.hot_water_unmet_w,
               fmax(0, WATER_J_M3K * point.draw_m3_s * (42 - point.mains_c)), tolerance);
        const double least =
            fmin(fmin(fmin(r.heating_output_w, r.cooling_output_w), r.desuperheater_w),
                 fmin(fmin(r.element_power_w, r.hot_water_w),
                      fmin(fmin(r.compressor_power_w, r.fan_power_w), r.backup_power_w)));
        if (!(least >= 0.0 && r.hot_water_unmet_w >= 0.0 && r.unmet_load_w >= -tolerance &&
              r.pump_fraction >= 0.0 && r.pump_fraction <= 1.0 + 1e-14)) {
            fail_msg("point %d: least %g W, unmet %g and %g W, run 1%+g", i, least, r.unmet_load_w,
                     r.hot_water_unmet_w, r.pump_fraction - 1.0);
        }
    }
    cb_plant_destroy(plant);
}

typedef enum argument { ENTERING, FLUID, TANK, ARGUMENTS } argument;

static cb_plant_rates shifted(const cb_plant *plant, cb_plant_point point, argument by, double by_k)
{
    point.entering_c += by == ENTERING ? by_k : 0.0;
    point.tank_c += by == TANK ? by_k : 0.0;
    shift_fluid(&point.loop, by == FLUID ? by_k : 0.0);
    cb_plant_rates rates;
    cb_plant_evaluate(plant, &point, &rates);
    return rates;
}

static double slope_of(const cb_plant_slopes *slopes, argument by)
{
    return by == ENTERING ? slopes->entering : by == FLUID ? slopes->fluid : slopes->tank;
}

/// Random points, so that none but a few fall onto a kink: those are told by one-sided differences
/// that do not agree.
static void slopes_agree_with_differences_in_every_argument(void **state)
{
    (void)state;
    const cb_design design = full_design();
    cb_plant *plant = plant_of(&design);
    uint64_t seed = 11;
    const double h = 1e-5;
    int moving[ARGUMENTS] = {0}, kinks = 0;
    for (int i = 0; i < 40000; i++) {
        const cb_plant_point point = random_point(&seed);
        const argument by = (argument)(i % ARGUMENTS);
        const cb_plant_rates low = shifted(plant, point, by, -h), at = shifted(plant, point, by, 0),
                             high = shifted(plant, point, by, h);
        const struct {
            const char *what;
            double low, at, high, slope, scale;
        } row[] = {
            {"heat", low.heat_to_loop_w, at.heat_to_loop_w, high.heat_to_loop_w,
             slope_of(&at.heat_to_loop_by, by), 1e4},
            {"fraction", low.pump_fraction, at.pump_fraction, high.pump_fraction,
             slope_of(&at.pump_fraction_by, by), 1},
            {"rise", low.loop_rise_k, at.loop_rise_k, high.loop_rise_k,
             slope_of(&at.loop_rise_by, by), 5},
            {"tank", low.tank_heat_w, at.tank_heat_w, high.tank_heat_w,
             slope_of(&at.tank_heat_by, by), 1e4},
        };
        for (size_t k = 0; k < sizeof row / sizeof *row; k++) {
            const double left = (row[k].at - row[k].low) / h, right = (row[k].high - row[k].at) / h;
            if (fabs(left - right) > 1e-3 * row[k].scale) {
                kinks++;
                continue;
            }
            moving[by] += fabs(row[k].slope) > 1e-3 * row[k].scale;
            char what[64];
            snprintf(what, sizeof what, "%s by argument %d, point %d", row[k].what, (int)by, i);
            expect(what, row[k].slope, (row[k].high - row[k].low) / (2 * h),
                   1e-6 * (row[k].scale + fabs(row[k].slope)));
        }
    }
    assert_in_range(kinks, 0, 200);
    for (int by = 0; by < ARGUMENTS; by++) {
        assert_in_range(moving[by], 2000, 40000);
    }
    cb_plant_destroy(plant);
}

static void rates_have_no_jump_in_any_argument(void **state)
{
    (void)state;
    const cb_design design = full_design();
    cb_plant *plant = plant_of(&design);
    uint64_t seed = 5;
    static const double low[] = {-10, -5, 0}, high[] = {45, 30, 85};
    for (int i = 0; i < 30; i++) {
        const argument by = (argument)(i % ARGUMENTS);
        cb_plant_point point = random_point(&seed);
        if (by == ENTERING) {
            point.entering_c = 0;
        } else if (by == TANK) {
            point.tank_c = 0;
        }
        const double step_k = 1e-3;
        cb_plant_rates before = shifted(plant, point, by, low[by]);
        const int steps = (int)((high[by] - low[by]) / step_k);
        for (int n = 1; n < steps; n++) {
            const cb_plant_rates now = shifted(plant, point, by, low[by] + n * step_k);
            expect("heat", now.heat_to_loop_w, before.heat_to_loop_w, 2e5 * step_k);
            expect("fraction", now.pump_fraction, before.pump_fraction, 6 * step_k);
            expect("tank", now.tank_heat_w, before.tank_heat_w, 2e4 * step_k);
            before = now;
        }
    }
    cb_plant_destroy(plant);
}

// ---- refusals --------------------------------------------------------------------------------

static void refuses(const cb_design_hot_water *water, const char *message)
{
    cb_design design = full_design();
    design.hot_water = *water;
    cb_plant *plant = NULL;
    cb_error error = {0};
    const cb_status status = cb_plant_create(&plant, &design, &error);
    if (status != CB_BAD_INPUT || plant || !strstr(error.message, message)) {
        fail_msg("status %d, message \"%s\", want \"%s\"", (int)status, error.message, message);
    }
}

static void bad_hot_water_is_refused(void **state)
{
    (void)state;
    const cb_design_hot_water good = full_design().hot_water;
    cb_design_hot_water w = good;
    w.volume_m3 = 0;
    refuses(&w, "hot_water.volume: 0 m3; expected more than 0");
    w = good;
    w.draw_m3 = NAN;
    refuses(&w, "expected 0 or more");
    w = good;
    w.band_k = 0;
    refuses(&w, "a band above 0");
    w = good;
    w.draw_weight_count = 23;
    refuses(&w, "hot_water.draw_by_hour: 23 hours; expected none or 24");
    w.draw_weight_count = 24;
    refuses(&w, "all 24 hours are 0");
    w.draw_weight[3] = -1;
    refuses(&w, "-1 for hour 3; expected 0 to 1000");
    w = good;
    w.desuperheater[1].unit = "third";
    refuses(&w, "desuperheaters[1].unit: \"third\" is no heat pump; there are \"first\", "
                "\"second\"");
    w.desuperheater[1].unit = "first";
    refuses(&w, "\"first\" has one already");
    w = good;
    w.desuperheater[0].hot_gas_c = 50;
    refuses(&w, "hot_gas 50 degC; expected more than rated_at, 50 degC");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(desuperheaters_match_hand_calculation),
        cmocka_unit_test(the_tank_matches_hand_calculation),
        cmocka_unit_test(the_draw_adds_up_to_the_day),
        cmocka_unit_test(house_loop_and_tank_balance_everywhere),
        cmocka_unit_test(slopes_agree_with_differences_in_every_argument),
        cmocka_unit_test(rates_have_no_jump_in_any_argument),
        cmocka_unit_test(bad_hot_water_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
