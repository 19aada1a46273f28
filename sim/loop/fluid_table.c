// SPDX-License-Identifier: MIT
#include "loop/fluid_table.h"

#include <math.h>

// Brines: A. Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIF-IIR
// Publishing 2010, in the SI form in which the open library CoolProp (MIT licence) carries the
// numbers; the book itself was not seen. Powers of concentration run along a row, powers of
// temperature down the rows; terms whose powers add up to more than five do not exist (zero).
// Spans of concentration and temperature are those of the tabulated values behind the
// polynomials, with one exception: propylene glycol below 15 % by mass is interpolation between
// that table and water (at 0 % the polynomial is within 0.1 % of water in density and heat
// capacity, 0.6 % in conductivity, 1.2 % in viscosity and -0.025 degC in freezing point).
//
// Calcium chloride ends at its eutectic, 29.4 %. Potassium formate: the span of concentration is
// that of the library; the tabulated values behind it are not known, so its coldest temperature is
// held to that of the other fluids, and no second source was found to compare with.
//
// Densities of the pure additives at 20 degC are from memory; those of the alcohols agree with a
// published table (790 and 792 kg/m3).
static const cbx_brine brines[] = {
    {
        .type = CB_PROPYLENE_GLYCOL,
        .base_fraction = 0.307031,
        .base_c = 32.7083,
        .lowest_fraction = 0.0,
        .highest_fraction = 0.57,
        .lowest_c = -45.0,
        .highest_c = 40.0,
        .additive_density_kg_m3 = 1036.1,
        .volume_basis = CBX_BEFORE_MIXING,
        .freeze_k = {259.9, -66.31, -109.4, -228.3, -340.9, 146.5},
        .density = {{1018.0, 76.04, -24.98, -155.0, -113.1, 234.2},
                    {-0.5406, -0.945, 0.27, 2.829, -2.221, 0},
                    {-0.002666, 0.005541, -0.004018, -0.007175, 0, 0},
                    {1.347e-05, -1.343e-05, 3.376e-05, 0, 0, 0}},
        .heat_capacity = {{3882.0, -1304.0, -1598.0, 353.9, 5000.0, -4959.0},
                          {2.699, 5.07, 0.9534, 31.02, -71.35, 0},
                          {-0.001659, -0.004752, 0.1167, -0.295, 0, 0},
                          {-1.032e-05, 0.0001522, -0.000487, 0, 0, 0}},
        .conductivity = {{0.4513, -0.4795, 0.2076, -0.09083, -0.05952, 0.2104},
                         {0.0007955, -0.001678, 0.001563, -0.002518, -0.003605, 0},
                         {3.482e-08, 8.941e-06, -4.615e-05, 6.543e-05, 0, 0},
                         {-5.966e-09, 1.493e-08, 9.897e-08, 0, 0, 0}},
        .log_viscosity = {{-6.224055279, 3.328, 0.5453, -3.9, -1.587, 35.64},
                          {-0.03045, -0.03984, -0.00086, 0.1054, 0.04475, 0},
                          {0.0002525, 0.0004332, -0.0001593, -0.001589, 0, 0},
                          {-1.399e-06, -1.86e-06, -4.465e-07, 0, 0, 0}},
    },
    {
        .type = CB_ETHYLENE_GLYCOL,
        .base_fraction = 0.308462,
        .base_c = 31.728,
        .lowest_fraction = 0.0,
        .highest_fraction = 0.56,
        .lowest_c = -44.0,
        .highest_c = 40.0,
        .additive_density_kg_m3 = 1113.2,
        .volume_basis = CBX_BEFORE_MIXING,
        .freeze_k = {257.9, -80.8, -133.4, -72.93, 100.6, 11.4},
        .density = {{1034.0, 131.1, 0.749, -106.2, -96.23, 489.1},
                    {-0.4781, -0.6876, 0.7855, 1.229, -7.211, 0},
                    {-0.002692, 0.004805, -0.003995, -0.01153, 0, 0},
                    {4.725e-06, 1.69e-06, 4.982e-05, 0, 0, 0}},
        .heat_capacity = {{3737.0, -1799.0, -993.3, 2610.0, 1537.0, -16180.0},
                          {2.93, 10.46, 3.516, -1.189, -42.72, 0},
                          {-0.004675, -0.04147, 0.05109, -0.1643, 0, 0},
                          {-1.389e-05, 1.847e-05, -0.0007138, 0, 0, 0}},
        .conductivity = {{0.472, -0.4286, 0.1747, 0.03017, -0.1322, 0.2678},
                         {0.0008903, -0.001473, 0.0006814, -0.002412, 0.002555, 0},
                         {-1.058e-06, 1.059e-05, -3.612e-05, 4.004e-05, 0, 0},
                         {-2.789e-09, -1.142e-08, 2.365e-08, 0, 0, 0}},
        .log_viscosity = {{-6.437255279, 2.471, 0.03328, 1.659, 3.089, -18.65},
                          {-0.0255, -0.01171, 0.01086, 0.003157, 0.01831, 0},
                          {0.0001782, 0.0001052, 0.0001051, 0.0004063, 0, 0},
                          {-7.669e-07, -1.634e-06, -6.475e-06, 0, 0, 0}},
    },
    {
        .type = CB_METHANOL,
        .base_fraction = 0.305128,
        .base_c = 3.5359,
        .lowest_fraction = 0.078,
        .highest_fraction = 0.474,
        .lowest_c = -50.0,
        .highest_c = 20.0,
        .additive_density_kg_m3 = 791.4,
        .volume_basis = CBX_OF_SOLUTION,
        .freeze_k = {246.86, -118.7, -121.8, -68.23, 12.97, 236.3},
        .density = {{958.1, -139.1, -110.5, -120.8, 492.7, -772.7},
                    {-0.4151, -1.51, 1.828, 2.992, -13.25, 0},
                    {-0.002261, 0.01113, -0.01641, 0.001455, 0, 0},
                    {2.998e-07, -3.264e-05, 0.000151, 0, 0, 0}},
        .heat_capacity = {{3887.0, -1850.0, -376.9, -3776.0, -15040.0, 64330.0},
                          {7.201, 29.84, -119.6, -56.11, 737.3, 0},
                          {-0.08979, -0.1865, 0.9801, -0.7811, 0, 0},
                          {-0.000439, -0.001718, 0.00666, 0, 0, 0}},
        .conductivity = {{0.4175, -0.4421, 0.2044, 0.2943, -0.08666, -2.033},
                         {0.0007271, -0.002952, 0.003413, -0.0009646, -4.573e-05, 0},
                         {2.823e-07, 7.336e-06, -3.665e-05, 3.174e-05, 0, 0},
                         {9.718e-09, 4.328e-08, -2.791e-07, 0, 0, 0}},
        .log_viscosity = {{-5.754755279, 0.5448, -5.552, 3.038, 6.669, -8.472},
                          {-0.03866, 0.01008, 0.08384, -0.07435, -0.09105, 0},
                          {0.0002779, -0.0002809, -0.0003997, 0.0007442, 0, 0},
                          {-1.543e-06, 9.811e-07, -3.466e-06, 0, 0, 0}},
    },
    {
        .type = CB_ETHANOL,
        .base_fraction = 0.292361,
        .base_c = 8.1578,
        .lowest_fraction = 0.11,
        .highest_fraction = 0.6,
        .lowest_c = -44.0,
        .highest_c = 20.0,
        .additive_density_kg_m3 = 789.3,
        .volume_basis = CBX_OF_SOLUTION,
        .freeze_k = {253.74, -95.4, -26.48, 385.1, -28.58, -1670.0},
        .density = {{961.9, -143.3, -226.0, -169.0, 1291.0, -831.8},
                    {-0.5222, -1.989, 2.281, 8.594, -15.9, 0},
                    {-0.003281, 0.0187, -0.0008581, -0.09607, 0, 0},
                    {1.569e-05, -9.154e-05, 4.056e-05, 0, 0, 0}},
        .heat_capacity = {{4204.0, -2102.0, -3714.0, 17430.0, -6292.0, -82900.0},
                          {2.319, 49.27, -23.35, -296.9, 535.3, 0},
                          {-0.03042, -0.3072, -0.196, 1.901, 0, 0},
                          {0.000686, -0.00569, 0.007461, 0, 0, 0}},
        .conductivity = {{0.4067, -0.5008, 0.2801, -0.02009, -0.1506, -0.1653},
                         {0.0006775, -0.002377, 0.002669, -0.006813, 0.01167, 0},
                         {3.105e-07, -3.216e-06, -3.606e-05, 0.0001429, 0, 0},
                         {-2e-08, 8.362e-09, 1.552e-07, 0, 0, 0}},
        .log_viscosity = {{-5.433755279, 1.565, -8.435, 7.552, 15.29, -41.3},
                          {-0.04745, -0.004106, 0.164, -0.1118, -0.09481, 0},
                          {0.0004314, -0.0005135, -0.001091, 0.001899, 0, 0},
                          {-3.023e-06, 7.004e-06, -1.967e-05, 0, 0, 0}},
    },
    {
        .type = CB_POTASSIUM_FORMATE,
        .base_fraction = 0.291447,
        .base_c = 5.8908,
        .lowest_fraction = 0.0,
        .highest_fraction = 0.48,
        .lowest_c = -45.0,
        .highest_c = 40.0,
        .additive_density_kg_m3 = NAN,
        .volume_basis = CBX_MASS_ONLY,
        .freeze_k = {252.96, -110.6, -210.0, -263.8, 83.27, 634.5},
        .density = {{1189.0, 704.4, 188.9, -226.2, 2368.0, 10610.0},
                    {-0.3515, -0.656, 1.034, 0.3692, 8.766, 0},
                    {-0.001918, 0.007018, -0.03889, 0.06609, 0, 0},
                    {3.132e-05, -0.0001459, 9.225e-05, 0, 0, 0}},
        .heat_capacity = {{3144.0, -2994.0, 2944.0, 1161.0, -14290.0, -32210.0},
                          {1.698, 2.29, -24.82, 67.58, 99.49, 0},
                          {-0.001303, 0.0003898, 0.33, -1.277, 0, 0},
                          {5.177e-05, 0.0007391, -0.004871, 0, 0, 0}},
        .conductivity = {{0.5253, -0.1972, -0.2596, -0.5062, 1.501, 5.562},
                         {0.001241, -0.0006322, -0.0004693, -0.005229, 0.05376, 0},
                         {-3.799e-08, 2.654e-06, -4.362e-05, 0.0001035, 0, 0},
                         {-2.951e-09, -7.324e-08, 2.899e-07, 0, 0, 0}},
        .log_viscosity = {{-6.098955279, 1.758, -0.8372, -1.184, 108.8, 309.8},
                          {-0.02556, 0.008603, -0.01601, -0.1331, -0.7003, 0},
                          {0.0002195, 0.0002498, 4.815e-05, -0.005489, 0, 0},
                          {-1.667e-06, -3.569e-06, -1.861e-05, 0, 0, 0}},
    },
    {
        .type = CB_CALCIUM_CHLORIDE,
        .base_fraction = 0.187414,
        .base_c = 7.5257,
        .lowest_fraction = 0.09,
        .highest_fraction = 0.294,
        .lowest_c = -44.0,
        .highest_c = 30.0,
        .additive_density_kg_m3 = NAN,
        .volume_basis = CBX_MASS_ONLY,
        .freeze_k = {256.94, -155.5, -549.6, -2624.0, -17260.0, -44940.0},
        .density = {{1171.0, 984.7, 338.9, 1062.0, 2785.0, -18110.0},
                    {-0.1463, -2.488, -23.02, 62.91, 642.3, 0},
                    {-0.001302, -0.0553, 0.3526, 1.806, 0, 0},
                    {-0.0001871, 0.001665, 0.002788, 0, 0, 0}},
        .heat_capacity = {{3133.0, -4480.0, 9511.0, 14720.0, -134600.0, -667400.0},
                          {2.81, 3.271, -51.91, 161.5, -975.4, 0},
                          {-0.01563, -0.1205, 2.282, 5.073, 0, 0},
                          {-1.233e-05, 0.0009346, -0.00929, 0, 0, 0}},
        .conductivity = {{0.558, -0.115, -0.1784, -0.4415, 4.699, 29.29},
                         {0.00146, -0.001008, 0.003496, -0.003462, 0.06179, 0},
                         {3.861e-07, -6.54e-06, -4.84e-05, 0.0003922, 0, 0},
                         {1.307e-08, 4.728e-08, -2.011e-06, 0, 0, 0}},
        .log_viscosity = {{-6.013855279, 4.389, 9.121, 1.963, 29.97, 343.5},
                          {-0.02647, 0.02102, 0.03993, -0.4892, -3.631, 0},
                          {0.0001718, -8.688e-05, 0.003785, 1.526e-05, 0, 0},
                          {-7.918e-07, -4.353e-06, -9.979e-05, 0, 0, 0}},
    },
};

