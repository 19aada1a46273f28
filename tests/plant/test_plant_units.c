// SPDX-License-Identifier: MIT
// Levels, cycling, fans, flow and lockouts of a unit, and its backup.
#include "invented.h"

/// Straight tables: at 0 degC the full load heats 8000 W with 2000 W, the levels below 4000 W with
/// 800 W and 6000 W with 1400 W; at 20 degC it cools 9000 W with 1500 W, 5000 W with 600 W and 7000
/// W with 1000 W.
static cb_design staged_design(void)
{
    cb_design design = invented_design(1);
    cb_design_heat_pump *unit = &design.heat_pump[0];
    unit->heating = (cb_performance_table){2, {{-10, 7000, 1900, 0, 0}, {10, 9000, 2100, 0, 0}}};
    unit->cooling = (cb_performance_table){2, {{10, 9500, 1400, 0, 0}, {30, 8500, 1600, 0, 0}}};
    unit->level_count = 2;
    unit->level[0].heating =
        (cb_performance_table){2, {{-10, 3500, 750, 0, 0}, {10, 4500, 850, 0, 0}}};
    unit->level[0].cooling =
        (cb_performance_table){2, {{10, 5200, 550, 0, 0}, {30, 4800, 650, 0, 0}}};
    unit->level[1].heating =
        (cb_performance_table){2, {{-10, 5500, 1350, 0, 0}, {10, 6500, 1450, 0, 0}}};
    unit->level[1].cooling =
        (cb_performance_table){2, {{10, 7300, 950, 0, 0}, {30, 6700, 1050, 0, 0}}};
    unit->low_lockout_c = -11.0;
    return design;
}

static cb_plant_point point_at(double heating_w, double cooling_w, double entering_c)
{
    return (cb_plant_point){.heating_load_w = heating_w,
                            .cooling_load_w = cooling_w,
                            .entering_c = entering_c,
                            .loop = {.flow_m3_s = 5e-4,
                                     .capacity_flow_w_k = 2000.0,
                                     .pump_power_w = 150.0,
                                     .pump_heat_w = 120.0}};
}

static cb_plant_rates rates_of(const cb_plant *plant, double heating_w, double cooling_w,
                               double entering_c)
{
    const cb_plant_point point = point_at(heating_w, cooling_w, entering_c);
    cb_plant_rates rates;
    cb_plant_evaluate(plant, &point, &rates);
    return rates;
}

static void a_unit_spends_its_time_on_two_neighbouring_levels(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        double heating_w, cooling_w, entering_c, output_w, power_w, run;
    } row[] = {
        {"half of the lowest", 2000, 0, 0, 2000, 400, 0.5},
        {"the lowest", 4000, 0, 0, 4000, 800, 1},
        {"a quarter of the way", 4500, 0, 0, 4500, 950, 1},
        {"the middle one", 6000, 0, 0, 6000, 1400, 1},
        {"half way to full load", 7000, 0, 0, 7000, 1700, 1},
        {"full load", 8000, 0, 0, 8000, 2000, 1},
        {"more than it can", 9000, 0, 0, 8000, 2000, 1},
        {"cooling at the lowest", 0, 1250, 20, 1250, 150, 0.25},
        {"cooling half way", 0, 8000, 20, 8000, 1250, 1},
    };
    const cb_design design = staged_design();
    cb_plant *plant = plant_of(&design);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_plant_rates got =
            rates_of(plant, row[i].heating_w, row[i].cooling_w, row[i].entering_c);
        expect(row[i].what, got.heating_output_w + got.cooling_output_w, row[i].output_w, 1e-9);
        expect(row[i].what, got.compressor_power_w, row[i].power_w, 1e-9);
        expect(row[i].what, got.pump_fraction, row[i].run, 1e-12);
    }
    double capacity, power;
    cb_plant_unit_at(plant, 0, false, 0.0, &capacity, &power);
    expect("full load", capacity, 8000.0, 1e-9);
    cb_plant_destroy(plant);
}

/// At 10 degC: heats 4500 W with 850 W at the lowest level, 9000 W at full load; cools 9500 W.
/// 6750 W of heating need 3/4 of the hour at full load, so a quarter is left for cooling.
static void lower_levels_take_no_time_from_cooling(void **state)
{
    (void)state;
    const cb_design design = staged_design();
    cb_plant *plant = plant_of(&design);
    cb_plant_rates got = rates_of(plant, 6750, 2375, 10);
    expect("heating", got.heating_output_w, 6750, 1e-9);
    expect("cooling", got.cooling_output_w, 2375, 1e-9);
    expect("run", got.pump_fraction, 1, 1e-12);
    got = rates_of(plant, 6750, 4750, 10);
    expect("heating comes first", got.heating_output_w, 6750, 1e-9);
    expect("cooling has the rest", got.cooling_output_w, 2375, 1e-9);
    got = rates_of(plant, 6750, 1e-6, 10);
    expect("a breath of cooling", got.cooling_output_w, 1e-6, 1e-12);
    expect("leaves heating as it is", got.compressor_power_w,
           rates_of(plant, 6750, 0, 10).compressor_power_w, 1e-6);
    cb_plant_destroy(plant);
}

