// SPDX-License-Identifier: MIT
#include "loop_design.h"

#include "loop/hydraulics.h"

enum { EIGHT = 8 };

static cb_fluid_properties fluid_at(const cb_design *design, double temperature_c)
{
    cb_fluid fluid;
    cb_fluid_properties properties;
    assert_int_equal(cb_fluid_define(&fluid, &design->fluid, NULL), CB_OK);
    assert_true(cb_fluid_at(&fluid, temperature_c, &properties));
    return properties;
}

// ---- split -----------------------------------------------------------------------------------

// Laminar flow without fittings: drop is proportional to length times flow, so 100 m beside 200 m
// take two thirds and one third.
static void two_laminar_circuits_share_by_length(void **state)
{
    (void)state;
    static const cb_network_circuit unequal[] = {{100.0, 0.0, 0.0, 1}, {200.0, 0.0, 0.0, 1}};
    cb_design design = bare_design();
    design.pumps.flow_per_circuit_m3_s = 0.3 * gpm_m3_s;
    cb_network *network = network_of(&design, unequal, 2);
    double flow[2];
    const cb_network_report report = solved(network, -5.0, flow);
    const double total = 0.6 * gpm_m3_s;
    expect_relative("short", flow[0], total * 2.0 / 3.0, 1e-14);
    expect_relative("long", flow[1], total / 3.0, 1e-14);
    expect_relative("total", report.state.flow_m3_s, total, 1e-15);
    assert_true(report.state.least_reynolds < 2000.0);
    cb_network_destroy(network);
}

static double hand_drop(const cb_fluid_properties *fluid, double length_m, double flow_m3_s)
{
    cb_pipe pipe;
    assert_int_equal(cb_pipe_find(&pipe, "3/4 in", 11.0, NULL), CB_OK);
    const double d = pipe.inside_diameter_m, area = 3.14159265358979323846 / 4.0 * d * d;
    const double velocity = flow_m3_s / area;
    const double f = cb_friction_factor(cb_reynolds(fluid, flow_m3_s, d), 1.5e-6 / d);
    return (f * length_m / d + 6.0) * fluid->density_kg_m3 * velocity * velocity / 2.0;
}

// Turbulent flow with fittings: the split found by halving, from Churchill's factor alone.
static void two_turbulent_circuits_share_as_worked_by_hand(void **state)
{
    (void)state;
    static const cb_network_circuit unequal[] = {{90.0, 0.0, 0.0, 1}, {160.0, 0.0, 0.0, 1}};
    cb_design design = bare_design();
    design.piping.circuit_fittings_k = 6.0;
    design.pumps.flow_per_circuit_m3_s = 4.0 * gpm_m3_s;
    const cb_fluid_properties fluid = fluid_at(&design, 15.0);
    double low = 0.0, high = 8.0 * gpm_m3_s;
    for (int i = 0; i < 60; i++) {
        const double q = 0.5 * (low + high);
        const bool less = hand_drop(&fluid, 90.0, q) < hand_drop(&fluid, 160.0, 8.0 * gpm_m3_s - q);
        *(less ? &low : &high) = q;
    }
    cb_network *network = network_of(&design, unequal, 2);
    double flow[2];
    const cb_network_report report = solved(network, 15.0, flow);
    expect_relative("short", flow[0], low, 1e-12);
    expect_relative("drop", report.state.drop_pa, hand_drop(&fluid, 90.0, low), 1e-12);
    expect_relative("both drops", report.circuits_pa, report.state.drop_pa, 1e-14);
    assert_true(flow[0] > 1.3 * flow[1]);
    cb_network_destroy(network);
}

