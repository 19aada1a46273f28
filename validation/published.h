// SPDX-License-Identifier: MIT
/// Published values that both the validation table and the tests of the loop compare with; each
/// computed independently of the library.
#ifndef COILBED_VALIDATION_PUBLISHED_H
#define COILBED_VALIDATION_PUBLISHED_H

/// Published walls and the average inside diameters that follow from them, ASTM D3035 and
/// ISO 4427-2 tables; computed independently of the library.
typedef struct pipe_row {
    const char *nominal;
    double sdr, outside_mm, inside_mm;
} pipe_row;

static const pipe_row published_pipe[] = {
    {"3/4 in", 9, 26.670, 20.370},      {"1 in", 9, 33.401, 25.539},
    {"1-1/4 in", 9, 42.164, 32.256},    {"1-1/2 in", 9, 48.260, 36.898},
    {"2 in", 9, 60.325, 46.109},        {"3/4 in", 11, 26.670, 21.554},
    {"1 in", 11, 33.401, 26.939},       {"1-1/4 in", 11, 42.164, 34.033},
    {"1-1/2 in", 11, 48.260, 38.944},   {"2 in", 11, 60.325, 48.694},
    {"3/4 in", 13.5, 26.670, 22.470},   {"1 in", 13.5, 33.401, 28.178},
    {"1-1/4 in", 13.5, 42.164, 35.541}, {"1-1/2 in", 13.5, 48.260, 40.667},
    {"2 in", 13.5, 60.325, 50.848},     {"3/4 in", 17, 26.670, 23.331},
    {"1 in", 17, 33.401, 29.255},       {"1-1/4 in", 17, 42.164, 36.887},
    {"1-1/2 in", 17, 48.260, 42.229},   {"2 in", 17, 60.325, 52.786},
    {"25 mm", 11, 25, 20.00},           {"25 mm", 13.6, 25, 20.70},
    {"32 mm", 11, 32, 25.60},           {"32 mm", 13.6, 32, 26.80},
    {"32 mm", 17, 32, 27.70},           {"40 mm", 11, 40, 32.10},
    {"40 mm", 13.6, 40, 33.50},         {"40 mm", 17, 40, 34.80},
    {"50 mm", 11, 50, 40.20},           {"50 mm", 13.6, 50, 42.10},
    {"50 mm", 17, 50, 43.60},           {"63 mm", 11, 63, 50.70},
    {"63 mm", 13.6, 63, 53.00},         {"63 mm", 17, 63, 54.90},
};

/// Metres of pipe per metre of trench by adaptive quadrature, computed independently.
typedef struct length_row {
    double diameter_in, pitch_in, pipe_per_m;
} length_row;

static const length_row published_length[] = {
    {30, 10, 9.451322501}, {30, 12, 7.885845006}, {30, 18, 5.283844095}, {30, 20, 4.765591652},
    {30, 24, 3.990915099}, {30, 36, 2.714391349}, {30, 56, 1.835156248}, {30, 57, 1.808494954},
    {32, 10, 10.07797987}, {32, 12, 8.407448631}, {32, 18, 5.629906351}, {32, 20, 5.076408432},
    {32, 24, 4.248689003}, {32, 36, 2.882793201}, {32, 56, 1.937396729}, {32, 57, 1.908559735},
    {36, 10, 11.33184923}, {36, 12, 9.451322501}, {36, 18, 6.323037437}, {36, 20, 5.699163575},
    {36, 24, 4.765591652}, {36, 36, 3.221687352}, {36, 56, 2.145408231}, {36, 57, 2.112303167},
    {57, 10, 17.92104181}, {57, 12, 14.93932296}, {57, 18, 9.973522374}, {57, 20, 8.98148282},
    {57, 24, 7.494826643}, {57, 36, 5.024576083}, {57, 56, 3.276363921}, {57, 57, 3.221687352},
};

