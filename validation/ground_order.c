// SPDX-License-Identifier: MIT
// Order of accuracy in space by manufactured solutions: a temperature is chosen, the heat that each
// cell must be given to hold it follows from the flux through its faces, and what the section makes
// of that heat is compared with the choice.
#include "cases.h"

#include "ground_run.h"

#include <math.h>
#include <stdlib.h>

/// Edges of a smooth map: halving the step of its argument halves every cell. Grading 0: equal.
static double edge_at(double argument, double length_m, double grading)
{
    return length_m * (grading > 0.0 ? expm1(grading * argument) / expm1(grading) : argument);
}

static double argument_of(double at_m, double length_m, double grading)
{
    const double share = at_m / length_m;
    return grading > 0.0 ? log1p(share * expm1(grading)) / grading : share;
}

typedef struct grid {
    int nx, nz; // nx == 1: a column
    double grading;
    double *x_m, *z_m; // edges
} grid;

static const double width_m = 3.0, depth_m = 2.0;

// ---- what is manufactured --------------------------------------------------------------------

typedef struct gradient {
    double x, z;
} gradient;

/// A temperature with no flux at the sides and the bottom and one value all along the surface, and
/// the conductivity that goes with it.
typedef struct manufactured {
    const char *what;
    double (*temperature_c)(double x_m, double z_m);
    gradient (*gradient_k_m)(double x_m, double z_m);
    /// By place, or by the temperature there.
    double (*conductivity_w_mk)(const cb_soil_curve *curve, const grid *on, double x_m, double z_m);
    cb_soil (*soil)(double argument); ///< of the sum of the cell's map arguments, 0..2
    bool column, mixed, freezing;
} manufactured;

// T = cos(pi x / L) sin(pi z / 2 D), 0 at the surface.
static double wave_c(double x_m, double z_m)
{
    return cos(ground_pi * x_m / width_m) * sin(0.5 * ground_pi * z_m / depth_m);
}

static gradient wave_gradient(double x_m, double z_m)
{
    const double across = ground_pi / width_m, down = 0.5 * ground_pi / depth_m;
    return (gradient){-across * sin(across * x_m) * sin(down * z_m),
                      down * cos(across * x_m) * cos(down * z_m)};
}

// A column: T = sin(pi z / 2 D).
static double rise_c(double x_m, double z_m)
{
    (void)x_m;
    return sin(0.5 * ground_pi * z_m / depth_m);
}

static gradient rise_gradient(double x_m, double z_m)
{
    (void)x_m;
    const double down = 0.5 * ground_pi / depth_m;
    return (gradient){0.0, down * cos(down * z_m)};
}

// A column from -8 degC at the surface to 4 degC at the bottom.
static double frost_c(double x_m, double z_m)
{
    return -8.0 + 12.0 * rise_c(x_m, z_m);
}

static gradient frost_gradient(double x_m, double z_m)
{
    return (gradient){0.0, 12.0 * rise_gradient(x_m, z_m).z};
}

static const double capacity = 2.5e6;

static cb_soil even_soil(double argument)
{
    (void)argument;
    return ground_plain_soil(1.5, capacity);
}

static double even_w_mk(const cb_soil_curve *curve, const grid *on, double x_m, double z_m)
{
    (void)curve, (void)on, (void)x_m, (void)z_m;
    return 1.5;
}

// From 0.5 to 2.5 W/(m K) across the section.
static double conductivity_of(double argument)
{
    return 0.5 * exp(0.5 * log(5.0) * argument);
}

static cb_soil graded_soil(double argument)
{
    return ground_plain_soil(conductivity_of(argument), capacity);
}

static double graded_w_mk(const cb_soil_curve *curve, const grid *on, double x_m, double z_m)
{
    (void)curve;
    return conductivity_of((on->nx > 1 ? argument_of(x_m, width_m, on->grading) : 0.5) +
                           argument_of(z_m, depth_m, on->grading));
}

static cb_soil wet_clay(double argument)
{
    (void)argument;
    cb_soil soil = cb_soil_of("clay", 0.35);
    cb_soil_resolve(&soil, NULL);
    return soil;
}

static double by_frost_w_mk(const cb_soil_curve *curve, const grid *on, double x_m, double z_m)
{
    (void)on;
    return cb_soil_at(curve, cb_soil_enthalpy_j_m3(curve, frost_c(x_m, z_m))).conductivity_w_mk;
}

static const manufactured cases[] = {
    {"even", wave_c, wave_gradient, even_w_mk, even_soil, false, false, false},
    {"k varying fivefold", wave_c, wave_gradient, graded_w_mk, graded_soil, false, true, false},
    {"column, k varying", rise_c, rise_gradient, graded_w_mk, graded_soil, true, true, false},
    {"column, freezing range", frost_c, frost_gradient, by_frost_w_mk, wet_clay, true, false, true},
};

// ---- its heat --------------------------------------------------------------------------------

static const double gauss_at[3] = {-0.7745966692414834, 0.0, 0.7745966692414834};
static const double gauss_weight[3] = {5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0};

