// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/loop.h"

// Tables of Melinder for calcium chloride, in digital form: not the numbers behind the polynomial
// of 2010, but the older ones.
typedef struct salt_row {
    double mass_percent, temperature_c;
    double density, heat_capacity, conductivity, viscosity_mpa_s;
} salt_row;

static const salt_row rows[] = {
    {14.4, -10.0, 1132.49, 3294.28, 0.536597, 3.44656},
    {19.4, -10.0, 1182.54, 3052.15, 0.530751, 4.20817},
    {24.4, -10.0, 1234.89, 2854.82, 0.525947, 5.36839},
    {29.4, -10.0, 1289.83, 2707.49, 0.519792, 7.39961},
    {9.0, 0.0, 1078.38, 3630.25, 0.55595, 2.14553},
    {14.4, 0.0, 1130.07, 3321.36, 0.551421, 2.52426},
    {19.4, 0.0, 1179.9, 3083.22, 0.545465, 3.09478},
    {24.4, 0.0, 1231.26, 2885.45, 0.540272, 3.96953},
    {29.4, 0.0, 1285.09, 2731.19, 0.533585, 5.36944},
    {9.0, 20.0, 1072.85, 3669.79, 0.588056, 1.24315},
    {14.4, 20.0, 1123.6, 3369.93, 0.581855, 1.48641},
    {19.4, 20.0, 1172.23, 3136.4, 0.575265, 1.8555},
    {24.4, 20.0, 1222.51, 2940.45, 0.568872, 2.4375},
    {29.4, 20.0, 1274.9, 2784.94, 0.561238, 3.27382},
};

static void run(validation_table *table)
{
    enum { PROPERTIES = 4 };
    static const char *const name[PROPERTIES] = {"density", "heat capacity", "conductivity",
                                                 "viscosity"};
    // Largest differences found for all brines between both editions, relative.
    static const double tolerance[PROPERTIES] = {0.0045, 0.002, 0.0055, 0.043};
    validation_worst worst[PROPERTIES] = {{0}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const salt_row *row = &rows[i];
        const cb_design_fluid design = {CB_CALCIUM_CHLORIDE, row->mass_percent / 100.0, false};
        cb_fluid fluid;
        cb_fluid_properties at;
        (void)cb_fluid_define(&fluid, &design, NULL); // a refused one is all zeros and cannot hold
        cb_fluid_at(&fluid, row->temperature_c, &at);
        const double got[] = {at.density_kg_m3, at.heat_capacity_j_kgk, at.conductivity_w_mk,
                              1e3 * at.viscosity_pa_s};
        const double expected[] = {row->density, row->heat_capacity, row->conductivity,
                                   row->viscosity_mpa_s};
        for (int k = 0; k < PROPERTIES; k++) {
            validation_consider(&worst[k], expected[k], got[k], tolerance[k] * expected[k],
                                "%g %% by mass at %g degC", row->mass_percent, row->temperature_c);
        }
    }
    for (int k = 0; k < PROPERTIES; k++) {
        validation_row_worst(table, &worst[k], name[k]);
    }
}

const validation_case validation_salt = {
    "calcium chloride, published",
    "Melinder's tables; for potassium formate no second source was found", run};
