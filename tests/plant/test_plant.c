// SPDX-License-Identifier: MIT
#include "invented.h"

static const double FLOW_W_K = 2000.0;

static void evaluate(const cb_plant *plant, double heating_w, double cooling_w, double entering_c,
                     cb_plant_rates *out)
{
    const cb_plant_point point = {
        .heating_load_w = heating_w,
        .cooling_load_w = cooling_w,
        .entering_c = entering_c,
        .loop = {.capacity_flow_w_k = FLOW_W_K, .pump_power_w = 150.0, .pump_heat_w = 120.0}};
    cb_plant_evaluate(plant, &point, out);
}

static void expect_rates(const char *what, const cb_plant_rates *got, const cb_plant_rates *want)
{
    static const struct {
        const char *name;
        size_t offset;
    } field[] = {
        {"heating_output", offsetof(cb_plant_rates, heating_output_w)},
        {"cooling_output", offsetof(cb_plant_rates, cooling_output_w)},
        {"compressor_power", offsetof(cb_plant_rates, compressor_power_w)},
        {"pump_power", offsetof(cb_plant_rates, pump_power_w)},
        {"backup_power", offsetof(cb_plant_rates, backup_power_w)},
        {"unmet_load", offsetof(cb_plant_rates, unmet_load_w)},
        {"heat_to_loop", offsetof(cb_plant_rates, heat_to_loop_w)},
        {"pump_fraction", offsetof(cb_plant_rates, pump_fraction)},
        {"loop_rise", offsetof(cb_plant_rates, loop_rise_k)},
    };
    for (size_t i = 0; i < sizeof field / sizeof *field; i++) {
        double g, w;
        memcpy(&g, (const char *)got + field[i].offset, sizeof g);
        memcpy(&w, (const char *)want + field[i].offset, sizeof w);
        if (!(fabs(g - w) <= 1e-9 * fmax(1.0, fabs(w)))) {
            fail_msg("%s, %s: got %.15g, want %.15g", what, field[i].name, g, w);
        }
    }
}

// ---- curves ----------------------------------------------------------------------------------

/// Worked by hand from the paper's rule. Points (0, 1000), (1, 2000), (3, 2200): secants 1000, 100;
/// three-point slopes 1300, 700, -500. The last turns against its secant: 0. (7, 0) lies outside
/// the circle of radius 3: 700 becomes 300. Middles: (y0 + y1)/2 + h (d0 - d1)/8.
static void monotone_cubic_matches_hand_calculation(void **state)
{
    (void)state;
    cb_design design = invented_design(1);
    design.heat_pump[0].cooling = (cb_performance_table){3,
                                                         {{0.0, 1000.0, 1000.0, 0.0, 0.0},
                                                          {1.0, 2000.0, 2000.0, 0.0, 0.0},
                                                          {3.0, 2200.0, 2200.0, 0.0, 0.0}}};
    design.heat_pump[0].table_margin_k = 0.0;
    cb_plant *plant = plant_of(&design);
    static const double row[][2] = {
        {0.0, 1000.0}, {0.5, 1625.0}, {1.0, 2000.0}, {2.0, 2175.0}, {3.0, 2200.0}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double capacity, power;
        cb_plant_unit_at(plant, 0, true, row[i][0], &capacity, &power);
        expect("capacity", capacity, row[i][1], 1e-9);
        expect("power", power, row[i][1], 1e-9);
    }
    cb_plant_destroy(plant);
}

static void curves_are_monotone_and_keep_to_their_points(void **state)
{
    (void)state;
    const cb_design design = invented_design(1);
    cb_plant *plant = plant_of(&design);
    double before_heating = 0.0, before_cooling = INFINITY, capacity, power;
    for (double t = -5.0; t <= 10.0; t += 0.01) {
        cb_plant_unit_at(plant, 0, false, t, &capacity, &power);
        if (!(capacity > before_heating && capacity > 5999.99 && capacity < 9600.01)) {
            fail_msg("heating at %g degC: %g W after %g W", t, capacity, before_heating);
        }
        before_heating = capacity;
    }
    for (double t = 10.0; t <= 40.0; t += 0.01) {
        cb_plant_unit_at(plant, 0, true, t, &capacity, &power);
        if (!(capacity < before_cooling && capacity < 9000.01 && capacity > 6499.99)) {
            fail_msg("cooling at %g degC: %g W after %g W", t, capacity, before_cooling);
        }
        before_cooling = capacity;
    }
    const cb_performance_table *table = &design.heat_pump[0].heating;
    for (int k = 0; k < table->count; k++) {
        cb_plant_unit_at(plant, 0, false, table->point[k].entering_c, &capacity, &power);
        expect("capacity at a point", capacity, table->point[k].capacity_w, 1e-9);
        expect("power at a point", power, table->point[k].power_w, 1e-9);
    }
    cb_plant_destroy(plant);
}

