// SPDX-License-Identifier: MIT
// A strip source in the bare section: no pipe, no shells, only cells.
#include "cases.h"

#include "ground_run.h"

#include <math.h>
#include <stdlib.h>

static const double conductivity = 1.5, capacity = 2.5e6;

enum { ACROSS = 4 };
static const struct {
    double days, narrow_k[ACROSS], wide_k;
} strip_rows[] = {
    {1, {8.280929391, 7.896173912, 5.971100245, 4.280200581}, 8.563793355},
    {10, {18.18185144, 17.31028651, 14.07724263, 11.91249311}, 26.27570426},
    {30, {22.89975575, 21.9747278, 18.58520379, 16.35816557}, 39.1897565},
    {90, {25.91006051, 24.9727942, 21.54687829, 19.30510874}, 48.42003369},
    {365, {27.43151281, 26.49226158, 23.06040836, 20.81622035}, 53.30295442},
    {INFINITY, {27.99139827, 27.05200077, 23.61970905, 21.37534199}, 55.1317232},
};

/// Half of a strip of 100 W/m2 at 1.5 m, in cells of 1 cm height.
static ground_run *strip(double width_m, ground_drive *drive)
{
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    const cb_axis_rule across = {0.0, 40.0, 0.0, 0.2, 3.0}, down = {0.0, 60.0, 0.1, 0.15, 3.0};
    const int half_cells = 2 * (int)(width_m / 0.06);
    const cb_fine_span at_strip = {1.495, 1.505, 1}, under_strip = {0.0, width_m, half_cells};
    cb_axis x = {0}, z = {0};
    ground_run *run = NULL;
    if (cb_axis_create(&x, &across, &under_strip, 1, NULL, 0, NULL) == CB_OK &&
        cb_axis_create(&z, &down, &at_strip, 1, NULL, 0, NULL) == CB_OK) {
        double *cell_w = calloc((size_t)x.cells * (size_t)z.cells, sizeof *cell_w);
        for (int i = 0; cell_w && i < half_cells / 2; i++) {
            for (int k = 0; k < z.cells; k++) {
                const bool here = z.edge_m[k] < 1.5 && z.edge_m[k + 1] > 1.5;
                cell_w[i * z.cells + k] = here ? 100.0 * (x.edge_m[i + 1] - x.edge_m[i]) : 0.0;
            }
        }
        drive->cell_w = cell_w;
        run = cell_w ? ground_run_section(&x, &z, &soil, drive) : NULL;
    }
    cb_axis_free(&x);
    cb_axis_free(&z);
    ground_run_start(run, 0.0);
    return run;
}

static void to_row(ground_run *run, double days)
{
    if (isinf(days)) {
        ground_run_settle(run);
    } else {
        ground_run_to(run, days * ground_day_s);
    }
}

static void run_strip(validation_table *table)
{
    static const double place_m[ACROSS] = {0.0, 0.2, 0.4, 0.4572};
    ground_drive narrow_drive = {.relative_tolerance = 1e-6}, wide_drive = narrow_drive;
    ground_run *narrow = strip(0.9144, &narrow_drive), *wide = strip(3.0, &wide_drive);
    for (size_t n = 0; n < sizeof strip_rows / sizeof *strip_rows; n++) {
        const double days = strip_rows[n].days;
        validation_worst worst = {0};
        to_row(narrow, days);
        to_row(wide, days);
        for (int a = 0; a < ACROSS; a++) {
            validation_consider(
                &worst, strip_rows[n].narrow_k[a], ground_at(narrow, place_m[a], 1.5),
                0.01 * strip_rows[n].narrow_k[a], "%g m from its middle [K]", place_m[a]);
        }
        char when[48];
        snprintf(when, sizeof when, isinf(days) ? "steady" : "after %g days", days);
        validation_row_worst(table, &worst, when);
        validation_row(table, strip_rows[n].wide_k, ground_at(wide, 0.0, 1.5),
                       0.01 * strip_rows[n].wide_k, "%s, middle of a strip of 3 m [K]", when);
    }
    ground_run_destroy(narrow);
    ground_run_destroy(wide);
    free((void *)narrow_drive.cell_w);
    free((void *)wide_drive.cell_w);
}

const validation_case validation_ground_strip = {
    "strip source under an isothermal surface",
    "plane source with image (Carslaw & Jaeger 1959, 10), evaluated independently; 100 W/m2 at 1.5 "
    "m",
    run_strip};
