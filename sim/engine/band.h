// SPDX-License-Identifier: MIT
// Cholesky factorisation of a symmetric positive definite band matrix, L D L^T, in single
// precision: reading the factor is what a solution costs, and Newton's method, which asks for
// corrections only, converges just as fast with six digits of them.
#ifndef COILBED_ENGINE_BAND_H
#define COILBED_ENGINE_BAND_H

#include <stdbool.h>

// Columns are eliminated in panels of so many.
enum { CBX_BAND_PANEL = 4 };

// Column j holds A[j + d][j] at entry[j * stride + d], d = 0 .. half; the rest of a stride is 0,
// and so are entries of rows past the end.
typedef struct cbx_band {
    int size, half, stride;
    int columns; // size in whole panels; those added are an identity
    float *entry;
} cbx_band;

bool cbx_band_create(cbx_band *band, int size, int half);
void cbx_band_free(cbx_band *band);
void cbx_band_clear(cbx_band *band);

static inline float *cbx_band_column(const cbx_band *band, int column)
{
    return band->entry + (long)column * band->stride;
}

// In place; the diagonal then holds 1/D, a panel's own triangle what its inverse is short of an
// identity. False if a pivot is not positive.
bool cbx_band_factor(cbx_band *band);

// Numbers that a right-hand side needs room for; those past `size` are the solver's own.
int cbx_band_room(const cbx_band *band);

// Solves in place; x holds the right-hand side in, the solution out [cbx_band_room].
void cbx_band_solve(const cbx_band *band, float *restrict x);

// The same of two matrices of one shape, band[0] and band[1], each with its right-hand side, with
// the same bits: one is worked on while the other waits for its last numbers.
void cbx_band_solve_two(const cbx_band *band, float *restrict x, float *restrict y);

// Eight right-hand sides at once, x[8 * row + side], [8 * cbx_band_room]: the factor is read once
// for all. Each side gets what cbx_band_solve would give it to within the order of its sums.
enum { CBX_BAND_SIDES = 8 };
void cbx_band_solve_sides(const cbx_band *band, float *restrict x);

#endif
