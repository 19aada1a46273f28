// SPDX-License-Identifier: MIT
// Periodic surfaces: the annual and the daily wave, and a film between air and ground.
#include "cases.h"

#include "ground_wave.h"

#include <math.h>

static const double conductivity = 1.5, capacity = 2.5e6; // diffusivity 0.6e-6 m2/s

static cb_surface_exchange wave_surface(const void *context, double time_s)
{
    const ground_wave *w = context;
    return cb_film(ground_wave_surface_c(w, time_s), w->film_w_m2k, 0.0);
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

static const struct {
    double day, surface_w_m2;
} annual_flux[GROUND_ANNUAL_ROWS] = {
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

static ground_run *annual_run(const ground_wave *w)
{
    const cb_soil soil = ground_plain_soil(w->diffusivity_m2_s * capacity, capacity);
    const ground_drive drive = {.surface = wave_surface, .context = w};
    ground_run *run = ground_run_column(40.0, 0.01, 0.04, &soil, &drive);
    ground_run_start_profile(run, ground_wave_profile, w);
    return run;
}

static void run_annual(validation_table *table)
{
    const double year_s = 365.0 * ground_day_s;
    const ground_wave w = {10.0, 12.0, 35.0 * ground_day_s, year_s, ground_film_isothermal, 0.6e-6};
    ground_run *run = annual_run(&w);
    validation_worst worst = {0}, flux = {0};
    for (int n = 0; n < GROUND_ANNUAL_ROWS; n++) {
        ground_run_to(run, year_s + ground_annual_rows[n].day * ground_day_s);
        for (int d = 0; d < GROUND_WAVE_DEPTHS; d++) {
            const double got =
                d > 0 ? ground_at(run, 0.5, ground_wave_depth_m[d]) : ground_surface_c(run, 0.5);
            validation_consider(&worst, ground_annual_rows[n].c[d], got, 5e-3,
                                "day %g, %g m [degC]", ground_annual_rows[n].day,
                                ground_wave_depth_m[d]);
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
    const ground_wave w = {10.0, 12.0, 35.0 * ground_day_s, year_s, ground_film_isothermal, 0.6e-6};
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
    const ground_wave w = {(55.0 - 32.0) / 1.8,    22.0 / 1.8,
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

static void run_daily(validation_table *table)
{
    const ground_wave w = {0.0, 1.0, 0.0, ground_day_s, ground_film_isothermal, 0.6e-6};
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    const ground_drive drive = {.surface = wave_surface, .context = &w};
    for (int n = 0; n < GROUND_DAILY_ROWS; n++) {
        ground_run *run = ground_run_column(10.0, 0.002, 0.02, &soil, &drive);
        ground_run_start_profile(run, ground_wave_profile, &w);
        const ground_harmonic got = ground_harmonic_of(run, ground_day_s, ground_day_s, probe_depth,
                                                       &ground_daily_rows[n].depth_m);
        // The surface is coldest at time 0: half a period more.
        const double lag = got.lag_rad - ground_pi;
        validation_row(table, ground_daily_rows[n].ratio, got.amplitude, 1e-4,
                       "amplitude ratio at %g m", ground_daily_rows[n].depth_m);
        validation_row(table, ground_daily_rows[n].lag_h,
                       24.0 * (lag < 0.0 ? lag + 2.0 * ground_pi : lag) / (2.0 * ground_pi), 0.01,
                       "lag at %g m [h]", ground_daily_rows[n].depth_m);
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
        const ground_wave w = {0.0, -1.0, 0.0, period_s, film_rows[n].film_w_m2k, 0.6e-6};
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
