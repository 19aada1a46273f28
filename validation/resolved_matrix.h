// SPDX-License-Identifier: MIT
// Newton's matrix of the resolved cell, symmetric in temperatures:
//     (volume / slope + gamma K) dT = volume b,   dH = dT / slope,
// K the conduction, slope dT/dH. Solved by conjugate gradients; the preconditioner is the
// incomplete Cholesky factor without fill whose product has the matrix's diagonal (Meijerink & van
// der Vorst 1977, Mathematics of Computation 31).
#ifndef COILBED_VALIDATION_RESOLVED_MATRIX_H
#define COILBED_VALIDATION_RESOLVED_MATRIX_H

#include "resolved_cell.h"

typedef struct resolved_matrix {
    int cells, nz, row; // steps to the next across (nz) and along (row)
    double gamma;
    double *along_w_k, *across_w_k, *down_w_k; // as when linearised
    double *slope_k_m3_j, *top_w_k;            // top_w_k [cells / nz]
    const double *volume_m3;
    double *diagonal, *pivot;        // of the matrix; reciprocal of the factor's
    double *x, *r, *z, *p, *product; // workspace
    long iterations;
} resolved_matrix;

resolved_matrix *resolved_matrix_create(const resolved_cell *cell);
resolved_matrix *resolved_matrix_destroy(resolved_matrix *matrix);

// Copies slopes and conductances of an updated cell.
void resolved_matrix_linearise(resolved_matrix *matrix, const resolved_cell *cell);
void resolved_matrix_factor(resolved_matrix *matrix, double gamma);

// Enthalpies [cells] that solve it for b [cells]; surface_w is the change of heat through the
// surface they bring, per second. False if the iterations do not converge to `relative`.
bool resolved_matrix_solve(resolved_matrix *matrix, const double *b, double relative, double *out,
                           double *surface_w);

#endif
