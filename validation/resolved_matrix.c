// SPDX-License-Identifier: MIT
#include "resolved_matrix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

resolved_matrix *resolved_matrix_create(const resolved_cell *cell)
{
    resolved_matrix *matrix = calloc(1, sizeof *matrix);
    if (!matrix) {
        return NULL;
    }
    matrix->cells = cell->cells;
    matrix->nz = cell->nz;
    matrix->row = cell->ny * cell->nz;
    matrix->volume_m3 = cell->volume_m3;
    double **const arrays[] = {
        &matrix->along_w_k, &matrix->across_w_k, &matrix->down_w_k, &matrix->slope_k_m3_j,
        &matrix->diagonal,  &matrix->pivot,      &matrix->x,        &matrix->r,
        &matrix->z,         &matrix->p,          &matrix->product,  &matrix->top_w_k};
    bool ok = true;
    for (size_t n = 0; n < sizeof arrays / sizeof *arrays; n++) {
        *arrays[n] = calloc((size_t)cell->cells, sizeof(double));
        ok = ok && *arrays[n];
    }
    return ok ? matrix : resolved_matrix_destroy(matrix);
}

resolved_matrix *resolved_matrix_destroy(resolved_matrix *matrix)
{
    if (matrix) {
        free(matrix->along_w_k);
        free(matrix->across_w_k);
        free(matrix->down_w_k);
        free(matrix->slope_k_m3_j);
        free(matrix->top_w_k);
        free(matrix->diagonal);
        free(matrix->pivot);
        free(matrix->x);
        free(matrix->r);
        free(matrix->z);
        free(matrix->p);
        free(matrix->product);
        free(matrix);
    }
    return NULL;
}

void resolved_matrix_linearise(resolved_matrix *matrix, const resolved_cell *cell)
{
    const size_t size = (size_t)cell->cells * sizeof(double);
    memcpy(matrix->along_w_k, cell->along_w_k, size);
    memcpy(matrix->across_w_k, cell->across_w_k, size);
    memcpy(matrix->down_w_k, cell->down_w_k, size);
    memcpy(matrix->slope_k_m3_j, cell->slope_k_m3_j, size);
    memcpy(matrix->top_w_k, cell->top_w_k, (size_t)(cell->nx * cell->ny) * sizeof(double));
}

void resolved_matrix_factor(resolved_matrix *matrix, double gamma)
{
    const int cells = matrix->cells, nz = matrix->nz, row = matrix->row;
    double *d = matrix->diagonal, *pivot = matrix->pivot;
    matrix->gamma = gamma;
    for (int c = 0; c < cells; c++) {
        d[c] = matrix->volume_m3[c] / matrix->slope_k_m3_j[c] +
               gamma * (matrix->down_w_k[c] + matrix->across_w_k[c] + matrix->along_w_k[c] +
                        (c % nz == 0 ? matrix->top_w_k[c / nz] : 0.0) +
                        (c >= 1 ? matrix->down_w_k[c - 1] : 0.0) +
                        (c >= nz ? matrix->across_w_k[c - nz] : 0.0) +
                        (c >= row ? matrix->along_w_k[c - row] : 0.0));
    }
    for (int c = 0; c < cells; c++) {
        double left = d[c];
        if (c >= 1) {
            const double a = gamma * matrix->down_w_k[c - 1];
            left -= a * a * pivot[c - 1];
        }
        if (c >= nz) {
            const double a = gamma * matrix->across_w_k[c - nz];
            left -= a * a * pivot[c - nz];
        }
        if (c >= row) {
            const double a = gamma * matrix->along_w_k[c - row];
            left -= a * a * pivot[c - row];
        }
        pivot[c] = 1.0 / left;
    }
}

static double dot(const double *a, const double *b, int count)
{
    double sum = 0.0;
    for (int n = 0; n < count; n++) {
        sum += a[n] * b[n];
    }
    return sum;
}

// product = matrix p.
static void multiply(resolved_matrix *matrix)
{
    const int cells = matrix->cells, nz = matrix->nz, row = matrix->row;
    const double gamma = matrix->gamma;
    const double *restrict p = matrix->p;
    double *restrict out = matrix->product;
    for (int c = 0; c < cells; c++) {
        double sum = 0.0;
        sum += c >= 1 ? matrix->down_w_k[c - 1] * p[c - 1] : 0.0;
        sum += c >= nz ? matrix->across_w_k[c - nz] * p[c - nz] : 0.0;
        sum += c >= row ? matrix->along_w_k[c - row] * p[c - row] : 0.0;
        sum += c + 1 < cells ? matrix->down_w_k[c] * p[c + 1] : 0.0;
        sum += c + nz < cells ? matrix->across_w_k[c] * p[c + nz] : 0.0;
        sum += c + row < cells ? matrix->along_w_k[c] * p[c + row] : 0.0;
        out[c] = matrix->diagonal[c] * p[c] - gamma * sum;
    }
}

// z = (L D L^T)^-1 r.
static void precondition(resolved_matrix *matrix)
{
    const int cells = matrix->cells, nz = matrix->nz, row = matrix->row;
    const double gamma = matrix->gamma, *pivot = matrix->pivot;
    double *z = matrix->z;
    for (int c = 0; c < cells; c++) {
        double sum = c >= nz ? matrix->across_w_k[c - nz] * z[c - nz] : 0.0;
        sum += c >= row ? matrix->along_w_k[c - row] * z[c - row] : 0.0;
        sum += c >= 1 ? matrix->down_w_k[c - 1] * z[c - 1] : 0.0;
        z[c] = (matrix->r[c] + gamma * sum) * pivot[c];
    }
    for (int c = cells - 1; c >= 0; c--) {
        double sum = c + nz < cells ? matrix->across_w_k[c] * z[c + nz] : 0.0;
        sum += c + row < cells ? matrix->along_w_k[c] * z[c + row] : 0.0;
        sum += c + 1 < cells ? matrix->down_w_k[c] * z[c + 1] : 0.0;
        z[c] += gamma * sum * pivot[c];
    }
}

bool resolved_matrix_solve(resolved_matrix *matrix, const double *b, double relative, double *out,
                           double *surface_w)
{
    enum { MOST = 3000 };
    const int cells = matrix->cells;
    double *x = matrix->x, *r = matrix->r, *z = matrix->z, *p = matrix->p;
    for (int c = 0; c < cells; c++) {
        x[c] = 0.0;
        r[c] = matrix->volume_m3[c] * b[c];
    }
    precondition(matrix);
    memcpy(p, z, (size_t)cells * sizeof *p);
    double energy = dot(r, z, cells);
    const double enough = relative * relative * energy;
    for (int n = 0; n < MOST && energy > enough; n++, matrix->iterations++) {
        multiply(matrix);
        const double step = energy / dot(p, matrix->product, cells);
        for (int c = 0; c < cells; c++) {
            x[c] += step * p[c];
            r[c] -= step * matrix->product[c];
        }
        precondition(matrix);
        const double next = dot(r, z, cells), keep = next / energy;
        for (int c = 0; c < cells; c++) {
            p[c] = z[c] + keep * p[c];
        }
        energy = next;
    }
    *surface_w = 0.0;
    for (int c = 0; c < cells; c += matrix->nz) {
        *surface_w -= matrix->top_w_k[c / matrix->nz] * x[c];
    }
    for (int c = 0; c < cells; c++) {
        out[c] = x[c] / matrix->slope_k_m3_j[c];
    }
    return energy <= enough;
}
