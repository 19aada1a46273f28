// SPDX-License-Identifier: MIT
#include "engine/border.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { LOOP = 3, MOST = 200 };

typedef struct fixture {
    cbx_border *border;
    int slices, runs, nodes, size;
    double entry[MOST][MOST]; // the same [row][column]
} fixture;

static void put(fixture *f, int row, int column, double value)
{
    f->entry[row][column] += value;
    cbx_border_add(f->border, row, column, value);
}

static double some(int n)
{
    return sin(1.7 * n + 0.3);
}

// All entries that a border may have, different ones, and a diagonal that keeps it regular.
static void fill(fixture *f)
{
    int n = 0;
    memset(f->entry, 0, sizeof f->entry);
    cbx_border_clear(f->border);
    for (int node = 0; node < f->nodes; node++) {
        const int first = node / f->runs * f->runs, shell = cbx_shell_row(node);
        for (int other = first; other < first + f->runs; other++) {
            put(f, cbx_flow_row(node), cbx_flow_row(other), some(n++));
            put(f, cbx_flow_row(node), cbx_shell_row(other), some(n++));
            put(f, shell, cbx_flow_row(other), some(n++));
            put(f, shell, cbx_shell_row(other), some(n++));
        }
        put(f, shell, cbx_fluid_row(f->border, node), some(n++));
        put(f, shell, shell, 8.0);
        put(f, cbx_flow_row(node), cbx_flow_row(node), -8.0);
    }
    for (int row = 2 * f->nodes; row < f->size; row++) {
        for (int node = 0; node < f->nodes; node++) {
            put(f, row, cbx_shell_row(node), some(n++));
        }
        for (int column = 2 * f->nodes; column < f->size; column++) {
            put(f, row, column, some(n++));
        }
        put(f, row, row, 20.0);
    }
}

static void open_fixture(fixture *f, int slices, int runs)
{
    cb_error error = {0};
    f->slices = slices;
    f->runs = runs;
    f->nodes = slices * runs;
    assert_int_equal(cbx_border_create(&f->border, slices, runs, LOOP, &error), CB_OK);
    f->size = cbx_border_size(f->border);
    assert_int_equal(f->size, 3 * f->nodes + LOOP);
    assert_true(f->size <= MOST);
}

static void solutions_satisfy_the_system(void **state)
{
    (void)state;
    static const int shapes[][2] = {{1, 1}, {1, 4}, {2, 3}, {5, 1}, {8, 6}};
    static fixture f;
    for (size_t shape = 0; shape < sizeof shapes / sizeof *shapes; shape++) {
        open_fixture(&f, shapes[shape][0], shapes[shape][1]);
        double x[MOST];
        for (int twice = 0; twice < 2; twice++) { // nothing is left over from the first factors
            fill(&f);
            for (int row = 0; row < f.size; row++) {
                x[row] = some(7 * row);
            }
            assert_true(cbx_border_factor(f.border));
            cbx_border_solve(f.border, x);
        }
        for (int row = 0; row < f.size; row++) {
            double sum = 0.0;
            for (int column = 0; column < f.size; column++) {
                sum += f.entry[row][column] * x[column];
            }
            if (!(fabs(sum - some(7 * row)) < 1e-10)) {
                fail_msg("%d slices of %d, row %d: got %.12g, want %.12g", f.slices, f.runs, row,
                         sum, some(7 * row));
            }
        }
        cbx_border_destroy(f.border);
    }
}

static void a_singular_border_is_noticed(void **state)
{
    (void)state;
    static fixture f;
    open_fixture(&f, 2, 2);
    cbx_border_clear(f.border);
    assert_false(cbx_border_factor(f.border));
    cbx_border_destroy(f.border);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solutions_satisfy_the_system),
        cmocka_unit_test(a_singular_border_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
