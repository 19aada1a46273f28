// SPDX-License-Identifier: MIT
/// Thins hourly values without hiding an extreme.
#ifndef REPORT_THIN_H
#define REPORT_THIN_H

#include <stdbool.h>
#include <stddef.h>

/// A stretch of points at equal distance: every hour, or two for each bucket of hours, the least
/// and the greatest in the order in which they came.
typedef struct cbx_stretch {
    long first_hour, hours;
    int bucket_h; ///< 1: every hour
    size_t points;
} cbx_stretch;

typedef struct cbx_thin {
    int bucket_h;
    size_t count;
    cbx_stretch *stretch; ///< [count], owned
    size_t points;
} cbx_thin;

/// Hours around which nothing is left out.
typedef struct cbx_kept {
    const long *hour;
    size_t count;
    long around; ///< on either side
} cbx_kept;

/// The finest buckets that give about `most_points`, apart from what is kept. False without memory.
bool cbx_thin_plan(cbx_thin *thin, long hours, size_t most_points, const cbx_kept *kept);
void cbx_thin_free(cbx_thin *thin);

/// @param values  [hours]; NaN: nothing there
/// @param out     [thin->points]; NaN where a bucket holds nothing
void cbx_thin_apply(const cbx_thin *thin, const double *values, double *out);

#endif