/// Run fraction PLR / (1 - C_D (1 - PLR)): at half load and C_D 0.25, 0.5 / 0.875 = 4/7.
static void cycling_runs_longer_for_the_same_output(void **state)
{
    (void)state;
    cb_design design = invented_design(1); // 7000 W with 2000 W at 0 degC
    design.heat_pump[0].cycling_loss = 0.25;
    cb_plant *plant = plant_of(&design);
    cb_plant_rates got = rates_of(plant, 3500, 0, 0);
    expect("output", got.heating_output_w, 3500, 1e-9);
    expect("run", got.pump_fraction, 4.0 / 7.0, 1e-12);
    expect("power", got.compressor_power_w, 2000 * 4.0 / 7.0, 1e-9);
    expect("heat", got.heat_to_loop_w, 2000 * 4.0 / 7.0 - 3500 + 120 * 4.0 / 7.0, 1e-9);
    got = rates_of(plant, 7000, 0, 0);
    expect("no loss at full load", got.compressor_power_w, 2000, 1e-9);
    // A vanishing load: three quarters of 7000 W while it runs.
    static const double load_w[] = {1e-6, 1e-290, 5e-324};
    for (size_t i = 0; i < sizeof load_w / sizeof *load_w; i++) {
        expect("rise", rates_of(plant, load_w[i], 0, 0).loop_rise_k,
               (2000 - 0.75 * 7000 + 120) / 2000.0, 1e-8);
    }
    cb_plant_destroy(plant);
}

static void a_fan_is_told_apart_or_added(void **state)
{
    (void)state;
    cb_design design = invented_design(1);
    design.heat_pump[0].fan_w = 200;
    cb_plant *plant = plant_of(&design);
    cb_plant_rates got = rates_of(plant, 3500, 0, 0);
    expect("fan in the table", got.fan_power_w, 100, 1e-9);
    expect("compressor", got.compressor_power_w, 900, 1e-9);
    expect("heat", got.heat_to_loop_w, -3500 + 1000 + 60, 1e-9);
    cb_plant_destroy(plant);

    design.heat_pump[0].fan_beside = true;
    plant = plant_of(&design);
    got = rates_of(plant, 7200, 0, 0); // 7000 W and the fan's 200 W
    expect("heating with the fan's heat", got.heating_output_w, 7200, 1e-9);
    expect("fan beside", got.fan_power_w, 200, 1e-9);
    expect("compressor of the table", got.compressor_power_w, 2000, 1e-9);
    expect("run", got.pump_fraction, 1, 1e-12);
    got = rates_of(plant, 0, 8300, 20); // 8500 W less the fan's heat
    expect("cooling", got.cooling_output_w, 8300, 1e-9);
    expect("run", got.pump_fraction, 1, 1e-12);
    expect("rejected", got.heat_to_loop_w, 8300 + 1600 + 200 + 120, 1e-9);
    cb_plant_destroy(plant);
}

/// Two units of equal tables share the flow by half. At 0 degC 6000 W with 1800 W at 0.2 L/s and
/// 7000 W with 2000 W at 0.4 L/s.
static void tables_go_straight_between_flows(void **state)
{
    (void)state;
    cb_design design = invented_design(2);
    for (int i = 0; i < 2; i++) {
        design.heat_pump[i].heating = (cb_performance_table){4,
                                                             {{-10, 5500, 1750, 2e-4, 0.0},
                                                              {10, 6500, 1850, 2e-4, 0.0},
                                                              {-10, 6500, 1950, 4e-4, 0.0},
                                                              {10, 7500, 2050, 4e-4, 0.0}}};
    }
    design.heat_pump[0].low_lockout_c = -20;
    design.field.trenches = 2;
    design.field.circuit_count = 1;
    design.pumps.flow_per_circuit_m3_s = 3e-4;
    cb_plant *plant = plant_of(&design);
    static const struct {
        double loop_m3_s, capacity_w, power_w;
    } row[] = {{1e-4, 6000, 1800}, {4e-4, 6000, 1800}, {5e-4, 6250, 1850},
               {6e-4, 6500, 1900}, {8e-4, 7000, 2000}, {2e-3, 7000, 2000}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_plant_point point = point_at(20000, 0, 0);
        point.loop.flow_m3_s = row[i].loop_m3_s;
        cb_plant_rates got;
        cb_plant_evaluate(plant, &point, &got);
        expect("capacity of both", got.heating_output_w, 2 * row[i].capacity_w, 1e-8);
        expect("power of both", got.compressor_power_w, 2 * row[i].power_w, 1e-8);
    }
    double capacity, power;
    cb_plant_unit_at(plant, 1, false, 0.0, &capacity, &power);
    expect("at the wanted flow", capacity, 6500, 1e-9); // 2 x 0.3 L/s, half each
    cb_plant_destroy(plant);
}

