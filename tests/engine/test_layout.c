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
    for (int s = 0; s < system->slices; s++) {
        for (int c = 0; c < system->section->cells; c++) {
            sum += system->volume_m3[s][c];
        }
    }
    for (int node = 0; node < cbx_node_count(system); node++) {
        const cbx_run *run = cbx_run_of(system, node);
        for (int n = 0; n < CBX_SHELLS; n++) {
            sum += system->share[node] * run->shell_volume_m3[n];
        }
        const double r = run->near_field.inner_m;
        sum += system->share[node] * run->pipe_m * pi * r * r;
    }
    return sum;
}

static double pipe_of(const cbx_system *system)
{
    double sum = 0.0;
    for (int node = 0; node < cbx_node_count(system); node++) {
        sum += system->share[node] * cbx_run_of(system, node)->pipe_m;
    }
    return sum;
}

static void soil_fills_its_box(const char *what, const cb_override *overrides, size_t count)
{
    test_field f;
    cbx_system *system = system_of(&f, overrides, count);
    const cb_section *s = system->section;
    const double box = (s->x_edge_m[s->nx] - s->x_edge_m[0]) * s->z_edge_m[s->nz] *
                       s->depth_area_m * system->slices;
    const double got = volume_of(system);
    if (!(fabs(got - box) < 1e-9 * box)) {
        fail_msg("%s: cells, shells and pipe fill %.12g m3 of %.12g m3", what, got, box);
    }
    cbx_system_destroy(system);
    field_close(&f);
}

static void no_soil_is_counted_twice(void **state)
{
    (void)state;
    static const char *const pitches[] = {"6 in", "10 in", "24 in", "36 in", "56 in"};
    for (size_t n = 0; n < sizeof pitches / sizeof *pitches; n++) {
        const cb_override flat[] = {{"field.coil.pitch", pitches[n]}};
        const cb_override upright[] = {{"field.coil.pitch", pitches[n]},
                                       {"field.layout", "upright_coil"}};
        soil_fills_its_box(pitches[n], flat, 1);
        soil_fills_its_box(pitches[n], upright, 2);
    }
    const cb_override unlike[] = {
        {"field.trenches", "3"},
        {"field.lengths", "[150 ft, 100 ft, 61 ft]"},
        {"field.runout", "{length: 200 ft, depth: 5 ft, pipe: {size: 1-1/4 in}}"}};
    soil_fills_its_box("trenches of unlike lengths with a run-out", unlike, 3);
}