/// Two points make straight lines: heating 6000 W at 0 degC and 100 W/K with 2000 W and 10 W/K,
/// table 0..10 degC; cooling 9000 W at 10 degC and -50 W/K with 1200 W and 40 W/K, table 10..20
/// degC; margin 2 K. smoothstep(3/4) = 27/32.
static void beyond_its_table_a_unit_goes_straight_then_fades_or_holds(void **state)
{
    (void)state;
    cb_design design = invented_design(1);
    design.heat_pump[0].heating = (cb_performance_table){
        2, {{0.0, 6000.0, 2000.0, 0.0, 0.0}, {10.0, 7000.0, 2100.0, 0.0, 0.0}}};
    design.heat_pump[0].cooling = (cb_performance_table){
        2, {{10.0, 9000.0, 1200.0, 0.0, 0.0}, {20.0, 8500.0, 1600.0, 0.0, 0.0}}};
    design.heat_pump[0].low_lockout_c = -20.0;
    cb_plant *plant = plant_of(&design);
    static const struct {
        bool cooling;
        double entering_c, capacity_w, power_w;
    } row[] = {
        {false, -1.0, 5900.0, 1990.0},
        {false, -2.0, 5800.0, 1980.0},
        {false, -2.125, 0.84375 * 5787.5, 0.84375 * 1978.75},
        {false, -2.25, 0.5 * 5775.0, 0.5 * 1977.5},
        {false, -2.5, 0.0, 0.0},
        {false, -3.0, 0.0, 0.0},
        {false, 11.0, 7100.0, 2110.0},
        {false, 12.0, 7200.0, 2120.0}, // held from here on
        {false, 12.25, 7200.0, 2120.0},
        {false, 60.0, 7200.0, 2120.0},
        {true, 21.0, 8450.0, 1640.0},
        {true, 22.0, 8400.0, 1680.0},
        {true, 22.25, 0.5 * 8387.5, 0.5 * 1690.0},
        {true, 22.5, 0.0, 0.0},
        {true, 9.0, 9050.0, 1160.0},
        {true, 8.0, 9100.0, 1120.0}, // held from here down
        {true, 7.75, 9100.0, 1120.0},
        {true, -30.0, 9100.0, 1120.0},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double capacity, power;
        cb_plant_unit_at(plant, 0, row[i].cooling, row[i].entering_c, &capacity, &power);
        char what[80];
        snprintf(what, sizeof what, "%s at %g degC", row[i].cooling ? "cooling" : "heating",
                 row[i].entering_c);
        expect(what, capacity, row[i].capacity_w, 1e-9);
        expect(what, power, row[i].power_w, 1e-9);
    }
    cb_plant_destroy(plant);
}

/// Where capacity and power are held, nothing depends on the water any more; just before, it does.
static void held_units_have_no_slope(void **state)
{
    (void)state;
    const cb_design design = invented_design(1); // heating to 10 + 2 degC, cooling from 10 - 2 degC
    cb_plant *plant = plant_of(&design);
    static const struct {
        double heating_w, cooling_w, entering_c;
        bool held;
    } row[] = {
        {4000.0, 0.0, 11.9, false},   {4000.0, 0.0, 12.1, true},  {4000.0, 0.0, 40.0, true},
        {50000.0, 0.0, 11.9, false},  {50000.0, 0.0, 12.1, true}, {0.0, 4000.0, 8.1, false},
        {0.0, 4000.0, 7.9, true},     {0.0, 50000.0, 7.9, true},  {0.0, 50000.0, -20.0, true},
        {4000.0, 4000.0, 7.9, false}, // heating is within its table
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_plant_rates r;
        evaluate(plant, row[i].heating_w, row[i].cooling_w, row[i].entering_c, &r);
        const bool flat = r.heat_to_loop_by.entering == 0.0 && r.pump_fraction_by.entering == 0.0 &&
                          r.loop_rise_by.entering == 0.0;
        if (flat != row[i].held) {
            fail_msg("row %zu: slopes %g W/K, %g 1/K, %g", i, r.heat_to_loop_by.entering,
                     r.pump_fraction_by.entering, r.loop_rise_by.entering);
        }
        assert_true(r.pump_fraction > 0.0);
    }
    cb_plant_destroy(plant);
}

