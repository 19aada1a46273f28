// SPDX-License-Identifier: MIT
#include "weather/smooth.h"
#include "weather/calendar.h"

#include <assert.h>
#include <math.h>
#include <string.h>

// A closed ring of blocks, each of some samples: days of hours, months of days or hours.
typedef struct ring {
    int blocks;
    int length[CB_YEAR_DAYS]; // samples in each block
} ring;

static void days_ring(ring *r)
{
    r->blocks = CB_YEAR_DAYS;
    for (int i = 0; i < CB_YEAR_DAYS; i++) {
        r->length[i] = 24;
    }
}

static void months_ring(ring *r, int per_day)
{
    r->blocks = CB_MONTHS;
    for (int i = 0; i < CB_MONTHS; i++) {
        r->length[i] = cbx_month_days[i] * per_day;
    }
}

static void interpolate(const ring *r, const double *point, double *out)
{
    for (int b = 0; b < r->blocks; b++) {
        const int before = (b + r->blocks - 1) % r->blocks, after = (b + 1) % r->blocks;
        const double half = r->length[b] / 2.0;
        for (int i = 0; i < r->length[b]; i++) {
            const double from_middle = i + 0.5 - half;
            const int other = from_middle < 0 ? before : after;
            const double share = fabs(from_middle) / (half + r->length[other] / 2.0);
            *out++ = point[b] + share * (point[other] - point[b]);
        }
    }
}

static void block_means(const ring *r, const double *series, double *mean)
{
    for (int b = 0; b < r->blocks; b++) {
        double sum = 0;
        for (int i = 0; i < r->length[b]; i++) {
            sum += *series++;
        }
        mean[b] = sum / r->length[b];
    }
}

// The mean of a block is about (before + 6 point + after) / 8, so correcting each point by what is
// missing at least halves the worst remainder: 60 rounds reach rounding.
static void smooth(const ring *r, const double *mean, double *out)
{
    double point[CB_YEAR_DAYS], got[CB_YEAR_DAYS];
    memcpy(point, mean, (size_t)r->blocks * sizeof *point);
    for (int round = 0; round < 60; round++) {
        interpolate(r, point, out);
        block_means(r, out, got);
        for (int b = 0; b < r->blocks; b++) {
            point[b] += mean[b] - got[b];
        }
    }
    interpolate(r, point, out);
}

void cbx_interpolate_days(const double day[CB_YEAR_DAYS], double hour[CB_YEAR_HOURS])
{
    ring r;
    days_ring(&r);
    interpolate(&r, day, hour);
}

void cbx_interpolate_months(const double month[CB_MONTHS], int per_day, double *out)
{
    ring r;
    months_ring(&r, per_day);
    interpolate(&r, month, out);
}

void cbx_smooth_days(const double mean[CB_YEAR_DAYS], double hour[CB_YEAR_HOURS])
{
    ring r;
    days_ring(&r);
    smooth(&r, mean, hour);
}

void cbx_smooth_months(const double mean[CB_MONTHS], int per_day, double *out)
{
    ring r;
    months_ring(&r, per_day);
    smooth(&r, mean, out);
}

void cbx_month_means(const double *series, int per_day, double mean[CB_MONTHS])
{
    ring r;
    months_ring(&r, per_day);
    block_means(&r, series, mean);
}

void cbx_recentre_months(double *series, int per_day, const double mean[CB_MONTHS])
{
    assert(per_day == 1 || per_day == 24);
    double missing[CB_MONTHS] = {0}, curve[CB_YEAR_HOURS];
    cbx_month_means(series, per_day, missing);
    for (int m = 0; m < CB_MONTHS; m++) {
        missing[m] = mean[m] - missing[m];
    }
    cbx_smooth_months(missing, per_day, curve);
    for (int i = 0; i < CB_YEAR_DAYS * per_day; i++) {
        series[i] += curve[i];
    }
}
