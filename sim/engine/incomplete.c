// SPDX-License-Identifier: MIT
#include "engine/incomplete.h"

#include "base/wide.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef float quad __attribute__((vector_size(CBX_QUAD * sizeof(float)), may_alias));
typedef int32_t quad_mask __attribute__((vector_size(CBX_QUAD * sizeof(float)), may_alias));

enum { WORK_ARRAYS = 2 }; // of a column each

float *cbx_lanes_create(size_t count)
{
    const size_t bytes = (count * sizeof(float) + 64) / 64 * 64; // never 0
    float *block = aligned_alloc(64, bytes);
    if (block) {
        memset(block, 0, bytes);
    }
    return block;
}

cb_status cbx_incomplete_create(cbx_incomplete *out, int nx, int nz, cb_error *error)
{
    *out = (cbx_incomplete){.nx = nx, .nz = nz, .steps = nx / 2};
    const size_t room = cbx_incomplete_room(out);
    out->diagonal = cbx_lanes_create(room);
    out->down = cbx_lanes_create(room);
    out->inward = cbx_lanes_create(room);
    out->work = cbx_lanes_create(WORK_ARRAYS * (size_t)nz * CBX_QUAD);
    if (!out->diagonal || !out->down || !out->inward || !out->work) {
        cbx_incomplete_free(out);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the factors of a section");
    }
    for (size_t n = 0; n < room; n++) {
        out->diagonal[n] = 1.0F;
    }
    return CB_OK;
}

void cbx_incomplete_free(cbx_incomplete *incomplete)
{
    free(incomplete->diagonal);
    free(incomplete->down);
    free(incomplete->inward);
    free(incomplete->work);
    *incomplete = (cbx_incomplete){0};
}

static quad *quads(const cbx_incomplete *incomplete, float *numbers, int step)
{
    return (quad *)numbers + (size_t)step * (size_t)incomplete->nz;
}

// The left side's lanes, on both sides.
CBX_INLINE quad spread(quad q)
{
    return (quad){q[0], q[1], q[0], q[1]};
}

// The sum of both sides, on both.
CBX_INLINE quad fold(quad q)
{
    return q + (quad){q[2], q[3], q[0], q[1]};
}

// ---- solutions -------------------------------------------------------------------------------

// What a column's equations are told by its neighbour's solution.
typedef enum telling {
    TOLD_NOTHING, // for x itself
    TOLD_INWARD,  // x and the heat from the column before
    TOLD_MIDDLE,  // the same from both sides
    TOLD_OUTWARD  // the heat from the column after alone, whose part is added to x
} telling;

typedef struct column_task {
    int nz;
    const quad *inverse, *edge;     // of the column
    const quad *inward, *neighbour; // heat flow to it, and its solution
    quad *z;                        // [nz] workspace, may be x unless TOLD_OUTWARD
    quad *x;
} column_task;

CBX_INLINE quad told(const column_task *task, telling how, int k)
{
    switch (how) {
        case TOLD_INWARD:
            return task->x[k] + task->inward[k] * task->neighbour[k];
        case TOLD_MIDDLE:
            return spread(task->x[k]) + fold(task->inward[k] * task->neighbour[k]);
        case TOLD_OUTWARD:
            return task->inward[k] * task->neighbour[k];
        default:
            return task->x[k];
    }
}

CBX_INLINE void give(const column_task *task, telling how, int k, quad value)
{
    if (how == TOLD_OUTWARD) {
        value += task->x[k];
    }
    task->x[k] = value;
}

// Two chains, from top and bottom, that meet in the middle cell and go back.
CBX_INLINE void solve_column(const column_task *task, telling how)
{
    const int nz = task->nz, middle = nz / 2, below = nz - 1 - middle;
    const quad *inverse = task->inverse, *edge = task->edge;
    quad *z = task->z, from_above = {0.0F}, from_below = {0.0F};
    for (int n = 0; n < below; n++) {
        const int m = nz - 1 - n;
        z[n] = told(task, how, n) + from_above;
        z[m] = told(task, how, m) + from_below;
        from_above = edge[n] * z[n];
        from_below = edge[m - 1] * z[m];
    }
    if (below < middle) {
        z[below] = told(task, how, below) + from_above;
        from_above = edge[below] * z[below];
    }
    quad above = (told(task, how, middle) + (from_above + from_below)) * inverse[middle];
    quad under = above;
    give(task, how, middle, above);
    for (int n = 1; n <= below; n++) {
        const int a = middle - n, b = middle + n;
        above = z[a] * inverse[a] + edge[a] * above;
        under = z[b] * inverse[b] + edge[b - 1] * under;
        give(task, how, a, above);
        give(task, how, b, under);
    }
    if (below < middle) {
        give(task, how, 0, z[0] * inverse[0] + edge[0] * above);
    }
}

static column_task task_of(const cbx_incomplete *incomplete, int step, float *x)
{
    return (column_task){.nz = incomplete->nz,
                         .inverse = quads(incomplete, incomplete->diagonal, step),
                         .edge = quads(incomplete, incomplete->down, step),
                         .z = quads(incomplete, x, step),
                         .x = quads(incomplete, x, step)};
}

