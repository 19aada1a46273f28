// SPDX-License-Identifier: MIT
// Cholesky factorisation of a symmetric positive definite band matrix, L D L^T.
#ifndef COILBED_ENGINE_BAND_H
#define COILBED_ENGINE_BAND_H

#include <stdbool.h>

// Column j holds A[j + d][j] at entry[j * (half + 1) + d], d = 0 .. half.
typedef struct cbx_band {
    int size, half;
    double *entry; // size * (half + 1)
} cbx_band;

bool cbx_band_create(cbx_band *band, int size, int half);
void cbx_band_free(cbx_band *band);
void cbx_band_clear(cbx_band *band);

// In place; the diagonal then holds 1/D. False if a pivot is not positive.
bool cbx_band_factor(cbx_band *band);

// Solves in place; x holds the right-hand side in, the solution out [size].
void cbx_band_solve(const cbx_band *band, double *restrict x);

// Four right-hand sides at once, x[4 * row + side]: the factor is read once for all. Each side gets
// the bits that cbx_band_solve would give it to within the order of its sums.
enum { CBX_BAND_SIDES = 4 };
void cbx_band_solve_sides(const cbx_band *band, double *restrict x);

#endif