static void a_mode_without_points_delivers_nothing(void **state)
{
    (void)state;
    cb_design design = invented_design(1);
    design.heat_pump[0].cooling.count = 0;
    cb_plant *plant = plant_of(&design);
    double capacity = 1.0, power = 1.0;
    cb_plant_unit_at(plant, 0, true, 20.0, &capacity, &power);
    expect("capacity", capacity, 0.0, 0.0);
    expect("power", power, 0.0, 0.0);
    cb_plant_unit_at(plant, 3, false, 5.0, &capacity, &power);
    expect("capacity of a unit that is not there", capacity, 0.0, 0.0);
    cb_plant_rates got;
    evaluate(plant, 0.0, 4000.0, 20.0, &got);
    expect_rates("cooling only", &got, &(cb_plant_rates){.unmet_load_w = 4000.0});
    cb_plant_destroy(plant);
}

// ---- operating points ------------------------------------------------------------------------

static void operating_points_match_hand_calculation(void **state)
{
    (void)state;
    // At 0 degC a unit heats 7000 W with 2000 W, at 20 degC it cools 8500 W with 1600 W; pump
    // 150 W, of which 120 W reach the fluid; 2000 W/K of flow; backup 5000 W.
    static const struct {
        const char *what;
        int units;
        double heating_w, cooling_w, entering_c;
        cb_plant_rates want;
    } row[] = {
        {"half the hour",
         1,
         3500,
         0,
         0,
         {.heating_output_w = 3500,
          .compressor_power_w = 1000,
          .pump_power_w = 75,
          .heat_to_loop_w = -2440,
          .pump_fraction = 0.5,
          .loop_rise_k = -2.44}},
        {"backup helps",
         1,
         9000,
         0,
         0,
         {.heating_output_w = 7000,
          .compressor_power_w = 2000,
          .pump_power_w = 150,
          .backup_power_w = 2000,
          .heat_to_loop_w = -4880,
          .pump_fraction = 1,
          .loop_rise_k = -2.44}},
        {"backup is not enough",
         1,
         13000,
         0,
         0,
         {.heating_output_w = 7000,
          .compressor_power_w = 2000,
          .pump_power_w = 150,
          .backup_power_w = 5000,
          .unmet_load_w = 1000,
          .heat_to_loop_w = -4880,
          .pump_fraction = 1,
          .loop_rise_k = -2.44}},
        {"two units, the second for a quarter",
         2,
         8750,
         0,
         0,
         {.heating_output_w = 8750,
          .compressor_power_w = 2500,
          .pump_power_w = 150,
          .heat_to_loop_w = -6130,
          .pump_fraction = 1,
          .loop_rise_k = -3.065}},
        {"two units, the first alone",
         2,
         3500,
         0,
         0,
         {.heating_output_w = 3500,
          .compressor_power_w = 1000,
          .pump_power_w = 75,
          .heat_to_loop_w = -2440,
          .pump_fraction = 0.5,
          .loop_rise_k = -2.44}},
        {"cooling",
         1,
         0,
         4250,
         20,
         {.cooling_output_w = 4250,
          .compressor_power_w = 800,
          .pump_power_w = 75,
          .heat_to_loop_w = 5110,
          .pump_fraction = 0.5,
          .loop_rise_k = 5.11}},
        {"cooling has no backup",
         1,
         0,
         10000,
         20,
         {.cooling_output_w = 8500,
          .compressor_power_w = 1600,
          .pump_power_w = 150,
          .unmet_load_w = 1500,
          .heat_to_loop_w = 10220,
          .pump_fraction = 1,
          .loop_rise_k = 5.11}},
        // 10 degC: heats 9600 W with 2150 W, cools 9000 W with 1200 W. A quarter of the hour each.
        {"both in one hour",
         1,
         2400,
         2250,
         10,
         {.heating_output_w = 2400,
          .cooling_output_w = 2250,
          .compressor_power_w = 837.5,
          .pump_power_w = 75,
          .heat_to_loop_w = 747.5,
          .pump_fraction = 0.5,
          .loop_rise_k = 0.7475}},
        // Three quarters heating leave a quarter for cooling: 2250 of the 9000 W asked for.
        {"heating first",
         1,
         7200,
         9000,
         10,
         {.heating_output_w = 7200,
          .cooling_output_w = 2250,
          .compressor_power_w = 1912.5,
          .pump_power_w = 150,
          .unmet_load_w = 6750,
          .heat_to_loop_w = -2917.5,
          .pump_fraction = 1,
          .loop_rise_k = -1.45875}},
        {"nothing asked for", 1, 0, 0, 5, {.pump_fraction = 0}},
        // Locked out at -6 degC and below; what the lead unit would do there: straight on from
        // (-5, 6000 W, 1900 W). The end slopes follow from the three-point rule: (3 s1 - s2)/2.
        {"locked out",
         1,
         4000,
         0,
         -6,
         {.backup_power_w = 4000,
          .loop_rise_k =
              -((6000 - (3 * 200 - 240) / 2.0) - (1900 - (3 * 20 - 16) / 2.0) - 120) / 2000}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_design design = invented_design(row[i].units);
        cb_plant *plant = plant_of(&design);
        cb_plant_rates got;
        evaluate(plant, row[i].heating_w, row[i].cooling_w, row[i].entering_c, &got);
        expect_rates(row[i].what, &got, &row[i].want);
        cb_plant_destroy(plant);
    }
}

static void a_pump_that_always_runs_keeps_its_flow(void **state)
{
    (void)state;
    cb_design design = invented_design(1);
    design.pumps.control = CB_PUMP_ALWAYS;
    cb_plant *plant = plant_of(&design);
    cb_plant_rates got;
    evaluate(plant, 0.0, 0.0, 5.0, &got);
    expect_rates(
        "idle", &got,
        &(cb_plant_rates){
            .pump_power_w = 150, .heat_to_loop_w = 120, .pump_fraction = 1, .loop_rise_k = 0.06});
    evaluate(plant, 3500.0, 0.0, 0.0, &got);
    expect_rates("half the hour", &got,
                 &(cb_plant_rates){.heating_output_w = 3500,
                                   .compressor_power_w = 1000,
                                   .pump_power_w = 150,
                                   .heat_to_loop_w = -2380,
                                   .pump_fraction = 1,
                                   .loop_rise_k = -1.19});
    cb_plant_destroy(plant);
}

static void the_rise_of_a_vanishing_load_is_that_of_a_small_one(void **state)
{
    (void)state;
    const cb_design design = invented_design(2);
    cb_plant *plant = plant_of(&design);
    static const double load_w[] = {1000.0, 1e-3, 1e-100, 1e-290, 1e-305, 5e-324};
    for (size_t i = 0; i < sizeof load_w / sizeof *load_w; i++) {
        cb_plant_rates got;
        evaluate(plant, load_w[i], 0.0, 0.0, &got);
        expect("heating rise", got.loop_rise_k, -2.44, 1e-12);
        evaluate(plant, 0.0, load_w[i], 20.0, &got);
        expect("cooling rise", got.loop_rise_k, 5.11, 1e-12);
    }
    cb_plant_destroy(plant);
}

static void lockouts_fade_over_half_a_kelvin(void **state)
{
    (void)state;
    const cb_design design = invented_design(1);
    cb_plant *plant = plant_of(&design);
    static const struct {
        bool cooling;
        double entering_c, run;
    } row[] = {
        {false, -7.0, 0.0},      {false, -6.0, 0.0}, {false, -5.75, 0.5},
        {false, -5.5, 1.0},      {true, 40.5, 1.0},  {true, 40.75, 0.5},
        {true, 40.875, 0.15625}, {true, 41.0, 0.0},  {true, 41.5, 0.0},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_plant_rates got;
        const double load_w = 50000.0;
        evaluate(plant, row[i].cooling ? 0.0 : load_w, row[i].cooling ? load_w : 0.0,
                 row[i].entering_c, &got);
        expect("run fraction", got.pump_fraction, row[i].run, 1e-12);
    }
    cb_plant_destroy(plant);
}

/// When the first unit fades out, the second still moves the water.
static void the_pump_follows_the_unit_that_runs_longest(void **state)
{
    (void)state;
    cb_design design = invented_design(2);
    design.heat_pump[1].low_lockout_c = -9.0;
    cb_plant *plant = plant_of(&design);
    cb_plant_rates got;
    evaluate(plant, 2800.0, 0.0, -6.5, &got);
    double capacity, power;
    cb_plant_unit_at(plant, 1, false, -6.5, &capacity, &power);
    expect("pump fraction", got.pump_fraction, 2800.0 / capacity, 1e-12);
    expect("output", got.heating_output_w, 2800.0, 1e-9);
    cb_plant_destroy(plant);
}

// ---- properties ------------------------------------------------------------------------------

static void loads_and_heat_balance_everywhere(void **state)
{
    (void)state;
    uint64_t seed = 1;
    for (int units = 0; units <= 3; units++) {
        const cb_design design = invented_design(units);
        cb_plant *plant = plant_of(&design);
        for (int i = 0; i < 20000; i++) {
            const double heating = random_load_w(&seed), cooling = random_load_w(&seed);
            const double entering = random_between(&seed, -10.0, 45.0);
            cb_plant_rates r;
            evaluate(plant, heating, cooling, entering, &r);
            expect("heating + cooling = output + backup + unmet",
                   r.heating_output_w + r.cooling_output_w + r.backup_power_w + r.unmet_load_w,
                   heating + cooling, 1e-10);
            expect("heat to loop",
                   r.cooling_output_w - r.heating_output_w + r.compressor_power_w +
                       0.8 * r.pump_power_w,
                   r.heat_to_loop_w, 1e-10);
            if (r.pump_fraction > 0.0) {
                expect("rise", r.loop_rise_k * FLOW_W_K * r.pump_fraction, r.heat_to_loop_w, 1e-10);
            }
            const double most = 1.0 + 1e-15; // sums of several units round
            const double least = fmin(fmin(r.heating_output_w, r.cooling_output_w),
                                      fmin(r.backup_power_w, r.unmet_load_w));
            if (!(least >= 0.0 && r.pump_fraction >= 0.0 && r.pump_fraction <= most &&
                  r.backup_power_w <= 5000.0 && r.heating_output_w <= most * heating &&
                  r.cooling_output_w <= most * cooling)) {
                fail_msg(
                    "out of range at %g W, %g W, %g degC: least %g W, fraction 1%+g, backup %g W, "
                    "heating %+g W, cooling %+g W beyond the load",
                    heating, cooling, entering, least, r.pump_fraction - 1.0, r.backup_power_w,
                    r.heating_output_w - heating, r.cooling_output_w - cooling);
            }
        }
        plant = cb_plant_destroy(plant);
        assert_null(plant);
    }
}

/// Everywhere, fades, lockouts, extensions and held ends included. The points are random, so that
/// none falls onto a kink.
static void slopes_agree_with_central_differences(void **state)
{
    (void)state;
    uint64_t seed = 7;
    const double h = 1e-5;
    for (int units = 1; units <= 2; units++) {
        cb_design design = invented_design(units);
        design.heat_pump[0].table_margin_k = 0.3; // both fades come into play
        cb_plant *plant = plant_of(&design);
        int fading = 0;
        for (int i = 0; i < 40000; i++) {
            const double heating = random_load_w(&seed), cooling = random_load_w(&seed);
            const double t =
                i % 2 ? random_between(&seed, -7.0, -4.9) : random_between(&seed, -10.0, 45.0);
            cb_plant_rates low, at, high;
            evaluate(plant, heating, cooling, t - h, &low);
            evaluate(plant, heating, cooling, t, &at);
            evaluate(plant, heating, cooling, t + h, &high);
            fading += fabs(at.pump_fraction_by.entering) > 0.2;
            expect("heat slope", at.heat_to_loop_by.entering,
                   (high.heat_to_loop_w - low.heat_to_loop_w) / (2.0 * h), 2e-3);
            expect("fraction slope", at.pump_fraction_by.entering,
                   (high.pump_fraction - low.pump_fraction) / (2.0 * h), 1e-6);
            expect("rise slope", at.loop_rise_by.entering,
                   (high.loop_rise_k - low.loop_rise_k) / (2.0 * h),
                   1e-6 * fmax(1.0, fabs(at.loop_rise_by.entering)));
        }
        assert_in_range(fading, 500, 40000);
        cb_plant_destroy(plant);
    }
}

static void rates_have_no_jump_in_entering_water(void **state)
{
    (void)state;
    const cb_design design = invented_design(2);
    cb_plant *plant = plant_of(&design);
    static const double load_w[][2] = {{4000, 0}, {15000, 0}, {0, 9000}, {6000, 6000}};
    const double step_k = 1e-4;
    for (size_t i = 0; i < sizeof load_w / sizeof *load_w; i++) {
        cb_plant_rates before, now;
        evaluate(plant, load_w[i][0], load_w[i][1], -10.0, &before);
        for (double t = -10.0 + step_k; t < 45.0; t += step_k) {
            evaluate(plant, load_w[i][0], load_w[i][1], t, &now);
            // A fade moves both units' whole heat over half a kelvin: under 1.5 / 0.5 K of 30 kW.
            expect("heat", now.heat_to_loop_w, before.heat_to_loop_w, 9e4 * step_k);
            expect("fraction", now.pump_fraction, before.pump_fraction, 4.0 * step_k);
            before = now;
        }
    }
    cb_plant_destroy(plant);
}

// ---- refusals --------------------------------------------------------------------------------

static void bad_tables_are_refused(void **state)
{
    (void)state;
    static const struct {
        int point;
        cb_performance_point value;
        const char *message;
    } row[] = {
        {2, {0.0, 8200.0, 2080.0, 0.0, 0.0}, "entering water that rises"},
        {2, {5.0, 6500.0, 2080.0, 0.0, 0.0}, "only rises or only falls"},
        {1, {0.0, -7000.0, 2000.0, 0.0, 0.0}, "above zero"},
        {1, {0.0, 7000.0, 0.0, 0.0, 0.0}, "above zero"},
        {1, {0.0, 7000.0, 7000.0, 0.0, 0.0}, "above the power it takes"},
        {1, {NAN, 7000.0, 2000.0, 0.0, 0.0}, "not a number"},
        {1, {0.0, INFINITY, 2000.0, 0.0, 0.0}, "not a number"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = invented_design(1);
        design.heat_pump[0].heating.point[row[i].point] = row[i].value;
        cb_plant *plant = (cb_plant *)&design; // must be cleared
        cb_error error = {0};
        const cb_status status = cb_plant_create(&plant, &design, &error);
        if (status != CB_BAD_INPUT || plant || !strstr(error.message, row[i].message)) {
            fail_msg("row %zu: status %d, message \"%s\", want \"%s\"", i, (int)status,
                     error.message, row[i].message);
        }
    }
    cb_design far = invented_design(1);
    far.heat_pump[0].table_margin_k = 40.0; // the heating line meets its power before that
    cb_plant *plant = NULL;
    cb_error error = {0};
    assert_int_equal(cb_plant_create(&plant, &far, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "lower its margin"));
    assert_null(plant);
}

static void bad_calls_are_refused(void **state)
{
    (void)state;
    const cb_design design = invented_design(1);
    cb_design unset = design;
    unset.heat_pump[0].table_margin_k = NAN;
    cb_plant *plant = NULL;
    cb_error error;
    assert_int_equal(cb_plant_create(NULL, &design, &error), CB_BAD_CALL);
    assert_int_equal(cb_plant_create(&plant, NULL, &error), CB_BAD_CALL);
    assert_int_equal(cb_plant_create(&plant, &unset, NULL), CB_BAD_CALL);
    assert_null(plant);
    assert_null(cb_plant_destroy(NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(monotone_cubic_matches_hand_calculation),
        cmocka_unit_test(curves_are_monotone_and_keep_to_their_points),
        cmocka_unit_test(beyond_its_table_a_unit_goes_straight_then_fades_or_holds),
        cmocka_unit_test(held_units_have_no_slope),
        cmocka_unit_test(a_mode_without_points_delivers_nothing),
        cmocka_unit_test(operating_points_match_hand_calculation),
        cmocka_unit_test(a_pump_that_always_runs_keeps_its_flow),
        cmocka_unit_test(the_rise_of_a_vanishing_load_is_that_of_a_small_one),
        cmocka_unit_test(lockouts_fade_over_half_a_kelvin),
        cmocka_unit_test(the_pump_follows_the_unit_that_runs_longest),
        cmocka_unit_test(loads_and_heat_balance_everywhere),
        cmocka_unit_test(slopes_agree_with_central_differences),
        cmocka_unit_test(rates_have_no_jump_in_entering_water),
        cmocka_unit_test(bad_tables_are_refused),
        cmocka_unit_test(bad_calls_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
