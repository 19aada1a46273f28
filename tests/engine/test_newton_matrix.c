// SPDX-License-Identifier: MIT
#include "engine/assemble.h"
#include "engine/field.h"
#include "engine/newton_matrix.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

// A state in which nothing freezes, every cell and every piece of pipe different.
static void unfrozen_state(const cbx_system *system, double *y)
{
    const cb_section *section = system->section;
    for (int s = 0; s < system->slices; s++) {
        for (int c = 0; c < section->cells; c++) {
            y[cbx_section_at(system, s) + c] = cb_soil_enthalpy_j_m3(
                section->curves[section->soil[c]], 8.0 + 3.0 * sin(0.7 * c + s));
        }
    }
    for (int node = 0; node < system->slices * system->run_count; node++) {
        const cb_soil_curve *curve = system->curves[system->run[node % system->run_count].soil];
        for (int n = 0; n < CBX_SHELLS; n++) {
            y[cbx_shell_at(system, node) + n] =
                cb_soil_enthalpy_j_m3(curve, 6.0 + 0.4 * n + 0.3 * node);
        }
        y[cbx_fluid_at(system, node)] = 3.0 + 0.2 * node;
    }
    y[cbx_entering_at(system)] = 3.7;
    y[cbx_tank_at(system)] = -0.9;
    y[cbx_surface_heat_at(system)] = y[cbx_loop_heat_at(system)] = 0.0;
}

// (I - gamma J) x by central differences of the rates along x.
static void times_matrix(cbx_system *system, double time_s, const double *y, const double *x,
                         double gamma, double *out)
{
    const size_t n = (size_t)system->size;
    double *shifted = calloc(n, sizeof *shifted), *plus = calloc(n, sizeof *plus),
           *minus = calloc(n, sizeof *minus);
    cbx_piece *piece = calloc((size_t)(system->slices * system->run_count), sizeof *piece);
    const double step = 1e-3;
    for (size_t i = 0; i < n; i++) {
        shifted[i] = y[i] + step * x[i];
    }
    assert_int_equal(cbx_system_rates(system, time_s, shifted, plus, piece), 0);
    for (size_t i = 0; i < n; i++) {
        shifted[i] = y[i] - step * x[i];
    }
    assert_int_equal(cbx_system_rates(system, time_s, shifted, minus, piece), 0);
    for (size_t i = 0; i < n; i++) {
        out[i] = x[i] - gamma * (plus[i] - minus[i]) / (2.0 * step);
    }
    free(shifted);
    free(plus);
    free(minus);
    free(piece);
}

// What one unit of state is worth in kelvin, to compare rows of soil with rows of fluid.
static double kelvin(const cbx_system *system, int i)
{
    if (i >= cbx_surface_heat_at(system)) {
        return 1e-6;
    }
    return i < cbx_fluid_at(system, 0) ? 4e-7 : 1.0;
}

static void solve_undoes_the_matrix(const cb_override *overrides, size_t count)
{
    test_field f;
    field_open(&f, overrides, count);
    cb_error error = {0};
    cbx_system *system = field_system(&f);
    cbx_newton_matrix *matrix;
    assert_int_equal(cbx_newton_matrix_create(&matrix, system, &error), CB_OK);
    const size_t n = (size_t)system->size;
    double *y = calloc(n, sizeof *y), *b = calloc(n, sizeof *b), *x = calloc(n, sizeof *x);
    double *back = calloc(n, sizeof *back), *right = calloc(n, sizeof *right);
    const double time_s = 200.0 * 86400.0, gamma = 900.0; // deep in the heating season
    unfrozen_state(system, y);
    for (size_t i = 0; i < n; i++) {
        b[i] = sin(1.3 * (double)i) / kelvin(system, (int)i);
    }
    cbx_newton_matrix_linearise(matrix, time_s, y);
    assert_true(matrix->plant.pump_fraction > 0.0);
    assert_true(cbx_newton_matrix_factor(matrix, gamma));
    // The soil's factors are incomplete: a solution is good to some digits, one correction more.
    const double within[] = {1e-1, 2e-4}; // the latter: differences of curved tables
    for (int round = 0; round < 2; round++) {
        for (size_t i = 0; i < n; i++) {
            right[i] = b[i] - back[i];
        }
        cbx_newton_matrix_solve(matrix, right, right);
        for (size_t i = 0; i < n; i++) {
            x[i] += right[i];
        }
        times_matrix(system, time_s, y, x, gamma, back);
        for (size_t i = 0; i < n; i++) {
            const double miss = (back[i] - b[i]) * kelvin(system, (int)i);
            if (!(fabs(miss) < within[round])) {
                fail_msg("row %zu of %zu: got %.9g, want %.9g", i, n, back[i], b[i]);
            }
        }
    }
    free(y);
    free(b);
    free(x);
    free(back);
    free(right);
    cbx_newton_matrix_destroy(matrix);
    cbx_system_destroy(system);
    field_close(&f);
}

