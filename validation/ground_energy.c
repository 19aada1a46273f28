// SPDX-License-Identifier: MIT
// What a column keeps through freezing and thawing.
#include "cases.h"

#include "ground_run.h"

#include <math.h>

static const double cycle_s = 20.0 * 86400.0;

// Ten kelvin and more either way at the surface, by a flux and not by a temperature, so that what
// enters is known.
static cb_surface_exchange swinging(const void *context, double time_s)
{
    (void)context;
    return cb_film(0.0, ground_film_none, 60.0 * sin(2.0 * ground_pi * time_s / cycle_s));
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
    cb_soil soil = cb_soil_of("clay", 0.35);
    cb_soil_resolve(&soil, NULL);
    return soil;
}

static void run_energy(validation_table *table)
{
    const cb_soil soil = wet_clay();
    const double moved_j = 60.0 * cycle_s / ground_pi; // in half a cycle, per m2
    const ground_drive drive = {.surface = swinging, .relative_tolerance = 1e-5};
    ground_run *run = ground_run_column(8.0, 0.02, 0.2, &soil, &drive);
    ground_run_start(run, 0.5);
    const double before_j = ground_stored_j(run);
    double most_m3 = 0.0;
    for (int cycle = 0; cycle < 10; cycle++) {
        ground_run_to(run, (cycle + 0.95) * cycle_s);
        most_m3 = fmax(most_m3, ground_frozen_m3(run));
        ground_run_to(run, (cycle + 1.0) * cycle_s);
    }
    validation_row(table, 0.0, (ground_stored_j(run) - before_j - ground_taken_j(run)) / moved_j,
                   1e-9, "ten cycles of 60 W/m2: stored less taken in, over heat of half a cycle");
    validation_row(table, 0.0, most_m3 > 0.05 ? 0.0 : 1.0, 0.0,
                   "they froze more than 5 cm (%.2f m)", most_m3);
    ground_run_destroy(run);

    const ground_drive none = {.surface = sealed, .relative_tolerance = 1e-5};
    run = ground_run_column(4.0, 0.02, 0.2, &soil, &none);
    ground_run_start_profile(run, half_frozen, NULL);
    const double start_j = ground_stored_j(run), latent_j = 334e6 * 0.35 * 4.0;
    ground_run_to(run, 100.0 * ground_day_s);
    validation_row(table, 0.0, (ground_stored_j(run) - start_j) / latent_j, 1e-9,
                   "sealed column evening out: heat lost over its latent heat");
    ground_run_destroy(run);
}

const validation_case validation_ground_energy = {"energy through freezing and thawing",
                                                  "conservation: what enters is what is stored",
                                                  run_energy};
