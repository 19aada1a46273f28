// SPDX-License-Identifier: MIT
// The references themselves: rings and coil summed turn by turn, and the resolved cell.
#include "cases.h"

#include "resolved_coil.h"
#include "source_row.h"

#include <math.h>

static const coil_case inch_coil = {.diameter_m = 36.0 * 0.0254,
                                    .pitch_m = 24.0 * 0.0254,
                                    .depth_m = 1.5,
                                    .pipe_diameter_m = 0.0267,
                                    .conductivity_w_mk = 1.5,
                                    .heat_capacity_j_m3k = 2.5e6,
                                    .heat_w_m = 20.0,
                                    .accuracy = CB_FINE};

// ---- finite rows of rings --------------------------------------------------------------------

enum { MOMENTS = 7 };
static const double days[MOMENTS] = {1, 10, 30, 90, 180, 365, INFINITY};

static const struct {
    int turns;
    double pitch_in, rise_k[MOMENTS];
} rows[] = {
    {1,
     24,
     {6.958703491, 9.666825459, 10.48022403, 10.80718994, 10.87527729, 10.90207643, 10.91715303}},
    {20,
     24,
     {9.653631937, 18.33690611, 23.01221487, 26.03214276, 26.94157175, 27.3695378, 27.64448736}},
    {20,
     36,
     {9.032600986, 14.8420536, 17.95930232, 19.99783318, 20.65801456, 21.0012352, 21.24953420}},
};

static void run_rows(validation_table *table)
{
    for (size_t n = 0; n < sizeof rows / sizeof *rows; n++) {
        const source_row row = {
            {PATH_RINGS, inch_coil.diameter_m, 0.0254 * rows[n].pitch_in, 0.0, 1.5, 0.0},
            0.01335,
            rows[n].turns};
        validation_worst worst = {0};
        for (int m = 0; m < MOMENTS; m++) {
            const double length_m = coil_diffusion_length_m(&inch_coil, 86400.0 * days[m]);
            const double got = 20.0 / 1.5 * source_row_rise(&row, length_m);
            validation_consider(&worst, rows[n].rise_k[m], got, 2e-6 * rows[n].rise_k[m],
                                "%g days [K]", days[m]);
        }
        char what[VALIDATION_LABEL_SIZE];
        snprintf(what, sizeof what, "%d at %g in", rows[n].turns, rows[n].pitch_in);
        validation_row_worst(table, &worst, what);
    }
}

const validation_case validation_finite_rings = {
    "finite row of rings, middle one's wall rise",
    "ring sources with their images (Carslaw & Jaeger 1959, 10.4), computed independently; the "
    "mean of the pipe's top and bottom",
    run_rows};

// ---- the resolved cell -----------------------------------------------------------------------

static double at_rest(const void *context, double z_m)
{
    (void)context, (void)z_m;
    return 0.0;
}

/// Rise after so many days; INFINITY: steady. The cell is as coarse as a row can wait for: growth
/// 0.25, which alone puts the rise of a straight pipe 0.6 % too high.
static double resolved_k(const coil_case *one, pipe_path_kind kind, double coarseness, double after)
{
    static const resolved_accuracy accuracy = {1e-4, 2e-3, 0.0};
    resolved_plan plan = resolved_coil_plan(one, kind);
    plan.cell_m *= coarseness;
    plan.growth = kind == PATH_STRAIGHT ? 0.12 : 0.25;
    if (isinf(after)) {
        plan.side_m = 60.0;
        plan.bottom_m = 200.0;
    }
    resolved_run *run = resolved_run_create(&plan, &accuracy, at_rest, NULL, NULL);
    const bool ok =
        run && (isinf(after) ? resolved_run_settle(run) : resolved_run_to(run, 86400.0 * after));
    const double rise_k = ok ? resolved_run_wall_c(run) : NAN;
    resolved_run_destroy(run);
    return rise_k;
}

static void run_straight(validation_table *table)
{
    static const double from_line_k[] = {6.403888895, 8.84306165, 9.896379203};
    static const double line_days[] = {1, 10, 30};
    coil_case pipe = inch_coil;
    pipe.pipe_diameter_m = 0.0334;
    pipe.pitch_m = 1.0;
    for (int n = 0; n < 3; n++) {
        validation_row(table, from_line_k[n], resolved_k(&pipe, PATH_STRAIGHT, 1.0, line_days[n]),
                       0.005 * from_line_k[n], "straight pipe, %g days [K]", line_days[n]);
    }
    const double shape_k = 20.0 * 0.550774552;
    validation_row(table, shape_k, resolved_k(&pipe, PATH_STRAIGHT, 1.0, INFINITY), 0.005 * shape_k,
                   "straight pipe, steady shape factor [K]");
}

static void run_turns(validation_table *table)
{
    coil_case ring = inch_coil;
    ring.pitch_m = 2.0; // within a day no ring feels the next
    validation_row(table, 6.958703491, resolved_k(&ring, PATH_RINGS, 1.5, 1.0), 0.01 * 6.96,
                   "one ring, 1 day [K]");
    validation_row(table, 10.69709445, resolved_k(&inch_coil, PATH_COIL, 1.0, 1.0), 0.01 * 10.7,
                   "coil, pitch 24 in, 1 day [K]");
    validation_row(table, 19.54091045, resolved_k(&inch_coil, PATH_COIL, 1.5, 10.0), 0.01 * 19.5,
                   "coil, pitch 24 in, 10 days [K]");
}

const validation_case validation_resolved_pipe = {
    "resolved cell, straight pipe",
    "line source with its image (Carslaw & Jaeger 1959, 10.4) and shape factor (Incropera et al.), "
    "computed independently",
    run_straight};

const validation_case validation_resolved_turns = {
    "resolved cell, ring and coil",
    "point sources along the pipe with their images (Carslaw & Jaeger 1959, 10.2), computed "
    "independently",
    run_turns};