// The whole operating point, found apart from this program in another language by nested halving,
// from Churchill's formula, the average walls of ASTM D3035 and water of 10 degC (999.7026 kg/m3,
// 1.3059 mPa s by IAPWS): 90 m at the house, 160 m behind 3.6 m of 1 in header each way with K 0.5
// on each, 6 in each circuit; 30 m of 1-1/4 in with K 10; a pump of 9 m less 0.3 m for each gpm
// and of 150 W and 5 W for each gpm with water of 998.2 kg/m3.
static void a_pump_meets_two_unequal_circuits_as_worked_apart(void **state)
{
    (void)state;
    static const cb_network_circuit unequal[] = {{90.0, 0.0, 0.0, 1}, {160.0, 0.0, 0.0, 1}};
    cb_design design = bare_design();
    design.fluid = (cb_design_fluid){.type = CB_WATER};
    cb_design_piping *piping = &design.piping;
    piping->circuit_fittings_k = 6.0;
    piping->header_size_count = 1;
    piping->header_size[0] = (cb_header_size){"1 in", 11.0, 0};
    piping->take_off_fittings_k = 0.5;
    piping->has_house = true;
    piping->house_nominal = "1-1/4 in";
    piping->house_sdr = 11.0;
    piping->house_length_m = 15.0;
    piping->house_fittings_k = 10.0;
    design.pumps.curve_count = 3;
    for (int i = 0; i < 3; i++) {
        design.pumps.curve[i] =
            (cb_pump_point){10.0 * i * gpm_m3_s, 9.0 - 3.0 * i, 150.0 + 50.0 * i};
    }
    cb_network *network = network_of(&design, unequal, 2);
    double flow[2];
    const cb_network_report report = solved(network, 10.0, flow);
    expect_relative("flow", report.state.flow_m3_s, 5.895137e-04, 3e-4);
    expect_relative("short", flow[0], 3.425002e-04, 3e-4);
    expect_relative("long", flow[1], 2.470135e-04, 3e-4);
    expect_relative("head", report.state.head_m, 6.19681, 3e-4);
    expect_relative("power", report.state.pump_power_w, 196.72 * 999.7026 / 998.2, 3e-4);
    cb_network_destroy(network);
}

static double spread(const double flow[EIGHT])
{
    double least = flow[0], most = flow[0];
    for (int i = 1; i < EIGHT; i++) {
        least = fmin(least, flow[i]);
        most = fmax(most, flow[i]);
    }
    return most / least - 1.0;
}

// Two equal circuits: exactly even, since both paths hold one header segment that carries half.
// Eight: mirrored pairs are even, and all are more so than with a direct return.
static void reverse_return_evens_out_equal_circuits(void **state)
{
    (void)state;
    cb_design design = piped_design();
    design.piping.header_size_count = 1;
    design.piping.header_size[0] = (cb_header_size){"1 in", 11.0, 0};
    double direct[EIGHT], reverse[EIGHT];
    cb_network *network = network_of(&design, eight_circuits, 1);
    solved(network, 5.0, direct);
    cb_network_destroy(network);
    design.piping.header_return = CB_RETURN_REVERSE;
    network = network_of(&design, eight_circuits, 1);
    solved(network, 5.0, reverse);
    cb_network_destroy(network);
    for (int i = 0; i < EIGHT - 1; i++) {
        assert_true(direct[i] > direct[i + 1]);
        expect_relative("mirrored", reverse[i], reverse[EIGHT - 1 - i], 1e-12);
    }
    if (!(spread(direct) > 0.05 && spread(reverse) < 0.5 * spread(direct))) {
        fail_msg("spread %g direct, %g reverse", spread(direct), spread(reverse));
    }
    static const cb_network_circuit pair[] = {{150.0, 105.0, 0.9144, 2}};
    network = network_of(&design, pair, 1);
    solved(network, 5.0, reverse);
    expect_relative("pair", reverse[0], reverse[1], 1e-14);
    cb_network_destroy(network);
}

static void without_headers_equal_circuits_share_evenly(void **state)
{
    (void)state;
    const cb_design design = bare_design();
    cb_network *network = network_of(&design, eight_circuits, 1);
    double flow[EIGHT];
    const cb_network_report report = solved(network, 0.0, flow);
    for (int i = 0; i < EIGHT; i++) {
        expect_relative("share", flow[i], 1.5 * gpm_m3_s, 1e-14);
    }
    assert_int_equal(cb_network_circuits(network), EIGHT);
    expect_near("no header", report.headers_pa, 0.0, 0.0);
    expect_near("no header", report.state.header_velocity_m_s, 0.0, 0.0);
    expect_near("given power", report.state.pump_power_w, 245.0, 0.0);
    expect_near("given heat", report.state.heat_to_fluid_w, 196.0, 1e-12);
    cb_network_destroy(network);
}

