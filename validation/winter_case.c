// SPDX-License-Identifier: MIT
#include "winter_case.h"

#include <math.h>
#include <time.h>

static const double half_spacing_m = 1.83; // trenches 12 ft apart mirror each other
static const char pipe_size[] = "3/4 in";

const winter_detail winter_plain = {1.5, 0.25, {1e-3, 0.02, 3600.0}};
const winter_detail winter_fine = {1.0, 0.15, {1e-4, 0.005, 3600.0}};

/// What both models are driven by.
typedef struct winter_drive {
    const winter_month *month;
    double peak_w_m;
} winter_drive;

static double heat_w_m(const void *context, double time_s)
{
    const winter_drive *drive = context;
    return -drive->peak_w_m * winter_month_share(drive->month, time_s);
}

static cb_surface_exchange surface(const void *context, double time_s)
{
    return winter_month_surface(((const winter_drive *)context)->month, time_s);
}

static double profile(const void *context, double z_m)
{
    return winter_month_profile_c(((const winter_drive *)context)->month, z_m);
}

// ---- two scales ------------------------------------------------------------------------------

static double outermost_m(const winter_case *one)
{
    double out_m = one->layout == CB_FLAT_COIL ? 0.5 * one->diameter_m : 0.0;
    for (int p = 0; p < one->pipes; p++) {
        out_m = fmax(out_m, fabs(one->pipe[p].across_m));
    }
    return out_m;
}

static ground_run *two_scale(const winter_case *one, const winter_drive *drive)
{
    cb_design design = ground_design(&drive->month->soil[0], one->depth_m,
                                     half_spacing_m - outermost_m(one), winter_bottom_m);
    for (int n = 0; n < drive->month->soils; n++) {
        design.ground.layer[n].soil = drive->month->soil[n];
        design.ground.layer[n].bottom_m = drive->month->soil_bottom_m[n];
    }
    design.ground.layer_count = drive->month->soils;
    design.ground.layer[drive->month->soils - 1].bottom_m = winter_bottom_m;
    design.ground.geothermal_flux_w_m2 = drive->month->design->ground.geothermal_flux_w_m2;
    design.field.layout = one->layout;
    design.field.coil_diameter_m = one->diameter_m;
    design.field.coil_pitch_m = one->pitch_m;
    design.field.straight_pipes = one->pipes;
    for (int p = 0; p < one->pipes; p++) {
        design.field.straight[p] = one->pipe[p];
    }
    design.field.pipe.nominal = pipe_size;
    const ground_drive with = {
        .surface = surface, .pipe_w_m = heat_w_m, .context = drive, .relative_tolerance = 1e-5};
    ground_run *run = ground_run_field(&design, &with);
    ground_run_start_profile(run, profile, drive);
    return run;
}

// Every run of the system, a straight pipe or half of upright turns, has as much pipe as the next.
static double mean_wall_c(ground_run *run)
{
    const int pipes = ground_run_system(run)->run_count;
    double sum = 0.0;
    for (int p = 0; p < pipes; p++) {
        sum += ground_wall_c(run, p);
    }
    return sum / pipes;
}

// ---- resolved --------------------------------------------------------------------------------

static resolved_plan resolved(const winter_case *one, const winter_drive *drive,
                              const winter_detail *detail, double radius_m)
{
    resolved_plan plan = {
        .path = {{one->layout == CB_UPRIGHT_COIL ? PATH_UPRIGHT : PATH_COIL, one->diameter_m,
                  one->pitch_m, 0.0, one->depth_m, 0.0}},
        .paths = 1,
        .pipe_radius_m = radius_m,
        .cell_m = detail->coarseness * radius_m / resolved_radius_cells(1),
        .spread = 1,
        .surface_cell_m = 0.02,
        .growth = detail->growth,
        .largest_m = 1.0,
        .side_m = half_spacing_m - outermost_m(one),
        .bottom_m = winter_bottom_m,
        .soils = drive->month->soils,
        .geothermal_flux_w_m2 = drive->month->design->ground.geothermal_flux_w_m2,
        .drive = {surface, heat_w_m, drive},
    };
    for (int n = 0; n < plan.soils; n++) {
        plan.soil[n] = drive->month->soil[n];
        plan.soil_bottom_m[n] = drive->month->soil_bottom_m[n];
    }
    for (int p = 0; p < one->pipes; p++) {
        plan.path[p] =
            (pipe_path){PATH_STRAIGHT, 0.0, 1.0, one->pipe[p].across_m, one->pipe[p].depth_m, 0.0};
        plan.paths = one->pipes;
    }
    return plan;
}

