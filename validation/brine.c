// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/loop.h"

typedef struct brine_row {
    cb_fluid_type type;
    double mass_fraction, temperature_c;
    double density, heat_capacity, conductivity, viscosity;
} brine_row;

static const brine_row rows[] = {
    {CB_PROPYLENE_GLYCOL, 0.10, 0.0, 1009.3093, 4059.037, 0.515486, 2.744552e-03},
    {CB_PROPYLENE_GLYCOL, 0.10, 10.0, 1008.2690, 4066.567, 0.530055, 1.935549e-03},
    {CB_PROPYLENE_GLYCOL, 0.10, 20.0, 1006.2032, 4076.341, 0.543814, 1.432265e-03},
    {CB_PROPYLENE_GLYCOL, 0.15, 0.0, 1014.5319, 3996.789, 0.493117, 3.416546e-03},
    {CB_PROPYLENE_GLYCOL, 0.15, 10.0, 1012.9346, 4011.619, 0.505561, 2.347098e-03},
    {CB_PROPYLENE_GLYCOL, 0.15, 20.0, 1010.3922, 4027.701, 0.517533, 1.699443e-03},
    {CB_PROPYLENE_GLYCOL, 0.20, -5.0, 1020.8363, 3926.123, 0.465725, 5.409527e-03},
    {CB_PROPYLENE_GLYCOL, 0.20, 0.0, 1020.0811, 3935.929, 0.471122, 4.312431e-03},
    {CB_PROPYLENE_GLYCOL, 0.20, 10.0, 1017.8627, 3956.075, 0.481777, 2.874715e-03},
    {CB_PROPYLENE_GLYCOL, 0.20, 20.0, 1014.7766, 3976.769, 0.492213, 2.030081e-03},
    {CB_PROPYLENE_GLYCOL, 0.25, -5.0, 1026.9239, 3860.166, 0.444966, 7.047782e-03},
    {CB_PROPYLENE_GLYCOL, 0.25, 0.0, 1025.8133, 3872.150, 0.449553, 5.515056e-03},
    {CB_PROPYLENE_GLYCOL, 0.25, 10.0, 1022.9425, 3896.264, 0.458722, 3.558133e-03},
    {CB_PROPYLENE_GLYCOL, 0.25, 20.0, 1019.2776, 3920.468, 0.467852, 2.445232e-03},
    {CB_PROPYLENE_GLYCOL, 0.30, -5.0, 1033.0244, 3788.966, 0.424519, 9.271927e-03},
    {CB_PROPYLENE_GLYCOL, 0.30, 0.0, 1031.5598, 3802.641, 0.428454, 7.117107e-03},
    {CB_PROPYLENE_GLYCOL, 0.30, 10.0, 1028.0353, 3829.907, 0.436403, 4.438420e-03},
    {CB_PROPYLENE_GLYCOL, 0.30, 20.0, 1023.7850, 3857.004, 0.444429, 2.964975e-03},
    {CB_ETHYLENE_GLYCOL, 0.10, 0.0, 1013.6178, 4037.363, 0.523282, 2.344891e-03},
    {CB_ETHYLENE_GLYCOL, 0.10, 10.0, 1012.5173, 4040.525, 0.538611, 1.693973e-03},
    {CB_ETHYLENE_GLYCOL, 0.10, 20.0, 1010.5789, 4045.859, 0.552891, 1.274522e-03},
    {CB_ETHYLENE_GLYCOL, 0.15, -5.0, 1021.7228, 3947.060, 0.496651, 3.280238e-03},
    {CB_ETHYLENE_GLYCOL, 0.15, 0.0, 1021.2297, 3951.830, 0.503706, 2.728110e-03},
    {CB_ETHYLENE_GLYCOL, 0.15, 10.0, 1019.6400, 3962.413, 0.517251, 1.951209e-03},
    {CB_ETHYLENE_GLYCOL, 0.15, 20.0, 1017.2744, 3974.216, 0.530040, 1.454324e-03},
    {CB_ETHYLENE_GLYCOL, 0.20, -5.0, 1029.8477, 3852.319, 0.477938, 3.840870e-03},
    {CB_ETHYLENE_GLYCOL, 0.20, 0.0, 1029.0646, 3860.837, 0.484142, 3.177594e-03},
    {CB_ETHYLENE_GLYCOL, 0.20, 10.0, 1026.9422, 3878.296, 0.496163, 2.250400e-03},
    {CB_ETHYLENE_GLYCOL, 0.20, 20.0, 1024.1038, 3896.199, 0.507665, 1.662420e-03},
    {CB_ETHYLENE_GLYCOL, 0.25, -5.0, 1038.0915, 3750.807, 0.459342, 4.494093e-03},
    {CB_ETHYLENE_GLYCOL, 0.25, 0.0, 1037.0196, 3762.851, 0.464821, 3.697575e-03},
    {CB_ETHYLENE_GLYCOL, 0.25, 10.0, 1034.3634, 3786.868, 0.475536, 2.592789e-03},
    {CB_ETHYLENE_GLYCOL, 0.25, 20.0, 1031.0478, 3810.704, 0.485916, 1.898944e-03},
    {CB_ETHYLENE_GLYCOL, 0.30, -5.0, 1046.3145, 3642.650, 0.441062, 5.254119e-03},
    {CB_ETHYLENE_GLYCOL, 0.30, 0.0, 1044.9718, 3658.089, 0.445923, 4.297588e-03},
    {CB_ETHYLENE_GLYCOL, 0.30, 10.0, 1041.8127, 3688.510, 0.455508, 2.982996e-03},
    {CB_ETHYLENE_GLYCOL, 0.30, 20.0, 1038.0455, 3718.251, 0.464897, 2.166449e-03},
    {CB_METHANOL, 0.10, -5.0, 984.4522, 4251.310, 0.501946, 3.106996e-03},
    {CB_METHANOL, 0.10, 0.0, 984.3880, 4240.822, 0.509546, 2.534810e-03},
    {CB_METHANOL, 0.10, 10.0, 983.4613, 4219.151, 0.524298, 1.770877e-03},
    {CB_METHANOL, 0.10, 20.0, 981.5370, 4197.521, 0.538401, 1.307290e-03},
    {CB_METHANOL, 0.15, -5.0, 978.8287, 4159.209, 0.479055, 3.582252e-03},
    {CB_METHANOL, 0.15, 0.0, 978.3202, 4162.927, 0.485518, 2.904909e-03},
    {CB_METHANOL, 0.15, 10.0, 976.6374, 4165.220, 0.498170, 2.003871e-03},
    {CB_METHANOL, 0.15, 20.0, 974.1120, 4160.594, 0.510437, 1.460351e-03},
    {CB_METHANOL, 0.20, -5.0, 973.5051, 4050.170, 0.456654, 3.996080e-03},
    {CB_METHANOL, 0.20, 0.0, 972.5201, 4068.078, 0.462092, 3.230104e-03},
    {CB_METHANOL, 0.20, 10.0, 970.0035, 4095.283, 0.472828, 2.211462e-03},
    {CB_METHANOL, 0.20, 20.0, 966.7850, 4110.082, 0.483387, 1.597900e-03},
    {CB_METHANOL, 0.25, -5.0, 968.0336, 3938.476, 0.434737, 4.307665e-03},
    {CB_METHANOL, 0.25, 0.0, 966.5770, 3968.944, 0.439257, 3.480212e-03},
    {CB_METHANOL, 0.25, 10.0, 963.2229, 4018.692, 0.448256, 2.376543e-03},
    {CB_METHANOL, 0.25, 20.0, 959.2938, 4051.904, 0.457232, 1.709797e-03},
    {CB_METHANOL, 0.30, -5.0, 962.1179, 3830.140, 0.413448, 4.489742e-03},
    {CB_METHANOL, 0.30, 0.0, 960.2216, 3870.476, 0.417150, 3.634580e-03},
    {CB_METHANOL, 0.30, 10.0, 956.0808, 3938.189, 0.424584, 2.487036e-03},
    {CB_METHANOL, 0.30, 20.0, 951.4781, 3986.472, 0.432103, 1.788811e-03},
    {CB_ETHANOL, 0.15, -5.0, 980.6845, 4430.702, 0.469253, 5.634882e-03},
    {CB_ETHANOL, 0.15, 0.0, 980.2208, 4412.690, 0.474734, 4.281016e-03},
    {CB_ETHANOL, 0.15, 10.0, 978.3545, 4372.432, 0.485692, 2.688713e-03},
    {CB_ETHANOL, 0.15, 20.0, 975.3843, 4334.766, 0.496555, 1.848609e-03},
    {CB_ETHANOL, 0.20, -5.0, 976.8312, 4377.412, 0.443242, 6.976739e-03},
    {CB_ETHANOL, 0.20, 0.0, 975.7654, 4369.391, 0.447818, 5.249270e-03},
    {CB_ETHANOL, 0.20, 10.0, 972.8212, 4348.842, 0.457056, 3.223660e-03},
    {CB_ETHANOL, 0.20, 20.0, 968.9161, 4328.658, 0.466310, 2.164758e-03},
    {CB_ETHANOL, 0.25, -5.0, 972.5508, 4276.983, 0.418218, 8.132355e-03},
    {CB_ETHANOL, 0.25, 0.0, 970.8456, 4281.594, 0.422062, 6.092688e-03},
    {CB_ETHANOL, 0.25, 10.0, 966.7677, 4285.384, 0.429863, 3.695163e-03},
    {CB_ETHANOL, 0.25, 20.0, 961.8980, 4286.633, 0.437716, 2.443574e-03},
    {CB_ETHANOL, 0.30, -5.0, 967.2837, 4145.149, 0.394308, 8.942862e-03},
    {CB_ETHANOL, 0.30, 0.0, 964.9579, 4163.227, 0.397540, 6.704568e-03},
    {CB_ETHANOL, 0.30, 10.0, 959.7918, 4192.589, 0.404106, 4.052952e-03},
    {CB_ETHANOL, 0.30, 20.0, 954.0146, 4216.106, 0.410707, 2.659934e-03},
    {CB_POTASSIUM_FORMATE, 0.10, 0.0, 1063.9698, 3806.719, 0.549009, 1.989345e-03},
    {CB_POTASSIUM_FORMATE, 0.10, 10.0, 1062.2904, 3806.388, 0.563603, 1.500153e-03},
    {CB_POTASSIUM_FORMATE, 0.10, 20.0, 1059.7353, 3809.332, 0.577677, 1.175405e-03},
    {CB_POTASSIUM_FORMATE, 0.15, -5.0, 1096.1676, 3612.549, 0.534731, 2.441447e-03},
    {CB_POTASSIUM_FORMATE, 0.15, 0.0, 1095.3735, 3615.273, 0.541665, 2.094010e-03},
    {CB_POTASSIUM_FORMATE, 0.15, 10.0, 1093.1017, 3622.334, 0.555270, 1.592138e-03},
    {CB_POTASSIUM_FORMATE, 0.15, 20.0, 1090.1874, 3630.798, 0.568592, 1.255361e-03},
    {CB_POTASSIUM_FORMATE, 0.20, -5.0, 1129.1053, 3427.624, 0.527338, 2.614810e-03},
    {CB_POTASSIUM_FORMATE, 0.20, 0.0, 1127.9883, 3433.542, 0.533919, 2.249119e-03},
    {CB_POTASSIUM_FORMATE, 0.20, 10.0, 1125.2277, 3445.847, 0.546960, 1.719899e-03},
    {CB_POTASSIUM_FORMATE, 0.20, 20.0, 1121.9921, 3458.492, 0.559871, 1.364181e-03},
    {CB_POTASSIUM_FORMATE, 0.25, -5.0, 1163.3447, 3255.989, 0.519241, 2.841133e-03},
    {CB_POTASSIUM_FORMATE, 0.25, 0.0, 1161.9642, 3263.838, 0.525596, 2.447934e-03},
    {CB_POTASSIUM_FORMATE, 0.25, 10.0, 1158.7898, 3279.412, 0.538269, 1.880840e-03},
    {CB_POTASSIUM_FORMATE, 0.25, 20.0, 1155.2518, 3294.886, 0.550898, 1.501242e-03},
    {CB_POTASSIUM_FORMATE, 0.30, -5.0, 1198.6673, 3099.696, 0.510140, 3.095157e-03},
    {CB_POTASSIUM_FORMATE, 0.30, 0.0, 1197.0709, 3108.445, 0.516316, 2.669673e-03},
    {CB_POTASSIUM_FORMATE, 0.30, 10.0, 1193.5420, 3125.641, 0.528671, 2.059916e-03},
    {CB_POTASSIUM_FORMATE, 0.30, 20.0, 1189.7150, 3142.725, 0.541013, 1.654524e-03},
    {CB_CALCIUM_CHLORIDE, 0.10, -5.0, 1089.8264, 3560.151, 0.547373, 2.619336e-03},
    {CB_CALCIUM_CHLORIDE, 0.10, 0.0, 1088.2978, 3568.813, 0.555234, 2.227305e-03},
    {CB_CALCIUM_CHLORIDE, 0.10, 10.0, 1086.8145, 3587.914, 0.571022, 1.666751e-03},
    {CB_CALCIUM_CHLORIDE, 0.10, 20.0, 1085.8729, 3608.560, 0.586866, 1.298070e-03},
    {CB_CALCIUM_CHLORIDE, 0.15, -5.0, 1136.3450, 3279.151, 0.543327, 3.042466e-03},
    {CB_CALCIUM_CHLORIDE, 0.15, 0.0, 1135.4130, 3292.903, 0.550800, 2.605160e-03},
    {CB_CALCIUM_CHLORIDE, 0.15, 10.0, 1134.3710, 3319.336, 0.565805, 1.966439e-03},
    {CB_CALCIUM_CHLORIDE, 0.15, 20.0, 1133.1977, 3344.041, 0.580932, 1.537078e-03},
    {CB_CALCIUM_CHLORIDE, 0.20, -5.0, 1185.7394, 3039.906, 0.538408, 3.696316e-03},
    {CB_CALCIUM_CHLORIDE, 0.20, 0.0, 1184.7732, 3055.800, 0.545639, 3.183031e-03},
    {CB_CALCIUM_CHLORIDE, 0.20, 10.0, 1182.9868, 3085.079, 0.560108, 2.427345e-03},
    {CB_CALCIUM_CHLORIDE, 0.20, 20.0, 1180.5667, 3111.000, 0.574657, 1.913135e-03},
    {CB_CALCIUM_CHLORIDE, 0.25, -5.0, 1238.5177, 2853.192, 0.532391, 4.721815e-03},
    {CB_CALCIUM_CHLORIDE, 0.25, 0.0, 1236.8670, 2868.689, 0.539469, 4.079276e-03},
    {CB_CALCIUM_CHLORIDE, 0.25, 10.0, 1233.3147, 2897.710, 0.553586, 3.140518e-03},
    {CB_CALCIUM_CHLORIDE, 0.25, 20.0, 1229.0676, 2924.147, 0.567691, 2.501610e-03},
};
enum { ROWS = sizeof rows / sizeof *rows };

