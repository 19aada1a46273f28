// SPDX-License-Identifier: MIT
#include "engine/border.h"

#include "engine/dense.h"

#include <stdlib.h>
#include <string.h>
#include <sundials/sundials_dense.h>

// Flows and shells of a slice. Matrices are columns.
typedef struct block {
    double **own;      // [2 runs][2 runs]
    double **by_fluid; // [runs][2 runs] what a unit of each fluid does to them, once factored
    long *pivot;
} block;

struct cbx_border {
    int slices, runs, nodes, rest; // rest: fluids and loop
    block *block;                  // [slices]
    double *fluid;                 // [nodes] of a shell's row, its own fluid
    double **shell;                // [nodes][rest] of the rows of fluids and loop, shells
    double **left;                 // [rest][rest] of those, fluids and loop; then what is left
    long *pivot;
};

static bool make_block(block *one, int runs)
{
    one->own = cbx_rows_create(2 * runs, 2 * runs);
    one->by_fluid = cbx_rows_create(runs, 2 * runs);
    one->pivot = calloc(2 * (size_t)runs + 1, sizeof *one->pivot);
    return one->own && one->by_fluid && one->pivot;
}

cb_status cbx_border_create(cbx_border **out, int slices, int runs, int loop, cb_error *error)
{
    *out = NULL;
    cbx_border *border = calloc(1, sizeof *border);
    bool ok = border != NULL;
    if (ok) {
        border->slices = slices;
        border->runs = runs;
        border->nodes = slices * runs;
        border->rest = border->nodes + loop;
        border->block = calloc((size_t)slices, sizeof *border->block);
        border->fluid = calloc((size_t)border->nodes + 1, sizeof *border->fluid);
        border->shell = cbx_rows_create(border->nodes, border->rest);
        border->left = cbx_rows_create(border->rest, border->rest);
        border->pivot = calloc((size_t)border->rest + 1, sizeof *border->pivot);
        ok = border->block && border->fluid && border->shell && border->left && border->pivot;
    }
    for (int s = 0; ok && s < slices; s++) {
        ok = make_block(&border->block[s], runs);
    }
    if (!ok) {
        cbx_border_destroy(border);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the linear solver");
    }
    *out = border;
    return CB_OK;
}

cbx_border *cbx_border_destroy(cbx_border *border)
{
    if (border) {
        for (int s = 0; border->block && s < border->slices; s++) {
            cbx_rows_free(border->block[s].own, 2 * border->runs);
            cbx_rows_free(border->block[s].by_fluid, border->runs);
            free(border->block[s].pivot);
        }
        free(border->block);
        free(border->fluid);
        cbx_rows_free(border->shell, border->nodes);
        cbx_rows_free(border->left, border->rest);
        free(border->pivot);
        free(border);
    }
    return NULL;
}

int cbx_border_size(const cbx_border *border)
{
    return 2 * border->nodes + border->rest;
}

int cbx_fluid_row(const cbx_border *border, int node)
{
    return 2 * border->nodes + node;
}

int cbx_loop_row(const cbx_border *border, int which)
{
    return 3 * border->nodes + which;
}

static void clear(double **column, int columns, int rows)
{
    memset(column[0], 0, (size_t)columns * (size_t)rows * sizeof **column);
}

void cbx_border_clear(cbx_border *border)
{
    for (int s = 0; s < border->slices; s++) {
        clear(border->block[s].own, 2 * border->runs, 2 * border->runs);
    }
    memset(border->fluid, 0, (size_t)border->nodes * sizeof *border->fluid);
    clear(border->shell, border->nodes, border->rest);
    clear(border->left, border->rest, border->rest);
}

void cbx_border_add(cbx_border *border, int row, int column, double value)
{
    const int inner = 2 * border->nodes, width = 2 * border->runs;
    if (row < inner && column < inner) {
        border->block[row / width].own[column % width][row % width] += value;
    } else if (row < inner) {
        border->fluid[row / 2] += value;
    } else if (column < inner) {
        border->shell[column / 2][row - inner] += value;
    } else {
        border->left[column - inner][row - inner] += value;
    }
}

// Takes a slice's flows and shells out of the rows of fluids and loop.
static bool take_block(cbx_border *border, int slice)
{
    const int runs = border->runs, width = 2 * runs, first = slice * runs;
    block *one = &border->block[slice];
    if (SUNDlsMat_denseGETRF(one->own, width, width, one->pivot) != 0) {
        return false;
    }
    for (int r = 0; r < runs; r++) {
        double *effect = one->by_fluid[r], *column = border->left[first + r];
        memset(effect, 0, (size_t)width * sizeof *effect);
        effect[cbx_shell_row(r)] = border->fluid[first + r];
        cbx_dense_solve(one->own, width, one->pivot, effect);
        for (int other = 0; other < runs; other++) {
            cbx_dense_take(column, border->shell[first + other], effect[cbx_shell_row(other)],
                           border->rest);
        }
    }
    return true;
}

bool cbx_border_factor(cbx_border *border)
{
    bool ok = true;
    for (int s = 0; ok && s < border->slices; s++) {
        ok = take_block(border, s);
    }
    return ok && SUNDlsMat_denseGETRF(border->left, border->rest, border->rest, border->pivot) == 0;
}

void cbx_border_solve(const cbx_border *border, double *x)
{
    const int runs = border->runs, width = 2 * runs;
    double *rest = x + 2 * (size_t)border->nodes;
    for (int s = 0; s < border->slices; s++) {
        double *inner = x + (size_t)s * (size_t)width;
        cbx_dense_solve(border->block[s].own, width, border->block[s].pivot, inner);
        for (int r = 0; r < runs; r++) {
            cbx_dense_take(rest, border->shell[s * runs + r], inner[cbx_shell_row(r)],
                           border->rest);
        }
    }
    cbx_dense_solve(border->left, border->rest, border->pivot, rest);
    for (int s = 0; s < border->slices; s++) {
        double *inner = x + (size_t)s * (size_t)width;
        for (int r = 0; r < runs; r++) {
            cbx_dense_take(inner, border->block[s].by_fluid[r], rest[s * runs + r], width);
        }
    }
}