static double frozen_m3_m(const resolved_run *run)
{
    const resolved_cell *cell = resolved_run_cell(run);
    double sum = 0.0;
    for (int n = 0; n < cell->cells; n++) {
        const int k = n % cell->nz;
        // Below the frost that comes from the surface.
        if (cell->axis[2].edge_m[k] > 0.9) {
            sum += cell->temperature_c[n] < -0.5 ? cell->volume_m3[n] : 0.0;
        }
    }
    return sum / cell->pipe_m;
}

// Heat that came in and is neither stored nor accounted for, over all that the pipe took.
static double missing_heat(const resolved_run *run, const winter_drive *drive, double start_j)
{
    const resolved_cell *cell = resolved_run_cell(run);
    double taken_j = 0.0, area_m2 = 0.0;
    for (int h = 0; h < WINTER_HOURS; h++) { // linear pieces that meet at hour middles
        taken_j +=
            1800.0 * (0.5 * heat_w_m(drive, 3600.0 * h) + heat_w_m(drive, 3600.0 * (h + 0.5)) +
                      0.5 * heat_w_m(drive, 3600.0 * (h + 1)));
    }
    taken_j *= cell->pipe_m;
    for (int c = cell->nz - 1; c < cell->cells; c += cell->nz) {
        area_m2 += cell->volume_m3[c] /
                   (cell->axis[2].edge_m[cell->nz] - cell->axis[2].edge_m[cell->nz - 1]);
    }
    const double bottom_j = cell->plan.geothermal_flux_w_m2 * area_m2 * 3600.0 * WINTER_HOURS;
    const double change_j = resolved_run_stored_j(run) - start_j;
    return (change_j - taken_j - bottom_j - resolved_run_surface_j(run)) / fabs(taken_j);
}

// ---- both ------------------------------------------------------------------------------------

static bool run_resolved(const winter_case *one, const winter_drive *drive,
                         const winter_detail *detail, double radius_m, winter_result *out,
                         cb_error *error)
{
    const resolved_plan plan = resolved(one, drive, detail, radius_m);
    resolved_run *run = resolved_run_create(&plan, &detail->accuracy, profile, drive, error);
    bool ok = run != NULL;
    const double start_j = ok ? resolved_run_stored_j(run) : 0.0;
    for (int h = 0; ok && h < WINTER_HOURS; h++) {
        ok = resolved_run_to(run, 3600.0 * (h + 1));
        out->resolved_c[h] = resolved_run_wall_c(run);
    }
    if (ok) {
        out->cells = resolved_run_cell(run)->cells;
        out->frozen_m3_m = frozen_m3_m(run);
        out->missing_heat = missing_heat(run, drive, start_j);
        resolved_run_count(run, &out->steps, &out->iterations);
    } else if (run) {
        cb_fail(error, CB_NUMERICS, "%s: the resolved model gave up", one->name);
    }
    resolved_run_destroy(run);
    return ok;
}

static void judge(winter_result *out)
{
    out->two_scale_coldest_c = out->resolved_coldest_c = INFINITY;
    double square = 0.0;
    for (int h = 0; h < WINTER_HOURS; h++) {
        const double difference = out->two_scale_c[h] - out->resolved_c[h];
        out->two_scale_coldest_c = fmin(out->two_scale_coldest_c, out->two_scale_c[h]);
        out->resolved_coldest_c = fmin(out->resolved_coldest_c, out->resolved_c[h]);
        square += difference * difference;
        out->largest_k = fabs(difference) > fabs(out->largest_k) ? difference : out->largest_k;
    }
    out->rms_k = sqrt(square / WINTER_HOURS);
}

bool winter_case_run(const winter_case *one, const winter_month *month, const winter_detail *detail,
                     winter_result *out, cb_error *error)
{
    const clock_t begin = clock();
    const winter_drive drive = {month, one->peak_w_m};
    cb_pipe pipe;
    *out = (winter_result){0};
    if (cb_pipe_find(&pipe, pipe_size, 11.0, error) != CB_OK) {
        return false;
    }
    ground_run *run = two_scale(one, &drive);
    if (!run) {
        cb_fail(error, CB_NUMERICS, "%s: the two-scale model cannot lay it out", one->name);
        return false;
    }
    for (int h = 0; h < WINTER_HOURS; h++) {
        ground_run_to(run, 3600.0 * (h + 1));
        out->two_scale_c[h] = mean_wall_c(run);
    }
    ground_run_destroy(run);
    const bool ok = run_resolved(one, &drive, detail, 0.5 * pipe.outside_diameter_m, out, error);
    judge(out);
    out->seconds = (double)(clock() - begin) / CLOCKS_PER_SEC;
    return ok;
}