// ---- energy ----------------------------------------------------------------------------------

// Power the pumps give to the fluid = sum of flow times drop over all parts, each evaluated on its
// own; and along every path the drops add up to what the pumps lift.
static void the_work_of_the_pumps_is_all_spent(void **state)
{
    (void)state;
    static const cb_network_circuit unlike[] = {
        {120.0, 80.0, 0.9144, 3}, {150.0, 105.0, 0.9144, 4}, {90.0, 0.0, 0.0, 2}};
    for (int reverse = 0; reverse < 2; reverse++) {
        cb_design design = piped_design();
        add_curve(&design);
        design.pumps.in_series = 2;
        design.piping.header_return = reverse ? CB_RETURN_REVERSE : CB_RETURN_DIRECT;
        cb_network *network = network_of(&design, unlike, 3);
        cbx_pump pump;
        assert_int_equal(cbx_pump_prepare(&pump, &design, NULL), CB_OK);
        for (int n = 0; n <= 10; n++) {
            const double temperature_c = -6.0 + 4.6 * n;
            double flow[9], sum = 0.0;
            const cb_network_report r = solved(network, temperature_c, flow);
            for (int i = 0; i < 9; i++) {
                sum += flow[i];
            }
            const double weight = fluid_at(&design, temperature_c).density_kg_m3 * cbx_gravity_m_s2;
            const double lift = weight * cbx_pump_head(&pump, r.state.flow_m3_s, 1.0).value;
            const double parts = r.circuits_pa + r.headers_pa + r.house_pa + r.units_pa;
            expect_relative("flow", sum, r.state.flow_m3_s, 1e-13);
            expect_relative("energy", parts * sum, lift * r.state.flow_m3_s, 1e-13);
            expect_relative("drop needed",
                            cb_network_drop_pa(network, temperature_c, r.state.flow_m3_s, true),
                            lift, 1e-13);
            assert_true(r.hydraulic_w < r.state.pump_power_w);
        }
        cb_network_destroy(network);
    }
}

static void flow_falls_as_the_loop_cools(void **state)
{
    (void)state;
    cb_design design = piped_design();
    add_curve(&design);
    cb_network *network = network_of(&design, eight_circuits, 1);
    double before = 0.0;
    for (int celsius = -7; celsius <= 40; celsius++) {
        cb_network_result at;
        cb_network_at(network, celsius, &at);
        assert_true(at.value.flow_m3_s > before);
        before = at.value.flow_m3_s;
    }
    cb_network_destroy(network);
}

// ---- table -----------------------------------------------------------------------------------

typedef struct field {
    const char *name;
    size_t offset;
} field;

static const field fields[] = {
    {"flow", offsetof(cb_network_state, flow_m3_s)},
    {"drop", offsetof(cb_network_state, drop_pa)},
    {"head", offsetof(cb_network_state, head_m)},
    {"power", offsetof(cb_network_state, pump_power_w)},
    {"heat", offsetof(cb_network_state, heat_to_fluid_w)},
    {"Reynolds", offsetof(cb_network_state, least_reynolds)},
    {"velocity", offsetof(cb_network_state, header_velocity_m_s)},
    {"least", offsetof(cb_network_state, least_circuit_m3_s)},
    {"most", offsetof(cb_network_state, most_circuit_m3_s)},
};

static double value_of(const cb_network_state *one, const field *f)
{
    return *(const double *)((const char *)one + f->offset);
}

static void the_table_gives_what_is_solved(void **state)
{
    (void)state;
    cb_design design = piped_design();
    add_curve(&design);
    cb_network *network = network_of(&design, eight_circuits, 1);
    for (int n = 0; n < 126; n++) {
        const double temperature_c = -6.9 + 0.37 * n;
        const cb_network_report exact = solved(network, temperature_c, NULL);
        cb_network_result at;
        assert_true(cb_network_at(network, temperature_c, &at));
        for (size_t k = 0; k < COUNT(fields); k++) {
            const double wanted = value_of(&exact.state, &fields[k]);
            expect_relative(fields[k].name, value_of(&at.value, &fields[k]), wanted, 2e-5);
        }
        double sum = 0.0;
        for (int i = 0; i < EIGHT; i++) {
            sum += cb_network_circuit_flow_m3_s(network, temperature_c, i, NULL);
        }
        expect_relative("circuits", sum, at.value.flow_m3_s, 1e-12);
    }
    cb_network_destroy(network);
}

