// SPDX-License-Identifier: MIT
// Freezing fronts against Neumann's solutions. They know one melting point and nothing between ice
// and water; the soil curve comes close with an onset of -0.01 degC and a steep power law.
#include "cases.h"

#include "ground_run.h"

#include <math.h>

typedef struct phase_soil {
    double frozen_k, frozen_capacity, thawed_k, thawed_capacity, latent_j_m3, start_c;
} phase_soil;

static cb_soil sharp(const phase_soil *soil)
{
    cb_soil made = cb_soil_of("loam", soil->latent_j_m3 / 334e6);
    made.conductivity_w_mk = soil->thawed_k;
    made.frozen_conductivity_w_mk = soil->frozen_k;
    made.heat_capacity_j_m3k = soil->thawed_capacity;
    made.frozen_heat_capacity_j_m3k = soil->frozen_capacity;
    made.freezing_start_c = -0.01;
    made.freezing_exponent = 40.0;
    return made;
}

// ---- plane front -----------------------------------------------------------------------------

enum { FRONT_MOMENTS = 6, PROFILE_MOMENTS = 3 };
static const double front_days[FRONT_MOMENTS] = {1, 5, 10, 30, 60, 100};

static const struct {
    const char *what;
    phase_soil soil;
    double surface_c, front_m[FRONT_MOMENTS];
} front_rows[] = {
    {"a moist loam",
     {2.2, 1.9e6, 1.5, 2.6e6, 83.5e6, 5.0},
     -10.0,
     {0.1803638456, 0.4033058194, 0.5703605596, 0.9878934678, 1.39709234, 1.803638456}},
    {"b drier sand",
     {1.4, 1.6e6, 1.2, 1.8e6, 33.4e6, 8.0},
     -5.0,
     {0.1254852914, 0.2805936418, 0.3968193338, 0.6873112476, 0.9720048879, 1.254852914}},
    {"c saturated clay",
     {2.4, 2.1e6, 1.4, 3.1e6, 150.3e6, 4.0},
     -8.0,
     {0.1339329402, 0.2994831586, 0.4235331446, 0.7335809251, 1.037440093, 1.339329402}},
    {"d water to ice",
     {2.22, 1.93e6, 0.58, 4.2e6, 334e6, 4.0},
     -10.0,
     {0.1014733576, 0.2269013255, 0.3208869318, 0.5557924694, 0.7860092481, 1.014733576}},
};

static const double profile_days[PROFILE_MOMENTS] = {5, 30, 100};
static const struct {
    double depth_m, c[PROFILE_MOMENTS];
} profile_rows[] = {
    {0.05, {-8.727094338, -9.480158081, -9.71525702}},
    {0.1, {-7.457364968, -8.960532619, -9.430549615}},
    {0.2, {-4.93999803, -7.922795273, -8.861383752}},
    {0.3, {-2.472416448, -6.888509364, -8.292786507}},
    {0.5, {0.7837997598, -4.837083065, -7.158429575}},
    {0.75, {2.463167324, -2.321931967, -5.748695219}},
    {1, {3.620553867, 0.04169506745, -4.352106447}},
    {1.5, {4.70395799, 1.603388047, -1.614971697}},
    {2, {4.959368714, 2.820814285, 0.3644053194}},
};

static const double front_cell_m = 0.01;

static ground_run *freezing_column(const phase_soil *phases, const cb_surface_exchange *surface)
{
    const cb_soil soil = sharp(phases);
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
    for (size_t n = 0; n < sizeof front_rows / sizeof *front_rows; n++) {
        const cb_surface_exchange surface =
            cb_film(front_rows[n].surface_c, ground_film_isothermal, 0.0);
        ground_run *run = freezing_column(&front_rows[n].soil, &surface);
        for (int m = 0; m < FRONT_MOMENTS; m++) {
            ground_run_to(run, front_days[m] * ground_day_s);
            // Per m2 the frozen volume is the front's depth. The cell that freezes conducts as a
            // mixture: where ice conducts four times better than water that costs half a cell.
            validation_row(table, front_rows[n].front_m[m], ground_frozen_m3(run),
                           0.7 * front_cell_m, "%s, front after %g days [m]", front_rows[n].what,
                           front_days[m]);
        }
        ground_run_destroy(run);
    }
}

