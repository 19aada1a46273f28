// SPDX-License-Identifier: MIT
// Freezing over a range of temperature: a program of its own, since it runs the library's section
// with the soil curve of soil_ramp.c.
#include "ground_run.h"
#include "table.h"

#include <math.h>
#include <stdlib.h>

enum { MOMENTS = 4, PROFILE_MOMENTS = 3, DEPTHS = 8 };
static const double front_hours[MOMENTS] = {1, 24, 72, 240};

static const struct {
    double lowest_c;
    double frozen_m[MOMENTS];  ///< where the ground is at lowest_c
    double chilled_m[MOMENTS]; ///< where it is at 0 degC
} front_rows[] = {
    {-4,
     {0.01659327213, 0.08129009974, 0.1407985829, 0.2570618664},
     {0.06813610716, 0.3337973912, 0.578154041, 1.055560033}},
    {-1,
     {0.03693177998, 0.1809280325, 0.3133765448, 0.5721446752},
     {0.0509721801, 0.2497116646, 0.4325132904, 0.7896576185}},
    {-0.1,
     {0.04262587786, 0.2088233012, 0.3616925675, 0.6603572603},
     {0.04409626431, 0.2160266943, 0.3741692103, 0.6831363893}},
};

static const double profile_hours[PROFILE_MOMENTS] = {24, 48, 72};
static const double profile_depth_m[DEPTHS] = {0.1, 0.25, 0.5, 0.75, 1, 1.5, 2, 3};
static const struct {
    double lowest_c, c[DEPTHS][PROFILE_MOMENTS];
} profile_rows[] = {
    {-1,
     {{-3.224407802, -4.035475085, -4.395458541},
      {0.001501295554, -1.113335774, -2.002091072},
      {1.217754546, 0.5277437405, 0.2011802426},
      {2.208837805, 1.351296047, 0.910993673},
      {2.937855911, 2.057155477, 1.551364448},
      {3.71207029, 3.076253893, 2.579807745},
      {3.945729146, 3.63054483, 3.263496057},
      {3.999383636, 3.965785758, 3.861008526}}},
    {-4,
     {{-3.474422966, -4.259750763, -4.578637497},
      {-0.6233285896, -1.698199396, -2.368196219},
      {0.8830701921, 0.1100559905, -0.2700938772},
      {1.993373723, 1.032675786, 0.539408166},
      {2.810087526, 1.823445089, 1.256810994},
      {3.677434392, 2.965133801, 2.40896871},
      {3.939200748, 3.586101999, 3.174899868},
      {3.999309492, 3.961670028, 3.844288839}}},
};

static const double cell_m = 0.005;

/// Dry density 1680 kg/m3, water from 0.20 to 0.0782 of its mass, 334.72 kJ/kg; from 4 degC under a
/// surface of -6 degC.
static ground_run *range_column(double lowest_c)
{
    static const cb_surface_exchange cold = {-6e9, 1e9};
    const cb_soil soil = {.water_fraction = 1680.0 * (0.20 - 0.0782) * 334720.0 / 334e6,
                          .conductivity_w_mk = 2.418352,
                          .frozen_conductivity_w_mk = 3.464352,
                          .heat_capacity_j_m3k = 690360.0,
                          .frozen_heat_capacity_j_m3k = 690360.0,
                          .freezing_start_c = lowest_c};
    const ground_drive drive = {
        .surface = ground_constant_surface, .context = &cold, .relative_tolerance = 1e-5};
    const cb_axis_rule rule = {0.0, 25.0, 0.0, 0.1, 1.0};
    const cb_fine_span fine = {0.0, 1.5, 300};
    cb_axis z;
    if (cb_axis_create(&z, &rule, &fine, 1, NULL, 0, NULL) != CB_OK) {
        return NULL;
    }
    ground_run *run = ground_run_section(NULL, &z, &soil, &drive);
    cb_axis_free(&z);
    ground_run_start(run, 4.0);
    return run;
}

/// Depth at which the ground, warming downwards, passes a temperature: between cell centres.
static double depth_of(ground_run *run, double wanted_c)
{
    const cbx_system *system = ground_run_system(run);
    double above_c = -6.0, above_m = 0.0;
    for (int k = 0; system && k < system->section->nz; k++) {
        const double here_c = ground_cell_c(run, k), here_m = cb_row_depth_m(system->section, k);
        if (here_c >= wanted_c) {
            return above_m + (here_m - above_m) * (wanted_c - above_c) / (here_c - above_c);
        }
        above_c = here_c;
        above_m = here_m;
    }
    return NAN;
}

static void run_range(validation_table *table)
{
    for (size_t n = 0; n < sizeof front_rows / sizeof *front_rows; n++) {
        const double lowest_c = front_rows[n].lowest_c;
        ground_run *run = range_column(lowest_c);
        for (int m = 0; m < MOMENTS; m++) {
            ground_run_to(run, 3600.0 * front_hours[m]);
            validation_row(table, front_rows[n].frozen_m[m], depth_of(run, lowest_c), cell_m,
                           "%g..0 degC, all frozen above, %g h [m]", lowest_c, front_hours[m]);
            validation_row(table, front_rows[n].chilled_m[m], depth_of(run, 0.0), cell_m,
                           "%g..0 degC, thawed below, %g h [m]", lowest_c, front_hours[m]);
        }
        ground_run_destroy(run);
    }
    for (size_t n = 0; n < sizeof profile_rows / sizeof *profile_rows; n++) {
        ground_run *run = range_column(profile_rows[n].lowest_c);
        for (int m = 0; m < PROFILE_MOMENTS; m++) {
            validation_worst worst = {0};
            ground_run_to(run, 3600.0 * profile_hours[m]);
            for (int d = 0; d < DEPTHS; d++) {
                validation_consider(&worst, profile_rows[n].c[d][m],
                                    ground_at(run, 0.5, profile_depth_m[d]), 0.05, "%g m [degC]",
                                    profile_depth_m[d]);
            }
            char what[64];
            snprintf(what, sizeof what, "%g..0 degC, %g h", profile_rows[n].lowest_c,
                     profile_hours[m]);
            validation_row_worst(table, &worst, what);
        }
        ground_run_destroy(run);
    }
}

int main(void)
{
    static const validation_case range = {
        "freezing over a range of temperature",
        "three zones, linear freezing curve: Lunardini 1985, evaluated independently", run_range};
    validation_table *table = validation_create();
    if (!table) {
        return EXIT_FAILURE;
    }
    validation_run(table, &range);
    validation_print_text(table, stdout);
    const bool held = validation_complete(table) && validation_missed(table) == 0;
    validation_destroy(table);
    return held ? EXIT_SUCCESS : EXIT_FAILURE;
}
