// SPDX-License-Identifier: MIT
// What a column keeps through freezing and thawing.
#include "cases.h"

#include "ground_run.h"

#include <math.h>

static const double half_cycle_s = 20.0 * 86400.0, flux_w_m2 = 60.0;
static const double clay_water = 0.35, latent_j_m3 = 334e6;

// By a flux and not by a temperature, so that what enters is known; constant in each half of a
// cycle, so that no quadrature stands between. It warms first.
static cb_surface_exchange in_and_out(const void *context, double time_s)
{
    (void)time_s;
    return cb_film(0.0, ground_film_none, *(const double *)context);
}

static cb_surface_exchange sealed(const void *context, double time_s)
{
    (void)context, (void)time_s;
    return cb_film(0.0, ground_film_none, 0.0);
}

// Frozen below half a metre, thawed above: it evens out by freezing and thawing inside.
static double half_frozen(const void *context, double z_m)
{
    (void)context;
    return z_m < 0.5 ? 8.0 : -6.0;
}

static cb_soil wet_clay(void)
{
    cb_soil soil = cb_soil_of("clay", clay_water);
    cb_soil_resolve(&soil, NULL);
    return soil;
}

/// Latent heat moved while a run goes on to a time, front after front [J/m2].
static double follow(ground_run *run, double until_s, double *frozen_m, double *deepest_m)
{
    enum { STOPS = 20 };
    double moved_j = 0.0;
    for (int stop = STOPS - 1; stop >= 0; stop--) {
        ground_run_to(run, until_s - half_cycle_s * stop / STOPS);
        const double now_m = ground_frozen_m3(run);
        moved_j += latent_j_m3 * clay_water * fabs(now_m - *frozen_m);
        *frozen_m = now_m;
        *deepest_m = fmax(*deepest_m, now_m);
    }
    return moved_j;
}

static void run_cycles(validation_table *table)
{
    enum { CYCLES = 10 };
    double flux = flux_w_m2;
    const cb_soil soil = wet_clay();
    const ground_drive drive = {
        .surface = in_and_out, .context = &flux, .relative_tolerance = 1e-5};
    ground_run *run = ground_run_column(8.0, 0.02, 0.2, &soil, &drive);
    ground_run_start(run, 0.5);
    const double before_j = ground_stored_j(run);
    double frozen_m = 0.0, moved_j = 0.0, shallowest_m = INFINITY;
    validation_worst worst = {0};
    for (int half = 0; half < 2 * CYCLES; half++) {
        double deepest_m = 0.0;
        flux = half % 2 == 0 ? flux_w_m2 : -flux_w_m2;
        ground_run_restart(run);
        moved_j += follow(run, (half + 1) * half_cycle_s, &frozen_m, &deepest_m);
        if (half % 2 == 1) {
            shallowest_m = fmin(shallowest_m, deepest_m);
            // A whole number of cycles brings nothing. The film lets 1e-9 W/m2 pass for each
            // kelvin.
            validation_consider(&worst, 0.0, (ground_stored_j(run) - before_j) / moved_j, 1e-6,
                                "after %d", half / 2 + 1);
        }
    }
    validation_row_worst(table, &worst, "cycles of 60 W/m2: heat gained over latent heat moved");
    validation_row(table, 0.0, (ground_stored_j(run) - before_j - ground_taken_j(run)) / moved_j,
                   1e-9, "stored less the audit's own sum of what came in, over the same");
    validation_row(table, 0.0, shallowest_m > 0.1 && shallowest_m < 1.0 ? 0.0 : 1.0, 0.0,
                   "each froze more than 10 cm (least %.2f m)", shallowest_m);
    ground_run_destroy(run);
}

static void run_sealed(validation_table *table)
{
    const cb_soil soil = wet_clay();
    const ground_drive none = {.surface = sealed, .relative_tolerance = 1e-5};
    ground_run *run = ground_run_column(4.0, 0.02, 0.2, &soil, &none);
    ground_run_start_profile(run, half_frozen, NULL);
    const double start_j = ground_stored_j(run), latent_j = latent_j_m3 * clay_water * 4.0;
    ground_run_to(run, 100.0 * ground_day_s);
    validation_row(table, 0.0, (ground_stored_j(run) - start_j) / latent_j, 1e-9,
                   "sealed column evening out: heat lost over its latent heat");
    ground_run_destroy(run);
}

static void run_energy(validation_table *table)
{
    run_cycles(table);
    run_sealed(table);
}

const validation_case validation_ground_energy = {"energy through freezing and thawing",
                                                  "conservation: what enters is what is stored",
                                                  run_energy};
