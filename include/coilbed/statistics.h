// SPDX-License-Identifier: MIT
/// What a set of samples says: quantiles, probabilities, rank correlations, Sobol indices.
///
/// Values must be finite; the caller leaves out cases that failed.
#ifndef COILBED_STATISTICS_H
#define COILBED_STATISTICS_H

#include "coilbed/status.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/// Quantiles of n >= 1 values, linear between order statistics (the smallest value is the 0, the
/// largest the 1 quantile).
/// @param share     [count] in [0, 1]
/// @param quantile  [count], filled
/// Errors: CB_BAD_CALL for no values; CB_NO_MEMORY.
cb_status cb_quantiles(const double *value, size_t n, const double *share, double *quantile,
                       size_t count, cb_error *error);

typedef struct cb_proportion {
    double share;     ///< hits / n
    double low, high; ///< of the interval that covers the true probability with 95 %
} cb_proportion;

/// Wilson's score interval (E. B. Wilson 1927, J. Am. Stat. Assoc. 22, 209-212, from memory); it
/// stays within 0 and 1 and says something for 0 hits too. n >= 1.
cb_proportion cb_wilson(size_t hits, size_t n);

/// Spearman's rank correlation, ties at their mean rank; NaN if one of them never changes.
/// Errors: CB_BAD_CALL for fewer than two values; CB_NO_MEMORY.
cb_status cb_spearman(const double *x, const double *y, size_t n, double *correlation,
                      cb_error *error);

/// Results of a Saltelli scheme: two independent sets of `rows` points, A and B, and for each of
/// the `factors` a set that is A with that one factor's column from B: rows * (factors + 2) runs.
typedef struct cb_sobol_runs {
    size_t rows, factors;
    const double *a, *b; ///< [rows]
    const double *ab;    ///< [factors][rows]
} cb_sobol_runs;

typedef struct cb_sobol_index {
    double first, first_error; ///< share of the variance that this factor alone explains
    double total, total_error; ///< ... and with all that it does together with others
} cb_sobol_index;

/// First order by Saltelli et al. 2010 (Comput. Phys. Commun. 181, 259-270, table 2 (b), from
/// memory), total by Jansen 1999 (ibid. (f)). The errors are standard errors of the mean over the
/// rows, with the variance taken as known. NaN where the results do not vary.
/// @param index  [factors], filled
/// Errors: CB_BAD_CALL for fewer than two rows.
cb_status cb_sobol_indices(const cb_sobol_runs *runs, cb_sobol_index *index, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