/// smoothstep(1/2) = 1/2, smoothstep(3/4) = 27/32.
static void lockouts_recover_over_their_width(void **state)
{
    (void)state;
    cb_design design = invented_design(1);
    design.heat_pump[0].low_lockout_c = -4.0;
    design.heat_pump[0].high_lockout_c = 38.0;
    design.heat_pump[0].lockout_recovery_k = 4.0;
    cb_plant *plant = plant_of(&design);
    static const struct {
        bool cooling;
        double entering_c, run;
    } row[] = {{false, -4, 0}, {false, -2, 0.5}, {false, -1, 0.84375}, {false, 0, 1},
               {true, 38, 0},  {true, 36, 0.5},  {true, 34, 1}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const bool cooling = row[i].cooling;
        const cb_plant_rates got =
            rates_of(plant, cooling ? 0 : 5e4, cooling ? 5e4 : 0, row[i].entering_c);
        expect("run", got.pump_fraction, row[i].run, 1e-12);
    }
    cb_plant_destroy(plant);
}

/// Strips of 5000 W, off at 2 degC outdoors and above, fully on at 1 degC; a fifth for emergencies.
static void backup_heeds_the_outdoor_limit(void **state)
{
    (void)state;
    cb_design design = invented_design(2);
    design.backup.has_outdoor_limit = true;
    design.backup.outdoor_limit_c = 2.0;
    design.backup.emergency_share = 0.2;
    design.heat_pump[1].low_lockout_c = -3.0;
    cb_plant *plant = plant_of(&design);
    static const struct {
        double outdoor_c, entering_c, backup_w;
    } row[] = {
        {-20, 0, 5000}, {1, 0, 5000},  {1.5, 0, 2500},  {2, 0, 0},
        {15, 0, 0},     {15, -4, 500}, // one of two is locked out
        {15, -8, 1000}, {2, -8, 1000}, {1.5, -8, 3000}, {-20, -8, 5000},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_plant_point point = point_at(40000, 0, row[i].entering_c);
        point.outdoor_c = row[i].outdoor_c;
        cb_plant_rates got;
        cb_plant_evaluate(plant, &point, &got);
        expect("backup", got.backup_power_w, row[i].backup_w, 1e-9);
        expect("the rest is unmet", got.heating_output_w + got.backup_power_w + got.unmet_load_w,
               40000, 1e-9);
    }
    cb_plant_destroy(plant);
}

// ---- refusals --------------------------------------------------------------------------------

static void refuses(const cb_design *design, const char *message)
{
    cb_plant *plant = NULL;
    cb_error error = {0};
    const cb_status status = cb_plant_create(&plant, design, &error);
    if (status != CB_BAD_INPUT || plant || !strstr(error.message, message)) {
        fail_msg("status %d, message \"%s\", want \"%s\"", (int)status, error.message, message);
    }
}

static void units_that_are_none_are_refused(void **state)
{
    (void)state;
    cb_design design = staged_design();
    design.heat_pump[0].level[0].heating.point[1].capacity_w = 6600;
    refuses(&design, "part_load[0]: ");
    refuses(&design, "expected each level to give at least 1 % more than the one below");
    design = staged_design();
    design.heat_pump[0].level[1].cooling.count = 0;
    refuses(&design, "part_load[1]: cooling is missing: at full load the unit has it");
    design = staged_design();
    design.heat_pump[0].cooling.count = 0;
    refuses(&design, "part_load[0]: cooling is given, but at full load the unit has none");
    design = staged_design();
    design.heat_pump[0].fan_w = 800;
    refuses(&design, "fan: 800 W leave nothing");
    design = staged_design();
    design.heat_pump[0].cycling_loss = 0.6;
    refuses(&design, "cycling loss 0.6; expected 0 to 0.5");
    design.heat_pump[0].cycling_loss = NAN;
    refuses(&design, "expected 0 to 0.5");
    design = staged_design();
    design.heat_pump[0].heating.point[1].flow_m3_s = 3e-4;
    refuses(&design, "point 2: every point of a table has a flow or none");
    design = invented_design(1);
    for (int i = 0; i < 4; i++) {
        design.heat_pump[0].heating.point[i].flow_m3_s = i < 2 ? 4e-4 : 3e-4;
    }
    refuses(&design, "flow must rise from group to group");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_unit_spends_its_time_on_two_neighbouring_levels),
        cmocka_unit_test(lower_levels_take_no_time_from_cooling),
        cmocka_unit_test(cycling_runs_longer_for_the_same_output),
        cmocka_unit_test(a_fan_is_told_apart_or_added),
        cmocka_unit_test(tables_go_straight_between_flows),
        cmocka_unit_test(lockouts_recover_over_their_width),
        cmocka_unit_test(backup_heeds_the_outdoor_limit),
        cmocka_unit_test(units_that_are_none_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
