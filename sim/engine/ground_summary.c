// SPDX-License-Identifier: MIT
#include "coilbed/engine.h"

#include "engine/assemble.h"
#include "engine/undisturbed.h"

#include <math.h>
#include <stdlib.h>

cb_status cb_ground_summary_create(cb_ground_summary **out, const cb_design *design,
                                   const cb_run_weather *weather, cb_error *error)
{
    *out = NULL;
    cbx_system *system = NULL;
    cb_section *column = NULL;
    cbx_undisturbed *ground = NULL;
    cb_status status = cbx_system_create(&system, design, weather, NULL, error);
    if (status == CB_OK) {
        status = cbx_column_section_create(&column, system, error);
    }
    if (status == CB_OK) {
        status = cbx_undisturbed_create(&ground, column, design, weather, error);
    }
    if (status == CB_OK) {
        *out = ground->summary;
        ground->summary = NULL;
    }
    cbx_undisturbed_destroy(ground);
    cb_section_destroy(column);
    cbx_system_destroy(system);
    return status;
}

cb_ground_summary *cb_ground_summary_destroy(cb_ground_summary *summary)
{
    if (summary) {
        free(summary->depth);
        free(summary);
    }
    return NULL;
}

static double between(double a, double b, double share)
{
    return a + share * (b - a);
}

// The coldest day comes later with depth and may pass the turn of the year on the way.
static double day_between(double a, double b, double share)
{
    const double ahead = remainder(b - a, CB_YEAR_DAYS);
    return fmod(a + share * ahead + CB_YEAR_DAYS, CB_YEAR_DAYS);
}

cb_ground_depth cb_ground_at(const cb_ground_summary *summary, double depth_m)
{
    int n = 1;
    while (n < summary->count && summary->depth[n].depth_m < depth_m) {
        n++;
    }
    if (n == summary->count) {
        return summary->depth[n - 1];
    }
    const cb_ground_depth *a = &summary->depth[n - 1], *b = &summary->depth[n];
    const double share = (depth_m - a->depth_m) / (b->depth_m - a->depth_m);
    return (cb_ground_depth){
        .depth_m = depth_m,
        .mean_c = between(a->mean_c, b->mean_c, share),
        .amplitude_k = between(a->amplitude_k, b->amplitude_k, share),
        .coldest_day = day_between(a->coldest_day, b->coldest_day, share),
        .lowest_c = between(a->lowest_c, b->lowest_c, share),
        .highest_c = between(a->highest_c, b->highest_c, share),
        .run_lowest_c = between(a->run_lowest_c, b->run_lowest_c, share),
        .run_highest_c = between(a->run_highest_c, b->run_highest_c, share),
    };
}