enum { PROPERTIES = 4 };
static const char *const property_names[PROPERTIES] = {"density [kg/m3]", "heat capacity [J/kgK]",
                                                       "conductivity [W/mK]", "viscosity [Pa s]"};
// Half a unit of the last digit the independent program printed.
static const double tolerance[PROPERTIES] = {5.1e-5, 5.1e-4, 5.1e-7, 5.1e-10};

static cb_fluid brine_of(cb_fluid_type type, double fraction, bool by_volume)
{
    cb_fluid fluid;
    const cb_design_fluid design = {type, fraction, by_volume};
    // A refused mixture leaves a fluid of zeros, which no row can hold with.
    (void)cb_fluid_define(&fluid, &design, NULL);
    return fluid;
}

static void compare_state(validation_worst worst[PROPERTIES], const brine_row *row)
{
    const cb_fluid fluid = brine_of(row->type, row->mass_fraction, false);
    cb_fluid_properties at;
    cb_fluid_at(&fluid, row->temperature_c, &at);
    const double got[PROPERTIES] = {at.density_kg_m3, at.heat_capacity_j_kgk, at.conductivity_w_mk,
                                    at.viscosity_pa_s};
    const double expected[PROPERTIES] = {row->density, row->heat_capacity, row->conductivity,
                                         row->viscosity};
    for (int k = 0; k < PROPERTIES; k++) {
        validation_consider(&worst[k], expected[k], got[k], tolerance[k],
                            "%g %% by mass at %g degC", 100.0 * row->mass_fraction,
                            row->temperature_c);
    }
}

