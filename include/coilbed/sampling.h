// SPDX-License-Identifier: MIT
/// Distributions and the points of a study in the unit cube.
///
/// Points are shares in (0, 1), one row per case; cb_distribution_quantile turns a share into a
/// value. The same seed gives the same bits.
#ifndef COILBED_SAMPLING_H
#define COILBED_SAMPLING_H

#include "coilbed/status.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cb_distribution_form {
    CB_NORMAL,    ///< a: mean, b: standard deviation
    CB_LOGNORMAL, ///< a: mean, b: standard deviation, both of the value itself; above 0
    CB_UNIFORM,   ///< a: lowest, b: highest
    CB_TRIANGULAR ///< a: lowest, b: most likely, c: highest
} cb_distribution_form;

typedef struct cb_distribution {
    cb_distribution_form form;
    double a, b, c;
    double low, high; ///< truncated to [low, high]; -INFINITY and INFINITY where it is not
} cb_distribution;

/// Errors: CB_BAD_INPUT, without a place, for a width that is not positive, bounds in the wrong
/// order, a log-normal mean that is not positive, a value that is not finite, or less than a
/// millionth of the distribution between low and high.
cb_status cb_distribution_check(const cb_distribution *distribution, cb_error *error);

/// Share of the untruncated distribution at or below x.
double cb_distribution_share(const cb_distribution *distribution, double x);

/// The value that `share` of the truncated distribution lies below.
/// @param share  in (0, 1)
double cb_distribution_quantile(const cb_distribution *distribution, double share);

/// One block of points.
typedef struct cb_points {
    size_t count, dimensions;
    unsigned seed;
} cb_points;

/// Latin hypercube: in every dimension, each of the `count` equal slices of (0, 1) holds exactly
/// one point, at a random place in it (McKay, Beckman & Conover 1979, from memory).
/// @param share  [count][dimensions], filled
/// Errors: CB_NO_MEMORY.
cb_status cb_points_latin(const cb_points *points, double *share, cb_error *error);

/// Sobol sequence, shifted along each dimension by a random amount that the seed sets, so that
/// another seed is another estimate (Cranley & Patterson 1976, from memory).
/// Errors: CB_BAD_INPUT for more than CB_MOST_SOBOL dimensions; CB_NO_MEMORY.
enum { CB_MOST_SOBOL = 40 };
cb_status cb_points_sobol(const cb_points *points, double *share, cb_error *error);

/// Makes independent points depend on each other by a Gaussian copula.
///
/// With `stratified`, the points keep the slices of a Latin hypercube: the copula then only says in
/// which order each dimension's slices are dealt out.
/// @param rank_correlation  [dimensions][dimensions] Spearman's coefficients, symmetric, ones on
///                          the diagonal
/// @param share             [count][dimensions], changed in place
/// Errors: CB_BAD_INPUT, without a place, if no set of values can have these correlations together;
/// CB_NO_MEMORY.
cb_status cb_points_correlate(const cb_points *points, const double *rank_correlation,
                              bool stratified, double *share, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
