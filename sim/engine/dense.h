// SPDX-License-Identifier: MIT
// Small dense systems: their rows, and solutions of those that SUNDlsMat_denseGETRF has factored.
#ifndef COILBED_ENGINE_DENSE_H
#define COILBED_ENGINE_DENSE_H

// As SUNDlsMat_denseGETRS, with the same bits, in registers of processor width.
void cbx_dense_solve(double *const *column, int size, const long *pivot, double *x);

// x -= factor column [count].
void cbx_dense_take(double *x, const double *column, double factor, int count);

// Rows of zeros in one block, which the entry behind the last keeps; also where there are no rows.
// NULL if there is no memory.
double **cbx_rows_create(int rows, int width);
void cbx_rows_free(double **row, int rows);

#endif
