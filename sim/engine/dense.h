// SPDX-License-Identifier: MIT
// Solution of a small dense system that SUNDlsMat_denseGETRF has factored.
#ifndef COILBED_ENGINE_DENSE_H
#define COILBED_ENGINE_DENSE_H

// As SUNDlsMat_denseGETRS, with the same bits, in registers of processor width.
void cbx_dense_solve(double *const *column, int size, const long *pivot, double *x);

#endif
