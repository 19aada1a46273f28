// SPDX-License-Identifier: MIT
// Periodic surfaces: the annual and the daily wave, and a film between air and ground.
#include "cases.h"

#include "ground_run.h"

#include <math.h>

static const double conductivity = 1.5, capacity = 2.5e6; // diffusivity 0.6e-6 m2/s

/// Surface temperature mean - swing cos(2 pi (t - coldest) / period), behind a film.
typedef struct wave {
    double mean_c, swing_k, coldest_s, period_s, film_w_m2k, diffusivity_m2_s;
} wave;

static cb_surface_exchange wave_surface(const void *context, double time_s)
{
    const wave *w = context;
    const double angle = 2.0 * ground_pi * (time_s - w->coldest_s) / w->period_s;
    return cb_film(w->mean_c - w->swing_k * cos(angle), w->film_w_m2k, 0.0);
}

/// The closed form at time 0, so that no years of run-up are needed; any error of the model still
/// shows a year later.
static double wave_profile(const void *context, double z_m)
{
    const wave *w = context;
    const double depth_m = sqrt(w->diffusivity_m2_s * w->period_s / ground_pi);
    return w->mean_c - w->swing_k * exp(-z_m / depth_m) *
                           cos(-2.0 * ground_pi * w->coldest_s / w->period_s - z_m / depth_m);
}

static double probe_depth(ground_run *run, const void *context)
{
    return ground_at(run, 0.5, *(const double *)context);
}

static double probe_surface(ground_run *run, const void *context)
{
    (void)context;
    return ground_surface_c(run, 0.5);
}

// ---- annual wave -----------------------------------------------------------------------------

enum { DEPTHS = 8 };
static const double depth_m[DEPTHS] = {0, 0.5, 1, 1.5, 2, 3, 5, 10};

