// SPDX-License-Identifier: MIT
#include "engine/bundle.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const int shapes[][2] = {{1, 1},  {1, 2},   {1, 40},  {7, 1},   {3, 5},  {4, 4},
                                {5, 13}, {17, 17}, {21, 40}, {59, 41}, {80, 3}, {2, 33}};
enum { SHAPES = sizeof shapes / sizeof *shapes };

typedef struct bundle_fixture {
    int nx, nz;
    cbx_dissection order;
    cbx_bundle bundle;
    float *x; // [places][lanes]
} bundle_fixture;

// Heat flows that differ from face to face and lane to lane, and a small capacity.
static void fill(cbx_bundle *bundle, int nx, int nz, int lane)
{
    for (int c = 0; c < nx * nz; c++) {
        const int at = c * CBX_LANES + lane;
        bundle->down[at] = c % nz < nz - 1 ? 1.0F + 0.1F * (float)((c * 7 + lane) % 11) : 0.0F;
        bundle->across[at] = c / nz < nx - 1 ? 1.0F + 0.1F * (float)((c * 3 + lane) % 7) : 0.0F;
    }
    for (int c = 0; c < nx * nz; c++) {
        const int at = c * CBX_LANES + lane;
        bundle->diagonal[at] = 0.2F + bundle->down[at] + bundle->across[at] +
                               (c % nz > 0 ? bundle->down[at - CBX_LANES] : 1.0F) +
                               (c / nz > 0 ? bundle->across[at - nz * CBX_LANES] : 0.0F);
    }
}

static void open_fixture(bundle_fixture *f, int nx, int nz)
{
    cb_error error = {0};
    *f = (bundle_fixture){.nx = nx, .nz = nz};
    assert_int_equal(cbx_dissection_create(&f->order, nx, nz, &error), CB_OK);
    assert_int_equal(cbx_bundle_create(&f->bundle, &f->order, nz, &error), CB_OK);
    f->x = cbx_lanes_create((size_t)cbx_dissection_room(&f->order));
    assert_non_null(f->x);
}

static void close_fixture(bundle_fixture *f)
{
    free(f->x);
    cbx_bundle_free(&f->bundle);
    cbx_dissection_free(&f->order);
}

static float *x_of(const bundle_fixture *f, int cell, int lane)
{
    return &f->x[f->order.place[cell] * CBX_LANES + lane];
}

static double right_of(int cell, int lane)
{
    return sin(cell + 1.0 + 0.3 * lane);
}

// Row of the matrix times the solution.
static double row_times_x(const bundle_fixture *f, int cell, int lane)
{
    const int nz = f->nz, at = cell * CBX_LANES + lane;
    const cbx_bundle *b = &f->bundle;
    double sum = (double)b->diagonal[at] * (double)*x_of(f, cell, lane);
    if (cell % nz < nz - 1) {
        sum -= (double)b->down[at] * (double)*x_of(f, cell + 1, lane);
    }
    if (cell % nz > 0) {
        sum -= (double)b->down[at - CBX_LANES] * (double)*x_of(f, cell - 1, lane);
    }
    if (cell / nz < f->nx - 1) {
        sum -= (double)b->across[at] * (double)*x_of(f, cell + nz, lane);
    }
    if (cell / nz > 0) {
        sum -= (double)b->across[at - nz * CBX_LANES] * (double)*x_of(f, cell - nz, lane);
    }
    return sum;
}

static void solve(const cbx_bundle *bundle, float *x)
{
    cbx_bundle_forward(bundle, x);
    cbx_bundle_backward(bundle, x);
}

static void every_cell_has_one_place(void **state)
{
    (void)state;
    for (int n = 0; n < SHAPES; n++) {
        bundle_fixture f;
        open_fixture(&f, shapes[n][0], shapes[n][1]);
        int found = 0;
        for (int place = 0; place < cbx_dissection_places(&f.order); place++) {
            const int cell = f.order.cell[place];
            found += cell >= 0;
            assert_true(cell < 0 || f.order.place[cell] == place);
        }
        assert_int_equal(found, f.nx * f.nz);
        close_fixture(&f);
    }
}

