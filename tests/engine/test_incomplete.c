// SPDX-License-Identifier: MIT
#include "engine/incomplete.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

static const int shapes[][2] = {{1, 1},  {1, 2},   {1, 40},  {7, 1},   {3, 5},  {4, 4},
                                {5, 13}, {17, 17}, {21, 40}, {68, 41}, {80, 3}, {2, 33}};
enum { SHAPES = sizeof shapes / sizeof *shapes };

// A matrix by cell, z fastest, of which the factor gets its own copy.
typedef struct fixture {
    int nx, nz, cells;
    double *capacity, *down, *across, *top; // [cells][lanes], top only where a column begins
    cbx_incomplete factor;
    float *x;
} fixture;

static double at(const double *number, int cell, int lane)
{
    return number[cell * CBX_LANES + lane];
}

// Capacities of 1, heat flows that differ from face to face and lane to lane.
static void open_fixture(fixture *f, int nx, int nz, double down, double across)
{
    cb_error error = {0};
    *f = (fixture){.nx = nx, .nz = nz, .cells = nx * nz};
    const size_t numbers = (size_t)f->cells * CBX_LANES;
    f->capacity = calloc(numbers, sizeof(double));
    f->down = calloc(numbers, sizeof(double));
    f->across = calloc(numbers, sizeof(double));
    f->top = calloc(numbers, sizeof(double));
    assert_true(f->capacity && f->down && f->across && f->top);
    for (int c = 0; c < f->cells; c++) {
        for (int lane = 0; lane < CBX_LANES; lane++) {
            const int n = c * CBX_LANES + lane;
            f->capacity[n] = 1.0 + 0.02 * ((c * 5 + lane) % 13);
            f->down[n] = c % nz < nz - 1 ? down * (1.0 + 0.1 * ((c * 7 + lane) % 11)) : 0.0;
            f->across[n] = c / nz < nx - 1 ? across * (1.0 + 0.1 * ((c * 3 + lane) % 7)) : 0.0;
            f->top[n] = c % nz == 0 ? 0.3 : 0.0;
        }
    }
    assert_int_equal(cbx_incomplete_create(&f->factor, nx, nz, &error), CB_OK);
    f->x = cbx_lanes_create(cbx_incomplete_room(&f->factor));
    assert_non_null(f->x);
}

static void close_fixture(fixture *f)
{
    free(f->capacity);
    free(f->down);
    free(f->across);
    free(f->top);
    free(f->x);
    cbx_incomplete_free(&f->factor);
}

static double above(const fixture *f, int c, int lane)
{
    return c % f->nz > 0 ? at(f->down, c - 1, lane) : at(f->top, c, lane);
}

static double west(const fixture *f, int c, int lane)
{
    return c / f->nz > 0 ? at(f->across, c - f->nz, lane) : 0.0;
}

static size_t place(const fixture *f, int cell, int lane)
{
    return cbx_incomplete_place(&f->factor, cell) + (size_t)lane;
}

static void load(fixture *f, int lane)
{
    for (int c = 0; c < f->cells; c++) {
        const size_t to = place(f, c, lane);
        f->factor.diagonal[to] =
            (float)(at(f->capacity, c, lane) + above(f, c, lane) + at(f->down, c, lane) +
                    west(f, c, lane) + at(f->across, c, lane));
        f->factor.down[to] = (float)at(f->down, c, lane);
        f->factor.inward[to] =
            (float)(c / f->nz < f->factor.steps ? at(f->across, c, lane) : west(f, c, lane));
    }
}

// Row of the matrix times x.
static double row_times(const fixture *f, const double *x, int c, int lane)
{
    const double here = at(x, c, lane);
    double sum = at(f->capacity, c, lane) * here + at(f->top, c, lane) * here;
    if (c % f->nz > 0) {
        sum += above(f, c, lane) * (here - at(x, c - 1, lane));
    }
    if (c % f->nz < f->nz - 1) {
        sum += at(f->down, c, lane) * (here - at(x, c + 1, lane));
    }
    if (c / f->nz > 0) {
        sum += west(f, c, lane) * (here - at(x, c - f->nz, lane));
    }
    if (c / f->nz < f->nx - 1) {
        sum += at(f->across, c, lane) * (here - at(x, c + f->nz, lane));
    }
    return sum;
}

static double right_of(int cell, int lane)
{
    return sin(cell + 1.0 + 0.3 * lane);
}