static const struct {
    double day, c[DEPTHS];
} annual_rows[] = {
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
enum { ANNUAL_ROWS = sizeof annual_rows / sizeof *annual_rows };

static const struct {
    double day, surface_w_m2;
} annual_flux[ANNUAL_ROWS] = {
    {1, -10.1655048},    {35, -7.334466221},  {60, -3.605799876},  {91, 1.842669198},
    {121, 6.642586851},  {152, 9.771326049},  {182, 10.21535034},  {213, 7.880059921},
    {244, 3.353498452},  {274, -1.930456993}, {305, -6.846054665}, {335, -9.800915937},
    {365, -10.19949034},
};

static const struct {
    double depth_m, lowest_c, lowest_day, highest_c, highest_day;
} extreme_rows[] = {
    {0, -2, 35, 22, 217.5},
    {0.5, 0.2118597233, 46.83529284, 19.78814028, 229.3352928},
    {1, 2.016025827, 58.67058568, 17.98397417, 241.1705857},
    {1.5, 3.487645069, 70.50587852, 16.51235493, 253.0058785},
    {2, 4.688013034, 82.34117136, 15.31198697, 264.8411714},
    {3, 6.465769438, 106.011757, 13.53423056, 288.511757},
    {5, 8.435517777, 153.3529284, 11.56448222, 335.8529284},
    {10, 9.796032948, 271.7058568, 10.20396705, 89.2058568},
};
enum { EXTREME_ROWS = sizeof extreme_rows / sizeof *extreme_rows };

static ground_run *annual_run(const wave *w)
{
    const cb_soil soil = ground_plain_soil(w->diffusivity_m2_s * capacity, capacity);
    const ground_drive drive = {.surface = wave_surface, .context = w};
    ground_run *run = ground_run_column(40.0, 0.01, 0.04, &soil, &drive);
    ground_run_start_profile(run, wave_profile, w);
    return run;
}

static void run_annual(validation_table *table)
{
    const double year_s = 365.0 * ground_day_s;
    const wave w = {10.0, 12.0, 35.0 * ground_day_s, year_s, ground_film_isothermal, 0.6e-6};
    ground_run *run = annual_run(&w);
    validation_worst worst = {0}, flux = {0};
    for (int n = 0; n < ANNUAL_ROWS; n++) {
        ground_run_to(run, year_s + annual_rows[n].day * ground_day_s);
        for (int d = 0; d < DEPTHS; d++) {
            const double got = d > 0 ? ground_at(run, 0.5, depth_m[d]) : ground_surface_c(run, 0.5);
            validation_consider(&worst, annual_rows[n].c[d], got, 5e-3, "day %g, %g m [degC]",
                                annual_rows[n].day, depth_m[d]);
        }
        validation_consider(&flux, annual_flux[n].surface_w_m2, ground_surface_w_m2(run, 0.5), 0.01,
                            "day %g [W/m2]", annual_flux[n].day);
    }
    validation_row_worst(table, &worst, "temperature in the second year");
    validation_row_worst(table, &flux, "heat into the surface");
    ground_run_destroy(run);
}

// Extremes of a sinusoid, from its mean, amplitude and phase.
static void run_extremes(validation_table *table)
{
    const double year_s = 365.0 * ground_day_s;
    const wave w = {10.0, 12.0, 35.0 * ground_day_s, year_s, ground_film_isothermal, 0.6e-6};
    validation_worst temperature = {0}, day = {0};
    for (int n = 1; n < EXTREME_ROWS; n++) { // depth 0 is what was imposed
        ground_run *run = annual_run(&w);
        const ground_harmonic got =
            ground_harmonic_of(run, year_s, year_s, probe_depth, &extreme_rows[n].depth_m);
        const double warmest = 365.0 * got.lag_rad / (2.0 * ground_pi);
        const double z_m = extreme_rows[n].depth_m;
        validation_consider(&temperature, extreme_rows[n].lowest_c, got.mean - got.amplitude, 5e-3,
                            "lowest at %g m [degC]", z_m);
        validation_consider(&temperature, extreme_rows[n].highest_c, got.mean + got.amplitude, 5e-3,
                            "highest at %g m [degC]", z_m);
        validation_consider(&day, extreme_rows[n].highest_day,
                            warmest + (warmest < 0.0 ? 365.0 : 0.0), 0.1, "warmest at %g m [day]",
                            z_m);
        validation_consider(&day, extreme_rows[n].lowest_day, fmod(warmest + 547.5, 365.0), 0.1,
                            "coldest at %g m [day]", z_m);
        ground_run_destroy(run);
    }
    validation_row_worst(table, &temperature, "extremes");
    validation_row_worst(table, &day, "when");
}

static const double inch_pound_ft[] = {0, 4, 5, 6, 8};
enum { FEET = sizeof inch_pound_ft / sizeof *inch_pound_ft };
static const struct {
    double day, f[FEET];
} inch_pound_rows[] = {
    {34, {33, 42.90833029, 45.01581973, 46.92850422, 50.14738767}},
    {120, {53.01446458, 47.65333663, 47.31291867, 47.24066465, 47.68587332}},
    {216.5, {77, 67.09166971, 64.98418027, 63.07149578, 59.85261233}},
    {300, {57.92632354, 62.83356082, 63.08129595, 63.07057622, 62.48846449}},
};

static void run_inch_pound(validation_table *table)
{
    const double foot_m = 0.3048, year_s = 365.0 * ground_day_s;
    const wave w = {(55.0 - 32.0) / 1.8,    22.0 / 1.8,
                    34.0 * ground_day_s,    year_s,
                    ground_film_isothermal, 0.60 * foot_m * foot_m / ground_day_s};
    ground_run *run = annual_run(&w);
    validation_worst worst = {0};
    for (size_t n = 0; n < sizeof inch_pound_rows / sizeof *inch_pound_rows; n++) {
        ground_run_to(run, year_s + inch_pound_rows[n].day * ground_day_s);
        for (int d = 0; d < FEET; d++) {
            const double got =
                d > 0 ? ground_at(run, 0.5, inch_pound_ft[d] * foot_m) : ground_surface_c(run, 0.5);
            validation_consider(&worst, inch_pound_rows[n].f[d], 32.0 + 1.8 * got, 0.01,
                                "day %g, %g ft [degF]", inch_pound_rows[n].day, inch_pound_ft[d]);
        }
    }
    validation_row_worst(table, &worst, "temperature in the second year");
    ground_run_destroy(run);
}

// ---- daily wave and film ---------------------------------------------------------------------

static const struct {
    double depth_m, ratio, lag_h;
} daily_rows[] = {
    {0.05, 0.6775746816, 1.486770097}, {0.1, 0.4591074492, 2.973540194},
    {0.2, 0.2107796499, 5.947080387},  {0.3, 0.09677050739, 8.920620581},
    {0.5, 0.02039725367, 14.86770097},
};

static void run_daily(validation_table *table)
{
    const wave w = {0.0, 1.0, 0.0, ground_day_s, ground_film_isothermal, 0.6e-6};
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    const ground_drive drive = {.surface = wave_surface, .context = &w};
    for (size_t n = 0; n < sizeof daily_rows / sizeof *daily_rows; n++) {
        ground_run *run = ground_run_column(10.0, 0.002, 0.02, &soil, &drive);
        ground_run_start_profile(run, wave_profile, &w);
        const ground_harmonic got = ground_harmonic_of(run, ground_day_s, ground_day_s, probe_depth,
                                                       &daily_rows[n].depth_m);
        // The surface is coldest at time 0: half a period more.
        const double lag = got.lag_rad - ground_pi;
        validation_row(table, daily_rows[n].ratio, got.amplitude, 1e-4, "amplitude ratio at %g m",
                       daily_rows[n].depth_m);
        validation_row(table, daily_rows[n].lag_h,
                       24.0 * (lag < 0.0 ? lag + 2.0 * ground_pi : lag) / (2.0 * ground_pi), 0.01,
                       "lag at %g m [h]", daily_rows[n].depth_m);
        ground_run_destroy(run);
    }
}

static const struct {
    double period_days, film_w_m2k, ratio, lag_rad;
} film_rows[] = {
    {365.0, 5, 0.8858344669, 0.1084981282},   {1.0, 5, 0.2455947514, 0.6108514929},
    {365.0, 10, 0.9408405428, 0.05753643308}, {1.0, 10, 0.4061388023, 0.4941129868},
    {365.0, 20, 0.9699195982, 0.02964535264}, {1.0, 20, 0.5924033666, 0.3531729211},
    {365.0, 50, 0.9878514817, 0.01207589904}, {1.0, 50, 0.796524368, 0.1871112406},
};

static void run_film(validation_table *table)
{
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    for (size_t n = 0; n < sizeof film_rows / sizeof *film_rows; n++) {
        const double period_s = film_rows[n].period_days * ground_day_s;
        const double scale_m = sqrt(0.6e-6 * period_s / ground_pi);
        const wave w = {0.0, -1.0, 0.0, period_s, film_rows[n].film_w_m2k, 0.6e-6};
        const ground_drive drive = {.surface = wave_surface, .context = &w};
        ground_run *run = ground_run_column(15.0 * scale_m, 0.02 * scale_m, 0.04, &soil, &drive);
        ground_run_start(run, 0.0);
        // From rest: twelve periods leave a thousandth of the first transient.
        const ground_harmonic got =
            ground_harmonic_of(run, period_s, 12.0 * period_s, probe_surface, NULL);
        validation_row(table, film_rows[n].ratio, got.amplitude, 1e-3,
                       "surface over air, h %g W/m2K, period %g days", film_rows[n].film_w_m2k,
                       film_rows[n].period_days);
        validation_row(table, film_rows[n].lag_rad, got.lag_rad, 1e-3,
                       "its lag, h %g W/m2K, period %g days [rad]", film_rows[n].film_w_m2k,
                       film_rows[n].period_days);
        ground_run_destroy(run);
    }
}

const validation_case validation_ground_annual = {
    "annual wave",
    "Carslaw & Jaeger 1959, 2.6 (Kusuda & Achenbach 1965), evaluated independently; 10 -+ 12 degC, "
    "0.6e-6 m2/s",
    run_annual};

const validation_case validation_ground_extremes = {
    "annual wave, extremes", "Carslaw & Jaeger 1959, 2.6, evaluated independently", run_extremes};

const validation_case validation_ground_inch_pound = {
    "annual wave, inch-pound",
    "Carslaw & Jaeger 1959, 2.6, evaluated independently; 55 -+ 22 degF, 0.60 ft2/day",
    run_inch_pound};

const validation_case validation_ground_daily = {
    "daily wave", "Carslaw & Jaeger 1959, 2.6, evaluated independently; 0.6e-6 m2/s", run_daily};

const validation_case validation_ground_periodic_film = {
    "periodic air over a film",
    "Carslaw & Jaeger 1959, 2.6-2.7, evaluated independently; k 1.5, 0.6e-6 m2/s", run_film};
