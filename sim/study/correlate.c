// SPDX-License-Identifier: MIT
#include "coilbed/sampling.h"

#include "study/gsl_call.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

// A Gaussian copula whose normals have the correlation r has Spearman's rank correlation
//     rho = 6/pi asin(r/2),  hence  r = 2 sin(pi rho / 6)
// (Kruskal 1958, J. Am. Stat. Assoc. 53, 814-861, from memory).
static double normal_correlation(double rank_correlation)
{
    return 2 * sin(acos(-1) * rank_correlation / 6);
}

static cb_status factor(gsl_matrix *matrix, size_t n, const double *rank_correlation,
                        cb_error *error)
{
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++) {
            gsl_matrix_set(matrix, i, j,
                           i == j ? 1 : normal_correlation(rank_correlation[i * n + j]));
        }
    }
    if (gsl_linalg_cholesky_decomp1(matrix) != GSL_SUCCESS) {
        return cb_fail(error, CB_BAD_INPUT,
                       "no values can be correlated like this all at once: the correlations "
                       "contradict each other");
    }
    return CB_OK;
}

// In place, from the last dimension on: each sum needs only those before it.
static void mix(const cb_points *points, const gsl_matrix *lower, double *share)
{
    const size_t n = points->dimensions;
    for (size_t i = 0; i < points->count; i++) {
        double *row = share + i * n;
        for (size_t d = 0; d < n; d++) {
            row[d] = gsl_cdf_ugaussian_Pinv(row[d]);
        }
        for (size_t d = n; d-- > 0;) {
            double sum = 0;
            for (size_t j = 0; j <= d; j++) {
                sum += gsl_matrix_get(lower, d, j) * row[j];
            }
            row[d] = sum;
        }
        for (size_t d = 0; d < n; d++) {
            row[d] = fmin(fmax(gsl_cdf_ugaussian_P(row[d]), 1e-15), 1 - 1e-15);
        }
    }
}

typedef struct entry {
    double key;
    size_t row;
} entry;

static int by_key(const void *left, const void *right)
{
    const entry *a = left, *b = right;
    if (a->key != b->key) {
        return a->key < b->key ? -1 : 1;
    }
    return (a->row > b->row) - (a->row < b->row);
}

// Deals the values of one column of `from` out in the order of the same column of `to`.
static void deal_in_order(const cb_points *points, size_t d, const double *from, double *to,
                          entry *work)
{
    const size_t n = points->dimensions, count = points->count;
    entry *value = work + count;
    for (size_t i = 0; i < count; i++) {
        work[i] = (entry){to[i * n + d], i};
        value[i] = (entry){from[i * n + d], i};
    }
    qsort(work, count, sizeof *work, by_key);
    qsort(value, count, sizeof *value, by_key);
    for (size_t i = 0; i < count; i++) {
        to[work[i].row * n + d] = value[i].key;
    }
}

cb_status cb_points_correlate(const cb_points *points, const double *rank_correlation,
                              bool stratified, double *share, cb_error *error)
{
    const size_t n = points->dimensions, values = points->count * n;
    gsl_error_handler_t *before = cbx_gsl_begin();
    gsl_matrix *matrix = gsl_matrix_alloc(n, n);
    double *own = calloc(values ? values : 1, sizeof *own);
    entry *work = calloc(2 * points->count + 1, sizeof *work);
    const bool room = matrix && own && work;
    const cb_status status =
        room ? factor(matrix, n, rank_correlation, error)
             : cb_fail(error, CB_NO_MEMORY, "no memory for the points of a study");
    if (room && status == CB_OK) {
        memcpy(own, share, values * sizeof *own);
        mix(points, matrix, share);
        for (size_t d = 0; stratified && d < n; d++) {
            deal_in_order(points, d, own, share, work);
        }
    }
    free(work);
    free(own);
    gsl_matrix_free(matrix);
    cbx_gsl_end(before);
    return status;
}
