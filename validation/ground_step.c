// SPDX-License-Identifier: MIT
// A half-space at rest, and what a surface or a buried sheet does to it. Cells of 5 mm at the top,
// growing by 2 cm per metre: what is left is their second-order error, a few hundredths of a per
// cent.
#include "cases.h"

#include "ground_run.h"

#include <math.h>

enum { MOMENTS = 4 };
static const double days[MOMENTS] = {1, 10, 30, 90};
static const double start_c = 10.0, conductivity = 1.5, capacity = 2.5e6;

typedef struct depth_row {
    double depth_m, c[MOMENTS];
} depth_row;

static const depth_row step_rows[] = {
    {0, {0, 0, 0, 0}},
    {0.1, {2.438686594, 0.7823388245, 0.4521674323, 0.2611522354}},
    {0.25, {5.62494529, 1.939486438, 1.127247945, 0.6522689768}},
    {0.5, {8.795350479, 3.766063527, 2.23210831, 1.300186103}},
    {1, {9.981013868, 6.739458439, 4.292936414, 2.56607598}},
    {1.5, {9.999968144, 8.592864751, 6.04962438, 3.766063527}},
    {2, {9.999999995, 9.504914167, 7.432151118, 4.873574283}},
    {3, {10, 9.967837707, 9.110634992, 6.739458439}},
};
static const depth_row flux_rows[] = {
    {0, {15.13827745, 26.24866001, 38.14350469, 58.74598002}},
    {0.1, {13.38409985, 24.32695675, 36.18873354, 56.77209757}},
    {0.25, {11.6136457, 21.73596243, 33.42578825, 53.90913826}},
    {0.5, {10.33427711, 18.16921698, 29.26701392, 49.3975232}},
    {1, {10.00337236, 13.5106899, 22.5501809, 41.33488978}},
    {1.5, {10.00000407, 11.26866422, 17.7507785, 34.50765095}},
    {2, {10, 10.38045089, 14.52394754, 28.83611527}},
    {3, {10, 10.01879352, 11.28686883, 20.53206969}},
};
static const depth_row film_rows[] = {
    {0, {-0.2197720967, -3.272913865, -3.989287248, -4.413709482}},
    {0.1, {2.754896798, -2.131281596, -3.317435348, -4.023231181}},
    {0.25, {6.194195026, -0.4712702677, -2.320275375, -3.439594021}},
    {0.5, {9.10281842, 2.080433192, -0.7034890034, -2.475822698}},
    {1, {9.989253059, 6.045101225, 2.260952637, -0.6039349876}},
    {1.5, {9.999985626, 8.371904999, 4.731507926, 1.156615501}},
    {2, {9.999999998, 9.453548672, 6.633400359, 2.768871699}},
    {3, {10, 9.967616109, 8.874088353, 5.454579002}},
};
enum { DEPTHS = sizeof step_rows / sizeof *step_rows };

static const struct {
    double days, out_w_m2, out_mj_m2;
} step_flux[] = {
    {1, 37.16925242, 6.422846818},
    {10, 11.75394966, 20.31082501},
    {30, 6.786145999, 35.17938086},
    {90, 3.917983219, 60.93247502},
};

// Steady at the end of the table.
static const struct {
    double days, rise_k;
} sheet_rows[] = {
    {1, 1.712759152},   {10, 5.409955494},  {30, 8.952211953},   {90, 12.73797011},
    {180, 14.67151696}, {365, 16.18426441}, {1825, 18.26673196}, {INFINITY, 20},
};
enum { SHEET_ROWS = sizeof sheet_rows / sizeof *sheet_rows };

static ground_run *half_space(const cb_surface_exchange *surface)
{
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    const ground_drive drive = {.surface = ground_constant_surface, .context = surface};
    ground_run *run = ground_run_column(40.0, 0.005, 0.02, &soil, &drive);
    ground_run_start(run, start_c);
    return run;
}

