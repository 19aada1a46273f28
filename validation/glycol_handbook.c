// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/loop.h"

typedef struct handbook_row {
    cb_fluid_type type;
    double volume_percent, temperature_c;
    double density, heat_capacity, conductivity, viscosity;
} handbook_row;

static const handbook_row rows[] = {
    {CB_PROPYLENE_GLYCOL, 30.0, -10.0, 1039.42, 3765, 0.41, 11.87},
    {CB_PROPYLENE_GLYCOL, 40.0, -10.0, 1048.79, 3603, 0.375, 23.27},
    {CB_PROPYLENE_GLYCOL, 20.0, -5.0, 1027.24, 3918, 0.456, 4.98},
    {CB_PROPYLENE_GLYCOL, 30.0, -5.0, 1037.89, 3779, 0.416, 9.08},
    {CB_PROPYLENE_GLYCOL, 40.0, -5.0, 1047.02, 3619, 0.38, 16.75},
    {CB_PROPYLENE_GLYCOL, 10.0, 0.0, 1013.85, 4042, 0.51, 2.68},
    {CB_PROPYLENE_GLYCOL, 20.0, 0.0, 1025.84, 3929, 0.464, 4.05},
    {CB_PROPYLENE_GLYCOL, 30.0, 0.0, 1036.24, 3793, 0.423, 7.08},
    {CB_PROPYLENE_GLYCOL, 40.0, 0.0, 1045.12, 3636, 0.385, 12.37},
    {CB_PROPYLENE_GLYCOL, 10.0, 5.0, 1012.61, 4050, 0.518, 2.23},
    {CB_PROPYLENE_GLYCOL, 20.0, 5.0, 1024.32, 3940, 0.472, 3.34},
    {CB_PROPYLENE_GLYCOL, 30.0, 5.0, 1034.46, 3807, 0.429, 5.61},
    {CB_PROPYLENE_GLYCOL, 40.0, 5.0, 1043.09, 3652, 0.389, 9.35},
    {CB_PROPYLENE_GLYCOL, 10.0, 10.0, 1011.24, 4058, 0.527, 1.89},
    {CB_PROPYLENE_GLYCOL, 20.0, 10.0, 1022.68, 3951, 0.479, 2.79},
    {CB_PROPYLENE_GLYCOL, 30.0, 10.0, 1032.55, 3820, 0.434, 4.52},
    {CB_PROPYLENE_GLYCOL, 40.0, 10.0, 1040.94, 3669, 0.394, 7.22},
    {CB_PROPYLENE_GLYCOL, 10.0, 15.0, 1009.75, 4067, 0.535, 1.63},
    {CB_PROPYLENE_GLYCOL, 20.0, 15.0, 1020.91, 3962, 0.485, 2.36},
    {CB_PROPYLENE_GLYCOL, 30.0, 15.0, 1030.51, 3834, 0.44, 3.69},
    {CB_PROPYLENE_GLYCOL, 40.0, 15.0, 1038.65, 3685, 0.398, 5.69},
    {CB_PROPYLENE_GLYCOL, 10.0, 20.0, 1008.13, 4075, 0.543, 1.42},
    {CB_PROPYLENE_GLYCOL, 20.0, 20.0, 1019.01, 3973, 0.492, 2.02},
    {CB_PROPYLENE_GLYCOL, 30.0, 20.0, 1028.35, 3848, 0.445, 3.06},
    {CB_PROPYLENE_GLYCOL, 40.0, 20.0, 1036.24, 3702, 0.402, 4.57},
    {CB_PROPYLENE_GLYCOL, 10.0, 30.0, 1004.54, 4091, 0.557, 1.11},
    {CB_PROPYLENE_GLYCOL, 20.0, 30.0, 1014.84, 3994, 0.503, 1.52},
    {CB_PROPYLENE_GLYCOL, 30.0, 30.0, 1023.64, 3875, 0.454, 2.18},
    {CB_PROPYLENE_GLYCOL, 40.0, 30.0, 1031.03, 3735, 0.409, 3.09},
    {CB_PROPYLENE_GLYCOL, 10.0, 40.0, 1000.46, 4107, 0.569, 0.89},
    {CB_PROPYLENE_GLYCOL, 20.0, 40.0, 1010.16, 4016, 0.513, 1.18},
    {CB_PROPYLENE_GLYCOL, 30.0, 40.0, 1018.42, 3903, 0.462, 1.63},
    {CB_PROPYLENE_GLYCOL, 40.0, 40.0, 1025.3, 3768, 0.415, 2.21},
    {CB_ETHYLENE_GLYCOL, 30.0, -10.0, 1054.31, 3560, 0.415, 6.19},
    {CB_ETHYLENE_GLYCOL, 40.0, -10.0, 1069.63, 3367, 0.383, 9.06},
    {CB_ETHYLENE_GLYCOL, 20.0, -5.0, 1036.85, 3757, 0.46, 3.65},
    {CB_ETHYLENE_GLYCOL, 30.0, -5.0, 1053.11, 3574, 0.422, 5.03},
    {CB_ETHYLENE_GLYCOL, 40.0, -5.0, 1068.28, 3384, 0.389, 7.18},
    {CB_ETHYLENE_GLYCOL, 10.0, 0.0, 1018.73, 3937, 0.511, 2.08},
    {CB_ETHYLENE_GLYCOL, 20.0, 0.0, 1035.67, 3769, 0.468, 3.02},
    {CB_ETHYLENE_GLYCOL, 30.0, 0.0, 1051.78, 3589, 0.429, 4.15},
    {CB_ETHYLENE_GLYCOL, 40.0, 0.0, 1066.8, 3401, 0.395, 5.83},
    {CB_ETHYLENE_GLYCOL, 10.0, 5.0, 1017.57, 3946, 0.52, 1.79},
    {CB_ETHYLENE_GLYCOL, 20.0, 5.0, 1034.36, 3780, 0.476, 2.54},
    {CB_ETHYLENE_GLYCOL, 30.0, 5.0, 1050.33, 3603, 0.436, 3.48},
    {CB_ETHYLENE_GLYCOL, 40.0, 5.0, 1065.21, 3418, 0.4, 4.82},
    {CB_ETHYLENE_GLYCOL, 10.0, 10.0, 1016.28, 3954, 0.528, 1.56},
    {CB_ETHYLENE_GLYCOL, 20.0, 10.0, 1032.94, 3792, 0.483, 2.18},
    {CB_ETHYLENE_GLYCOL, 30.0, 10.0, 1048.76, 3617, 0.442, 2.95},
    {CB_ETHYLENE_GLYCOL, 40.0, 10.0, 1063.49, 3435, 0.405, 4.04},
    {CB_ETHYLENE_GLYCOL, 10.0, 15.0, 1014.87, 3963, 0.537, 1.37},
    {CB_ETHYLENE_GLYCOL, 20.0, 15.0, 1031.39, 3803, 0.49, 1.89},
    {CB_ETHYLENE_GLYCOL, 30.0, 15.0, 1047.07, 3631, 0.448, 2.53},
    {CB_ETHYLENE_GLYCOL, 40.0, 15.0, 1061.65, 3451, 0.41, 3.44},
    {CB_ETHYLENE_GLYCOL, 10.0, 20.0, 1013.34, 3972, 0.545, 1.21},
    {CB_ETHYLENE_GLYCOL, 20.0, 20.0, 1029.72, 3815, 0.497, 1.65},
    {CB_ETHYLENE_GLYCOL, 30.0, 20.0, 1045.25, 3645, 0.453, 2.2},
    {CB_ETHYLENE_GLYCOL, 40.0, 20.0, 1059.68, 3468, 0.415, 2.96},
    {CB_ETHYLENE_GLYCOL, 10.0, 30.0, 1009.62, 3989, 0.559, 0.97},
    {CB_ETHYLENE_GLYCOL, 20.0, 30.0, 1026.02, 3838, 0.509, 1.3},
    {CB_ETHYLENE_GLYCOL, 30.0, 30.0, 1041.26, 3674, 0.464, 1.69},
    {CB_ETHYLENE_GLYCOL, 40.0, 30.0, 1055.39, 3502, 0.424, 2.26},
    {CB_ETHYLENE_GLYCOL, 10.0, 40.0, 1006.01, 4007, 0.572, 0.8},
    {CB_ETHYLENE_GLYCOL, 20.0, 40.0, 1021.83, 3861, 0.52, 1.06},
    {CB_ETHYLENE_GLYCOL, 30.0, 40.0, 1036.78, 3702, 0.473, 1.34},
    {CB_ETHYLENE_GLYCOL, 40.0, 40.0, 1050.62, 3535, 0.431, 1.77},
};
enum { ROWS = sizeof rows / sizeof *rows, PROPERTIES = 4 };