static void coil_and_return_half_field(void **state)
{
    (void)state;
    const cb_override set[] = {
        {"run.accuracy", "draft"}, {"field.trenches", "3"}, {"run.slices", "2"}};
    solve_undoes_the_matrix(set, 3);
}

static void straight_pipes_whole_field(void **state)
{
    (void)state;
    const cb_override set[] = {
        {"run.accuracy", "draft"},
        {"field.trenches", "2"},
        {"field.layout", "straight"},
        {"field.straight", "[{across: -1 ft, depth: 6 ft}, {across: 1 ft, depth: 6 ft}]"},
        {"run.slices", "3"}};
    solve_undoes_the_matrix(set, 5);
}

static void part_load_moves_the_flow(void **state)
{
    (void)state; // a small house: the pump's share of the hour depends on entering water
    const cb_override set[] = {{"run.accuracy", "draft"},
                               {"field.trenches", "1"},
                               {"house.load_line.heating_design", "6 kBTU/h"},
                               {"run.slices", "2"}};
    solve_undoes_the_matrix(set, 4);
}

// Two bands of each turn visited by turns, a shorter trench, and all water through the run-out.
static void upright_coils_of_unlike_lengths_behind_a_runout(void **state)
{
    (void)state;
    const cb_override set[] = {
        {"run.accuracy", "draft"},
        {"field.trenches", "2"},
        {"field.layout", "upright_coil"},
        {"field.lengths", "[150 ft, 70 ft]"},
        {"field.runout", "{length: 90 ft, depth: 5 ft, pipe: {size: 1-1/4 in}}"},
        {"run.slices", "3"}};
    solve_undoes_the_matrix(set, 6);
}

static void two_circuits_in_a_trench_return_as_coils(void **state)
{
    (void)state;
    const cb_override set[] = {{"run.accuracy", "draft"},
                               {"field.trenches", "1"},
                               {"field.width", "7 ft"},
                               {"field.circuits", "[{across: -2 ft}, {across: 2 ft}]"},
                               {"field.coil.return", "as_coil"},
                               {"field.coil.return_depth", "5 ft"},
                               {"run.slices", "2"}};
    solve_undoes_the_matrix(set, 7);
}

// Flows that differ from circuit to circuit and move with the fluid, at part load, mixed on their
// way home.
#define CURVE                                                                                      \
    "[{flow: 0 gpm, head: 30 ft, power: 150 W}, {flow: 6 gpm, head: 23 ft, power: 225 W}, "        \
    "{flow: 14 gpm, head: 2 ft, power: 245 W}]"
static void a_pump_curve_behind_headers(void **state)
{
    (void)state;
    const cb_override set[] = {
        {"run.accuracy", "draft"},
        {"field.trenches", "3"},
        {"field.lengths", "[150 ft, 90 ft, 70 ft]"},
        {"field.runout", "{length: 90 ft, depth: 5 ft, pipe: {size: 1-1/4 in}}"},
        {"pumps.curve", CURVE},
        {"piping.headers.sizes", "[{size: 3/4 in}]"},
        {"house.load_line.heating_design", "6 kBTU/h"},
        {"run.slices", "2"}};
    solve_undoes_the_matrix(set, sizeof set / sizeof *set);
}

static void a_tank_that_draws_on_the_units(void **state)
{
    (void)state;
    const cb_override set[] = {
        {"run.accuracy", "draft"},
        {"field.trenches", "3"},
        {"house.load_line.heating_design", "6 kBTU/h"},
        {"hot_water", "{volume: 50 gal, draw: 60 gal, desuperheaters: [{unit: Ground floor, heat: "
                      "4 kBTU/h}]}"},
        {"run.slices", "2"}};
    solve_undoes_the_matrix(set, sizeof set / sizeof *set);
}

static void a_pump_curve_in_half_a_field(void **state)
{
    (void)state;
    const cb_override set[] = {{"run.accuracy", "draft"},
                               {"field.trenches", "3"},
                               {"pumps.curve", CURVE},
                               {"piping.headers.sizes", "[{size: 3/4 in}]"},
                               {"run.slices", "2"}};
    solve_undoes_the_matrix(set, sizeof set / sizeof *set);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(upright_coils_of_unlike_lengths_behind_a_runout),
        cmocka_unit_test(two_circuits_in_a_trench_return_as_coils),
        cmocka_unit_test(a_pump_curve_behind_headers),
        cmocka_unit_test(a_pump_curve_in_half_a_field),
        cmocka_unit_test(a_tank_that_draws_on_the_units),
        cmocka_unit_test(coil_and_return_half_field),
        cmocka_unit_test(straight_pipes_whole_field),
        cmocka_unit_test(part_load_moves_the_flow),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
