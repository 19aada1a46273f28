// SPDX-License-Identifier: MIT
#include "coilbed/statistics.h"

#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

cb_status cb_quantiles(const double *value, size_t n, const double *share, double *quantile,
                       size_t count, cb_error *error)
{
    if (n < 1) {
        return cb_fail(error, CB_BAD_CALL, "quantiles need a value");
    }
    double *sorted = malloc(n * sizeof *sorted);
    if (!sorted) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for statistics");
    }
    memcpy(sorted, value, n * sizeof *sorted);
    gsl_sort(sorted, 1, n);
    for (size_t i = 0; i < count; i++) {
        quantile[i] = gsl_stats_quantile_from_sorted_data(sorted, 1, n, share[i]);
    }
    free(sorted);
    return CB_OK;
}

cb_proportion cb_wilson(size_t hits, size_t n)
{
    const double z = 1.959963984540054; // 97.5 % quantile of the standard normal distribution
    const double count = (double)n, p = (double)hits / count, spread = z * z / count;
    const double middle = (p + spread / 2) / (1 + spread);
    const double half = z / (1 + spread) * sqrt(p * (1 - p) / count + spread / (4 * count));
    return (cb_proportion){.share = p,
                           .low = hits == 0 ? 0 : fmax(middle - half, 0),
                           .high = hits == n ? 1 : fmin(middle + half, 1)};
}

static bool varies(const double *value, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        if (value[i] != value[0]) {
            return true;
        }
    }
    return false;
}

cb_status cb_spearman(const double *x, const double *y, size_t n, double *correlation,
                      cb_error *error)
{
    if (n < 2) {
        return cb_fail(error, CB_BAD_CALL, "a correlation needs two values");
    }
    *correlation = NAN;
    if (!varies(x, n) || !varies(y, n)) {
        return CB_OK;
    }
    double *work = malloc(2 * n * sizeof *work);
    if (!work) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for statistics");
    }
    *correlation = gsl_stats_spearman(x, 1, y, 1, n, work);
    free(work);
    return CB_OK;
}

// Of A and B together: the centre is taken off first, or products of large means drown the answer.
static void mean_and_variance(const cb_sobol_runs *runs, double *mean, double *variance)
{
    const double rows = (double)runs->rows;
    double sum = 0, squares = 0;
    for (size_t i = 0; i < runs->rows; i++) {
        sum += runs->a[i] + runs->b[i];
    }
    *mean = sum / (2 * rows);
    for (size_t i = 0; i < runs->rows; i++) {
        squares += (runs->a[i] - *mean) * (runs->a[i] - *mean) +
                   (runs->b[i] - *mean) * (runs->b[i] - *mean);
    }
    *variance = squares / (2 * rows);
}

typedef struct running {
    double sum, squares;
} running;

static void add(running *to, double value)
{
    to->sum += value;
    to->squares += value * value;
}

static double standard_error(const running *of, double rows)
{
    const double mean = of->sum / rows;
    return sqrt(fmax(of->squares / rows - mean * mean, 0) / (rows - 1));
}

cb_status cb_sobol_indices(const cb_sobol_runs *runs, cb_sobol_index *index, cb_error *error)
{
    if (runs->rows < 2) {
        return cb_fail(error, CB_BAD_CALL, "Sobol indices need two rows of runs");
    }
    const double rows = (double)runs->rows;
    double mean = 0, variance = 0;
    mean_and_variance(runs, &mean, &variance);
    for (size_t f = 0; f < runs->factors; f++) {
        const double *ab = runs->ab + f * runs->rows;
        running first = {0}, total = {0};
        for (size_t i = 0; i < runs->rows; i++) {
            const double change = ab[i] - runs->a[i];
            add(&first, (runs->b[i] - mean) * change);
            add(&total, change * change / 2);
        }
        const double scale = variance > 0 ? 1 / variance : NAN;
        index[f] = (cb_sobol_index){.first = scale * first.sum / rows,
                                    .first_error = scale * standard_error(&first, rows),
                                    .total = scale * total.sum / rows,
                                    .total_error = scale * standard_error(&total, rows)};
    }
    return CB_OK;
}