static void solve_inward(const cbx_incomplete *incomplete, int step, float *x)
{
    column_task task = task_of(incomplete, step, x);
    task.inward = quads(incomplete, incomplete->inward, step - 1);
    task.neighbour = quads(incomplete, x, step - 1);
    if (step < incomplete->steps) {
        solve_column(&task, TOLD_INWARD);
    } else {
        solve_column(&task, TOLD_MIDDLE);
    }
}

static void solve_outward(const cbx_incomplete *incomplete, int step, float *x)
{
    column_task task = task_of(incomplete, step, x);
    task.inward = quads(incomplete, incomplete->inward, step);
    task.neighbour = quads(incomplete, x, step + 1);
    task.z = (quad *)incomplete->work;
    solve_column(&task, TOLD_OUTWARD);
}

// The first column's, which has none before it.
static void solve_first(const cbx_incomplete *incomplete, int step, float *x)
{
    const column_task task = task_of(incomplete, step, x);
    for (int k = 0; step == incomplete->steps && k < task.nz; k++) {
        task.x[k] = spread(task.x[k]);
    }
    solve_column(&task, TOLD_NOTHING);
}

void cbx_incomplete_solve_within(const cbx_incomplete *incomplete, int first, int last, float *x)
{
    solve_first(incomplete, first, x);
    for (int step = first + 1; step <= last; step++) {
        solve_inward(incomplete, step, x);
    }
    for (int step = last - 1; step >= first; step--) {
        solve_outward(incomplete, step, x);
    }
}

void cbx_incomplete_solve(const cbx_incomplete *incomplete, float *x)
{
    cbx_incomplete_solve_within(incomplete, 0, incomplete->steps, x);
}

// ---- factors ---------------------------------------------------------------------------------

static void take_pivot(quad *diagonal, quad *edge, int k, int next, int between, quad_mask *good)
{
    const quad flow = edge[between];
    *good &= diagonal[k] > 0.0F;
    diagonal[k] = 1.0F / diagonal[k];
    edge[between] = flow * diagonal[k];
    diagonal[next] -= flow * edge[between];
}

// Pivots become their inverses, and flows what a cell passes on to the next towards the middle.
static void factor_column(int nz, quad *diagonal, quad *edge, quad_mask *good)
{
    const int middle = nz / 2;
    for (int n = 0; n < middle; n++) {
        const int m = nz - 1 - n;
        take_pivot(diagonal, edge, n, n + 1, n, good);
        if (m > middle) {
            take_pivot(diagonal, edge, m, m - 1, m - 1, good);
        }
    }
    *good &= diagonal[middle] > 0.0F;
    diagonal[middle] = 1.0F / diagonal[middle];
}

// Beside the diagonal of the inverse of a column's factor: side[k] between k and k + 1.
static void fill_side(int nz, const quad *inverse, const quad *edge, quad *side)
{
    const int middle = nz / 2;
    quad above = inverse[middle], under = inverse[middle];
    for (int n = 1; n <= middle; n++) {
        const int a = middle - n, b = middle + n;
        side[a] = edge[a] * above;
        above = inverse[a] + edge[a] * side[a];
        if (b < nz) {
            side[b - 1] = edge[b - 1] * under;
            under = inverse[b] + edge[b - 1] * side[b - 1];
        }
    }
    side[nz - 1] = (quad){0.0F};
}

// What the elimination of the column before leaves in that of a step. With the flows a between
// them, a_k (S'^-1 a)_k on the diagonal takes all of a row there that is not given to its sides.
static void take_before(const cbx_incomplete *incomplete, int step)
{
    const int nz = incomplete->nz;
    quad *diagonal = quads(incomplete, incomplete->diagonal, step);
    quad *down = quads(incomplete, incomplete->down, step);
    const quad *a = quads(incomplete, incomplete->inward, step - 1);
    quad *side = (quad *)incomplete->work, *whole = side + nz;
    const column_task before = {.nz = nz,
                                .inverse = quads(incomplete, incomplete->diagonal, step - 1),
                                .edge = quads(incomplete, incomplete->down, step - 1),
                                .z = whole,
                                .x = whole};
    fill_side(nz, before.inverse, before.edge, side);
    memcpy(whole, a, (size_t)nz * sizeof *whole);
    solve_column(&before, TOLD_NOTHING);
    quad passed = {0.0F}; // to the cell above
    for (int k = 0; k < nz; k++) {
        quad below = {0.0F};
        if (k + 1 < nz) {
            below = a[k] * side[k] * a[k + 1];
        }
        const quad taken = a[k] * whole[k] - (passed + below);
        diagonal[k] -= step < incomplete->steps ? +taken : fold(taken);
        down[k] += step < incomplete->steps ? +below : fold(below);
        passed = below;
    }
}

bool cbx_incomplete_factor(cbx_incomplete *incomplete)
{
    const int nz = incomplete->nz, steps = incomplete->steps;
    quad_mask good = {-1, -1, -1, -1};
    for (int k = 0; k < nz; k++) {
        quad *diagonal = quads(incomplete, incomplete->diagonal, steps) + k;
        quad *down = quads(incomplete, incomplete->down, steps) + k;
        *diagonal = spread(*diagonal);
        *down = spread(*down);
    }
    for (int step = 0; step <= steps; step++) {
        if (step > 0) {
            take_before(incomplete, step);
        }
        factor_column(nz, quads(incomplete, incomplete->diagonal, step),
                      quads(incomplete, incomplete->down, step), &good);
    }
    return good[0] && good[1] && good[2] && good[3];
}
