// SPDX-License-Identifier: MIT
// Freezing round a line sink: pipe, shells and section against the radial solution.
#include "cases.h"

#include "ground_phases.h"
#include "ground_run.h"

#include <math.h>

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

enum { FIELD_MOMENTS = 3, FIELD_RADII = 5 };
static const double field_radius_m[FIELD_RADII] = {0.2, 0.3, 0.5, 1, 2};
/// Temperatures beside the pipe [degC] after 10, 30 and 90 days; rows as those of sink_rows.
static const double field_rows[][FIELD_RADII][FIELD_MOMENTS] = {
    {{3.226592089, 2.652335895, 2.073403839},
     {3.642607856, 3.077007468, 2.501002706},
     {4.142469534, 3.603618318, 3.036872149},
     {4.704806956, 4.274111384, 3.748638891},
     {4.974346289, 4.790034498, 4.399537121}},
    {{1.774915226, 0.7305841977, -0.2425997225},
     {2.531473324, 1.502883574, 0.455372634},
     {3.440511948, 2.460567716, 1.429894273},
     {4.463167732, 3.679913228, 2.72429928},
     {4.953346666, 4.618160864, 3.90801001}},
    {{0.7899542601, -0.4974097724, -1.687158226},
     {1.777569911, 0.434842448, -0.8086846154},
     {2.964234589, 1.685009288, 0.3395617596},
     {4.299215816, 3.276750511, 2.029286114},
     {4.939098447, 4.501544816, 3.574509469}},
    {{-0.7307711643, -2.70568611, -4.688600199},
     {0.6556745094, -1.246567053, -3.224477515},
     {2.25547884, 0.5308887236, -1.384756441},
     {4.055236418, 2.676797797, 0.9950262065},
     {4.917895451, 4.328006658, 3.078222124}},
    {{5.683447036, 4.962602866, 4.23668159},
     {6.206974705, 5.495545279, 4.77280178},
     {6.840024676, 6.157825922, 5.445149039},
     {7.569948396, 7.008255068, 6.340755832},
     {7.952998455, 7.685414035, 7.169587692}},
    {{3.44417432, 2.026533354, 0.5989075495},
     {4.473764765, 3.074639212, 1.65326295},
     {5.718746149, 4.377106804, 2.975527952},
     {7.154243322, 6.049594765, 4.736864079},
     {7.907564883, 7.381322664, 6.366877953}},
    {{1.529084905, -0.446732079, -2.315115317},
     {2.991474562, 1.004211813, -0.9354205772},
     {4.759797013, 2.854185406, 0.8634380885},
     {6.798720575, 5.229721336, 3.36517045},
     {7.868708805, 7.121255115, 5.680377862}},
    {{-1.644515289, -4.741877112, -7.855849176},
     {0.5870522324, -2.452778714, -5.556357943},
     {3.204286012, 0.383855233, -2.669427466},
     {6.222027272, 3.899804984, 1.140146778},
     {7.805680379, 6.69939965, 4.566806346}},
};

static const double sink_depth_m = 10.0;

static double drawn(const void *context, double time_s)
{
    (void)time_s;
    return -*(const double *)context;
}

/// One pipe 10 m below a surface that takes no part yet, in its block and shells.
static ground_run *sink(int set, const double *sink_w_m)
{
    const cb_soil soil = ground_sharp_soil(&ground_phases_sets[set]);
    const ground_drive drive = {.pipe_w_m = drawn, .context = sink_w_m, .relative_tolerance = 1e-5};
    cb_design design = ground_design(&soil, sink_depth_m, 10.0, 20.0);
    design.field.pipe.nominal = "3/4 in"; // 13.35 mm outer radius
    ground_run *run = ground_run_field(&design, &drive);
    ground_run_start(run, ground_phases_sets[set].start_c);
    return run;
}

static const double half_cell_m = 0.03; // of the section at the pipe

static void compare_pipe(validation_table *table, ground_run *run, size_t n, int m)
{
    const double pipe_m2 = ground_pi * 0.01335 * 0.01335;
    const ground_phases *phases = &ground_phases_sets[sink_rows[n].set];
    // The wall follows the front from cell to cell.
    if (sink_rows[n].front_m[m] > 0.03) { // else within the first shells
        const double radius_m = sqrt((ground_frozen_m3(run) + pipe_m2) / ground_pi);
        validation_row(table, sink_rows[n].front_m[m], radius_m, half_cell_m,
                       "%s, %g W/m, front after %g days [m]", phases->what, sink_rows[n].sink_w_m,
                       sink_days[m]);
    }
    validation_row(table, sink_rows[n].wall_c[m], ground_wall_c(run, 0),
                   0.05 * (phases->start_c - sink_rows[n].wall_c[m]),
                   "%s, %g W/m, wall after %g days [degC]", phases->what, sink_rows[n].sink_w_m,
                   sink_days[m]);
}

static double half_cell_at(ground_run *run, double x_m)
{
    const cbx_system *system = ground_run_system(run);
    int i = 0;
    while (system && i < system->section->nx - 1 && system->section->x_edge_m[i + 1] < x_m) {
        i++;
    }
    return system ? 0.5 * system->section->dx_m[i] : NAN;
}

static void run_sink(validation_table *table)
{
    for (size_t n = 0; n < sizeof sink_rows / sizeof *sink_rows; n++) {
        ground_run *run = sink(sink_rows[n].set, &sink_rows[n].sink_w_m);
        const ground_phases *phases = &ground_phases_sets[sink_rows[n].set];
        validation_worst beside = {0};
        for (int m = 1; m < SINK_MOMENTS; m++) {
            ground_run_to(run, sink_days[m] * ground_day_s);
            compare_pipe(table, run, n, m);
            for (int r = 0; r < FIELD_RADII; r++) {
                // The field of a steady sink moved by half a cell of that place.
                const double slack_k = sink_rows[n].sink_w_m /
                                       (2.0 * ground_pi * phases->thawed_k) *
                                       half_cell_at(run, field_radius_m[r]) / field_radius_m[r];
                const double wanted_c = field_rows[n][r][m - 1];
                validation_consider(&beside, wanted_c,
                                    ground_at(run, field_radius_m[r], sink_depth_m), slack_k,
                                    "%g m, %g days [degC]", field_radius_m[r], sink_days[m]);
            }
        }
        char what[64];
        snprintf(what, sizeof what, "%s, %g W/m, beside", phases->what, sink_rows[n].sink_w_m);
        validation_row_worst(table, &beside, what);
        ground_run_destroy(run);
    }
}

const validation_case validation_freezing_sink = {
    "freezing round a line sink", "Carslaw & Jaeger 1959, 11.6, evaluated independently", run_sink};
