// SPDX-License-Identifier: MIT
#include "engine/band.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static double at(const cbx_band *band, int row, int column)
{
    const int low = row > column ? column : row, d = abs(row - column);
    return d > band->half ? 0.0 : (double)cbx_band_column(band, low)[d];
}

// A diagonally dominant matrix with every entry of its band filled.
static void fill(cbx_band *band)
{
    for (int j = 0; j < band->size; j++) {
        for (int d = 1; d <= band->half && j + d < band->size; d++) {
            cbx_band_column(band, j)[d] = -1.0F / (1.0F + (float)((j * 7 + d * 3) % 11));
        }
        cbx_band_column(band, j)[0] = 2.0F * (float)band->half + 1.0F;
    }
}

// Single precision: six digits of the largest term.
static const double rounding = 5e-6;

static void two_at_once_have_the_same_bits(const cbx_band *band, const float *solution)
{
    const cbx_band both[] = {*band, *band};
    const size_t room = (size_t)cbx_band_room(band);
    float *x = calloc(2 * room, sizeof *x);
    for (int j = 0; j < band->size; j++) {
        x[j] = x[room + (size_t)j] = (float)sin(j + 1.0);
    }
    cbx_band_solve_two(both, x, x + room);
    assert_memory_equal(x, solution, (size_t)band->size * sizeof *x);
    assert_memory_equal(x + room, solution, (size_t)band->size * sizeof *x);
    free(x);
}

static void solution_satisfies_the_system(void **state)
{
    (void)state;
    static const int shapes[][2] = {{1, 1},   {2, 1},   {40, 1},  {37, 5},
                                    {60, 13}, {12, 20}, {64, 16}, {203, 40}};
    for (size_t n = 0; n < sizeof shapes / sizeof *shapes; n++) {
        cbx_band band, before;
        assert_true(cbx_band_create(&band, shapes[n][0], shapes[n][1]));
        assert_true(cbx_band_create(&before, shapes[n][0], shapes[n][1]));
        fill(&band);
        fill(&before);
        const size_t room = (size_t)cbx_band_room(&band);
        float *x = calloc(room, sizeof *x);
        for (int j = 0; j < band.size; j++) {
            x[j] = (float)sin(j + 1.0);
        }
        assert_true(cbx_band_factor(&band));
        cbx_band_solve(&band, x);
        for (int i = 0; i < band.size; i++) {
            double sum = 0.0;
            for (int j = 0; j < band.size; j++) {
                sum += at(&before, i, j) * (double)x[j];
            }
            if (!(fabs(sum - sin(i + 1.0)) < rounding)) {
                fail_msg("size %d half %d row %d: got %.17g, want %.17g", band.size, band.half, i,
                         sum, sin(i + 1.0));
            }
        }
        float *sides = calloc(room * CBX_BAND_SIDES, sizeof *sides);
        for (int j = 0; j < band.size * CBX_BAND_SIDES; j++) {
            sides[j] = (float)((1 + j % CBX_BAND_SIDES) * sin(j / CBX_BAND_SIDES + 1.0));
        }
        cbx_band_solve_sides(&band, sides);
        for (int j = 0; j < band.size * CBX_BAND_SIDES; j++) {
            const double want = (1 + j % CBX_BAND_SIDES) * (double)x[j / CBX_BAND_SIDES];
            if (!(fabs((double)sides[j] - want) < CBX_BAND_SIDES * rounding)) {
                fail_msg("side %d of row %d: got %.9g, want %.9g", j % CBX_BAND_SIDES,
                         j / CBX_BAND_SIDES, (double)sides[j], want);
            }
        }
        free(sides);
        two_at_once_have_the_same_bits(&band, x);
        free(x);
        cbx_band_free(&band);
        cbx_band_free(&before);
    }
}

static void a_matrix_that_is_not_positive_definite_is_noticed(void **state)
{
    (void)state;
    static const float bad[] = {0.0F, -1.0F, NAN};
    for (size_t n = 0; n < sizeof bad / sizeof *bad; n++) {
        cbx_band band;
        assert_true(cbx_band_create(&band, 10, 3));
        fill(&band);
        *cbx_band_column(&band, 5) = bad[n];
        assert_false(cbx_band_factor(&band));
        cbx_band_free(&band);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solution_satisfies_the_system),
        cmocka_unit_test(a_matrix_that_is_not_positive_definite_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