static void compare(validation_table *table, const cb_surface_exchange *surface,
                    const depth_row *rows, double tolerance_k)
{
    ground_run *run = half_space(surface);
    for (int m = 0; m < MOMENTS; m++) {
        validation_worst worst = {0};
        ground_run_to(run, days[m] * ground_day_s);
        for (int d = 0; d < DEPTHS; d++) {
            const double z_m = rows[d].depth_m;
            const double got = z_m > 0.0 ? ground_at(run, 0.5, z_m) : ground_surface_c(run, 0.5);
            validation_consider(&worst, rows[d].c[m], got, tolerance_k, "%g m [degC]", z_m);
        }
        char what[64];
        snprintf(what, sizeof what, "after %g days", days[m]);
        validation_row_worst(table, &worst, what);
    }
    ground_run_destroy(run);
}

static void run_step(validation_table *table)
{
    const cb_surface_exchange cold = cb_film(0.0, ground_film_isothermal, 0.0);
    compare(table, &cold, step_rows, 1e-3);
    ground_run *run = half_space(&cold);
    for (int m = 0; m < MOMENTS; m++) {
        ground_run_to(run, step_flux[m].days * ground_day_s);
        validation_row(table, step_flux[m].out_w_m2, -ground_surface_w_m2(run, 0.5),
                       1e-4 * step_flux[m].out_w_m2, "heat leaving after %g days [W/m2]",
                       step_flux[m].days);
        validation_row(table, step_flux[m].out_mj_m2, -1e-6 * ground_taken_j(run),
                       2e-4 * step_flux[m].out_mj_m2, "heat that has left after %g days [MJ/m2]",
                       step_flux[m].days);
    }
    ground_run_destroy(run);
}

static void run_flux(validation_table *table)
{
    const cb_surface_exchange heated = cb_film(start_c, ground_film_none, 30.0);
    compare(table, &heated, flux_rows, 3e-3);
}

static void run_film(validation_table *table)
{
    const cb_surface_exchange windy = cb_film(-5.0, 10.0, 0.0);
    compare(table, &windy, film_rows, 1e-3);
}

static ground_run *sheet(const ground_drive *drive, double *cell_w)
{
    // The sheet fills one cell of 1 cm about 1.5 m; far below nothing has happened after 5 years.
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    const cb_axis_rule rule = {0.0, 120.0, 0.05, 0.1, 5.0};
    const cb_fine_span at_sheet = {1.495, 1.505, 1};
    cb_axis z;
    if (cb_axis_create(&z, &rule, &at_sheet, 1, NULL, 0, NULL) != CB_OK) {
        return NULL;
    }
    for (int k = 0; k < z.cells; k++) {
        cell_w[k] = z.edge_m[k] < 1.5 && z.edge_m[k + 1] > 1.5 ? 20.0 : 0.0;
    }
    ground_run *run = ground_run_section(NULL, &z, &soil, drive);
    cb_axis_free(&z);
    return run;
}

static void run_sheet(validation_table *table)
{
    double cell_w[512];
    const ground_drive drive = {.cell_w = cell_w};
    ground_run *run = sheet(&drive, cell_w);
    ground_run_start(run, 0.0);
    for (int m = 0; m < SHEET_ROWS; m++) {
        const double rise_k = sheet_rows[m].rise_k;
        if (isinf(sheet_rows[m].days)) {
            ground_run_settle(run);
            validation_row(table, rise_k, ground_at(run, 0.5, 1.5), 1e-6, "steady [K]");
            continue;
        }
        ground_run_to(run, sheet_rows[m].days * ground_day_s);
        validation_row(table, rise_k, ground_at(run, 0.5, 1.5), 1e-3 * rise_k,
                       "at the sheet after %g days [K]", sheet_rows[m].days);
    }
    ground_run_destroy(run);
}

const validation_case validation_ground_step = {
    "half-space, step of surface temperature",
    "Carslaw & Jaeger 1959, 2.4, evaluated independently; 10 to 0 degC, k 1.5, 2.5e6 J/m3K",
    run_step};

const validation_case validation_ground_flux = {
    "half-space, constant flux",
    "Carslaw & Jaeger 1959, 2.9, evaluated independently; 30 W/m2 from 10 degC", run_flux};

const validation_case validation_ground_film = {
    "half-space, convecting surface",
    "Carslaw & Jaeger 1959, 2.7, evaluated independently; h 10 W/m2K, air -5, start 10 degC",
    run_film};

const validation_case validation_ground_sheet = {
    "buried plane source",
    "plane source and its image (Carslaw & Jaeger 1959, 10.1), evaluated independently; 20 W/m2 at "
    "1.5 m",
    run_sheet};