/// Liquid water at 101.325 kPa: IAPWS-95, R12-08 and R15-11 (0 degC: SR6-08).
typedef struct water_row {
    double temperature_c, density, heat_capacity, conductivity, viscosity;
} water_row;

static const water_row published_water[] = {
    {0.0, 999.842, 4219.32, 0.55565, 1.79178e-03},  {5.0, 999.967, 4205.04, 0.56779, 1.51817e-03},
    {10.0, 999.702, 4195.16, 0.57878, 1.30590e-03}, {15.0, 999.103, 4188.46, 0.58880, 1.13757e-03},
    {20.0, 998.207, 4184.05, 0.59801, 1.00160e-03}, {25.0, 997.048, 4181.31, 0.60652, 8.90022e-04},
    {30.0, 995.649, 4179.82, 0.61439, 7.97222e-04}, {35.0, 994.033, 4179.26, 0.62170, 7.19126e-04},
    {40.0, 992.216, 4179.41, 0.62849, 6.52729e-04}, {45.0, 990.213, 4180.14, 0.63478, 5.95769e-04},
    {50.0, 988.035, 4181.34, 0.64062, 5.46516e-04}, {55.0, 985.693, 4182.96, 0.64602, 5.03625e-04},
    {60.0, 983.196, 4184.95, 0.65100, 4.66035e-04},
};

/// Head loss of water at 60 degF in steel pipe, Hydraulic Institute Engineering Data Library,
/// [ft per 100 ft]. Its water has 1.130 mm2/s, as the laminar rows show. The turbulent rows follow
/// Colebrook and White; at Re 2700 the table still does, in the middle of Churchill's transition.
typedef struct head_row {
    double inside_in, flow_gpm, head_ft;
    double tolerance; ///< relative
} head_row;

static const double published_head_density = 999.0, published_head_viscosity_m2_s = 1.130e-6;
static const double published_head_roughness_ft = 0.00015;

static const head_row published_head[] = {
    {0.269, 0.02, 0.272, 0.003}, {0.269, 0.1, 1.359, 0.003}, {0.364, 0.1, 0.405, 0.003},
    {1.049, 1.0, 0.114, 0.16},   {1.049, 5.0, 1.93, 0.02},   {1.049, 10.0, 6.86, 0.02},
    {2.067, 3.0, 0.0302, 0.02},  {2.067, 5.0, 0.0731, 0.02}, {2.067, 380.0, 233.0, 0.02},
};

/// Friction in polyethylene pipe of roughness 1.5e-6 m, computed independently: Churchill's factor;
/// White's ratio to 64/Re and Mishra and Gupta's turbulent factor (on Blasius') in a coil of 0.9 m,
/// 0 where not given.
typedef struct friction_row {
    const char *what;
    double reynolds, inside_mm, straight, white, mishra;
} friction_row;

static const friction_row published_friction[] = {
    {"water, 10 degC, 3/4 in", 9044.26, 21.554, 0.0319946, 0, 0.0370873},
    {"water, 5 degC, 1 in", 9339.32, 26.939, 0.0316889, 0, 0.0373756},
    {"propylene glycol 20 %, 0 degC, 0.2 L/s", 2794.63, 21.554, 0.0412438, 2.6000, 0},
    {"propylene glycol 20 %, 0 degC, 0.1 L/s", 1397.32, 21.554, 0.0458021, 1.9992, 0},
    {"propylene glycol 25 %, -2 degC, 1 in", 1997.71, 26.939, 0.0320783, 2.3838, 0},
    {"methanol 15 %, -2 degC, 3/4 in", 2750.44, 21.554, 0.0405584, 2.5839, 0},
    {"ethanol 20 %, -2 degC, 1-1/4 in", 2492.49, 34.033, 0.0349656, 2.7189, 0},
    {"ethylene glycol 20 %, -2 degC, 1 in", 3553.33, 26.939, 0.0421418, 2.9881, 0},
};

#endif
