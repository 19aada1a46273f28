// SPDX-License-Identifier: MIT
#include "coil_command.h"
#include "resolved_coil.h"
#include "source_row.h"

#include "engine/assemble.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

static const coil_case inch_coil = {0.9144, 0.6096, 1.5, 0.0267, 1.5, 2.5e6, 20.0, CB_FINE};

static void near(const char *what, double got, double wanted, double tolerance)
{
    if (!(fabs(got - wanted) <= tolerance)) {
        fail_msg("%s: got %.9g, wanted %.9g within %g", what, got, wanted, tolerance);
    }
}

// ---- the spread line -------------------------------------------------------------------------

// As sim/loop/near_field.c: fall of the five-point scheme's potential on an endless square lattice.
static double lattice_fall(int columns, int rows)
{
    enum { POINTS = 4000 };
    double sum = 0.0;
    for (int n = 0; n < POINTS; n++) {
        const double a = ground_pi * (n + 0.5) / POINTS, whole = 2.0 - cos(a);
        const double root = sqrt(whole * whole - 1.0);
        sum += (1.0 - cos(columns * a) * pow(whole - root, rows)) / (2.0 * root);
    }
    return sum / POINTS;
}

static double weight(int cell, double place, int spread)
{
    const double r = cell - place;
    return fabs(r) < 2.0 * spread ? 0.25 / spread * (1.0 + cos(0.5 * ground_pi * r / spread)) : 0.0;
}

/// Radius in cells at which a line at (y, z) between cell centres is read.
static double read_radius(double y, double z, int spread)
{
    enum { REACH = 5, SIDE = 2 * REACH + 1 };
    double fall[SIDE][SIDE], sum = 0.0;
    for (int m = 0; m < SIDE; m++) {
        for (int n = 0; n < SIDE; n++) {
            fall[m][n] = lattice_fall(m, n);
        }
    }
    for (int c = 0; c < SIDE * SIDE * SIDE * SIDE; c++) {
        const int a = c % SIDE, b = c / SIDE % SIDE, p = c / SIDE / SIDE % SIDE;
        const int q = c / SIDE / SIDE / SIDE;
        const double pair = weight(a - REACH, y, spread) * weight(b - REACH, z, spread) *
                            weight(p - REACH, y, spread) * weight(q - REACH, z, spread);
        sum += pair > 0.0 ? pair * fall[a > p ? a - p : p - a][b > q ? b - q : q - b] : 0.0;
    }
    // Peaceman 1983: a cell's own value is that at 0.140365 hypot(1, 1) cells from a line.
    return 0.140365 * sqrt(2.0) * exp(2.0 * ground_pi * sum);
}

static void a_spread_line_is_read_at_its_stated_radius_wherever_it_lies(void **state)
{
    (void)state;
    for (int spread = 1; spread <= 2; spread++) {
        const double stated = resolved_radius_cells(spread);
        for (int n = 0; n < 9; n++) {
            near("radius", read_radius(0.25 * (n % 3), 0.25 * (n / 3), spread), stated,
                 (spread == 1 ? 0.011 : 0.002) * stated);
        }
    }
}

// ---- energy ----------------------------------------------------------------------------------

static cb_surface_exchange frost(const void *context, double time_s)
{
    (void)context, (void)time_s;
    return cb_film(-8.0, 15.0, 0.0);
}

static double taken_w_m(const void *context, double time_s)
{
    (void)context, (void)time_s;
    return -25.0;
}

static double cool(const void *context, double z_m)
{
    (void)context;
    return 2.0 + z_m;
}

static void the_resolved_cell_keeps_its_heat_while_it_freezes(void **state)
{
    (void)state;
    cb_error error = {0};
    resolved_plan plan = resolved_coil_plan(&inch_coil, PATH_STRAIGHT);
    plan.soil[0] = cb_soil_of("loam", 0.3);
    assert_int_equal(cb_soil_resolve(&plan.soil[0], &error), CB_OK);
    plan.drive = (resolved_drive){frost, taken_w_m, NULL};
    const resolved_accuracy accuracy = {1e-4, 0.01, 3600.0};
    resolved_run *run = resolved_run_create(&plan, &accuracy, cool, NULL, &error);
    assert_non_null(run);
    const double start_j = resolved_run_stored_j(run), seconds = 10.0 * 86400.0;
    assert_true(resolved_run_to(run, seconds));
    assert_true(resolved_run_wall_c(run) < -2.0); // it does freeze
    const double taken_j = 25.0 * resolved_run_cell(run)->pipe_m * seconds;
    near("heat missing over heat taken",
         (resolved_run_stored_j(run) - start_j - resolved_run_surface_j(run) + taken_j) / taken_j,
         0.0, 1e-5); // the conjugate gradients stop at 1e-5
    resolved_run_destroy(run);
}

