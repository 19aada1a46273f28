// SPDX-License-Identifier: MIT
// Order of accuracy in space, and what a column keeps through freezing and thawing.
#include "cases.h"

#include "ground_run.h"

#include <math.h>
#include <stdlib.h>

// ---- order -----------------------------------------------------------------------------------

// Manufactured: T = cos(pi x / L) sin(pi z / 2 D), with no flux at the sides and the bottom and 0
// at the surface; its source is k (pi^2 / L^2 + pi^2 / 4 D^2) T.
static const double width_m = 3.0, depth_m = 2.0, conductivity = 1.5;

static double manufactured(double x_m, double z_m)
{
    return cos(ground_pi * x_m / width_m) * sin(0.5 * ground_pi * z_m / depth_m);
}

/// Edges of a smooth map: halving the step of its argument halves every cell.
static void fill_edges(double *edge_m, int cells, double length_m, double grading)
{
    for (int n = 0; n <= cells; n++) {
        const double s = (double)n / cells;
        edge_m[n] = length_m * (grading > 0.0 ? expm1(grading * s) / expm1(grading) : s);
    }
}

enum { MOST_CELLS = 80 };

/// Worst error at cell centres with `cells` each way.
static double steady_error(int cells, double grading)
{
    double x_m[MOST_CELLS + 1], z_m[MOST_CELLS + 1], source_w[MOST_CELLS * MOST_CELLS];
    fill_edges(x_m, cells, width_m, grading);
    fill_edges(z_m, cells, depth_m, grading);
    const double across = ground_pi / width_m, down = 0.5 * ground_pi / depth_m;
    const double strength = conductivity * (across * across + down * down);
    for (int c = 0; c < cells * cells; c++) {
        const double *x = x_m + c / cells, *z = z_m + c % cells;
        source_w[c] = strength * manufactured(0.5 * (x[0] + x[1]), 0.5 * (z[0] + z[1])) *
                      (x[1] - x[0]) * (z[1] - z[0]);
    }
    const cb_soil soil = ground_plain_soil(conductivity, 2.5e6);
    const ground_drive drive = {.cell_w = source_w};
    const cb_axis x = {cells, x_m}, z = {cells, z_m};
    ground_run *run = ground_run_section(&x, &z, &soil, &drive);
    ground_run_start(run, 0.0);
    ground_run_settle(run);
    double worst = 0.0;
    for (int c = 0; c < cells * cells; c++) {
        const double at_x = 0.5 * (x_m[c / cells] + x_m[c / cells + 1]);
        const double at_z = 0.5 * (z_m[c % cells] + z_m[c % cells + 1]);
        const double error = fabs(ground_at(run, at_x, at_z) - manufactured(at_x, at_z));
        worst = !(error <= worst) ? error : worst; // NaN stays
    }
    ground_run_destroy(run);
    return worst;
}

static void run_order(validation_table *table)
{
    static const struct {
        const char *what;
        double grading;
    } grids[] = {{"equal cells", 0.0}, {"cells growing fourfold", 1.386294}};
    for (size_t n = 0; n < sizeof grids / sizeof *grids; n++) {
        // Unequal cells add a third-order term, so that the ratio nears 4 from below.
        const double slack = grids[n].grading > 0.0 ? 0.3 : 0.05;
        const double coarse = steady_error(20, grids[n].grading);
        const double middle = steady_error(40, grids[n].grading);
        const double fine = steady_error(80, grids[n].grading);
        validation_row(table, 4.0, coarse / middle, slack, "%s, error at 20 over error at 40 cells",
                       grids[n].what);
        validation_row(table, 4.0, middle / fine, 0.5 * slack,
                       "%s, error at 40 over error at 80 cells", grids[n].what);
    }
}

// ---- energy ----------------------------------------------------------------------------------

static const double cycle_s = 20.0 * 86400.0;

// Ten kelvin and more either way at the surface, by a flux and not by a temperature, so that what
// enters is known.
static cb_surface_exchange swinging(const void *context, double time_s)
{
    (void)context;
    return cb_film(0.0, ground_film_none, 60.0 * sin(2.0 * ground_pi * time_s / cycle_s));
}

static cb_surface_exchange sealed(const void *context, double time_s)
{
    (void)context, (void)time_s;
    return cb_film(0.0, ground_film_none, 0.0);
}

// Frozen below half a metre, thawed above: it evens out by freezing and thawing inside.
static double half_frozen(const void *context, double z_m)
{
    (void)context;
    return z_m < 0.5 ? 8.0 : -6.0;
}

static cb_soil wet_clay(void)
{
    cb_soil soil = cb_soil_of("clay", 0.35);
    cb_soil_resolve(&soil, NULL);
    return soil;
}

static void run_energy(validation_table *table)
{
    const cb_soil soil = wet_clay();
    const double moved_j = 60.0 * cycle_s / ground_pi; // in half a cycle, per m2
    const ground_drive drive = {.surface = swinging, .relative_tolerance = 1e-5};
    ground_run *run = ground_run_column(8.0, 0.02, 0.2, &soil, &drive);
    ground_run_start(run, 0.5);
    const double before_j = ground_stored_j(run);
    double most_m3 = 0.0;
    for (int cycle = 0; cycle < 10; cycle++) {
        ground_run_to(run, (cycle + 0.95) * cycle_s);
        most_m3 = fmax(most_m3, ground_frozen_m3(run));
        ground_run_to(run, (cycle + 1.0) * cycle_s);
    }
    validation_row(table, 0.0, (ground_stored_j(run) - before_j - ground_taken_j(run)) / moved_j,
                   1e-9, "ten cycles of 60 W/m2: stored less taken in, over heat of half a cycle");
    validation_row(table, 0.0, most_m3 > 0.05 ? 0.0 : 1.0, 0.0,
                   "they froze more than 5 cm (%.2f m)", most_m3);
    ground_run_destroy(run);

    const ground_drive none = {.surface = sealed, .relative_tolerance = 1e-5};
    run = ground_run_column(4.0, 0.02, 0.2, &soil, &none);
    ground_run_start_profile(run, half_frozen, NULL);
    const double start_j = ground_stored_j(run), latent_j = 334e6 * 0.35 * 4.0;
    ground_run_to(run, 100.0 * ground_day_s);
    validation_row(table, 0.0, (ground_stored_j(run) - start_j) / latent_j, 1e-9,
                   "sealed column evening out: heat lost over its latent heat");
    ground_run_destroy(run);
}

const validation_case validation_ground_order = {
    "order of accuracy in space", "manufactured solution: half the cell, a quarter of the error",
    run_order};
const validation_case validation_ground_energy = {"energy through freezing and thawing",
                                                  "conservation: what enters is what is stored",
                                                  run_energy};
