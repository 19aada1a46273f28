// SPDX-License-Identifier: MIT
#include "report/thin.h"

#include <math.h>
#include <stdlib.h>

/// Even, so that two points share a bucket at equal distance.
static int bucket_for(long hours, size_t most_points)
{
    if (hours <= (long)most_points) {
        return 1;
    }
    int bucket = 4;
    while (2 * ((hours + bucket - 1) / bucket) > (long)most_points) {
        bucket += 2;
    }
    return bucket;
}

static void keep_around(bool *full, long buckets, int bucket_h, const cbx_kept *kept)
{
    for (size_t i = 0; i < kept->count; i++) {
        if (kept->hour[i] < 0) {
            continue;
        }
        const long from = (kept->hour[i] - kept->around) / bucket_h;
        const long to = (kept->hour[i] + kept->around) / bucket_h;
        for (long b = from > 0 ? from : 0; b <= to && b < buckets; b++) {
            full[b] = true;
        }
    }
}

static bool same(const bool *full, long a, long b)
{
    return full[a] == full[b];
}

bool cbx_thin_plan(cbx_thin *thin, long hours, size_t most_points, const cbx_kept *kept)
{
    const int bucket_h = bucket_for(hours, most_points);
    const long buckets = (hours + bucket_h - 1) / bucket_h;
    *thin = (cbx_thin){.bucket_h = bucket_h};
    bool *full = calloc((size_t)buckets + 1, sizeof *full);
    thin->stretch = calloc((size_t)buckets + 1, sizeof *thin->stretch);
    if (!full || !thin->stretch) {
        free(full);
        cbx_thin_free(thin);
        return false;
    }
    keep_around(full, buckets, bucket_h, kept);
    if (buckets > 0 && hours % bucket_h != 0) {
        full[buckets - 1] = true; // a bucket that the run's end cuts
    }
    for (long b = 0; b < buckets;) {
        long end = b + 1;
        while (bucket_h > 1 && end < buckets && same(full, b, end)) {
            end++;
        }
        end = bucket_h > 1 ? end : buckets;
        const long last = end * bucket_h < hours ? end * bucket_h : hours;
        const bool every = bucket_h == 1 || full[b];
        cbx_stretch *stretch = &thin->stretch[thin->count++];
        *stretch = (cbx_stretch){.first_hour = b * bucket_h,
                                 .hours = last - b * bucket_h,
                                 .bucket_h = every ? 1 : bucket_h};
        stretch->points = (size_t)(every ? stretch->hours : 2 * (end - b));
        thin->points += stretch->points;
        b = end;
    }
    free(full);
    return true;
}

void cbx_thin_free(cbx_thin *thin)
{
    free(thin->stretch);
    *thin = (cbx_thin){0};
}

static void two_of(const double *values, int count, double out[2])
{
    int low = -1, high = -1;
    for (int i = 0; i < count; i++) {
        if (isnan(values[i])) {
            continue;
        }
        low = low < 0 || values[i] < values[low] ? i : low;
        high = high < 0 || values[i] > values[high] ? i : high;
    }
    out[0] = low < 0 ? (double)NAN : values[low < high ? low : high];
    out[1] = low < 0 ? (double)NAN : values[low < high ? high : low];
}

void cbx_thin_apply(const cbx_thin *thin, const double *values, double *out)
{
    for (size_t s = 0; s < thin->count; s++) {
        const cbx_stretch *stretch = &thin->stretch[s];
        const double *from = values + stretch->first_hour;
        for (size_t p = 0; stretch->bucket_h == 1 && p < stretch->points; p++) {
            *out++ = from[p];
        }
        for (long h = 0; stretch->bucket_h > 1 && h < stretch->hours; h += stretch->bucket_h) {
            two_of(from + h, stretch->bucket_h, out);
            out += 2;
        }
    }
}
