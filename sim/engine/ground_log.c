// SPDX-License-Identifier: MIT
#include "engine/ground_log.h"

#include <math.h>
#include <stdlib.h>

static const double pi = 3.14159265358979323846;
enum { DAY_HOURS = 24, FROST_EVERY_HOURS = 6 };

// Of one depth, since the log or its second part began.
typedef struct depth_log {
    double today_c; // sum of the hours of the day that goes on
    double sum, cosine, sine;
    double lowest_c, highest_c;
} depth_log;

// Deepest and longest of one year, or of all.
typedef struct winter_log {
    double frost_m, snow_m;
    long frost_hour, snow_hour;
    long cover_hours, longest_hours, longest_begins;
} winter_log;

struct cbx_ground_log {
    const cb_section *column;
    double start_day; // of the calendar year, of the run's first day
    int count;
    depth_log *depth; // [count]
    long days;
    winter_log year, all;
    double frost_of_years_m, snow_of_years_m, cover_of_years_h; // sums over whole years
};

static const winter_log no_winter = {.frost_hour = -1, .snow_hour = -1, .longest_begins = -1};

static void start(cbx_ground_log *log)
{
    for (int n = 0; n < log->count; n++) {
        log->depth[n] = (depth_log){.lowest_c = INFINITY, .highest_c = -INFINITY};
    }
    log->days = 0;
    log->year = log->all = no_winter;
    log->frost_of_years_m = log->snow_of_years_m = log->cover_of_years_h = 0.0;
}

cb_status cbx_ground_log_create(cbx_ground_log **log, cb_ground_summary **summary,
                                const cb_section *column, const cb_design_run *run, cb_error *error)
{
    const size_t count = (size_t)column->nz + 1;
    *summary = calloc(1, sizeof **summary);
    *log = calloc(1, sizeof **log);
    if (*summary && *log) {
        (*summary)->depth = calloc(count, sizeof *(*summary)->depth);
        (*log)->depth = calloc(count, sizeof *(*log)->depth);
    }
    if (!*summary || !*log || !(*summary)->depth || !(*log)->depth) {
        *summary = cb_ground_summary_destroy(*summary);
        *log = cbx_ground_log_destroy(*log);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the summary of the ground");
    }
    (*summary)->count = (*log)->count = (int)count;
    for (int k = 0; k < column->nz; k++) {
        (*summary)->depth[k + 1].depth_m = cb_row_depth_m(column, k);
    }
    (*log)->column = column;
    (*log)->start_day = cb_day_of_year(run->start_month, run->start_day);
    start(*log);
    return CB_OK;
}

cbx_ground_log *cbx_ground_log_destroy(cbx_ground_log *log)
{
    if (log) {
        free(log->depth);
        free(log);
    }
    return NULL;
}

double cbx_frost_depth_m(const cb_section *column, const double *temperature_c)
{
    int k = column->nz - 1;
    while (k >= 0 && temperature_c[k] > 0.0) {
        k--;
    }
    if (k < 0) {
        return 0.0;
    }
    const double above_m = cb_row_depth_m(column, k);
    if (k == column->nz - 1) {
        return above_m;
    }
    const double share = -temperature_c[k] / (temperature_c[k + 1] - temperature_c[k]);
    return above_m + share * (cb_row_depth_m(column, k + 1) - above_m);
}

// ---- hour by hour ----------------------------------------------------------------------------

static void note_winter(winter_log *winter, long hour, double frost_m, double snow_m)
{
    if (frost_m > winter->frost_m) {
        winter->frost_m = frost_m;
        winter->frost_hour = hour;
    }
    if (snow_m > winter->snow_m) {
        winter->snow_m = snow_m;
        winter->snow_hour = hour;
    }
    winter->cover_hours = snow_m >= CB_SNOW_LIES_M ? winter->cover_hours + 1 : 0;
    if (winter->cover_hours > winter->longest_hours) {
        winter->longest_hours = winter->cover_hours;
        winter->longest_begins = hour + 1 - winter->cover_hours;
    }
}

static void close_day(cbx_ground_log *log)
{
    const double angle = 2.0 * pi * ((double)log->days + 0.5) / CB_YEAR_DAYS;
    for (int n = 0; n < log->count; n++) {
        depth_log *depth = &log->depth[n];
        const double mean_c = depth->today_c / DAY_HOURS;
        depth->sum += mean_c;
        depth->cosine += mean_c * cos(angle);
        depth->sine += mean_c * sin(angle);
        depth->lowest_c = fmin(depth->lowest_c, mean_c);
        depth->highest_c = fmax(depth->highest_c, mean_c);
        depth->today_c = 0.0;
    }
    log->days++;
    if (log->days % CB_YEAR_DAYS == 0) {
        log->frost_of_years_m += log->year.frost_m;
        log->snow_of_years_m += log->year.snow_m;
        log->cover_of_years_h += (double)log->year.longest_hours;
        log->year = no_winter;
    }
}

void cbx_ground_log_hour(cbx_ground_log *log, long hour, const double *temperature_c,
                         const cb_yard_hour *yard)
{
    log->depth[0].today_c += yard->surface_c;
    for (int n = 1; n < log->count; n++) {
        log->depth[n].today_c += temperature_c[n - 1];
    }
    const double frost_m =
        hour % FROST_EVERY_HOURS == 0 ? cbx_frost_depth_m(log->column, temperature_c) : 0.0;
    note_winter(&log->year, hour, frost_m, yard->snow_depth_m);
    note_winter(&log->all, hour, frost_m, yard->snow_depth_m);
    if (hour % DAY_HOURS == DAY_HOURS - 1) {
        close_day(log);
    }
}

// ---- the ends --------------------------------------------------------------------------------

void cbx_ground_log_end_typical(cbx_ground_log *log, cb_ground_summary *summary)
{
    const double days = (double)log->days;
    for (int n = 0; n < log->count; n++) {
        const depth_log *from = &log->depth[n];
        cb_ground_depth *to = &summary->depth[n];
        to->mean_c = from->sum / days;
        to->amplitude_k = 2.0 / days * hypot(from->cosine, from->sine);
        const double coldest = atan2(-from->sine, -from->cosine) / (2.0 * pi);
        to->coldest_day =
            fmod(coldest * CB_YEAR_DAYS + log->start_day + CB_YEAR_DAYS, CB_YEAR_DAYS);
        to->lowest_c = from->lowest_c;
        to->highest_c = from->highest_c;
    }
    const double years = days / CB_YEAR_DAYS;
    summary->typical_frost_m = log->frost_of_years_m / years;
    summary->typical_snow_m = log->snow_of_years_m / years;
    summary->typical_snow_days = log->cover_of_years_h / years / DAY_HOURS;
    start(log);
}

void cbx_ground_log_end_run(cbx_ground_log *log, cb_ground_summary *summary)
{
    for (int n = 0; n < log->count; n++) {
        summary->depth[n].run_lowest_c = log->depth[n].lowest_c;
        summary->depth[n].run_highest_c = log->depth[n].highest_c;
    }
    summary->run_frost_m = log->all.frost_m;
    summary->run_frost_hour = log->all.frost_hour;
    summary->run_snow_m = log->all.snow_m;
    summary->run_snow_hour = log->all.snow_hour;
    summary->run_snow_days = (double)log->all.longest_hours / DAY_HOURS;
    summary->run_snow_begins = log->all.longest_begins;
    start(log);
}
