// SPDX-License-Identifier: MIT
#include "engine/assemble.h"
#include "engine/field.h"
#include "engine/layout.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

static const double pi = 3.14159265358979323846;

static cbx_system *system_of(test_field *f, const cb_override *overrides, size_t count)
{
    field_open(f, overrides, count);
    return field_system(f);
}

static double volume_of(const cbx_system *system)
{
    double sum = 0.0;
    for (int c = 0; c < system->section->cells; c++) {
        sum += system->section->volume_m3[c];
    }
    sum *= system->slices;
    for (int node = 0; node < system->slices * system->run_count; node++) {
        const cbx_run *run = &system->run[node % system->run_count];
        for (int n = 0; n < CBX_SHELLS; n++) {
            sum += run->shell_volume_m3[n];
        }
        const double r = run->near_field.inner_m;
        sum += run->pipe_m * pi * r * r;
    }
    return sum;
}

static double pipe_of(const cbx_system *system)
{
    double sum = 0.0;
    for (int r = 0; r < system->run_count; r++) {
        sum += system->slices * system->run[r].pipe_m;
    }
    return sum;
}

static void no_soil_is_counted_twice(void **state)
{
    (void)state;
    static const char *const pitches[] = {"6 in", "10 in", "24 in", "36 in", "56 in"};
    for (size_t n = 0; n < sizeof pitches / sizeof *pitches; n++) {
        test_field f;
        const cb_override set[] = {{"field.coil.pitch", pitches[n]}};
        cbx_system *system = system_of(&f, set, 1);
        const cb_section *s = system->section;
        const double box = (s->x_edge_m[s->nx] - s->x_edge_m[0]) * s->z_edge_m[s->nz] *
                           s->depth_area_m * system->slices;
        const double got = volume_of(system);
        if (!(fabs(got - box) < 1e-9 * box)) {
            fail_msg("pitch %s: cells, shells and pipe fill %.12g m3 of %.12g m3", pitches[n], got,
                     box);
        }
        cbx_system_destroy(system);
        field_close(&f);
    }
}

static void every_metre_of_pipe_is_there(void **state)
{
    (void)state;
    static const char *const trenches[] = {"1", "2", "5", "6"};
    for (size_t n = 0; n < sizeof trenches / sizeof *trenches; n++) {
        test_field f;
        const cb_override set[] = {{"field.trenches", trenches[n]}, {"run.accuracy", "draft"}};
        cbx_system *system = system_of(&f, set, 2);
        const cb_design_field *d = &f.design->field;
        const double want =
            d->trenches * d->trench_length_m *
            (1.0 + cb_coil_turn_length_m(d->coil_diameter_m, d->coil_pitch_m) / d->coil_pitch_m);
        const double got = pipe_of(system);
        if (!(fabs(got - want) < 1e-9 * want)) {
            fail_msg("%s trenches: got %.9g m of pipe, want %.9g m", trenches[n], got, want);
        }
        cbx_system_destroy(system);
        field_close(&f);
    }
}

static void weights_add_up_to_one(void **state)
{
    (void)state;
    test_field f;
    const cb_override set[] = {{"field.trenches", "3"}};
    cbx_system *system = system_of(&f, set, 1);
    for (int r = 0; r < system->run_count; r++) {
        double sum = 0.0;
        for (int n = 0; n < system->run[r].block_cells; n++) {
            sum += system->run[r].weight[n];
        }
        assert_true(fabs(sum - 1.0) < 1e-12);
    }
    cbx_system_destroy(system);
    field_close(&f);
}

// A return pipe a hair off the middle makes the field lopsided in name only: the whole section must
// then move as the half does. Compares rates of mirrored states cell by cell.
static void half_and_whole_field_agree_to_round_off(void **state)
{
    (void)state;
    static const char *const trenches[] = {"1", "2", "3"};
    for (size_t n = 0; n < sizeof trenches / sizeof *trenches; n++) {
        test_field f, g;
        const cb_override half_set[] = {{"field.trenches", trenches[n]}, {"run.slices", "1"}};
        const cb_override whole_set[] = {{"field.trenches", trenches[n]},
                                         {"run.slices", "1"},
                                         {"field.coil.return_across", "1e-13 m"}};
        cbx_system *half = system_of(&f, half_set, 2), *whole = system_of(&g, whole_set, 3);
        const cb_section *a = half->section, *b = whole->section;
        assert_int_equal(b->nx, 2 * a->nx);
        assert_int_equal(b->nz, a->nz);
        const size_t size = (size_t)(half->size + whole->size);
        double *y = calloc(size, sizeof *y), *w = calloc(size, sizeof *w);
        double *ry = calloc(size, sizeof *ry), *rw = calloc(size, sizeof *rw);
        cbx_piece *piece = calloc(64, sizeof *piece);
        for (int i = 0; i < a->nx; i++) {
            for (int k = 0; k < a->nz; k++) {
                const double h = 2e7 * sin(0.3 * i + 0.11 * k);
                y[cb_cell(a, i, k)] = h;
                w[cb_cell(b, a->nx + i, k)] = w[cb_cell(b, a->nx - 1 - i, k)] = h;
            }
        }
        for (int r = 0; r < whole->run_count; r++) { // mirrored trenches hold the same
            const int trench = whole->run[r].trench, leg = r % 2;
            const int from_middle = 2 * trench - (whole->trenches - 1);
            const int twin = (from_middle < 0 ? -from_middle : from_middle) / 2 * 2 + leg;
            for (int s = 0; s < CBX_SHELLS; s++) {
                w[cbx_shell_at(whole, r) + s] = y[cbx_shell_at(half, twin) + s] =
                    -1e7 * (1.0 + 0.1 * s + 0.3 * twin);
            }
            w[cbx_fluid_at(whole, r)] = y[cbx_fluid_at(half, twin)] = 1.0 + 0.2 * twin;
        }
        w[cbx_entering_at(whole)] = y[cbx_entering_at(half)] = 1.5;
        const double t = 200.0 * 86400.0;
        assert_int_equal(cbx_system_rates(half, t, y, ry, piece), 0);
        assert_int_equal(cbx_system_rates(whole, t, w, rw, piece), 0);
        for (int i = 0; i < a->nx; i++) {
            for (int k = 0; k < a->nz; k++) {
                const double want = ry[cb_cell(a, i, k)], scale = 1.0 + fabs(want);
                const double right = rw[cb_cell(b, a->nx + i, k)];
                const double left = rw[cb_cell(b, a->nx - 1 - i, k)];
                // Heat flows of 1e4 W/m3 cancel here, from edges placed to 1e-12 m.
                if (!(fabs(right - want) < 1e-7 * scale && fabs(left - want) < 1e-7 * scale)) {
                    fail_msg("%s trenches, cell %d,%d: half %.12g, whole %.12g and %.12g",
                             trenches[n], i, k, want, left, right);
                }
            }
        }
        const double e = ry[cbx_entering_at(half)], g2 = rw[cbx_entering_at(whole)];
        assert_true(fabs(e - g2) <= 1e-9 * (1.0 + fabs(e)));
        free(y);
        free(w);
        free(ry);
        free(rw);
        free(piece);
        cbx_system_destroy(half);
        cbx_system_destroy(whole);
        field_close(&f);
        field_close(&g);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_soil_is_counted_twice),
        cmocka_unit_test(every_metre_of_pipe_is_there),
        cmocka_unit_test(weights_add_up_to_one),
        cmocka_unit_test(half_and_whole_field_agree_to_round_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