typedef struct freeze_row {
    cb_fluid_type type;
    double volume_percent, freeze_c;
} freeze_row;

static const freeze_row freeze_rows[] = {
    {CB_PROPYLENE_GLYCOL, 4.8, -1.6},   {CB_PROPYLENE_GLYCOL, 9.6, -3.3},
    {CB_PROPYLENE_GLYCOL, 14.5, -5.1},  {CB_PROPYLENE_GLYCOL, 19.4, -7.1},
    {CB_PROPYLENE_GLYCOL, 20.4, -7.6},  {CB_PROPYLENE_GLYCOL, 21.4, -8},
    {CB_PROPYLENE_GLYCOL, 22.4, -8.6},  {CB_PROPYLENE_GLYCOL, 23.4, -9.1},
    {CB_PROPYLENE_GLYCOL, 24.4, -9.6},  {CB_PROPYLENE_GLYCOL, 25.3, -10.2},
    {CB_PROPYLENE_GLYCOL, 26.4, -10.8}, {CB_PROPYLENE_GLYCOL, 27.4, -11.4},
    {CB_PROPYLENE_GLYCOL, 28.4, -12},   {CB_PROPYLENE_GLYCOL, 29.4, -12.7},
    {CB_ETHYLENE_GLYCOL, 4.4, -1.4},    {CB_ETHYLENE_GLYCOL, 8.9, -3.2},
    {CB_ETHYLENE_GLYCOL, 13.6, -5.4},   {CB_ETHYLENE_GLYCOL, 18.1, -7.8},
    {CB_ETHYLENE_GLYCOL, 19.2, -8.4},   {CB_ETHYLENE_GLYCOL, 20.1, -8.9},
    {CB_ETHYLENE_GLYCOL, 21.0, -9.5},   {CB_ETHYLENE_GLYCOL, 22.0, -10.2},
    {CB_ETHYLENE_GLYCOL, 22.9, -10.7},  {CB_ETHYLENE_GLYCOL, 23.9, -11.4},
    {CB_ETHYLENE_GLYCOL, 24.8, -12},    {CB_ETHYLENE_GLYCOL, 25.8, -12.7},
    {CB_ETHYLENE_GLYCOL, 26.7, -13.3},  {CB_ETHYLENE_GLYCOL, 27.7, -14.1},
    {CB_ETHYLENE_GLYCOL, 28.7, -14.8},  {CB_ETHYLENE_GLYCOL, 29.6, -15.4},
};
enum { FREEZE_ROWS = sizeof freeze_rows / sizeof *freeze_rows };

