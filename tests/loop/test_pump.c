// SPDX-License-Identifier: MIT
#include "loop_design.h"

#include "loop/hydraulics.h"

static cb_design pumped_design(void)
{
    cb_design design = piped_design();
    add_curve(&design);
    return design;
}

static cbx_pump pump_of(const cb_design *design)
{
    cbx_pump pump;
    cb_error error = {.message = ""};
    if (cbx_pump_prepare(&pump, design, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    return pump;
}

static void the_curve_passes_its_points_and_falls(void **state)
{
    (void)state;
    const cb_design design = pumped_design();
    const cbx_pump pump = pump_of(&design);
    for (int n = 0; n < design.pumps.curve_count; n++) {
        const cb_pump_point *point = &design.pumps.curve[n];
        expect_near("head", cbx_pump_head(&pump, point->flow_m3_s, 1.0).value, point->head_m,
                    1e-14);
        expect_near("power", cbx_pump_power_w(&pump, 998.2, point->flow_m3_s, 1.0), point->power_w,
                    1e-12);
    }
    cbx_value before = cbx_pump_head(&pump, 0.0, 1.0);
    const double step = 1e-3 * gpm_m3_s;
    for (int n = 1; n < 40000; n++) {
        const double flow = n * step;
        const cbx_value at = cbx_pump_head(&pump, flow, 1.0);
        assert_true(at.value <= before.value && at.slope <= 0.0);
        expect_near("slope", at.value - before.value, 0.5 * step * (at.slope + before.slope), 1e-8);
        before = at;
    }
    assert_true(before.value < 0.0);
}

// Two in series: twice the head; side by side: twice the flow; at 80 % speed: 0.8 of the flow, 0.64
// of the head, 0.512 of the power.
static void pumps_combine_and_slow_down(void **state)
{
    (void)state;
    cb_design design = pumped_design();
    const cbx_pump one = pump_of(&design);
    design.pumps.in_series = 2;
    const cbx_pump series = pump_of(&design);
    design.pumps.in_series = 1;
    design.pumps.in_parallel = 2;
    const cbx_pump parallel = pump_of(&design);
    for (int n = 0; n <= 8; n++) {
        const double flow = 3.5 * n * gpm_m3_s;
        const double head = cbx_pump_head(&one, flow, 1.0).value;
        const double power = cbx_pump_power_w(&one, 1010.0, flow, 1.0);
        expect_near("series", cbx_pump_head(&series, flow, 1.0).value, 2.0 * head, 1e-13);
        expect_near("series", cbx_pump_power_w(&series, 1010.0, flow, 1.0), 2.0 * power, 1e-10);
        expect_near("parallel", cbx_pump_head(&parallel, 2.0 * flow, 1.0).value, head, 1e-13);
        expect_near("parallel", cbx_pump_power_w(&parallel, 1010.0, 2.0 * flow, 1.0), 2.0 * power,
                    1e-10);
        expect_near("slow", cbx_pump_head(&one, 0.8 * flow, 0.8).value, 0.64 * head, 1e-13);
        expect_near("slow", cbx_pump_power_w(&one, 1010.0, 0.8 * flow, 0.8), 0.512 * power, 1e-10);
        const double step = 1e-6;
        const double difference = (cbx_pump_head(&one, flow, 0.9 + step).value -
                                   cbx_pump_head(&one, flow, 0.9 - step).value) /
                                  (2.0 * step);
        expect_relative("slope over speed", cbx_pump_head_of_speed(&one, flow, 0.9).slope,
                        difference, 1e-6);
    }
}

static void more_pumps_give_more_flow(void **state)
{
    (void)state;
    cb_design design = pumped_design();
    double flow[3];
    for (int n = 0; n < 3; n++) {
        design.pumps.in_series = n + 1;
        cb_network *network = network_of(&design, eight_circuits, 1);
        flow[n] = solved(network, 0.0, NULL).state.flow_m3_s;
        cb_network_destroy(network);
    }
    assert_true(flow[0] < flow[1] && flow[1] < flow[2] && flow[2] < 3.0 * flow[0]);
}

// Holds the wanted flow at the speed that needs exactly its head, else runs at its fastest.
static void a_variable_speed_holds_the_flow(void **state)
{
    (void)state;
    cb_design design = pumped_design();
    design.pumps.variable_speed = true;
    design.pumps.in_series = 2;
    design.pumps.flow_per_circuit_m3_s = 1.2 * gpm_m3_s;
    const cbx_pump pump = pump_of(&design);
    cb_network *network = network_of(&design, eight_circuits, 1);
    double before = 2.0;
    for (int celsius = -7; celsius <= 40; celsius += 5) {
        const cb_network_report r = solved(network, celsius, NULL);
        expect_relative("flow", r.state.flow_m3_s, 9.6 * gpm_m3_s, 1e-14);
        expect_relative("head", cbx_pump_head(&pump, r.state.flow_m3_s, r.state.speed).value,
                        r.state.head_m, 1e-13);
        assert_true(r.state.speed < before && r.state.speed > 0.3);
        before = r.state.speed;
    }
    cb_network_destroy(network);
    design.pumps.flow_per_circuit_m3_s = 3.0 * gpm_m3_s;
    network = network_of(&design, eight_circuits, 1);
    const cb_network_report r = solved(network, 0.0, NULL);
    expect_near("fastest", r.state.speed, 1.0, 0.0);
    assert_true(r.state.flow_m3_s < 0.9 * r.wanted_m3_s);
    cb_network_destroy(network);
}

static void a_given_flow_needs_no_curve(void **state)
{
    (void)state;
    const cb_design design = piped_design();
    cb_network *network = network_of(&design, eight_circuits, 1);
    cb_network_result at;
    assert_true(cb_network_at(network, 3.3, &at));
    expect_relative("flow", at.value.flow_m3_s, 12.0 * gpm_m3_s, 1e-14);
    expect_near("flow stays", at.slope.flow_m3_s, 0.0, 1e-12 * at.value.flow_m3_s);
    assert_true(at.value.head_m > 1.0 && at.slope.head_m < 0.0);
    assert_false(solved(network, 3.3, NULL).beyond_curve);
    cb_network_destroy(network);
}

// ---- units -----------------------------------------------------------------------------------

static void the_units_drop_follows_points_power_and_fluid(void **state)
{
    (void)state;
    cb_design design = piped_design();
    cbx_unit_curve curve;
    assert_int_equal(cbx_unit_curve_prepare(&curve, &design, NULL), CB_OK);
    const cb_design_fluid pure = {.type = CB_WATER};
    cb_fluid water;
    cb_fluid_properties at;
    assert_int_equal(cb_fluid_define(&water, &pure, NULL), CB_OK);
    cb_fluid_at(&water, 10.0, &at);
    for (int n = 0; n < design.piping.unit_drop_count; n++) {
        const cb_flow_point *point = &design.piping.unit_drop[n];
        expect_relative("point", cbx_unit_drop(&curve, &at, point->flow_m3_s).value, point->drop_pa,
                        1e-13);
    }
    expect_relative("below", cbx_unit_drop(&curve, &at, 4.0 * gpm_m3_s).value,
                    9000.0 * pow(0.5, 1.75), 1e-12);
    expect_relative("above", cbx_unit_drop(&curve, &at, 32.0 * gpm_m3_s).value,
                    32000.0 * pow(2.0, 1.75), 1e-12);
    at.viscosity_pa_s *= 16.0;
    expect_relative("thicker", cbx_unit_drop(&curve, &at, 8.0 * gpm_m3_s).value, 18000.0, 1e-12);
    expect_near("at rest", cbx_unit_drop(&curve, &at, 0.0).value, 0.0, 0.0);
    design.piping.unit_drop_count = 1;
    assert_int_equal(cbx_unit_curve_prepare(&curve, &design, NULL), CB_OK);
    expect_relative("one point", cbx_unit_drop(&curve, &at, 16.0 * gpm_m3_s).value,
                    18000.0 * pow(2.0, 1.75), 1e-12);
}

// ---- refusals --------------------------------------------------------------------------------

typedef struct refusal {
    const char *what;
    int count;
    cb_pump_point curve[3];
    int in_series;
    const char *message;
} refusal;

static const refusal refusals[] = {
    {"one point", 1, {{0.0, 9.0, 150.0}}, 1, "pumps.curve: 1 point is no curve, 2 to 16"},
    {"rising",
     3,
     {{0.0, 8.0, 150.0}, {0.0005, 8.4, 160.0}, {0.001, 5.0, 170.0}},
     1,
     "pumps.curve[1]: head must not rise with the flow: such a pump can run at two flows (0.5 L/s, "
     "8.4 m, 160 W)"},
    {"flow not rising",
     3,
     {{0.0, 8.0, 150.0}, {0.0005, 7.0, 160.0}, {0.0005, 5.0, 170.0}},
     1,
     "pumps.curve[2]: flow must rise from point to point"},
    {"no head", 2, {{0.0, 0.0, 150.0}, {0.0005, 0.0, 160.0}}, 1, "pumps.curve[0]: the first point"},
    {"no power", 2, {{0.0, 8.0, 0.0}, {0.0005, 5.0, 160.0}}, 1, "pumps.curve[0]: flow and head"},
    {"NaN", 2, {{0.0, 8.0, 150.0}, {0.0005, NAN, 160.0}}, 1, "pumps.curve[1]: flow and head"},
    {"no pump", 2, {{0.0, 8.0, 150.0}, {0.0005, 5.0, 160.0}}, 0, "pumps: 0 in series and 1 in"},
    {"ends before the loop",
     2,
     {{0.0, 20.0, 150.0}, {0.0001, 18.0, 160.0}},
     1,
     "pumps.curve: the curve meets the loop at no fluid temperature: at its last point, 0.1 L/s in "
     "all, the pumps give 18 m of head, and the loop takes 0.382 m with the fluid at -7.47 degC"},
    {"begins behind the loop",
     2,
     {{0.005, 3.0, 150.0}, {0.006, 1.0, 160.0}},
     1,
     "at its first point, 5 L/s in all, the pumps give 3 m of head, and the loop takes "},
};

static void bad_curves_are_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refusals); i++) {
        cb_design design = piped_design();
        design.pumps.curve_count = refusals[i].count;
        memcpy(design.pumps.curve, refusals[i].curve, sizeof refusals[i].curve);
        design.pumps.in_series = refusals[i].in_series;
        cb_network *network = NULL;
        cb_error error = {.message = ""};
        if (make_network(&network, &design, eight_circuits, 1, &error) != CB_BAD_INPUT) {
            fail_msg("%s: not refused", refusals[i].what);
        }
        assert_null(network);
        expect_said(&error, refusals[i].message);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_curve_passes_its_points_and_falls),
        cmocka_unit_test(pumps_combine_and_slow_down),
        cmocka_unit_test(more_pumps_give_more_flow),
        cmocka_unit_test(a_variable_speed_holds_the_flow),
        cmocka_unit_test(a_given_flow_needs_no_curve),
        cmocka_unit_test(the_units_drop_follows_points_power_and_fluid),
        cmocka_unit_test(bad_curves_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
