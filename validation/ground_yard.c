// SPDX-License-Identifier: MIT
// The yard's own column and hourly steps under surfaces that are given in place of weather.
#include "cases.h"

#include "ground_phases.h"
#include "ground_wave.h"

#include "coilbed/yard.h"
#include "ground/column.h"

#include <math.h>
#include <stdlib.h>

static const double hour_s = 3600.0, clay_water = 0.35;

// ---- a column and its yard -------------------------------------------------------------------

typedef struct column {
    cb_soil_curve *curve;
    cb_section *section;
    cb_yard *yard;
    long hour;
    bool lost; // could not be made, or an hour could not be solved: all it says is NaN then
} column;

static bool fill_section(column *of, const cb_axis_rule *rule, const cb_fine_span *fine,
                         const cb_soil *soil)
{
    static const double bottom_m = 0.0;
    double unit_m[2] = {0.0, 1.0};
    const cb_axis one = {1, unit_m};
    cb_axis z;
    if (cb_axis_create(&z, rule, fine, fine ? 1 : 0, NULL, 0, NULL) != CB_OK) {
        return false;
    }
    const cb_section_plan plan = {.x = &one,
                                  .z = &z,
                                  .length_m = 1.0,
                                  .scale = 1.0,
                                  .curves = &of->curve,
                                  .layer_bottom_m = &bottom_m,
                                  .layers = 1};
    const bool ok = cb_soil_curve_create(&of->curve, soil, NULL) == CB_OK &&
                    cb_section_create(&of->section, &plan, NULL) == CB_OK;
    cb_axis_free(&z);
    return ok;
}

static void destroy(column *of)
{
    cb_yard_destroy(of->yard);
    cb_section_destroy(of->section);
    cb_soil_curve_destroy(of->curve);
}

static void make(column *of, const cb_axis_rule *rule, const cb_fine_span *fine,
                 const cb_soil *soil, cb_yard_given_c *surface_c, const void *context)
{
    static const cb_surface surface = {
        .albedo = NAN, .emissivity = NAN, .shade = NAN, .snow_kept = NAN, .evaporation_share = NAN};
    *of = (column){0};
    of->lost = !fill_section(of, rule, fine, soil);
    const cb_yard_plan plan = {
        .column = of->section, .surface = &surface, .surface_c = surface_c, .context = context};
    of->lost = of->lost || cb_yard_create(&of->yard, &plan, NULL) != CB_OK;
}

static void start(column *of, double (*profile_c)(const void *context, double z_m),
                  const void *context)
{
    double *t = of->lost ? NULL : calloc((size_t)of->section->nz, sizeof *t);
    of->lost = !t;
    for (int k = 0; t && k < of->section->nz; k++) {
        t[k] = profile_c(context, cb_row_depth_m(of->section, k));
    }
    if (t) {
        cb_yard_start(of->yard, t);
    }
    free(t);
}

static void step_to(column *of, long hour)
{
    for (; of->hour < hour && !of->lost; of->hour++) {
        cb_yard_hour out;
        of->lost = cb_yard_step(of->yard, of->hour, &out, NULL) != CB_OK;
    }
}

static double at(const column *of, double z_m)
{
    return of->lost ? NAN
                    : ground_between(of->section->z_edge_m, of->section->nz,
                                     cb_yard_temperature_c(of->yard), z_m);
}

static double frozen_m(const column *of, const double *enthalpy_j_m3)
{
    double sum = 0.0;
    for (int k = 0; k < of->section->nz; k++) {
        sum += of->section->dz_m[k] * cb_soil_at(of->curve, enthalpy_j_m3[k]).ice;
    }
    return sum;
}

// ---- waves -----------------------------------------------------------------------------------

/// Mean of a wave over an hour: that of its middle times sin(a) / a of half the hour's angle.
static double wave_hour_c(const void *context, long hour)
{
    const ground_wave *w = context;
    const double half = ground_pi * hour_s / w->period_s;
    const double middle_c = ground_wave_surface_c(w, ((double)hour + 0.5) * hour_s);
    return w->mean_c + (middle_c - w->mean_c) * sin(half) / half;
}

static const double conductivity = 1.5, capacity = 2.5e6;
static const ground_wave annual = {.mean_c = 10.0,
                                   .swing_k = 12.0,
                                   .coldest_s = 35.0 * 86400.0,
                                   .period_s = 365.0 * 86400.0,
                                   .diffusivity_m2_s = 0.6e-6};

