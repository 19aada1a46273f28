// SPDX-License-Identifier: MIT
#include "engine/dense.h"

#include "base/wide.h"

#include <stdlib.h>

CBX_WIDE void cbx_dense_take(double *restrict x, const double *restrict column, double factor,
                             int count)
{
    for (int n = 0; n < count; n++) {
        x[n] -= column[n] * factor;
    }
}

void cbx_dense_solve(double *const *column, int size, const long *pivot, double *x)
{
    for (int j = 0; j < size; j++) {
        const double other = x[pivot[j]];
        x[pivot[j]] = x[j];
        x[j] = other;
    }
    for (int j = 0; j < size - 1; j++) {
        cbx_dense_take(x + j + 1, column[j] + j + 1, x[j], size - 1 - j);
    }
    for (int j = size - 1; j >= 0; j--) {
        x[j] /= column[j][j];
        cbx_dense_take(x, column[j], x[j], j);
    }
}

double **cbx_rows_create(int rows, int width)
{
    double **row = calloc((size_t)rows + 1, sizeof *row);
    double *block = row ? calloc((size_t)rows * (size_t)width + 1, sizeof *block) : NULL;
    if (!block) {
        free(row);
        return NULL;
    }
    row[rows] = block;
    for (int n = 0; n < rows; n++) {
        row[n] = block + (size_t)n * (size_t)width;
    }
    return row;
}

void cbx_rows_free(double **row, int rows)
{
    if (row) {
        free(row[rows]);
        free(row);
    }
}