// Water: least-squares polynomials of degree 6 in (T - 30 degC) / 30 K, our fit to 13 values
// 0, 5, .. 60 degC at 101.325 kPa of IAPWS-95 (density, heat capacity), IAPWS R12-08 (viscosity,
// fitted as its logarithm) and IAPWS R15-11 (conductivity). Largest deviation from those values:
// density 7.6e-07, heat capacity 1.8e-06, conductivity 6.8e-06, viscosity 5.9e-06, relative.
static const cbx_water water = {
    .base_c = 30.0,
    .scale_k = 30.0,
    .lowest_c = 0.0,
    .highest_c = 60.0,
    .density = {995.649299, -9.061215652, -3.918044295, 0.666266557, -0.1867473208, 0.07183710407,
                -0.02547863777},
    .heat_capacity = {4179.819551, -5.941969354, 16.64035226, -8.903539696, 4.90689688,
                      -2.338371041, 0.768371517},
    .conductivity = {0.6143926552, 0.04550530646, -0.01020753027, 0.001814410736, -0.0007488818766,
                     0.000355520362, -0.0001113436533},
    .log_viscosity = {-7.134378012, -0.6387938037, 0.1260740623, -0.03112871541, 0.00934984782,
                      -0.003427989769, 0.001056273072},
};

const cbx_brine *cbx_brine_find(cb_fluid_type type)
{
    for (size_t i = 0; i < sizeof brines / sizeof *brines; i++) {
        if (brines[i].type == type) {
            return &brines[i];
        }
    }
    return NULL;
}

const cbx_water *cbx_water_table(void)
{
    return &water;
}