static void make_annual(column *of)
{
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    const cb_axis_rule rule = {0.0, 40.0, 0.01, 0.04, 2.0};
    make(of, &rule, NULL, &soil, wave_hour_c, &annual);
}

static void compare_annual(validation_table *table, column *of, long first_hour, double slack_k,
                           const char *what)
{
    validation_worst worst = {0};
    for (int n = 0; n < GROUND_ANNUAL_ROWS; n++) {
        step_to(of, first_hour + lround(24.0 * ground_annual_rows[n].day));
        for (int d = 1; d < GROUND_WAVE_DEPTHS; d++) { // depth 0 is what was given
            validation_consider(&worst, ground_annual_rows[n].c[d], at(of, ground_wave_depth_m[d]),
                                slack_k, "day %g, %g m [degC]", ground_annual_rows[n].day,
                                ground_wave_depth_m[d]);
        }
    }
    validation_row_worst(table, &worst, what);
}

static void run_annual(validation_table *table)
{
    column of;
    make_annual(&of);
    start(&of, ground_wave_profile, &annual);
    compare_annual(table, &of, CB_YEAR_HOURS, 5e-3, "second year");
    destroy(&of);
}

// From rest at the year's mean to the periodic state, found within 0.005 K a year.
static void run_settled(validation_table *table)
{
    column of;
    cb_yard_settled settled = {0};
    make_annual(&of);
    of.lost = of.lost || cb_yard_settle(of.yard, 0, CB_YEAR_HOURS, &settled, NULL) != CB_OK;
    compare_annual(table, &of, 0, 0.02, "settled from rest");
    destroy(&of);
}

static void run_daily(validation_table *table)
{
    const ground_wave day = {.swing_k = 1.0, .period_s = 86400.0, .diffusivity_m2_s = 0.6e-6};
    const cb_soil soil = ground_plain_soil(conductivity, capacity);
    const cb_axis_rule rule = {0.0, 10.0, 0.002, 0.02, 0.5};
    double in_phase[GROUND_DAILY_ROWS] = {0}, behind[GROUND_DAILY_ROWS] = {0};
    column of;
    make(&of, &rule, NULL, &soil, wave_hour_c, &day);
    start(&of, ground_wave_profile, &day);
    step_to(&of, 48);
    for (int h = 0; h < 24; h++) {
        const double angle = 2.0 * ground_pi * h / 24.0;
        for (int n = 0; n < GROUND_DAILY_ROWS; n++) {
            const double t = at(&of, ground_daily_rows[n].depth_m);
            in_phase[n] -= 2.0 * t * cos(angle) / 24.0; // the surface is coldest at hour 0
            behind[n] -= 2.0 * t * sin(angle) / 24.0;
        }
        step_to(&of, 49 + h);
    }
    destroy(&of);
    for (int n = 0; n < GROUND_DAILY_ROWS; n++) {
        // Hours of one temperature each carry sinc^2(pi / 24) = 0.9943 of the day's wave; an hour's
        // step adds an error of the same order.
        const double lag = atan2(behind[n], in_phase[n]);
        validation_row(table, ground_daily_rows[n].ratio, hypot(in_phase[n], behind[n]),
                       0.01 * ground_daily_rows[n].ratio, "amplitude ratio at %g m",
                       ground_daily_rows[n].depth_m);
        validation_row(table, ground_daily_rows[n].lag_h,
                       24.0 * (lag < 0.0 ? lag + 2.0 * ground_pi : lag) / (2.0 * ground_pi), 0.1,
                       "lag at %g m [h]", ground_daily_rows[n].depth_m);
    }
}

// ---- freezing --------------------------------------------------------------------------------

static double constant_c(const void *context, long hour)
{
    (void)hour;
    return ((const ground_phases *)context)->surface_c;
}

static double start_c(const void *context, double z_m)
{
    (void)z_m;
    return ((const ground_phases *)context)->start_c;
}

