// SPDX-License-Identifier: MIT
// The whole two-scale coil as coilbed lays it out (section cells at standard accuracy, shells)
// against the true curve of the pipe: rise of the pipe wall under a constant heat.
#include "cases.h"

#include "ground_run.h"
#include "loop/coil_rise.h"

#include <math.h>

enum { MOMENTS = 6 };
static const double days[MOMENTS] = {1, 10, 30, 90, 365, INFINITY};

static const struct {
    double pitch_in, rise_k[MOMENTS];
} rows[] = {
    {6, {27.82018506, 62.59038219, 81.30846482, 93.55376155, 99.80231916, 102.1102452}},
    {18, {11.53508126, 23.23207366, 29.5114155, 33.61719726, 35.71192701, 36.48558009}},
    {24, {10.69709445, 19.54091045, 24.27687936, 27.37209244, 28.9509706, 29.53407004}},
    {36, {8.270839212, 14.30612245, 17.51374013, 19.60752755, 20.67510254, 21.0693102}},
};
enum { ROWS = sizeof rows / sizeof *rows };

static double twenty_w_m(const void *context, double time_s)
{
    (void)context, (void)time_s;
    return 20.0;
}

typedef struct laid_coil {
    cb_layout layout;
    double pitch_m, depth_m;
} laid_coil;

static ground_run *coil(const laid_coil *laid, double side_m, double bottom_m)
{
    const cb_soil soil = ground_plain_soil(1.5, 2.5e6);
    const ground_drive drive = {.pipe_w_m = twenty_w_m, .relative_tolerance = 1e-6};
    cb_design design = ground_design(&soil, laid->depth_m, side_m, bottom_m);
    design.field.layout = laid->layout;
    design.field.coil_diameter_m = 36.0 * 0.0254;
    design.field.coil_pitch_m = laid->pitch_m;
    design.field.pipe.nominal = "3/4 in"; // 13.35 mm outer radius
    ground_run *run = ground_run_field(&design, &drive);
    ground_run_start(run, 0.0);
    return run;
}

static void run(validation_table *table)
{
    for (int n = 0; n < ROWS; n++) {
        const laid_coil laid = {CB_FLAT_COIL, 0.0254 * rows[n].pitch_in, 1.5};
        ground_run *warming = coil(&laid, 15.0, 25.0);
        for (int m = 0; m < MOMENTS - 1; m++) {
            ground_run_to(warming, days[m] * ground_day_s);
            validation_row(table, rows[n].rise_k[m], ground_wall_c(warming, 0),
                           0.03 * rows[n].rise_k[m], "pitch %g in, %g days [K]", rows[n].pitch_in,
                           days[m]);
        }
        ground_run_destroy(warming);
        ground_run *steady = coil(&laid, 60.0, 200.0);
        ground_run_settle(steady);
        validation_row(table, rows[n].rise_k[MOMENTS - 1], ground_wall_c(steady, 0),
                       0.03 * rows[n].rise_k[MOMENTS - 1], "pitch %g in, steady [K]",
                       rows[n].pitch_in);
        ground_run_destroy(steady);
    }
}

const validation_case validation_ground_coil = {
    "two-scale coil, wall rise",
    "point sources along the curve with their images (Carslaw & Jaeger 1959, 10.2), computed "
    "independently; 36 in coil, 20 W per m of pipe",
    run};

// ---- other pitches and depths, and upright turns ---------------------------------------------

// k times the rise for 1 W/m along the curve itself, which tests/loop holds against rings and sums.
static double curve_rise_k(const laid_coil *laid, double time_days)
{
    const cbx_coil_row row = {.coil_diameter_m = 36.0 * 0.0254,
                              .pitch_m = laid->pitch_m,
                              .depth_m = laid->depth_m,
                              .pipe_radius_m = 0.01335,
                              .upright = laid->layout == CB_UPRIGHT_COIL,
                              .diffusion_length_m = 2.0 * sqrt(1.5 / 2.5e6 * 86400.0 * time_days)};
    return 20.0 / 1.5 * cbx_coil_row_rise(&row);
}

// Both halves of an upright coil hold as much pipe.
static double wall_c(ground_run *run)
{
    const int halves = ground_run_system(run)->run_count;
    double sum = 0.0;
    for (int n = 0; n < halves; n++) {
        sum += ground_wall_c(run, n) / halves;
    }
    return sum;
}

static void add_rows(validation_table *table, const laid_coil *laid)
{
    static const char *const name[] = {[CB_FLAT_COIL] = "flat", [CB_UPRIGHT_COIL] = "upright"};
    ground_run *warming = coil(laid, 15.0, 25.0);
    for (int m = 0; m < MOMENTS; m++) {
        const bool last = m == MOMENTS - 1;
        ground_run *run = last ? coil(laid, 60.0, 200.0) : warming;
        if (last) {
            ground_run_settle(run);
        } else {
            ground_run_to(run, days[m] * ground_day_s);
        }
        const double want = curve_rise_k(laid, days[m]);
        validation_row(table, want, wall_c(run), 0.03 * want,
                       "%s, pitch %g m, %g m deep, %g days [K]", name[laid->layout], laid->pitch_m,
                       laid->depth_m, days[m]);
        if (last) {
            ground_run_destroy(run);
        }
    }
    ground_run_destroy(warming);
}

static void run_others(validation_table *table)
{
    static const laid_coil other[] = {
        {CB_FLAT_COIL, 0.25, 0.8},   {CB_FLAT_COIL, 1.4, 0.8},     {CB_FLAT_COIL, 0.5, 3.0},
        {CB_FLAT_COIL, 2.0, 2.0},    {CB_UPRIGHT_COIL, 0.25, 1.2}, {CB_UPRIGHT_COIL, 0.6, 1.2},
        {CB_UPRIGHT_COIL, 0.6, 2.4}, {CB_UPRIGHT_COIL, 1.0, 1.5},  {CB_UPRIGHT_COIL, 1.4, 1.5},
    };
    for (size_t n = 0; n < sizeof other / sizeof *other; n++) {
        add_rows(table, &other[n]);
    }
}

const validation_case validation_ground_coil_others = {
    "two-scale coil, other pitches and depths, and upright, wall rise",
    "line source along the curve with its image (Carslaw & Jaeger 1959, 10.2), our own integral; "
    "36 in coil, 20 W per m of pipe",
    run_others};
