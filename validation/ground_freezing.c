// SPDX-License-Identifier: MIT
// A plane freezing front against Neumann's solution.
#include "cases.h"

#include "ground_phases.h"
#include "ground_run.h"

#include <math.h>

enum { PROFILE_MOMENTS = 3, PROFILE_DEPTHS = 9 };
static const double profile_days[PROFILE_MOMENTS] = {5, 30, 100};
static const double profile_depth_m[PROFILE_DEPTHS] = {0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1, 1.5, 2};
static const double profile_rows[GROUND_PHASES][PROFILE_DEPTHS][PROFILE_MOMENTS] = {
    {{-8.727094338, -9.480158081, -9.71525702},
     {-7.457364968, -8.960532619, -9.430549615},
     {-4.93999803, -7.922795273, -8.861383752},
     {-2.472416448, -6.888509364, -8.292786507},
     {0.7837997598, -4.837083065, -7.158429575},
     {2.463167324, -2.321931967, -5.748695219},
     {3.620553867, 0.04169506745, -4.352106447},
     {4.70395799, 1.603388047, -1.614971697},
     {4.959368714, 2.820814285, 0.3644053194}},
    {{-4.094040257, -4.629973618, -4.797315172},
     {-3.191070642, -4.260151108, -4.594663853},
     {-1.405885348, -3.521931181, -4.189595682},
     {0.2131816512, -2.786958432, -3.785062932},
     {2.26618735, -1.333109989, -2.978667642},
     {4.36817154, 0.2806931126, -1.978390477},
     {5.890572171, 1.35986292, -0.9904367282},
     {7.459166331, 3.28113147, 0.5965616326},
     {7.905474404, 4.829614527, 1.752742355}},
    {{-6.644687939, -7.446501607, -7.69682152},
     {-5.292802233, -6.893236716, -7.393681417},
     {-2.612859851, -5.788339685, -6.787669762},
     {0.003726118953, -4.687165722, -6.182271497},
     {1.318325128, -2.503311113, -4.974535872},
     {2.544192684, 0.04820961409, -3.473724014},
     {3.307170125, 0.7487374144, -1.987090248},
     {3.896548125, 1.929667314, 0.2553849134},
     {3.991350174, 2.789329304, 0.9980384149}},
    {{-7.778288295, -9.09267311, -9.503012288},
     {-5.562157195, -8.18572653, -9.00608708},
     {-1.168707648, -6.374492665, -8.012674058},
     {0.9868957913, -4.569322745, -7.020260079},
     {2.844001302, -0.9891051457, -5.040417541},
     {3.765984462, 1.062972206, -2.580041628},
     {3.970338266, 2.143792092, -0.1427599339},
     {3.99988981, 3.403385437, 1.406090838},
     {3.999999945, 3.858471285, 2.471019585}},
};
/// Heat that has left through the surface [MJ/m2].
static const double left_rows[GROUND_PHASES][PROFILE_MOMENTS] = {
    {48.41093684, 118.5820932, 216.5002912},
    {21.92905823, 53.71500319, 98.06972975},
    {56.23122077, 137.7377985, 251.4736642},
    {85.26414975, 208.8536603, 381.3128698},
};

// The cell that freezes conducts as a mixture: where ice conducts four times better than water that
// costs half a cell.
static const double front_cell_m = 0.01, front_slack_m = 0.007;

// A front that passes a cell in a stride holds its neighbours back for that long; in the last set
// it stands back half a cell in 45 K/m.
static const double profile_slack_k[GROUND_PHASES] = {0.05, 0.05, 0.05, 0.35};

static ground_run *freezing_column(const ground_phases *phases, const cb_surface_exchange *surface)
{
    const cb_soil soil = ground_sharp_soil(phases);
    const ground_drive drive = {
        .surface = ground_constant_surface, .context = surface, .relative_tolerance = 1e-5};
    const cb_axis_rule rule = {0.0, 25.0, 0.0, 0.1, 1.0};
    const cb_fine_span fine = {0.0, 2.0, (int)(2.0 / front_cell_m + 0.5)};
    cb_axis z;
    if (cb_axis_create(&z, &rule, &fine, 1, NULL, 0, NULL) != CB_OK) {
        return NULL;
    }
    ground_run *run = ground_run_section(NULL, &z, &soil, &drive);
    cb_axis_free(&z);
    ground_run_start(run, phases->start_c);
    return run;
}

