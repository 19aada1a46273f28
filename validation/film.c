// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/loop.h"

#include <math.h>

// Schmidt's laminar coil form where the flow is laminar on a coil of 0.9 m, else 0.
typedef struct film_row {
    const char *what;
    double density, viscosity, flow_l_s, inside_mm;
    double reynolds, prandtl, straight, coil;
} film_row;

static const film_row rows[] = {
    {"water 10 degC, 3/4 in SDR 11, 0.20 L/s", 999.70, 1.30590e-03, 0.20, 21.554, 9044.26, 9.46553,
     80.9521, 0},
    {"water 5 degC, 1 in SDR 11, 0.30 L/s", 999.97, 1.51817e-03, 0.30, 26.939, 9339.32, 11.2435,
     88.8644, 0},
    {"propylene glycol 20 % 0 degC, 3/4 in SDR 11, 0.20 L/s", 1020.08, 4.31243e-03, 0.20, 21.554,
     2794.63, 36.0276, 18.7935, 47.513},
    {"propylene glycol 20 % 0 degC, 3/4 in SDR 11, 0.10 L/s", 1020.08, 4.31243e-03, 0.10, 21.554,
     1397.32, 36.0276, 3.66, 31.783},
    {"propylene glycol 25 % -2 degC, 1 in SDR 11, 0.25 L/s", 1026.28, 6.07021e-03, 0.25, 26.939,
     1997.71, 52.4339, 3.66, 45.9317},
    {"methanol 15 % -2 degC, 3/4 in SDR 11, 0.15 L/s", 978.55, 3.15250e-03, 0.15, 21.554, 2750.44,
     27.1659, 16.0928, 43.1677},
    {"ethanol 20 % -2 degC, 1-1/4 in SDR 11, 0.40 L/s", 976.23, 5.86119e-03, 0.40, 34.033, 2492.49,
     57.4691, 10.628, 57.1178},
    {"ethylene glycol 20 % -2 degC, 1 in SDR 11, 0.25 L/s", 1029.40, 3.42308e-03, 0.25, 26.939,
     3553.33, 27.4131, 38.369, 53.0898},
};
enum { ROWS = sizeof rows / sizeof *rows };

static void run_reynolds(validation_table *table)
{
    for (int i = 0; i < ROWS; i++) {
        const film_row *row = &rows[i];
        const cb_fluid_properties fluid = {.density_kg_m3 = row->density,
                                           .viscosity_pa_s = row->viscosity};
        // Density and viscosity are printed to five and six digits.
        validation_row(table, row->reynolds,
                       cb_reynolds(&fluid, 1e-3 * row->flow_l_s, 1e-3 * row->inside_mm),
                       3e-5 * row->reynolds, "%s", row->what);
    }
}

const validation_case validation_reynolds = {
    "Reynolds number", "4 rho V / (pi d mu), computed independently", run_reynolds};

static void run_nusselt(validation_table *table)
{
    for (int i = 0; i < ROWS; i++) {
        const film_row *row = &rows[i];
        const double inside_m = 1e-3 * row->inside_mm;
        validation_row(table, row->straight,
                       cb_nusselt(row->reynolds, row->prandtl, inside_m, INFINITY, 0.0),
                       2e-5 * row->straight, "straight: %s", row->what);
        if (row->coil > 0.0) {
            validation_row(table, row->coil,
                           cb_nusselt(row->reynolds, row->prandtl, inside_m, INFINITY, 0.9),
                           2e-5 * row->coil, "coil of 0.9 m: %s", row->what);
        }
    }
    validation_row(table, 39.01352358988535, cb_nusselt(2000.0, 1.1, 0.5, 0.1, 0.0), 1e-9,
                   "laminar entry (Hausen), Re Pr d/L = 11000");
    validation_row(table, 466.2569996832083, cb_nusselt(2e5, 0.7, 0.01, INFINITY, 0.2), 1e-9,
                   "turbulent in a coil (Schmidt), Re 2e5, Pr 0.7, d/D 0.05");
}

const validation_case validation_nusselt = {
    "Nusselt number",
    "Hausen, Gnielinski with his blend 2300..4000, Schmidt 1967, computed independently; the last "
    "two from the documentation of the open library ht",
    run_nusselt};