static void run_properties(validation_table *table)
{
    for (int type = CB_PROPYLENE_GLYCOL; type < CB_FLUID_COUNT; type++) {
        validation_worst worst[PROPERTIES] = {{0}};
        for (int i = 0; i < ROWS; i++) {
            if ((int)rows[i].type == type) {
                compare_state(worst, &rows[i]);
            }
        }
        for (int k = 0; k < PROPERTIES; k++) {
            char what[VALIDATION_LABEL_SIZE];
            snprintf(what, sizeof what, "%s %s", cb_fluid_name((cb_fluid_type)type),
                     property_names[k]);
            validation_row_worst(table, &worst[k], what);
        }
    }
}

const validation_case validation_brine = {
    "brine", "Melinder 2010 polynomials, computed independently", run_properties};

// The density printed in a test of a property library, and a public page on ethylene glycol 40 %
// at 0 degC; half a unit of the last digit printed there.
static void run_library(validation_table *table)
{
    cb_fluid_properties at;
    const cb_fluid methanol = brine_of(CB_METHANOL, 0.30, false);
    cb_fluid_at(&methanol, -5.0, &at);
    validation_row(table, 962.12, at.density_kg_m3, 0.005, "methanol 30 %% -5 degC [kg/m3]");
    const cb_fluid glycol = brine_of(CB_ETHYLENE_GLYCOL, 0.40, false);
    cb_fluid_at(&glycol, 0.0, &at);
    validation_row(table, 1060.4, at.density_kg_m3, 0.05, "ethylene glycol 40 %% [kg/m3]");
    validation_row(table, 5.811, 1e3 * at.viscosity_pa_s, 0.0006, "ethylene glycol 40 %% [mPa s]");
    validation_row(table, 3434.0, at.heat_capacity_j_kgk, 0.5, "ethylene glycol 40 %% [J/kgK]");
    validation_row(table, -23.8, glycol.freeze_c, 0.05, "ethylene glycol 40 %% freezes [degC]");
}