/// Heat that flows out of a box through its four sides [W per metre of its third side].
static double outflow_w_m(const manufactured *of, const cb_soil_curve *curve, const grid *on, int i,
                          int k)
{
    const double x0 = on->x_m[i], x1 = on->x_m[i + 1], z0 = on->z_m[k], z1 = on->z_m[k + 1];
    double sum = 0.0;
    for (int g = 0; g < 3; g++) {
        const double x = 0.5 * (x0 + x1) + 0.5 * (x1 - x0) * gauss_at[g];
        const double z = 0.5 * (z0 + z1) + 0.5 * (z1 - z0) * gauss_at[g];
        const double down = of->conductivity_w_mk(curve, on, x, z0) * of->gradient_k_m(x, z0).z -
                            of->conductivity_w_mk(curve, on, x, z1) * of->gradient_k_m(x, z1).z;
        const double across = of->conductivity_w_mk(curve, on, x0, z) * of->gradient_k_m(x0, z).x -
                              of->conductivity_w_mk(curve, on, x1, z) * of->gradient_k_m(x1, z).x;
        sum += gauss_weight[g] * ((x1 - x0) * down + (z1 - z0) * across);
    }
    return sum;
}

static int on_diagonal(const void *context, int i, int k)
{
    return *(const bool *)context ? i + k : 0;
}

static double profile(const void *context, double z_m)
{
    const manufactured *of = context;
    return of->freezing ? of->temperature_c(0.0, z_m) : 0.0;
}

static double worst_error(ground_run *run, const manufactured *of, const grid *on)
{
    double worst = 0.0;
    for (int c = 0; c < on->nx * on->nz; c++) {
        const double *x = on->x_m + c / on->nz, *z = on->z_m + c % on->nz;
        const double at_x = 0.5 * (x[0] + x[1]), at_z = 0.5 * (z[0] + z[1]);
        const double error = fabs(ground_cell_c(run, c) - of->temperature_c(at_x, at_z));
        worst = !(error <= worst) ? error : worst; // NaN stays
    }
    return worst;
}

/// NaN if memory runs out.
static double steady_error(const manufactured *of, const grid *on)
{
    // Equal arguments lie on diagonals: a column's single cell across has the argument 1/2.
    const int soils = of->mixed ? on->nx + on->nz - 1 : 1, cells = on->nx * on->nz;
    cb_soil *soil = calloc((size_t)soils, sizeof *soil);
    double *heat_w = calloc((size_t)cells, sizeof *heat_w), error = NAN;
    for (int n = 0; soil && n < soils; n++) {
        soil[n] = of->soil((n + 0.5) / on->nz + (on->nx > 1 ? 0.5 / on->nx : 0.5));
    }
    const ground_soils mix = {soil, soils, on_diagonal, &of->mixed};
    const ground_drive drive = {.cell_w = heat_w};
    const cb_axis x = {on->nx, on->x_m}, z = {on->nz, on->z_m};
    ground_run *run = soil && heat_w ? ground_run_mixed(&x, &z, &mix, &drive) : NULL;
    if (run) {
        for (int c = 0; c < cells; c++) {
            heat_w[c] =
                outflow_w_m(of, ground_run_system(run)->curves[0], on, c / on->nz, c % on->nz);
        }
        ground_run_start_profile(run, profile, of);
        ground_run_settle(run);
        error = worst_error(run, of, on);
    }
    ground_run_destroy(run);
    free(heat_w);
    free(soil);
    return error;
}

enum { MOST_CELLS = 640 };

static double error_with(const manufactured *of, int cells, double grading)
{
    double x_m[MOST_CELLS + 1], z_m[MOST_CELLS + 1];
    const grid on = {of->column ? 1 : cells, cells, grading, x_m, z_m};
    for (int n = 0; n <= cells; n++) {
        x_m[n] = of->column ? n : edge_at((double)n / cells, width_m, grading);
        z_m[n] = edge_at((double)n / cells, depth_m, grading);
    }
    return steady_error(of, &on);
}

static void run_order(validation_table *table)
{
    static const struct {
        const char *what;
        double grading, slack; // the slack is what remains of the higher orders at these sizes
    } grids[] = {{"equal cells", 0.0, 0.1}, {"cells growing fourfold", 1.3862943611198906, 0.2}};
    for (size_t m = 0; m < sizeof cases / sizeof *cases; m++) {
        for (size_t g = 0; g < sizeof grids / sizeof *grids; g++) {
            const int coarsest = cases[m].freezing ? 160 : 32;
            double coarse = error_with(&cases[m], coarsest, grids[g].grading);
            for (int cells = 2 * coarsest; cells <= 4 * coarsest; cells *= 2) {
                const double fine = error_with(&cases[m], cells, grids[g].grading);
                validation_row(table, 2.0, log2(coarse / fine), grids[g].slack,
                               "%s, %s: order from %d to %d", cases[m].what, grids[g].what,
                               cells / 2, cells);
                coarse = fine;
            }
        }
    }
}

const validation_case validation_ground_order = {
    "order of accuracy in space", "manufactured solutions: half the cell, a quarter of the error",
    run_order};
