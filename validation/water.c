// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/loop.h"

typedef struct water_row {
    double temperature_c, density, heat_capacity, conductivity, viscosity;
} water_row;

static const water_row rows[] = {
    {0.0, 999.842, 4219.32, 0.55565, 1.79178e-03},  {5.0, 999.967, 4205.04, 0.56779, 1.51817e-03},
    {10.0, 999.702, 4195.16, 0.57878, 1.30590e-03}, {15.0, 999.103, 4188.46, 0.58880, 1.13757e-03},
    {20.0, 998.207, 4184.05, 0.59801, 1.00160e-03}, {25.0, 997.048, 4181.31, 0.60652, 8.90022e-04},
    {30.0, 995.649, 4179.82, 0.61439, 7.97222e-04}, {35.0, 994.033, 4179.26, 0.62170, 7.19126e-04},
    {40.0, 992.216, 4179.41, 0.62849, 6.52729e-04}, {45.0, 990.213, 4180.14, 0.63478, 5.95769e-04},
    {50.0, 988.035, 4181.34, 0.64062, 5.46516e-04}, {55.0, 985.693, 4182.96, 0.64602, 5.03625e-04},
    {60.0, 983.196, 4184.95, 0.65100, 4.66035e-04},
};
enum { ROWS = sizeof rows / sizeof *rows };

static void run(validation_table *table)
{
    cb_fluid water;
    if (cb_fluid_define(&water, &(cb_design_fluid){.type = CB_WATER}, NULL) != CB_OK) {
        return;
    }
    validation_worst density = {0}, heat_capacity = {0}, conductivity = {0}, viscosity = {0};
    for (int i = 0; i < ROWS; i++) {
        const water_row *row = &rows[i];
        cb_fluid_properties got;
        cb_fluid_at(&water, row->temperature_c, &got);
        validation_consider(&density, row->density, got.density_kg_m3, 2e-4 * row->density,
                            "%g degC", row->temperature_c);
        validation_consider(&heat_capacity, row->heat_capacity, got.heat_capacity_j_kgk,
                            2e-4 * row->heat_capacity, "%g degC", row->temperature_c);
        validation_consider(&conductivity, row->conductivity, got.conductivity_w_mk,
                            2e-4 * row->conductivity, "%g degC", row->temperature_c);
        validation_consider(&viscosity, row->viscosity, got.viscosity_pa_s, 1e-3 * row->viscosity,
                            "%g degC", row->temperature_c);
    }
    validation_row_worst(table, &density, "density [kg/m3]");
    validation_row_worst(table, &heat_capacity, "heat capacity [J/kgK]");
    validation_row_worst(table, &conductivity, "conductivity [W/mK]");
    validation_row_worst(table, &viscosity, "viscosity [Pa s]");
}

const validation_case validation_water = {
    "water",
    "IAPWS-95, R12-08 (viscosity), R15-11 (conductivity), 101.325 kPa; 0 degC from SR6-08(2011)",
    run};
