// SPDX-License-Identifier: MIT
#include "coilbed/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const double pi = 3.14159265358979323846;
static const cb_pipe pipe = {0.0267, 0.0216}, wide = {0.0422, 0.0342};

static void near(const char *what, double got, double want)
{
    if (!(fabs(got - want) <= 1e-12 * (1.0 + fabs(want)))) {
        fail_msg("%s: got %.15g, want %.15g", what, got, want);
    }
}

static cb_design_field two_trenches(cb_layout layout)
{
    return (cb_design_field){.trenches = 2,
                             .spacing_m = 4.0,
                             .trench_length_m = 30.0,
                             .trench_width_m = 1.0,
                             .depth_m = 2.0,
                             .layout = layout,
                             .circuit_count = 1,
                             .coil_diameter_m = 0.9,
                             .coil_pitch_m = 0.6,
                             .coil_return = CB_RETURN_STRAIGHT,
                             .coil_return_across_m = 0.2,
                             .coil_return_depth_m = 1.7,
                             .straight_pipes = 2,
                             .straight = {{-0.3, 2.0}, {0.3, 1.5}},
                             .header_volume_m3 = 0.05};
}

static void water_visits_the_legs_in_order(void **state)
{
    (void)state;
    cb_leg leg[CB_MAX_LEGS];
    cb_design_field field = two_trenches(CB_FLAT_COIL);
    const double turns = cb_coil_turn_length_m(0.9, 0.6) / 0.6;
    assert_int_equal(cb_field_legs(&field, leg), 2);
    near("coil", leg[0].pipe_per_metre, turns);
    near("return", leg[1].pipe_per_metre, 1.0);
    near("across", leg[1].across_m, 0.2);
    near("above", leg[1].depth_m, 1.7);
    assert_true(leg[0].outward && !leg[1].outward && !leg[0].upright);

    field.coil_return = CB_RETURN_COIL;
    assert_int_equal(cb_field_legs(&field, leg), 2);
    near("coil back", leg[1].pipe_per_metre, turns);
    near("over the other", leg[1].across_m, 0.0);

    field.coil_return = CB_RETURN_NONE;
    field.circuit_count = 2;
    field.circuit[1] = (cb_circuit_place){0.5, 0.8};
    assert_int_equal(cb_field_legs(&field, leg), 2);
    assert_int_equal(leg[1].circuit, 1);
    near("shifted", leg[1].across_m, 0.5);
    near("raised", leg[1].depth_m, 1.2);

    field = two_trenches(CB_STRAIGHT);
    assert_int_equal(cb_field_legs(&field, leg), 2);
    assert_true(leg[0].outward && !leg[1].outward);
    near("second pipe", leg[1].depth_m, 1.5);
}

static void the_bill_adds_up(void **state)
{
    (void)state;
    cb_field_bill bill;
    cb_design_field field = two_trenches(CB_FLAT_COIL);
    const double per_metre = cb_coil_turn_length_m(0.9, 0.6) / 0.6 + 1.0;
    cb_field_bill_of(&bill, &field, &pipe, NULL);
    assert_int_equal(bill.circuits, 2);
    near("trench", bill.trench_m, 60.0);
    near("circuit", bill.longest_circuit_m, 30.0 * per_metre);
    near("coiled", bill.longest_coiled_m, 30.0 * (per_metre - 1.0));
    near("pipe", bill.pipe_m, 60.0 * per_metre);
    near("floor", bill.deepest_m, 2.0 + 0.01335);
    near("top", bill.shallowest_m, 1.7 - 0.01335);
    near("dug", bill.dug_m3, 60.0 * 1.0 * 2.01335);
    near("fluid", bill.fluid_m3, 0.05 + 60.0 * per_metre * pi * 0.0108 * 0.0108);
    near("no run-out", bill.runout_pipe_m, 0.0);
}

static void unlike_trenches_upright_turns_and_a_runout_are_in_the_bill(void **state)
{
    (void)state;
    cb_field_bill bill;
    cb_design_field field = two_trenches(CB_UPRIGHT_COIL);
    field.length_count = 2;
    field.length_m[0] = 20.0;
    field.length_m[1] = 30.0;
    field.circuit_count = 2;
    field.circuit[1].across_m = 0.3;
    field.runout = (cb_runout){.given = true, .length_m = 12.0, .depth_m = 1.5, .apart_m = 0.3};
    const double per_metre = cb_coil_turn_length_m(0.9, 0.6) / 0.6 + 1.0;
    cb_field_bill_of(&bill, &field, &pipe, &wide);
    assert_int_equal(bill.circuits, 4);
    near("trench", bill.trench_m, 50.0);
    near("longest", bill.longest_circuit_m, 30.0 * per_metre);
    near("shortest", bill.shortest_circuit_m, 20.0 * per_metre);
    near("pipe", bill.pipe_m, 100.0 * per_metre);
    near("floor under the turns", bill.deepest_m, 2.0 + 0.45 + 0.01335);
    near("supply and return", bill.runout_pipe_m, 24.0);
    near("run-out dug", bill.runout_dug_m3, 12.0 * 0.6 * 1.5211);
    near("fluid", bill.fluid_m3,
         0.05 + 100.0 * per_metre * pi * 0.0108 * 0.0108 + 24.0 * pi * 0.0171 * 0.0171);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(water_visits_the_legs_in_order),
        cmocka_unit_test(the_bill_adds_up),
        cmocka_unit_test(unlike_trenches_upright_turns_and_a_runout_are_in_the_bill),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