static void run_front(validation_table *table)
{
    const double cell_m = 0.01;
    const cb_axis_rule rule = {0.0, 25.0, 0.0, 0.1, 1.0};
    const cb_fine_span fine = {0.0, 2.0, 200};
    for (int n = 0; n < GROUND_PHASES; n++) {
        const ground_phases *phases = &ground_phases_sets[n];
        const cb_soil soil = ground_sharp_soil(phases);
        column of;
        make(&of, &rule, &fine, &soil, constant_c, phases);
        start(&of, start_c, phases);
        for (int m = 0; m < GROUND_FRONT_MOMENTS; m++) {
            step_to(&of, lround(24.0 * ground_front_days[m]));
            // The cell that freezes conducts as a mixture, as in the section.
            validation_row(table, ground_front_m[n][m],
                           of.lost ? NAN : frozen_m(&of, cb_yard_enthalpy_j_m3(of.yard)),
                           0.7 * cell_m, "%s, front after %g days [m]", phases->what,
                           ground_front_days[m]);
        }
        destroy(&of);
    }
}

/// Ten cycles under a flux, so that what enters is known without asking the column; 60 W/m2 for
/// twenty days in, then out.
static void cycle(validation_table *table, const column *of, cbx_column *soil)
{
    enum { CYCLES = 10, HALF_CYCLE_H = 480 };
    const double latent_j_m3 = 334e6 * clay_water, flux_w_m2 = 60.0;
    const double *enthalpy = cbx_column_enthalpy_j_m3(soil);
    const double before_j = cb_section_stored_j(of->section, enthalpy);
    double ice_m = 0.0, moved_j = 0.0, deepest_m = 0.0;
    validation_worst worst = {0};
    cbx_snow bare = {0};
    bool ok = true;
    for (int hour = 0; hour < 2 * CYCLES * HALF_CYCLE_H; hour++) {
        const int half = hour / HALF_CYCLE_H;
        const double flux = half % 2 == 0 ? flux_w_m2 : -flux_w_m2;
        const cbx_drive drive = {.duration_s = hour_s, .top = cb_film(0.0, ground_film_none, flux)};
        cbx_step step;
        ok = ok && cbx_column_advance(soil, &bare, &drive, &step);
        const double now_m = frozen_m(of, enthalpy);
        moved_j += latent_j_m3 * fabs(now_m - ice_m);
        ice_m = now_m;
        deepest_m = fmax(deepest_m, now_m);
        if (hour % (2 * HALF_CYCLE_H) == 2 * HALF_CYCLE_H - 1) {
            const double gained_j = cb_section_stored_j(of->section, enthalpy) - before_j;
            validation_consider(&worst, 0.0, ok ? gained_j / moved_j : NAN, 1e-6, "after %d",
                                half / 2 + 1);
        }
    }
    validation_row_worst(table, &worst, "cycles of 60 W/m2: heat gained over latent heat moved");
    validation_row(table, 0.0, deepest_m > 0.1 ? 0.0 : 1.0, 0.0,
                   "they froze more than 10 cm (%.2f m)", deepest_m);
}

static void run_cycles(validation_table *table)
{
    const cb_axis_rule rule = {0.0, 8.0, 0.02, 0.2, 1.0};
    cb_soil soil = cb_soil_of("clay", clay_water);
    column of = {0};
    cbx_column *cells = NULL;
    if (cb_soil_resolve(&soil, NULL) == CB_OK && fill_section(&of, &rule, NULL, &soil) &&
        cbx_column_make(&cells, of.section, NULL) == CB_OK) {
        for (int k = 0; k < of.section->nz; k++) {
            cbx_column_enthalpy_j_m3(cells)[k] = cb_soil_enthalpy_j_m3(of.curve, 0.5);
        }
        cycle(table, &of, cells);
    } // else no row: a miss
    cbx_column_unmake(cells);
    destroy(&of);
}

const validation_case validation_yard_annual = {
    "yard, annual wave", "Carslaw & Jaeger 1959, 2.6, evaluated independently", run_annual};
const validation_case validation_yard_settled = {
    "yard, settled", "Carslaw & Jaeger 1959, 2.6, evaluated independently", run_settled};
const validation_case validation_yard_daily = {
    "yard, daily wave", "Carslaw & Jaeger 1959, 2.6, evaluated independently; 0.6e-6 m2/s",
    run_daily};
const validation_case validation_yard_front = {
    "yard, plane freezing front",
    "Neumann's solution, Carslaw & Jaeger 1959, 11.2, evaluated independently", run_front};
const validation_case validation_yard_cycles = {"yard, energy through freezing and thawing",
                                                "conservation: what enters is what is stored",
                                                run_cycles};