static void run_front_profile(validation_table *table)
{
    const cb_surface_exchange surface =
        cb_film(front_rows[0].surface_c, ground_film_isothermal, 0.0);
    ground_run *run = freezing_column(&front_rows[0].soil, &surface);
    for (int m = 0; m < PROFILE_MOMENTS; m++) {
        validation_worst worst = {0};
        ground_run_to(run, profile_days[m] * ground_day_s);
        for (size_t n = 0; n < sizeof profile_rows / sizeof *profile_rows; n++) {
            // A front that passes a cell in a stride holds its neighbours back for that long.
            validation_consider(&worst, profile_rows[n].c[m],
                                ground_at(run, 0.5, profile_rows[n].depth_m), 0.05, "%g m [degC]",
                                profile_rows[n].depth_m);
        }
        char what[64];
        snprintf(what, sizeof what, "set a after %g days", profile_days[m]);
        validation_row_worst(table, &worst, what);
    }
    ground_run_destroy(run);
}

// ---- front round a pipe ----------------------------------------------------------------------

enum { SINK_MOMENTS = 4 };
static const double sink_days[SINK_MOMENTS] = {1, 10, 30, 90};

static const struct {
    int set;
    double sink_w_m, front_m[SINK_MOMENTS], wall_c[SINK_MOMENTS];
} sink_rows[] = {
    {0,
     10,
     {0.002968288377, 0.009386552023, 0.01625798501, 0.02815965607},
     {1.590614029, 0.3727210619, -0.1425624635, -0.5399442842}},
    {0,
     20,
     {0.02493585862, 0.07885410864, 0.1365793225, 0.2365623259},
     {-0.9031848125, -2.568657598, -3.36340692, -4.158170562}},
    {0,
     30,
     {0.04596500992, 0.145354124, 0.2517607279, 0.436062372},
     {-2.678035861, -5.17624504, -6.368369023, -7.560514485}},
    {0,
     50,
     {0.07759975486, 0.2453919712, 0.4250313619, 0.7361759137},
     {-6.340062924, -10.50374489, -12.49061819, -14.4775273}},
    {1,
     10,
     {0.0008631048313, 0.002729377126, 0.004727419856, 0.008188131379},
     {3.631524276, 2.105173611, 1.376733255, 0.6482701032}},
    {1,
     20,
     {0.01675042828, 0.05296950516, 0.09174587419, 0.1589085155},
     {-0.5155216632, -3.132545902, -4.381426782, -5.630337438}},
    {1,
     30,
     {0.04165284801, 0.1317178707, 0.2281420444, 0.3951536122},
     {-3.871842299, -7.797378658, -9.670699977, -11.54406596}},
    {1,
     50,
     {0.08491081517, 0.2685115739, 0.4650756885, 0.8055347218},
     {-10.45039415, -16.99295474, -20.11515694, -23.23743358}},
};

static double drawn(const void *context, double time_s)
{
    (void)time_s;
    return -*(const double *)context;
}

/// One pipe 10 m below a surface that takes no part yet, in its block and shells.
static ground_run *sink(int set, const double *sink_w_m)
{
    const cb_soil soil = sharp(&front_rows[set].soil);
    const ground_drive drive = {.pipe_w_m = drawn, .context = sink_w_m, .relative_tolerance = 1e-5};
    cb_design design = ground_design(&soil, 10.0, 10.0, 20.0);
    design.field.pipe.nominal = "3/4 in"; // 13.35 mm outer radius
    ground_run *run = ground_run_field(&design, &drive);
    ground_run_start(run, front_rows[set].soil.start_c);
    return run;
}

static void run_sink(validation_table *table)
{
    const double pipe_m2 = ground_pi * 0.01335 * 0.01335;
    for (size_t n = 0; n < sizeof sink_rows / sizeof *sink_rows; n++) {
        ground_run *run = sink(sink_rows[n].set, &sink_rows[n].sink_w_m);
        const double start_c = front_rows[sink_rows[n].set].soil.start_c;
        const char *what = front_rows[sink_rows[n].set].what;
        for (int m = 1; m < SINK_MOMENTS; m++) {
            ground_run_to(run, sink_days[m] * ground_day_s);
            if (sink_rows[n].front_m[m] < 0.03) {
                continue; // within the first shells; wall temperature tells
            }
            // Half a section cell of 6 cm; and the wall follows the front from cell to cell.
            const double radius_m = sqrt((ground_frozen_m3(run) + pipe_m2) / ground_pi);
            validation_row(table, sink_rows[n].front_m[m], radius_m, 0.03,
                           "%s, %g W/m, front after %g days [m]", what, sink_rows[n].sink_w_m,
                           sink_days[m]);
            validation_row(table, sink_rows[n].wall_c[m], ground_wall_c(run, 0),
                           0.05 * (start_c - sink_rows[n].wall_c[m]),
                           "%s, %g W/m, wall after %g days [degC]", what, sink_rows[n].sink_w_m,
                           sink_days[m]);
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
const validation_case validation_freezing_sink = {
    "freezing round a line sink", "Carslaw & Jaeger 1959, 11.6, evaluated independently", run_sink};