const validation_case validation_brine_library = {
    "brine, published",
    "tests of the open library CoolProp (methanol) and a public page of Melinder's values "
    "(ethylene glycol)",
    run_library};

typedef struct freeze_row {
    cb_fluid_type type;
    bool by_volume;
    double concentration, freeze_c;
} freeze_row;

static const freeze_row freeze_rows[] = {
    {CB_PROPYLENE_GLYCOL, false, 0.1, -2.87},
    {CB_PROPYLENE_GLYCOL, false, 0.15, -4.87},
    {CB_PROPYLENE_GLYCOL, false, 0.2, -7.17},
    {CB_PROPYLENE_GLYCOL, false, 0.25, -9.79},
    {CB_PROPYLENE_GLYCOL, false, 0.3, -12.79},
    {CB_ETHYLENE_GLYCOL, false, 0.1, -3.36},
    {CB_ETHYLENE_GLYCOL, false, 0.15, -5.44},
    {CB_ETHYLENE_GLYCOL, false, 0.2, -7.95},
    {CB_ETHYLENE_GLYCOL, false, 0.25, -10.97},
    {CB_ETHYLENE_GLYCOL, false, 0.3, -14.58},
    {CB_METHANOL, false, 0.1, -6.54},
    {CB_METHANOL, false, 0.15, -10.57},
    {CB_METHANOL, false, 0.2, -15.08},
    {CB_METHANOL, false, 0.25, -20.11},
    {CB_METHANOL, false, 0.3, -25.68},
    {CB_METHANOL, true, 0.1, -5.09},
    {CB_METHANOL, true, 0.15, -8.20},
    {CB_METHANOL, true, 0.2, -11.67},
    {CB_METHANOL, true, 0.25, -15.54},
    {CB_METHANOL, true, 0.3, -19.83},
    {CB_ETHANOL, false, 0.15, -7.39},
    {CB_ETHANOL, false, 0.2, -11.12},
    {CB_ETHANOL, false, 0.25, -15.45},
    {CB_ETHANOL, false, 0.3, -20.14},
    {CB_ETHANOL, true, 0.15, -5.55},
    {CB_ETHANOL, true, 0.2, -8.23},
    {CB_ETHANOL, true, 0.25, -11.43},
    {CB_ETHANOL, true, 0.3, -15.08},
    {CB_POTASSIUM_FORMATE, false, 0.10, -4.9131},
    {CB_POTASSIUM_FORMATE, false, 0.15, -8.0035},
    {CB_POTASSIUM_FORMATE, false, 0.20, -11.6286},
    {CB_POTASSIUM_FORMATE, false, 0.25, -15.9478},
    {CB_POTASSIUM_FORMATE, false, 0.30, -21.1515},
    {CB_CALCIUM_CHLORIDE, false, 0.10, -5.8424},
    {CB_CALCIUM_CHLORIDE, false, 0.15, -11.0546},
    {CB_CALCIUM_CHLORIDE, false, 0.20, -18.2599},
    {CB_CALCIUM_CHLORIDE, false, 0.25, -29.0462},
};

