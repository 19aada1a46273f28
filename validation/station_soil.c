// SPDX-License-Identifier: MIT
#include "station.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

static const double spike_k = 2.0, spikes_from_m = 0.999;
enum { WEEK = 7 };

static double day_mean(const double *value, int per_day)
{
    double sum = 0.0;
    int count = 0;
    for (int n = 0; n < per_day; n++) {
        if (isfinite(value[n])) {
            sum += value[n];
            count++;
        }
    }
    return 4 * count >= 3 * per_day ? sum / count : NAN;
}

static double week_median(const double *value, int days, int day)
{
    double sorted[WEEK];
    int count = 0;
    for (int n = day - WEEK / 2; n <= day + WEEK / 2; n++) {
        if (n < 0 || n >= days || !isfinite(value[n])) {
            continue;
        }
        int place = count++;
        for (; place > 0 && sorted[place - 1] > value[n]; place--) {
            sorted[place] = sorted[place - 1];
        }
        sorted[place] = value[n];
    }
    return count < 3 ? NAN : 0.5 * (sorted[(count - 1) / 2] + sorted[count / 2]);
}

static bool mask_spikes(double *value, int days)
{
    bool *spike = calloc((size_t)days, sizeof *spike);
    if (!spike) {
        return false;
    }
    for (int day = 0; day < days; day++) {
        spike[day] = fabs(value[day] - week_median(value, days, day)) > spike_k;
    }
    for (int day = 0; day < days; day++) {
        value[day] = spike[day] ? NAN : value[day];
    }
    free(spike);
    return true;
}

cb_status station_daily_soil(station *one, cb_error *error)
{
    for (int d = 0; d < one->depths; d++) {
        double *mean = calloc((size_t)one->days, sizeof *mean);
        one->daily_c[d] = mean;
        for (int day = 0; day < one->days && mean; day++) {
            mean[day] = day_mean(one->soil_c[d] + (long)day * one->per_day, one->per_day);
        }
        if (!mean || (one->depth_m[d] >= spikes_from_m && !mask_spikes(mean, one->days))) {
            return cb_fail(error, CB_NO_MEMORY, "no memory for %s", one->file);
        }
    }
    return CB_OK;
}
