// SPDX-License-Identifier: MIT
#include "cases.h"
#include "published.h"

#include "coilbed/loop.h"

enum { ROWS = sizeof published_water / sizeof *published_water };

static void run(validation_table *table)
{
    cb_fluid water;
    if (cb_fluid_define(&water, &(cb_design_fluid){.type = CB_WATER}, NULL) != CB_OK) {
        return;
    }
    validation_worst density = {0}, heat_capacity = {0}, conductivity = {0}, viscosity = {0};
    for (int i = 0; i < ROWS; i++) {
        const water_row *row = &published_water[i];
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
