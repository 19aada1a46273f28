// SPDX-License-Identifier: MIT
#include "coil_two_scale.h"

#include <math.h>

double coil_diffusion_length_m(const coil_case *one, double time_s)
{
    return 2.0 * sqrt(one->conductivity_w_mk / one->heat_capacity_j_m3k * time_s);
}

double coil_pipe_per_metre(const coil_case *one, bool rings)
{
    return (rings ? ground_pi * one->diameter_m
                  : cb_coil_turn_length_m(one->diameter_m, one->pitch_m)) /
           one->pitch_m;
}

static double given_w_m(const void *context, double time_s)
{
    (void)time_s;
    return ((const coil_case *)context)->heat_w_m;
}

// The domain reaches beyond what heat can feel in the time, and in steady state so far that its
// sides and bottom, insulated, change the rise by a thousandth at most.
static ground_run *lay_out(const coil_case *one, bool rings, double time_s)
{
    const double reach_m = coil_diffusion_length_m(one, time_s);
    const double side_m = isinf(reach_m) ? 20.0 * one->depth_m + 30.0 : fmax(15.0, 2.5 * reach_m);
    const double bottom_m = isinf(reach_m) ? 200.0 : fmax(25.0, one->depth_m + 2.5 * reach_m);
    const cb_soil soil = ground_plain_soil(one->conductivity_w_mk, one->heat_capacity_j_m3k);
    cb_design design =
        ground_design(&soil, one->depth_m, fmin(side_m, 200.0), fmin(bottom_m, 200.0));
    design.field.layout = CB_FLAT_COIL;
    design.field.coil_diameter_m = one->diameter_m;
    design.field.coil_pitch_m = one->pitch_m;
    design.run.accuracy = one->accuracy;
    design.field.coil_rings = rings;
    design.field.pipe.outside_diameter_m = one->pipe_diameter_m;
    design.field.pipe.inside_diameter_m = 0.8 * one->pipe_diameter_m; // any: heat is given outside
    const ground_drive drive = {.pipe_w_m = given_w_m, .context = one, .relative_tolerance = 1e-6};
    ground_run *run = ground_run_field(&design, &drive);
    ground_run_start(run, 0.0);
    return run;
}

double coil_next_time(const double *time_s, int count, double after_s)
{
    double next_s = INFINITY;
    for (int n = 0; n < count; n++) {
        next_s = time_s[n] > after_s ? fmin(next_s, time_s[n]) : next_s;
    }
    return next_s;
}

double coil_last_time(const double *time_s, int count)
{
    double last_s = 0.0;
    for (int n = 0; n < count; n++) {
        last_s = isinf(time_s[n]) ? last_s : fmax(last_s, time_s[n]);
    }
    return last_s;
}

bool coil_wants_steady(const double *time_s, int count)
{
    bool steady = false;
    for (int n = 0; n < count; n++) {
        steady = steady || isinf(time_s[n]);
    }
    return steady;
}

void coil_put(const double *time_s, int count, double now_s, double value, double *rise_k)
{
    for (int n = 0; n < count; n++) {
        rise_k[n] = isnan(now_s) || time_s[n] == now_s ? value : rise_k[n];
    }
}

bool coil_two_scale_rises(const coil_case *one, bool rings, const double *time_s, int count,
                          double *rise_k, cb_error *error)
{
    const double last_s = coil_last_time(time_s, count);
    bool ok = true;
    coil_put(time_s, count, NAN, NAN, rise_k);
    if (last_s > 0.0) {
        ground_run *warming = lay_out(one, rings, last_s);
        ok = warming != NULL;
        for (double now_s = 0.0; (now_s = coil_next_time(time_s, count, now_s)) < INFINITY;) {
            ground_run_to(warming, now_s);
            coil_put(time_s, count, now_s, ground_wall_c(warming, 0), rise_k);
        }
        ground_run_destroy(warming);
    }
    if (ok && coil_wants_steady(time_s, count)) {
        ground_run *settled = lay_out(one, rings, INFINITY);
        ok = settled != NULL;
        ground_run_settle(settled);
        coil_put(time_s, count, INFINITY, ground_wall_c(settled, 0), rise_k);
        ground_run_destroy(settled);
    }
    if (!ok) {
        cb_fail(error, CB_NUMERICS,
                "the two-scale model cannot lay %s out: turns too dense for their depth",
                rings ? "these rings" : "this coil");
    }
    return ok;
}