static void every_metre_of_pipe_is_there(void **state)
{
    (void)state;
    static const cb_override set[][4] = {
        {{"field.trenches", "1"}},
        {{"field.trenches", "2"}},
        {{"field.trenches", "5"}},
        {{"field.trenches", "6"}},
        {{"field.trenches", "3"}, {"field.lengths", "[150 ft, 100 ft, 61 ft]"}},
        {{"field.trenches", "3"}, {"field.lengths", "[100 ft, 150 ft, 100 ft]"}},
        {{"field.layout", "upright_coil"}, {"field.coil.return", "none"}},
        {{"field.coil.return", "as_coil"}, {"field.coil.return_depth", "5 ft"}},
        {{"field.width", "7 ft"}, {"field.circuits", "[{across: -2 ft}, {across: 2 ft}]"}},
        {{"field.runout", "{length: 200 ft, depth: 5 ft, pipe: {size: 1-1/4 in}}"}},
        {{"field.trenches", "3"},
         {"field.lengths", "[150 ft, 100 ft, 61 ft]"},
         {"field.runout", "{length: 90 ft, depth: 5 ft, pipe: {size: 1-1/4 in}}"}},
    };
    for (size_t n = 0; n < sizeof set / sizeof *set; n++) {
        test_field f;
        cb_override draft[5] = {{"run.accuracy", "draft"}};
        size_t count = 1;
        for (int i = 0; i < 4 && set[n][i].path; i++) {
            draft[count++] = set[n][i];
        }
        cbx_system *system = system_of(&f, draft, count);
        cb_field_bill bill;
        cb_field_bill_of(&bill, &f.design->field, &(cb_pipe){0.0267, 0.0218},
                         &(cb_pipe){0.0422, 0.0345});
        const double want = bill.pipe_m + bill.runout_pipe_m, got = pipe_of(system);
        if (!(fabs(got - want) < 1e-9 * want)) {
            fail_msg("case %zu, %s: got %.9g m of pipe, want %.9g m", n, set[n][0].path, got, want);
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

// What two systems make of states that are the same at the same place.
typedef struct pair {
    test_field field[2];
    cbx_system *system[2];
    double *y[2], *rate[2];
} pair;

static double soil_j_m3(double x_m, double z_m, int slice)
{
    return 2e7 * sin(0.9 * x_m + 0.7 * z_m + 0.4 * slice);
}

static void fill_states(const cbx_system *system, double mirror, double *y)
{
    const cb_section *s = system->section;
    for (int slice = 0; slice < system->slices; slice++) {
        for (int c = 0; c < s->cells; c++) {
            const int i = c / s->nz, k = c % s->nz;
            y[cbx_section_at(system, slice) + c] =
                soil_j_m3(mirror * 0.5 * (s->x_edge_m[i] + s->x_edge_m[i + 1]),
                          0.5 * (s->z_edge_m[k] + s->z_edge_m[k + 1]), slice);
        }
    }
    for (int node = 0; node < cbx_node_count(system); node++) {
        const cbx_run *run = cbx_run_of(system, node);
        const double x_m = mirror * s->x_edge_m[run->cell[run->block_cells / 2] / s->nz];
        const double here = sin(x_m) + 0.3 * run->leg.depth_m + 0.2 * (node / system->run_count);
        for (int n = 0; n < CBX_SHELLS; n++) {
            y[cbx_shell_at(system, node) + n] = -1e7 * (1.0 + 0.1 * n + 0.3 * here);
        }
        y[cbx_fluid_at(system, node)] = 1.0 + 0.2 * here;
    }
    y[cbx_entering_at(system)] = 1.5;
}

static void pair_open(pair *p, const cb_override *one, size_t ones, const cb_override *other,
                      size_t others, double mirror)
{
    *p = (pair){.system = {NULL, NULL}};
    p->system[0] = system_of(&p->field[0], one, ones);
    p->system[1] = system_of(&p->field[1], other, others);
    for (int n = 0; n < 2; n++) {
        const size_t size = (size_t)p->system[n]->size;
        p->y[n] = calloc(size, sizeof(double));
        p->rate[n] = calloc(size, sizeof(double));
        fill_states(p->system[n], n == 0 ? 1.0 : mirror, p->y[n]);
        cbx_piece *piece = calloc((size_t)cbx_node_count(p->system[n]), sizeof *piece);
        assert_int_equal(
            cbx_system_rates(p->system[n], 200.0 * 86400.0, p->y[n], p->rate[n], piece), 0);
        free(piece);
    }
}

static void pair_close(pair *p)
{
    for (int n = 0; n < 2; n++) {
        free(p->y[n]);
        free(p->rate[n]);
        cbx_system_destroy(p->system[n]);
        field_close(&p->field[n]);
    }
}

static void soils_move_alike(const pair *p, bool mirrored)
{
    const cb_section *a = p->system[0]->section, *b = p->system[1]->section;
    assert_int_equal(a->nx, b->nx);
    assert_int_equal(a->nz, b->nz);
    assert_int_equal(p->system[0]->slices, p->system[1]->slices);
    for (int slice = 0; slice < p->system[0]->slices; slice++) {
        for (int c = 0; c < a->cells; c++) {
            const int i = c / a->nz, k = c % a->nz;
            const double want = p->rate[0][cbx_section_at(p->system[0], slice) + c];
            const double got = p->rate[1][cbx_section_at(p->system[1], slice) +
                                          cb_cell(b, mirrored ? b->nx - 1 - i : i, k)];
            // Heat flows of 1e4 W/m3 cancel here, from edges placed to 1e-12 m.
            if (!(fabs(got - want) < 1e-7 * (1.0 + fabs(want)))) {
                fail_msg("slice %d, cell %d,%d: %.12g and %.12g", slice, i, k, want, got);
            }
        }
    }
    const double one = p->rate[0][cbx_entering_at(p->system[0])];
    const double other = p->rate[1][cbx_entering_at(p->system[1])];
    assert_true(fabs(one - other) <= 1e-9 * (1.0 + fabs(one)));
}

// Headers that take no head: which end they begin at makes no difference.
#define NO_HEAD                                                                                    \
    {                                                                                              \
        "piping.headers", "{sizes: [{size: 1 in}], spacing: 0 ft, fittings: 0}"                    \
    }

static void a_mirrored_field_moves_as_in_a_mirror(void **state)
{
    (void)state;
    const cb_override one[] = {NO_HEAD,
                               {"field.trenches", "3"},
                               {"run.accuracy", "draft"},
                               {"run.slices", "3"},
                               {"field.lengths", "[150 ft, 100 ft, 61 ft]"}};
    const cb_override other[] = {NO_HEAD,
                                 {"field.trenches", "3"},
                                 {"run.accuracy", "draft"},
                                 {"run.slices", "3"},
                                 {"field.lengths", "[61 ft, 100 ft, 150 ft]"}};
    pair p;
    pair_open(&p, one, 5, other, 5, -1.0);
    soils_move_alike(&p, true);
    pair_close(&p);
}

// Two narrow trenches 5 ft apart, or one wide trench with a circuit on each side.
static void circuits_of_one_trench_or_of_two_are_the_same(void **state)
{
    (void)state;
    static const char *const layouts[] = {"flat_coil", "upright_coil"};
    for (int n = 0; n < 2; n++) {
        const cb_override one[] = {NO_HEAD,
                                   {"field.trenches", "2"},
                                   {"field.spacing", "5 ft"},
                                   {"field.coil.return_across", "1e-13 m"}, // not as half a field
                                   {"field.layout", layouts[n]},
                                   {"run.accuracy", "draft"},
                                   {"run.slices", "2"}};
        const cb_override other[] = {NO_HEAD,
                                     {"field.trenches", "1"},
                                     {"field.width", "8 ft"},
                                     {"field.circuits", "[{across: -2.5 ft}, {across: 2.5 ft}]"},
                                     {"field.layout", layouts[n]},
                                     {"run.accuracy", "draft"},
                                     {"run.slices", "2"}};
        pair p;
        pair_open(&p, one, 7, other, 7, 1.0);
        soils_move_alike(&p, false);
        pair_close(&p);
    }
}

// A reverse return gives mirrored trenches the same flow.
#define EVEN                                                                                       \
    {                                                                                              \
        "piping.headers", "{sizes: [{size: 3/4 in}], return: reverse}"                             \
    }

// A return pipe a hair off the middle makes the field lopsided in name only: the whole section must
// then move as the half does. Compares rates of mirrored states cell by cell.
static void half_and_whole_field_agree_to_round_off(void **state)
{
    (void)state;
    static const char *const trenches[] = {"1", "2", "3"};
    for (size_t n = 0; n < sizeof trenches / sizeof *trenches; n++) {
        test_field f, g;
        const cb_override half_set[] = {EVEN, {"field.trenches", trenches[n]}, {"run.slices", "1"}};
        const cb_override whole_set[] = {EVEN,
                                         {"field.trenches", trenches[n]},
                                         {"run.slices", "1"},
                                         {"field.coil.return_across", "1e-13 m"}};
        cbx_system *half = system_of(&f, half_set, 3), *whole = system_of(&g, whole_set, 4);
        const cb_section *a = half->section, *b = whole->section;
        assert_int_equal(b->nx, 2 * a->nx);
        assert_int_equal(b->nz, a->nz);
        const size_t size = (size_t)(half->size + whole->size);
        double *y = calloc(size, sizeof *y), *w = calloc(size, sizeof *w);
        double *ry = calloc(size, sizeof *ry), *rw = calloc(size, sizeof *rw);
        cbx_piece *piece =
            calloc((size_t)(cbx_node_count(whole) + cbx_node_count(half)), sizeof *piece);
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
        cmocka_unit_test(a_mirrored_field_moves_as_in_a_mirror),
        cmocka_unit_test(circuits_of_one_trench_or_of_two_are_the_same),
        cmocka_unit_test(half_and_whole_field_agree_to_round_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