static void run_front(validation_table *table)
{
    for (int n = 0; n < GROUND_PHASES; n++) {
        const ground_phases *phases = &ground_phases_sets[n];
        const cb_surface_exchange surface = cb_film(phases->surface_c, ground_film_isothermal, 0.0);
        ground_run *run = freezing_column(phases, &surface);
        for (int m = 0; m < GROUND_FRONT_MOMENTS; m++) {
            ground_run_to(run, ground_front_days[m] * ground_day_s);
            // Per m2 the frozen volume is the front's depth.
            validation_row(table, ground_front_m[n][m], ground_frozen_m3(run), front_slack_m,
                           "%s, front after %g days [m]", phases->what, ground_front_days[m]);
        }
        ground_run_destroy(run);
    }
}

static void run_front_profile(validation_table *table)
{
    for (int n = 0; n < GROUND_PHASES; n++) {
        const ground_phases *phases = &ground_phases_sets[n];
        const cb_surface_exchange surface = cb_film(phases->surface_c, ground_film_isothermal, 0.0);
        ground_run *run = freezing_column(phases, &surface);
        for (int m = 0; m < PROFILE_MOMENTS; m++) {
            validation_worst worst = {0};
            ground_run_to(run, profile_days[m] * ground_day_s);
            for (int d = 0; d < PROFILE_DEPTHS; d++) {
                validation_consider(&worst, profile_rows[n][d][m],
                                    ground_at(run, 0.5, profile_depth_m[d]), profile_slack_k[n],
                                    "%g m [degC]", profile_depth_m[d]);
            }
            char what[64];
            snprintf(what, sizeof what, "%s after %g days", phases->what, profile_days[m]);
            validation_row_worst(table, &worst, what);
            validation_row(table, left_rows[n][m], -1e-6 * ground_taken_j(run),
                           front_slack_m * phases->latent_j_m3 * 1e-6,
                           "%s, heat that has left after %g days [MJ/m2]", phases->what,
                           profile_days[m]);
        }
        ground_run_destroy(run);
    }
}

// ---- frost index -----------------------------------------------------------------------------

// sqrt(2 k I / L) leaves out the heat capacity of what is frozen and the warmth below: nearly true
// of soil that starts at the melting point under a surface a degree below it.
enum { INDEX_SOILS = 3, INDEX_ROWS = 4 };
static const ground_phases index_soils[INDEX_SOILS] = {
    {"loam", 2.2, 1.9e6, 2.2, 1.9e6, 0.25 * 334e6, 0.0, -1.0},
    {"sand", 1.4, 1.6e6, 1.4, 1.6e6, 0.10 * 334e6, 0.0, -1.0},
    {"clay", 2.4, 2.1e6, 2.4, 2.1e6, 0.45 * 334e6, 0.0, -1.0},
};
static const struct {
    double index_k_days, depth_m[INDEX_SOILS];
} index_rows[INDEX_ROWS] = {
    {200, {0.9542341821, 1.203587452, 0.7428703032}},
    {500, {1.508776718, 1.903038856, 1.174581082}},
    {1000, {2.133732498, 2.691303359, 1.661108496}},
    {1500, {2.613277933, 3.296159987, 2.034434112}},
};

static void run_frost_index(validation_table *table)
{
    for (int n = 0; n < INDEX_SOILS; n++) {
        const ground_phases *phases = &index_soils[n];
        const cb_surface_exchange surface = cb_film(phases->surface_c, ground_film_isothermal, 0.0);
        ground_run *run = freezing_column(phases, &surface);
        for (int m = 0; m < INDEX_ROWS; m++) {
            ground_run_to(run, index_rows[m].index_k_days * ground_day_s);
            validation_row(table, index_rows[m].depth_m[n], ground_frozen_m3(run),
                           0.02 * index_rows[m].depth_m[n], "%s, %g K days [m]", phases->what,
                           index_rows[m].index_k_days);
        }
        ground_run_destroy(run);
    }
}

const validation_case validation_freezing_front = {
    "plane freezing front",
    "Neumann's solution, Carslaw & Jaeger 1959, 11.2, evaluated independently", run_front};
const validation_case validation_freezing_profile = {
    "plane freezing front, temperatures",
    "Neumann's solution, Carslaw & Jaeger 1959, 11.2, evaluated independently", run_front_profile};
const validation_case validation_frost_index = {
    "frost depth by index", "Stefan: sqrt(2 k I / L), evaluated independently", run_frost_index};
