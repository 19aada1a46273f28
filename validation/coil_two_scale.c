// SPDX-License-Identifier: MIT
#include "coil_two_scale.h"

#include "loop/coil_rise.h"

#include <math.h>

double coil_diffusion_length_m(const coil_case *one, double time_s)
{
    return 2.0 * sqrt(one->conductivity_w_mk / one->heat_capacity_j_m3k * time_s);
}

static double steady_rise(const coil_case *one, double pipe_radius_m, bool rings)
{
    const cbx_coil_row row = {.coil_diameter_m = one->diameter_m,
                              .pitch_m = one->pitch_m,
                              .depth_m = one->depth_m,
                              .pipe_radius_m = pipe_radius_m,
                              .separate_rings = rings,
                              .diffusion_length_m = INFINITY};
    return cbx_coil_row_rise(&row);
}

double coil_pipe_per_metre(const coil_case *one, bool rings)
{
    return (rings ? ground_pi * one->diameter_m
                  : cb_coil_turn_length_m(one->diameter_m, one->pitch_m)) /
           one->pitch_m;
}

// Room that pipe and shells take from the block's cells, as sim/engine/layout.c spreads it.
static void take_room(cb_section *section, const cbx_run *run, double more_m3)
{
    double area_m2 = 0.0;
    for (int n = 0; n < run->block_cells; n++) {
        const int c = run->cell[n];
        area_m2 += section->dx_m[c / section->nz] * section->dz_m[c % section->nz];
    }
    for (int n = 0; n < run->block_cells; n++) {
        const int c = run->cell[n];
        const double cell_m2 = section->dx_m[c / section->nz] * section->dz_m[c % section->nz];
        const double whole_m3 = cell_m2 * section->depth_area_m;
        section->volume_m3[c] =
            fmax(0.1 * whole_m3, section->volume_m3[c] - more_m3 * cell_m2 / area_m2);
    }
}

// Spreads the heat over the block's columns as rings lie: their pipe between two distances across
// goes with the arc sine.
static void spread_as_rings(const cbx_system *system, const coil_case *one)
{
    const cb_section *section = system->section;
    cbx_run *run = &system->run[0];
    const double radius_m = 0.5 * one->diameter_m;
    double sum = 0.0;
    for (int n = 0, last; n < run->block_cells; n = last) {
        const int column = run->cell[n] / section->nz;
        double was = 0.0;
        for (last = n; last < run->block_cells && run->cell[last] / section->nz == column; last++) {
            was += run->weight[last];
        }
        const double low = fmin(fmax(section->x_edge_m[column] / radius_m, -1.0), 1.0);
        const double high = fmin(fmax(section->x_edge_m[column + 1] / radius_m, -1.0), 1.0);
        for (int c = n; c < last; c++) {
            run->weight[c] *= (asin(high) - asin(low)) / was;
            sum += run->weight[c];
        }
    }
    for (int n = 0; n < run->block_cells; n++) {
        run->weight[n] /= sum;
    }
}

// k times the mean rise of the block's cells per unit heat per metre of trench, steady.
static double rise_of_cells(ground_run *run, const coil_case *one)
{
    const cbx_run *pipe = &ground_run_system(run)->run[0];
    double sum = 0.0;
    ground_run_settle(run);
    for (int n = 0; n < pipe->block_cells; n++) {
        sum += pipe->weight[n] * ground_cell_c(run, pipe->cell[n]);
    }
    return sum * one->conductivity_w_mk / (one->heat_w_m * coil_pipe_per_metre(one, false));
}

double coil_two_scale_cells(const cbx_system *system, const coil_case *one)
{
    const cbx_near_field *shells = &system->run[0].near_field;
    return (steady_rise(one, shells->inner_m, false) -
            log(shells->outer_m / shells->inner_m) / (2.0 * ground_pi)) /
           coil_pipe_per_metre(one, false);
}