static void all_pipe_of_half_a_turn_lies_in_the_cell(void **state)
{
    (void)state;
    static const struct {
        pipe_path_kind kind;
        double pitch_m;
    } rows[] = {{PATH_COIL, 0.25}, {PATH_COIL, 0.6096}, {PATH_RINGS, 0.6096}, {PATH_UPRIGHT, 0.5}};
    for (size_t n = 0; n < sizeof rows / sizeof *rows; n++) {
        coil_case one = inch_coil;
        one.pitch_m = rows[n].pitch_m;
        resolved_plan plan = resolved_coil_plan(&one, rows[n].kind);
        plan.cell_m *= 2.0;
        resolved_cell *cell = resolved_cell_create(&plan, NULL);
        assert_non_null(cell);
        const double turn_m = pipe_path_turn_m(&plan.path[0]);
        near("pipe", cell->pipe_m, turn_m * (plan.mirror ? 0.25 : 0.5), 1e-5 * turn_m);
        resolved_cell_destroy(cell);
    }
}

// ---- two scales and the command --------------------------------------------------------------

static void the_two_scale_model_is_within_three_per_cent_of_rings_and_of_the_coil(void **state)
{
    (void)state;
    static const double time_s[] = {86400.0, 10 * 86400.0, 365 * 86400.0, INFINITY};
    static const struct {
        double pitch_in;
        bool rings;
    } rows[] = {{18, false}, {24, false}, {36, false}, {18, true}, {24, true}, {36, true}};
    for (size_t n = 0; n < sizeof rows / sizeof *rows; n++) {
        coil_case one = inch_coil;
        one.pitch_m = 0.0254 * rows[n].pitch_in;
        const source_row row = {
            {PATH_RINGS, one.diameter_m, one.pitch_m, 0.0, one.depth_m, 0.0}, 0.01335, 200};
        double got_k[4];
        assert_true(coil_two_scale_rises(&one, rows[n].rings, time_s, 4, got_k, NULL));
        for (int t = 0; t < 4; t++) {
            const double length_m = coil_diffusion_length_m(&one, time_s[t]);
            const double exact_k =
                20.0 / 1.5 *
                (rows[n].rings ? source_row_rise(&row, length_m)
                               : cb_coil_transient_rise(one.diameter_m, one.pitch_m, one.depth_m,
                                                        0.01335, 0.6e-6, time_s[t]));
            near("rise", got_k[t], exact_k, 0.03 * exact_k);
        }
    }
}

static void turns_laid_on_each_other_are_a_little_cooler_than_merged_ones(void **state)
{
    (void)state;
    source_row row = {{PATH_COIL, 0.9144, 0.6096, 0.0, 1.5, 0.0}, 0.01335, 41};
    const double length_m = coil_diffusion_length_m(&inch_coil, 86400.0);
    const double merged = source_row_rise(&row, length_m);
    row.path.lift_m = row.pipe_radius_m;
    const double laid = source_row_rise(&row, length_m);
    assert_true(laid < merged);
    near("share", laid / merged, 1.0, 0.02);
}

static void the_command_refuses_what_makes_no_coil(void **state)
{
    (void)state;
    static const struct {
        const char *option, *value;
    } bad[] = {
        {"--pitch", "0"},         {"--pitch", "3 furlong"}, {"--depth", "nan"},
        {"--times", "1d,,2d"},    {"--turns", "1.5"},       {"--heat-per-metre", "20 W"},
        {"--conductivity", "-1"}, {"--accuracy", "best"},   {"--pipe-outside-diameter", "1 m"}};
    for (size_t n = 0; n < sizeof bad / sizeof *bad; n++) {
        char name[] = "coil", option[32], value[32];
        snprintf(option, sizeof option, "%s", bad[n].option);
        snprintf(value, sizeof value, "%s", bad[n].value);
        char *argv[] = {name, option, value, NULL};
        if (coil_command(3, argv) != 2) {
            fail_msg("%s %s was accepted", option, value);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_spread_line_is_read_at_its_stated_radius_wherever_it_lies),
        cmocka_unit_test(the_resolved_cell_keeps_its_heat_while_it_freezes),
        cmocka_unit_test(all_pipe_of_half_a_turn_lies_in_the_cell),
        cmocka_unit_test(the_two_scale_model_is_within_three_per_cent_of_rings_and_of_the_coil),
        cmocka_unit_test(turns_laid_on_each_other_are_a_little_cooler_than_merged_ones),
        cmocka_unit_test(the_command_refuses_what_makes_no_coil),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