static void put_right(fixture *f, int lane)
{
    for (int c = 0; c < f->cells; c++) {
        f->x[place(f, c, lane)] = (float)right_of(c, lane);
    }
}

// The largest error of x's rows.
static double worst_miss(const fixture *f, const double *x)
{
    double worst = 0.0;
    for (int n = 0; n < f->cells * CBX_LANES; n++) {
        const int cell = n / CBX_LANES, lane = n % CBX_LANES;
        worst = fmax(worst, fabs(row_times(f, x, cell, lane) - right_of(cell, lane)));
    }
    return worst;
}

// A matrix of columns that hardly touch, as an hour's step leaves them; largest error of a
// solution's row, of right-hand sides up to 1.
static double worst_row(int nx, int nz, double down, double across)
{
    fixture f;
    open_fixture(&f, nx, nz, down, across);
    double *x = calloc((size_t)f.cells * CBX_LANES, sizeof *x);
    for (int twice = 0; twice < 2; twice++) { // nothing is left over from the first factors
        for (int lane = 0; lane < CBX_LANES; lane++) {
            load(&f, lane);
            put_right(&f, lane);
        }
        assert_true(cbx_incomplete_factor(&f.factor));
        cbx_incomplete_solve(&f.factor, f.x);
    }
    for (int n = 0; n < f.cells * CBX_LANES; n++) {
        x[n] = (double)f.x[place(&f, n / CBX_LANES, n % CBX_LANES)];
    }
    const double worst = worst_miss(&f, x);
    free(x);
    close_fixture(&f);
    return worst;
}

static void columns_that_do_not_touch_are_solved_exactly(void **state)
{
    (void)state;
    for (int n = 0; n < SHAPES; n++) {
        assert_true(worst_row(shapes[n][0], shapes[n][1], 2.0, 0.0) < 2e-6);
    }
}

static void rows_of_single_cells_are_solved_exactly(void **state)
{
    (void)state;
    assert_true(worst_row(7, 1, 0.0, 3.0) < 2e-6);
    assert_true(worst_row(40, 1, 0.0, 3.0) < 2e-6);
}

// Clay, a step of an hour: gamma = 2400 s, cells of 0.06 by 0.11 m, and up to twice the flow.
static void an_hour_in_clay_is_solved_to_three_digits(void **state)
{
    (void)state;
    const double diffusivity_m2_s = 1.3 / 2.9e6, gamma_s = 2400.0;
    const double down = gamma_s * diffusivity_m2_s / (0.06 * 0.06);
    const double across = gamma_s * diffusivity_m2_s / (0.11 * 0.11);
    for (int n = 0; n < SHAPES; n++) {
        const double worst = worst_row(shapes[n][0], shapes[n][1], down, across);
        if (!(worst < 2e-3)) {
            fail_msg("%d by %d: %.2g", shapes[n][0], shapes[n][1], worst);
        }
    }
}

// Heat that goes in stays: what all cells and the surface take is what was given.
static void solutions_conserve_heat(void **state)
{
    (void)state;
    fixture f;
    open_fixture(&f, 30, 21, 3.0, 2.0); // far stiffer than an hour
    for (int lane = 0; lane < CBX_LANES; lane++) {
        load(&f, lane);
        for (int c = 0; c < f.cells; c++) {
            f.x[place(&f, c, lane)] = (float)(right_of(c, lane) + 0.2);
        }
    }
    assert_true(cbx_incomplete_factor(&f.factor));
    cbx_incomplete_solve(&f.factor, f.x);
    for (int lane = 0; lane < CBX_LANES; lane++) {
        double given = 0.0, taken = 0.0;
        for (int c = 0; c < f.cells; c++) {
            given += right_of(c, lane) + 0.2;
            taken +=
                (at(f.capacity, c, lane) + at(f.top, c, lane)) * (double)f.x[place(&f, c, lane)];
        }
        assert_true(fabs(taken - given) < 1e-5 * fabs(given));
    }
    close_fixture(&f);
}