bool coil_two_scale_refit(cbx_system *system, const coil_case *one, bool rings, double cells)
{
    cbx_run *run = &system->run[0];
    cbx_near_field *shells = &run->near_field;
    const double radius_m = 0.5 * one->pipe_diameter_m;
    const double per_metre = coil_pipe_per_metre(one, rings);
    const double outer_m =
        radius_m * exp(2.0 * ground_pi * (steady_rise(one, radius_m, rings) - per_metre * cells));
    if (!(outer_m > 1.02 * radius_m)) {
        return false;
    }
    // Shells of rings reach further than those of the coil, for which the program chose their room;
    // they hold heat no further than those.
    const double was_edge_m = shells->radius_m[CBX_SHELLS];
    const double edge_m = outer_m * was_edge_m / shells->outer_m;
    const double heat_m = fmin(edge_m, was_edge_m * radius_m / shells->inner_m);
    const double pipe_m = run->pipe_m * per_metre / coil_pipe_per_metre(one, false);
    take_room(system->section, run,
              ground_pi * (pipe_m * heat_m * heat_m - run->pipe_m * was_edge_m * was_edge_m));
    run->pipe_m = pipe_m;
    shells->inner_m = radius_m;
    shells->outer_m = outer_m;
    for (int n = 0; n <= CBX_SHELLS; n++) {
        shells->radius_m[n] = radius_m * pow(edge_m / radius_m, (double)n / CBX_SHELLS);
    }
    for (int n = 0; n < CBX_SHELLS; n++) {
        const double low_m = fmin(shells->radius_m[n], heat_m);
        const double high_m = fmin(shells->radius_m[n + 1], heat_m);
        const double all_m = shells->radius_m[n + 1] - shells->radius_m[n];
        // A state needs some heat capacity.
        run->shell_volume_m3[n] =
            pipe_m * ground_pi * fmax(high_m - low_m, 0.01 * all_m) * (high_m + low_m);
    }
    return true;
}

// A pipe that the program knows, the smallest that is no smaller: only cells are chosen by it.
static const char *known_pipe(double diameter_m)
{
    const char *found = NULL, *largest = NULL;
    double found_m = INFINITY, largest_m = 0.0;
    for (int n = 0; cb_pipe_nominal(n); n++) {
        cb_pipe pipe;
        if (cb_pipe_find(&pipe, cb_pipe_nominal(n), 11.0, NULL) != CB_OK) {
            continue;
        }
        const double size_m = pipe.outside_diameter_m;
        if (size_m > largest_m) {
            largest = cb_pipe_nominal(n);
            largest_m = size_m;
        }
        if (size_m > diameter_m - 1e-4 && size_m < found_m) {
            found = cb_pipe_nominal(n);
            found_m = size_m;
        }
    }
    return found ? found : largest;
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
    design.field.pipe.nominal = known_pipe(one->pipe_diameter_m);
    const ground_drive drive = {.pipe_w_m = given_w_m, .context = one, .relative_tolerance = 1e-6};
    ground_run *run = ground_run_field(&design, &drive);
    if (run && rings) {
        spread_as_rings(ground_run_system(run), one);
    }
    ground_run_start(run, 0.0);
    return run;
}

// What the cells themselves rise: by the program's own estimate, or for rings, of which it knows
// none, by settling them.
static double cells_of(const coil_case *one, bool rings)
{
    ground_run *run = lay_out(one, rings, INFINITY);
    const double rise = !run    ? NAN
                        : rings ? rise_of_cells(run, one)
                                : coil_two_scale_cells(ground_run_system(run), one);
    ground_run_destroy(run);
    return rise;
}

static ground_run *create(const coil_case *one, bool rings, double cells, double time_s)
{
    ground_run *run = lay_out(one, rings, time_s);
    if (run && !coil_two_scale_refit(ground_run_system(run), one, rings, cells)) {
        run = ground_run_destroy(run);
    }
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
    const double cells = cells_of(one, rings), last_s = coil_last_time(time_s, count);
    bool ok = true;
    coil_put(time_s, count, NAN, NAN, rise_k);
    if (last_s > 0.0) {
        ground_run *warming = create(one, rings, cells, last_s);
        ok = warming != NULL;
        for (double now_s = 0.0; (now_s = coil_next_time(time_s, count, now_s)) < INFINITY;) {
            ground_run_to(warming, now_s);
            coil_put(time_s, count, now_s, ground_wall_c(warming, 0), rise_k);
        }
        ground_run_destroy(warming);
    }
    if (ok && coil_wants_steady(time_s, count)) {
        ground_run *settled = create(one, rings, cells, INFINITY);
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