static void run_freezing(validation_table *table)
{
    for (int type = CB_PROPYLENE_GLYCOL; type < CB_FLUID_COUNT; type++) {
        validation_worst worst = {0};
        for (size_t i = 0; i < sizeof freeze_rows / sizeof *freeze_rows; i++) {
            const freeze_row *row = &freeze_rows[i];
            if ((int)row->type == type) {
                const cb_fluid fluid = brine_of(row->type, row->concentration, row->by_volume);
                validation_consider(&worst, row->freeze_c, fluid.freeze_c, 5.1e-3, "%g %% by %s",
                                    100.0 * row->concentration, row->by_volume ? "volume" : "mass");
            }
        }
        validation_row_worst(table, &worst, cb_fluid_name((cb_fluid_type)type));
    }
}

const validation_case validation_freezing_point = {
    "freezing point [degC]",
    "Melinder 2010 polynomials, computed independently; volume of alcohol per volume of solution "
    "at 20 degC",
    run_freezing};

typedef struct volume_row {
    cb_fluid_type type;
    double mass_percent, volume_percent;
} volume_row;

static const volume_row handbook_rows[] = {
    {CB_PROPYLENE_GLYCOL, 5, 4.80},   {CB_PROPYLENE_GLYCOL, 10, 9.60},
    {CB_PROPYLENE_GLYCOL, 15, 14.50}, {CB_PROPYLENE_GLYCOL, 20, 19.40},
    {CB_PROPYLENE_GLYCOL, 25, 24.40}, {CB_PROPYLENE_GLYCOL, 30, 29.40},
    {CB_PROPYLENE_GLYCOL, 35, 34.40}, {CB_PROPYLENE_GLYCOL, 40, 39.60},
    {CB_ETHYLENE_GLYCOL, 5, 4.40},    {CB_ETHYLENE_GLYCOL, 10, 8.90},
    {CB_ETHYLENE_GLYCOL, 15, 13.60},  {CB_ETHYLENE_GLYCOL, 20, 18.10},
    {CB_ETHYLENE_GLYCOL, 25, 22.90},  {CB_ETHYLENE_GLYCOL, 30, 27.70},
    {CB_ETHYLENE_GLYCOL, 35, 32.60},  {CB_ETHYLENE_GLYCOL, 40, 37.50},
    {CB_METHANOL, 8.1, 10},           {CB_METHANOL, 12.2, 15},
    {CB_METHANOL, 16.4, 20},          {CB_METHANOL, 20.6, 25},
    {CB_METHANOL, 24.9, 30},          {CB_METHANOL, 29.2, 35},
    {CB_ETHANOL, 11.3, 14.0},         {CB_ETHANOL, 13.8, 17.0},
    {CB_ETHANOL, 16.4, 20.2},         {CB_ETHANOL, 20.3, 24.8},
    {CB_ETHANOL, 24.2, 29.5},         {CB_ETHANOL, 29.9, 36.1},
};

static void run_volume(validation_table *table)
{
    for (int type = CB_PROPYLENE_GLYCOL; type <= CB_ETHANOL; type++) {
        validation_worst worst = {0};
        for (size_t i = 0; i < sizeof handbook_rows / sizeof *handbook_rows; i++) {
            const volume_row *row = &handbook_rows[i];
            if ((int)row->type == type) {
                const cb_fluid fluid = brine_of(row->type, row->volume_percent / 100.0, true);
                // Half a point: the handbook's glycols carry inhibitors. Alcohols: it rounds to
                // 0.1.
                validation_consider(&worst, row->mass_percent, 100.0 * fluid.mass_fraction,
                                    type <= CB_ETHYLENE_GLYCOL ? 0.5 : 0.2, "%g %% by volume",
                                    row->volume_percent);
            }
        }
        validation_row_worst(table, &worst, cb_fluid_name((cb_fluid_type)type));
    }
}

const validation_case validation_volume_percent = {
    "volume per cent to mass per cent",
    "ASHRAE Handbook Fundamentals (glycols); Lange's Handbook, 15th ed., table 5.13 (alcohols)",
    run_volume};