// The handbook's glycols carry inhibitors and come from other measurements: two published sources
// differ by this much, relative, in density, heat capacity, conductivity and viscosity, and by
// this much in freezing point [K].
typedef struct spread {
    const char *name;
    double relative[PROPERTIES], freeze_k;
} spread;

static const spread spreads[] = {
    [CB_PROPYLENE_GLYCOL] = {"propylene glycol", {0.006, 0.004, 0.022, 0.13}, 0.5},
    [CB_ETHYLENE_GLYCOL] = {"ethylene glycol", {0.006, 0.022, 0.032, 0.18}, 0.9},
};

static cb_fluid fluid_of(cb_fluid_type type, double volume_percent)
{
    cb_fluid fluid;
    const cb_design_fluid design = {type, volume_percent / 100.0, true};
    // A refused mixture leaves a fluid of zeros, which no row can hold with.
    (void)cb_fluid_define(&fluid, &design, NULL);
    return fluid;
}

static void compare_state(validation_worst worst[PROPERTIES], const handbook_row *row)
{
    const cb_fluid fluid = fluid_of(row->type, row->volume_percent);
    cb_fluid_properties at;
    cb_fluid_at(&fluid, row->temperature_c, &at);
    const double got[PROPERTIES] = {at.density_kg_m3, at.heat_capacity_j_kgk, at.conductivity_w_mk,
                                    1e3 * at.viscosity_pa_s};
    const double expected[PROPERTIES] = {row->density, row->heat_capacity, row->conductivity,
                                         row->viscosity};
    for (int k = 0; k < PROPERTIES; k++) {
        validation_consider(&worst[k], expected[k], got[k],
                            spreads[row->type].relative[k] * expected[k],
                            "%g %% by volume at %g degC", row->volume_percent, row->temperature_c);
    }
}

static void add_rows(validation_table *table, const spread *one,
                     const validation_worst worst[PROPERTIES], const validation_worst *freezing)
{
    static const char *const names[PROPERTIES] = {"density [kg/m3]", "heat capacity [J/kgK]",
                                                  "conductivity [W/mK]", "viscosity [mPa s]"};
    char what[VALIDATION_LABEL_SIZE];
    for (int k = 0; k < PROPERTIES; k++) {
        snprintf(what, sizeof what, "%s %s", one->name, names[k]);
        validation_row_worst(table, &worst[k], what);
    }
    snprintf(what, sizeof what, "%s freezing point [degC]", one->name);
    validation_row_worst(table, freezing, what);
}

static void run(validation_table *table)
{
    for (int type = CB_PROPYLENE_GLYCOL; type <= CB_ETHYLENE_GLYCOL; type++) {
        validation_worst worst[PROPERTIES] = {{0}}, freezing = {0};
        for (int i = 0; i < ROWS; i++) {
            if ((int)rows[i].type == type) {
                compare_state(worst, &rows[i]);
            }
        }
        for (int i = 0; i < FREEZE_ROWS; i++) {
            const freeze_row *row = &freeze_rows[i];
            if ((int)row->type == type) {
                validation_consider(&freezing, row->freeze_c,
                                    fluid_of(row->type, row->volume_percent).freeze_c,
                                    spreads[type].freeze_k, "%g %% by volume", row->volume_percent);
            }
        }
        add_rows(table, &spreads[type], worst, &freezing);
    }
}

const validation_case validation_glycol_handbook = {
    "glycol, second source",
    "ASHRAE Handbook Fundamentals 2001, inhibited glycols 10 to 40 % by volume; the tolerance is "
    "the spread between published sources",
    run};
