// SPDX-License-Identifier: MIT
#include "resolved_coil.h"

#include <math.h>

static cb_surface_exchange isothermal(const void *context, double time_s)
{
    (void)context, (void)time_s;
    return cb_film(0.0, ground_film_isothermal, 0.0);
}

static double given_w_m(const void *context, double time_s)
{
    (void)time_s;
    return ((const coil_case *)context)->heat_w_m;
}

static double at_rest(const void *context, double z_m)
{
    (void)context, (void)z_m;
    return 0.0;
}

resolved_plan resolved_coil_plan(const coil_case *one, pipe_path_kind kind)
{
    const double radius_m = 0.5 * one->pipe_diameter_m;
    return (resolved_plan){
        .path = {{kind, one->diameter_m, one->pitch_m, 0.0, one->depth_m, 0.0}},
        .paths = 1,
        .pipe_radius_m = radius_m,
        .cell_m = radius_m / resolved_radius_cells(1),
        .spread = 1,
        .surface_cell_m = 0.1,
        .growth = 0.18,
        .largest_m = 5.0,
        .side_m = 15.0,
        .bottom_m = 25.0,
        .mirror = kind != PATH_COIL,
        .soil = {ground_plain_soil(one->conductivity_w_mk, one->heat_capacity_j_m3k)},
        .soil_bottom_m = {25.0},
        .soils = 1,
        .drive = {isothermal, given_w_m, one},
    };
}

// The domain as in coil_two_scale.c.
static resolved_run *create(const coil_case *one, bool rings, double time_s, cb_error *error)
{
    static const resolved_accuracy accuracy = {1e-5, 1e-3, 0.0};
    const double reach_m = coil_diffusion_length_m(one, time_s);
    resolved_plan plan = resolved_coil_plan(one, rings ? PATH_RINGS : PATH_COIL);
    plan.side_m = isinf(reach_m) ? 20.0 * one->depth_m + 30.0 : fmax(15.0, 2.5 * reach_m);
    plan.bottom_m = isinf(reach_m) ? 200.0 : fmax(25.0, one->depth_m + 2.5 * reach_m);
    return resolved_run_create(&plan, &accuracy, at_rest, NULL, error);
}

bool resolved_coil_rises(const coil_case *one, bool rings, const double *time_s, int count,
                         double *rise_k, cb_error *error)
{
    bool ok = true;
    const double last_s = coil_last_time(time_s, count);
    coil_put(time_s, count, NAN, NAN, rise_k);
    if (last_s > 0.0) {
        resolved_run *warming = create(one, rings, last_s, error);
        ok = warming != NULL;
        for (double now_s = 0.0; ok && (now_s = coil_next_time(time_s, count, now_s)) < INFINITY;) {
            ok = resolved_run_to(warming, now_s);
            coil_put(time_s, count, now_s, resolved_run_wall_c(warming), rise_k);
        }
        resolved_run_destroy(warming);
    }
    if (ok && coil_wants_steady(time_s, count)) {
        resolved_run *settled = create(one, rings, INFINITY, error);
        ok = settled && resolved_run_settle(settled);
        coil_put(time_s, count, INFINITY, settled ? resolved_run_wall_c(settled) : NAN, rise_k);
        resolved_run_destroy(settled);
    }
    if (!ok && error && error->message[0] == '\0') {
        cb_fail(error, CB_NUMERICS, "the resolved model gave up");
    }
    return ok;
}