// Whole numbers of 16 bits: four digits of the largest term.
static void each_lane_satisfies_its_system(void **state)
{
    (void)state;
    for (int n = 0; n < SHAPES; n++) {
        bundle_fixture f;
        open_fixture(&f, shapes[n][0], shapes[n][1]);
        for (int twice = 0; twice < 2; twice++) { // nothing is left over from the first factors
            for (int lane = 0; lane < CBX_LANES; lane++) {
                fill(&f.bundle, f.nx, f.nz, lane);
                for (int c = 0; c < f.nx * f.nz; c++) {
                    *x_of(&f, c, lane) = (float)right_of(c, lane);
                }
            }
            assert_true(cbx_bundle_factor(&f.bundle));
            solve(&f.bundle, f.x);
        }
        for (int c = 0; c < f.nx * f.nz * CBX_LANES; c++) {
            const int cell = c / CBX_LANES, lane = c % CBX_LANES;
            const double got = row_times_x(&f, cell, lane), want = right_of(cell, lane);
            if (!(fabs(got - want) < 5e-5)) {
                fail_msg("%d by %d, cell %d lane %d: got %.9g, want %.9g", f.nx, f.nz, cell, lane,
                         got, want);
            }
        }
        close_fixture(&f);
    }
}

// What a slice computes does not depend on which slices stand beside it.
static void a_lane_has_the_same_bits_alone(void **state)
{
    (void)state;
    bundle_fixture all, one;
    open_fixture(&all, 23, 31);
    open_fixture(&one, 23, 31);
    for (int lane = 0; lane < CBX_LANES; lane++) {
        fill(&all.bundle, 23, 31, lane);
        for (int c = 0; c < 23 * 31; c++) {
            *x_of(&all, c, lane) = (float)right_of(c, lane);
        }
    }
    fill(&one.bundle, 23, 31, 1);
    for (int c = 0; c < 23 * 31; c++) {
        *x_of(&one, c, 1) = (float)right_of(c, 1);
    }
    assert_true(cbx_bundle_factor(&all.bundle) && cbx_bundle_factor(&one.bundle));
    solve(&all.bundle, all.x);
    solve(&one.bundle, one.x);
    for (int c = 0; c < 23 * 31; c++) {
        assert_memory_equal(x_of(&all, c, 1), x_of(&one, c, 1), sizeof(float));
        assert_true(*x_of(&one, c, 0) == 0.0F);
    }
    close_fixture(&all);
    close_fixture(&one);
}

static void a_matrix_that_is_not_positive_is_noticed(void **state)
{
    (void)state;
    bundle_fixture f;
    open_fixture(&f, 9, 9);
    fill(&f.bundle, 9, 9, 1);
    f.bundle.diagonal[40 * CBX_LANES + 1] = -1.0F;
    assert_false(cbx_bundle_factor(&f.bundle));
    f.bundle.diagonal[40 * CBX_LANES + 1] = NAN;
    assert_false(cbx_bundle_factor(&f.bundle));
    close_fixture(&f);
}

// 59 by 41: a band along the shorter side has 101,598 entries.
static void dissection_leaves_half_the_entries_of_a_band(void **state)
{
    (void)state;
    bundle_fixture f;
    open_fixture(&f, 59, 41);
    assert_in_range(f.order.first[f.order.panels] * CBX_PANEL, 1, 101598 / 2 + 1000);
    close_fixture(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_cell_has_one_place),
        cmocka_unit_test(each_lane_satisfies_its_system),
        cmocka_unit_test(a_lane_has_the_same_bits_alone),
        cmocka_unit_test(a_matrix_that_is_not_positive_is_noticed),
        cmocka_unit_test(dissection_leaves_half_the_entries_of_a_band),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
