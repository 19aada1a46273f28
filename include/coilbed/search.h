// SPDX-License-Identifier: MIT
/// The least (or most) of one value that still holds: a bracketed search over any function of it.
#ifndef COILBED_SEARCH_H
#define COILBED_SEARCH_H

#include "coilbed/status.h"

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CB_SEARCH_POINTS = 64 };

/// The margin at a value: >= 0 holds. Errors end the search.
typedef cb_status cb_search_margin(void *context, double value, double *margin, cb_error *error);

/// A number near a value that reads better, much nearer than a step.
typedef double cb_search_snap(void *context, double value);

typedef struct cb_search {
    double low, high; ///< low < high, finite
    double step;      ///< > 0: the answer is known to hold, one step before it not to
    bool whole;       ///< only whole numbers are asked for; low and high are such, step 1 or more
    bool most;        ///< the largest value that holds is wanted, not the least
    double noise;     ///< margins that differ by less count as equal; >= 0
    int looks;        ///< points asked for beside the search, to see whether it is to be trusted
    int most_points;  ///< at most so many in all, 3 .. CB_SEARCH_POINTS
    cb_search_margin *margin;
    cb_search_snap *snap; ///< of the values between the ends; NULL: they are taken as they come
    void *context;
} cb_search;

typedef struct cb_search_point {
    double value, margin;
    bool look; ///< asked for beside the search
} cb_search_point;

typedef enum cb_search_outcome {
    CB_SEARCH_FOUND,     ///< `value` holds, `beyond` does not
    CB_SEARCH_ALL_HOLD,  ///< the range's own end holds: `value` is that end
    CB_SEARCH_NONE_HOLD, ///< no value asked for holds
    CB_SEARCH_UNFINISHED ///< as CB_SEARCH_FOUND, further apart than a step: points ran out
} cb_search_outcome;

typedef struct cb_search_result {
    cb_search_outcome outcome;
    double value;  ///< holds; NaN if none does
    double margin; ///< at value
    double
        beyond; ///< the nearest value asked for that does not hold on the other side; NaN if none
    /// Two points that a margin which always gets better one way cannot both have: from turn_from
    /// to turn_to (towards the end where it should hold) it gets worse by more than the noise.
    bool turns;
    double turn_from, turn_to;
    bool contradicted; ///< of two such points the one that should hold does not, the other does
    int count;
    cb_search_point point[CB_SEARCH_POINTS]; ///< in the order asked for
} cb_search_result;

/// Asks at both ends, then between what holds and what does not, where a straight line between
/// their margins crosses zero, or in the middle after a line that did not halve what was left,
/// until they are a step apart; then looks into the widest gaps between the points. Where no end
/// holds, or both, it only looks. Errors: CB_BAD_CALL; CB_NUMERICS for a margin that is not a
/// number; those of the margin. *result holds the points so far in every case.
cb_status cb_search_run(cb_search_result *result, const cb_search *search, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