// Through every node and both ends of the data, and far beyond them.
static void the_table_has_continuous_slopes(void **state)
{
    (void)state;
    cb_design design = piped_design();
    add_curve(&design);
    cb_network *network = network_of(&design, eight_circuits, 1);
    cb_network_result before;
    cb_network_at(network, -30.0, &before);
    const double step_k = 0.001;
    for (int n = 1; n < 100000; n++) {
        const double temperature_c = -30.0 + n * step_k;
        cb_network_result at;
        double slope;
        cb_network_at(network, temperature_c, &at);
        for (size_t k = 0; k < COUNT(fields); k++) {
            const double from = value_of(&before.value, &fields[k]);
            const double mean =
                0.5 * (value_of(&before.slope, &fields[k]) + value_of(&at.slope, &fields[k]));
            expect_near(fields[k].name, value_of(&at.value, &fields[k]) - from, mean * step_k,
                        1e-7 * from); // the curvature jumps at nodes
            expect_near(fields[k].name, value_of(&at.slope, &fields[k]),
                        value_of(&before.slope, &fields[k]), 5e-4 * from);
        }
        const double flow = cb_network_circuit_flow_m3_s(network, temperature_c, 3, &slope);
        assert_true(flow > 0.0 && isfinite(slope));
        before = at;
    }
    cb_network_result cold, hot;
    assert_false(cb_network_at(network, -90.0, &cold));
    assert_false(cb_network_at(network, 300.0, &hot));
    expect_near("rest", cold.slope.flow_m3_s, 0.0, 0.0);
    expect_near("rest", hot.slope.flow_m3_s, 0.0, 0.0);
    assert_false(cb_network_at(network, NAN, &cold));
    assert_true(isfinite(cold.value.flow_m3_s));
    cb_network_destroy(network);
}

// ---- trade -----------------------------------------------------------------------------------

// Common practice, no source: 25 to 30 ft of head all round a residential loop at 2.25 to 3 gpm per
// ton. The starter's field (eight circuits, 150 ft of trench with 36 in turns every 24 in and a
// straight return; 4 tons) with the invented headers, house pipe and units: 26.3 ft at 3 gpm/ton
// with the coldest fluid allowed, -1.9 degC; at 2.25 gpm/ton, where its circuits run laminar, less.
static void heads_are_those_of_the_trade(void **state)
{
    (void)state;
    const double trench_m = 150.0 * foot_m;
    const double coil_m = trench_m / 0.6096 * cb_coil_turn_length_m(0.9144, 0.6096);
    const cb_network_circuit starter = {coil_m + trench_m, coil_m, 0.9144, EIGHT};
    static const double gpm_per_ton[] = {3.0, 2.25}, least_ft[] = {25.0, 15.0};
    for (size_t i = 0; i < COUNT(gpm_per_ton); i++) {
        cb_design design = piped_design();
        design.pumps.flow_per_circuit_m3_s = gpm_per_ton[i] * 4.0 / EIGHT * gpm_m3_s;
        cb_network *network = network_of(&design, &starter, 1);
        const double cold_ft = solved(network, -1.9, NULL).state.head_m / foot_m;
        const double mild_ft = solved(network, 10.0, NULL).state.head_m / foot_m;
        if (!(least_ft[i] <= cold_ft && cold_ft <= 30.0 && mild_ft < cold_ft)) {
            fail_msg("%g gpm/ton: %g ft of head at -1.9 degC, %g ft at 10 degC", gpm_per_ton[i],
                     cold_ft, mild_ft);
        }
        cb_network_destroy(network);
    }
}

// ---- refusals --------------------------------------------------------------------------------

typedef struct refusal {
    const char *what, *message;
    void (*spoil)(cb_design *design);
} refusal;

