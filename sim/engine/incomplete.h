// SPDX-License-Identifier: MIT
// Incomplete factors of the matrices of two slices side by side, column of cells by column.
//
// In an hour heat moves by about one cell, so a matrix of Newton's for steps of that length is
// nearly that of columns which do not touch. Eliminated column by column it would leave
//     S = B - A S'^-1 A,
// B a column's own tridiagonal block, A the heat flows to the column eliminated before, S' what
// that one left: a full block. Here S stays tridiagonal. It takes the three diagonals of S'^-1, and
// what lies beyond them is lumped on its diagonal, so that the sums of rows are those of the true
// matrix: a solution then conserves heat (lines: P. Concus, G. H. Golub, G. Meurant, SIAM J. Sci.
// Stat. Comput. 6, 1985; sums: I. Gustafsson, BIT 18, 1978; both from memory). For cells of 0.06 by
// 0.11 m and an hour's step solutions are off by some 1e-4, in frozen sand by 4e-3; Newton's method
// corrects that.
//
// Columns are eliminated from the left and from the right side at a time, and meet in the middle
// one; so do a column's cells from top and bottom.
#ifndef COILBED_ENGINE_INCOMPLETE_H
#define COILBED_ENGINE_INCOMPLETE_H

#include "engine/system.h"

enum { CBX_LANES = CBX_TOGETHER, CBX_SIDES = 2, CBX_QUAD = CBX_LANES * CBX_SIDES };

// Numbers by cell stand as [steps + 1][nz][CBX_SIDES][CBX_LANES], a step for a column of either
// side and the last for the middle one, on the left. A lane without a slice, and a side without a
// column, hold an identity.
typedef struct cbx_incomplete {
    int nx, nz, steps;
    // The matrix, to be filled before cbx_incomplete_factor, which leaves the factor in its place:
    // the diagonal; and the heat flows, taken away beside it, to the cell below and to that in the
    // next column towards the middle.
    float *diagonal, *down, *inward;
    float *work;
} cbx_incomplete;

// For the matrices of nx columns of nz cells. All lanes hold an identity. Errors: CB_NO_MEMORY.
cb_status cbx_incomplete_create(cbx_incomplete *out, int nx, int nz, cb_error *error);
void cbx_incomplete_free(cbx_incomplete *incomplete);

// How many numbers stand by cell.
static inline size_t cbx_incomplete_room(const cbx_incomplete *incomplete)
{
    return (size_t)(incomplete->steps + 1) * (size_t)incomplete->nz * CBX_QUAD;
}

static inline int cbx_incomplete_step(const cbx_incomplete *incomplete, int column)
{
    const int from_right = incomplete->nx - column - incomplete->nx % 2;
    return column <= incomplete->steps ? column : from_right;
}

// Where the first cell of a column stands in lane 0; each next is CBX_QUAD behind.
static inline size_t cbx_incomplete_at(const cbx_incomplete *incomplete, int column)
{
    const size_t step = (size_t)cbx_incomplete_step(incomplete, column);
    return step * (size_t)incomplete->nz * CBX_QUAD +
           (column <= incomplete->steps ? 0 : (size_t)CBX_LANES);
}

// Where a section's cell stands in lane 0.
static inline size_t cbx_incomplete_place(const cbx_incomplete *incomplete, int cell)
{
    return cbx_incomplete_at(incomplete, cell / incomplete->nz) +
           (size_t)(cell % incomplete->nz) * CBX_QUAD;
}

// Zeros for so many numbers, on a register's boundary; for free(). NULL if there is no memory.
float *cbx_lanes_create(size_t count);

// False if a pivot is not positive.
bool cbx_incomplete_factor(cbx_incomplete *incomplete);

// x becomes the solution for x [room].
void cbx_incomplete_solve(const cbx_incomplete *incomplete, float *x);

// The same for an x without numbers before step `first`, as far as it lies in the steps up to
// `last`, whose neighbour is taken as zero. Other steps are left as they are.
void cbx_incomplete_solve_within(const cbx_incomplete *incomplete, int first, int last, float *x);

#endif