// Where cells are finer than an hour's reach one solution is rough; a few corrections make it
// exact, which is what Newton's method does.
static void corrections_converge_where_columns_touch(void **state)
{
    (void)state;
    fixture f;
    open_fixture(&f, 30, 21, 3.0, 2.0);
    double *x = calloc((size_t)f.cells * CBX_LANES, sizeof *x), first = 0.0, worst = 0.0;
    load(&f, 0);
    load(&f, 1);
    assert_true(cbx_incomplete_factor(&f.factor));
    for (int round = 0; round < 7; round++) {
        for (int n = 0; n < f.cells * CBX_LANES; n++) {
            const int cell = n / CBX_LANES, lane = n % CBX_LANES;
            f.x[place(&f, cell, lane)] =
                (float)(right_of(cell, lane) - row_times(&f, x, cell, lane));
        }
        cbx_incomplete_solve(&f.factor, f.x);
        for (int n = 0; n < f.cells * CBX_LANES; n++) {
            x[n] += (double)f.x[place(&f, n / CBX_LANES, n % CBX_LANES)];
        }
        worst = worst_miss(&f, x);
        first = round == 0 ? worst : first;
    }
    assert_true(first < 0.3);
    assert_true(worst < 1e-6);
    free(x);
    close_fixture(&f);
}

// What a slice computes does not depend on which slice stands beside it.
static void a_lane_has_the_same_bits_alone(void **state)
{
    (void)state;
    fixture all, one;
    open_fixture(&all, 23, 31, 1.0, 0.3);
    open_fixture(&one, 23, 31, 1.0, 0.3);
    for (int lane = 0; lane < CBX_LANES; lane++) {
        load(&all, lane);
        put_right(&all, lane);
    }
    load(&one, 1);
    put_right(&one, 1);
    assert_true(cbx_incomplete_factor(&all.factor) && cbx_incomplete_factor(&one.factor));
    cbx_incomplete_solve(&all.factor, all.x);
    cbx_incomplete_solve(&one.factor, one.x);
    for (int c = 0; c < all.cells; c++) {
        assert_memory_equal(&all.x[place(&all, c, 1)], &one.x[place(&one, c, 1)], sizeof(float));
        assert_true(one.x[place(&one, c, 0)] == 0.0F);
    }
    close_fixture(&all);
    close_fixture(&one);
}

// Some columns from the side, none heated beyond them.
static void columns_within_reach_are_as_in_the_whole(void **state)
{
    (void)state;
    fixture f;
    open_fixture(&f, 31, 9, 1.0, 0.2);
    load(&f, 0);
    load(&f, 1);
    assert_true(cbx_incomplete_factor(&f.factor));
    float *part = cbx_lanes_create(cbx_incomplete_room(&f.factor));
    const int heated[] = {4 * 9 + 3, 26 * 9 + 5}; // a cell of either side, both in step 4
    for (int n = 0; n < 2; n++) {
        f.x[place(&f, heated[n], 0)] = part[place(&f, heated[n], 0)] = 1.0F;
    }
    cbx_incomplete_solve(&f.factor, f.x);
    cbx_incomplete_solve_within(&f.factor, 4, 12, part);
    for (int c = 0; c < f.cells; c++) {
        const int step = cbx_incomplete_step(&f.factor, c / f.nz);
        const double miss = fabs((double)f.x[place(&f, c, 0)] - (double)part[place(&f, c, 0)]);
        assert_true(step < 4 || step > 9 || miss < 1e-5);
        assert_true((step >= 4 && step <= 12) || part[place(&f, c, 0)] == 0.0F);
    }
    free(part);
    close_fixture(&f);
}

static void a_matrix_that_is_not_positive_is_noticed(void **state)
{
    (void)state;
    fixture f;
    open_fixture(&f, 9, 9, 1.0, 0.3);
    load(&f, 1);
    f.factor.diagonal[place(&f, 40, 1)] = -1.0F;
    assert_false(cbx_incomplete_factor(&f.factor));
    load(&f, 1);
    f.factor.diagonal[place(&f, 40, 1)] = NAN;
    assert_false(cbx_incomplete_factor(&f.factor));
    close_fixture(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_that_do_not_touch_are_solved_exactly),
        cmocka_unit_test(rows_of_single_cells_are_solved_exactly),
        cmocka_unit_test(an_hour_in_clay_is_solved_to_three_digits),
        cmocka_unit_test(solutions_conserve_heat),
        cmocka_unit_test(corrections_converge_where_columns_touch),
        cmocka_unit_test(a_lane_has_the_same_bits_alone),
        cmocka_unit_test(columns_within_reach_are_as_in_the_whole),
        cmocka_unit_test(a_matrix_that_is_not_positive_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