static void negative_circuit_k(cb_design *d)
{
    d->piping.circuit_fittings_k = -1.0;
}

static void negative_take_off_k(cb_design *d)
{
    d->piping.take_off_fittings_k = -0.5;
}

static void no_number(cb_design *d)
{
    d->piping.house_fittings_k = NAN;
}

static void unknown_header(cb_design *d)
{
    d->piping.header_size[1].nominal = "7/8 in";
}

static void unknown_house(cb_design *d)
{
    d->piping.house_sdr = 12.0;
}

static void no_flow(cb_design *d)
{
    d->pumps.flow_per_circuit_m3_s = 0.0;
}

static void falling_drop(cb_design *d)
{
    d->piping.unit_drop[1].drop_pa = 8000.0;
}

static const refusal refusals[] = {
    {"circuit K", "piping.circuit_fittings: -1 is below zero", negative_circuit_k},
    {"take-off K", "piping.headers.fittings: -0.5 is below zero", negative_take_off_k},
    {"NaN", "piping.house.fittings: nan is below zero or no number", no_number},
    {"header", "piping.headers.sizes[1].size: pipe size \"7/8 in\" is unknown; sizes are 3/4 in",
     unknown_header},
    {"house", "piping.house.size: pipe \"1-1/2 in\" does not exist in SDR 12; its SDRs are 9, 11",
     unknown_house},
    {"flow", "pumps.flow_per_circuit: 0 m3/s: a flow above zero is wanted", no_flow},
    {"units", "piping.units[1]: 8000 Pa at 0.757082 L/s: flow and drop must", falling_drop},
};

static void bad_designs_are_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refusals); i++) {
        cb_design design = piped_design();
        refusals[i].spoil(&design);
        cb_network *network = (cb_network *)&design;
        cb_error error = {.message = ""};
        if (make_network(&network, &design, eight_circuits, 1, &error) != CB_BAD_INPUT) {
            fail_msg("%s: not refused", refusals[i].what);
        }
        assert_null(network);
        expect_said(&error, refusals[i].message);
    }
}

static void bad_circuits_are_refused(void **state)
{
    (void)state;
    static const cb_network_circuit bad[] = {
        {0.0, 0.0, 0.0, 1},   {NAN, 0.0, 0.0, 1},    {100.0, 101.0, 0.9, 1}, {100.0, 50.0, 0.0, 1},
        {100.0, 0.0, 0.0, 0}, {100.0, -1.0, 0.9, 1}, {100.0, 0.0, 0.0, 1001}};
    const cb_design design = bare_design();
    cb_network *network = NULL;
    cb_error error = {.message = ""};
    for (size_t i = 0; i < COUNT(bad); i++) {
        assert_int_equal(make_network(&network, &design, &bad[i], 1, &error), CB_BAD_INPUT);
        expect_said(&error, "circuit 1: ");
        assert_null(network);
    }
    assert_int_equal(make_network(&network, &design, NULL, 0, &error), CB_BAD_INPUT);
    expect_said(&error, "at least one circuit");
    assert_int_equal(make_network(&network, &design, NULL, 2, &error), CB_BAD_CALL);
    assert_int_equal(cb_network_create(NULL, NULL, &error), CB_BAD_CALL);
    assert_null(cb_network_destroy(NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_laminar_circuits_share_by_length),
        cmocka_unit_test(two_turbulent_circuits_share_as_worked_by_hand),
        cmocka_unit_test(a_pump_meets_two_unequal_circuits_as_worked_apart),
        cmocka_unit_test(reverse_return_evens_out_equal_circuits),
        cmocka_unit_test(without_headers_equal_circuits_share_evenly),
        cmocka_unit_test(the_work_of_the_pumps_is_all_spent),
        cmocka_unit_test(flow_falls_as_the_loop_cools),
        cmocka_unit_test(the_table_gives_what_is_solved),
        cmocka_unit_test(the_table_has_continuous_slopes),
        cmocka_unit_test(heads_are_those_of_the_trade),
        cmocka_unit_test(bad_designs_are_refused),
        cmocka_unit_test(bad_circuits_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
