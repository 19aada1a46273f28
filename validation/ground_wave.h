// SPDX-License-Identifier: MIT
/// Periodic surfaces and what the ground below does, Carslaw & Jaeger 1959, 2.6, evaluated
/// independently: 10 -+ 12 degC over the year, coldest on day 35; a day; diffusivity 0.6e-6 m2/s.
#ifndef COILBED_VALIDATION_GROUND_WAVE_H
#define COILBED_VALIDATION_GROUND_WAVE_H

#include "ground_run.h"

#include <math.h>

/// Surface temperature mean - swing cos(2 pi (t - coldest) / period), behind a film.
typedef struct ground_wave {
    double mean_c, swing_k, coldest_s, period_s, film_w_m2k, diffusivity_m2_s;
} ground_wave;

static inline double ground_wave_surface_c(const ground_wave *w, double time_s)
{
    const double angle = 2.0 * ground_pi * (time_s - w->coldest_s) / w->period_s;
    return w->mean_c - w->swing_k * cos(angle);
}

/// The closed form at time 0, so that no years of run-up are needed; any error of the model still
/// shows a year later.
static inline double ground_wave_profile(const void *context, double z_m)
{
    const ground_wave *w = context;
    const double depth_m = sqrt(w->diffusivity_m2_s * w->period_s / ground_pi);
    return w->mean_c - w->swing_k * exp(-z_m / depth_m) *
                           cos(-2.0 * ground_pi * w->coldest_s / w->period_s - z_m / depth_m);
}

enum { GROUND_WAVE_DEPTHS = 8 };
static const double ground_wave_depth_m[GROUND_WAVE_DEPTHS] = {0, 0.5, 1, 1.5, 2, 3, 5, 10};

static const struct {
    double day, c[GROUND_WAVE_DEPTHS];
} ground_annual_rows[] = {
    {1,
     {-0.002669262063, 3.103840061, 5.637669064, 7.618898491, 9.098307809, 10.82944196, 11.35849702,
      10.01068349}},
    {35,
     {-2, 0.4143011866, 2.669703883, 4.666662514, 6.356446772, 8.793482439, 10.70372368,
      10.12142922}},
    {60,
     {-0.9058116481, 0.4621287754, 2.018116398, 3.593854431, 5.076032381, 7.517615019, 10.05662227,
      10.17872778}},
    {91,
     {3.157092488, 2.906959508, 3.220841432, 3.888725635, 4.746913005, 6.583119629, 9.253464295,
      10.20386978}},
    {121,
     {8.91698068, 7.162536104, 6.187387473, 5.796760643, 5.821485576, 6.582754328, 8.671939411,
      10.17417297}},
    {152,
     {15.14670325, 12.32220391, 10.28572906, 8.911450777, 8.070811383, 7.516596943, 8.435942049,
      10.09596428}},
    {182,
     {19.82817864, 16.71451923, 14.18823281, 12.2238107, 10.76623471, 9.082134714, 8.621922149,
      9.994578949}},
    {213,
     {21.96401404, 19.4036951, 17.06346657, 15.02813896, 13.33349305, 10.94582833, 9.190256474,
      9.891617225}},
    {244,
     {20.77292072, 19.47791054, 17.97450591, 16.43425255, 14.97378041, 12.54650792, 9.983762634,
      9.818794363}},
    {274,
     {16.75780869, 17.03472265, 16.74260792, 16.09168112, 15.2461028, 13.42452738, 10.75834162,
      9.796191981}},
    {305,
     {10.77410139, 12.59465492, 13.63022964, 14.07340983, 14.09244166, 13.39282383, 11.34896865,
      9.828625539}},
    {335,
     {4.760185217, 7.596040897, 9.645607505, 11.03324566, 11.88651866, 12.46166743, 11.56431359,
      9.905588379}},
    {365,
     {0.1129239309, 3.224430423, 5.753418456, 7.723589098, 9.188551567, 10.88845594, 11.37165236,
      10.00717577}},
};
enum { GROUND_ANNUAL_ROWS = sizeof ground_annual_rows / sizeof *ground_annual_rows };

static const struct {
    double depth_m, ratio, lag_h;
} ground_daily_rows[] = {
    {0.05, 0.6775746816, 1.486770097}, {0.1, 0.4591074492, 2.973540194},
    {0.2, 0.2107796499, 5.947080387},  {0.3, 0.09677050739, 8.920620581},
    {0.5, 0.02039725367, 14.86770097},
};
enum { GROUND_DAILY_ROWS = sizeof ground_daily_rows / sizeof *ground_daily_rows };

#endif
