// SPDX-License-Identifier: MIT
/// The program's own soil section, shells and Newton matrix, run under surfaces and heats that have
/// closed-form answers instead of under weather and heat pumps.
///
/// Nothing here reports failure but by NaN: a run that could not be made or gave up yields NaN for
/// every value, and NaN never holds in the table.
#ifndef COILBED_VALIDATION_GROUND_RUN_H
#define COILBED_VALIDATION_GROUND_RUN_H

#include "engine/system.h"

static const double ground_day_s = 86400.0;
static const double ground_pi = 3.14159265358979323846;

/// So large a film that the surface has the temperature of the air, and so small a one that
/// `other_w_m2` is all that passes.
static const double ground_film_isothermal = 1e9, ground_film_none = 1e-9;

/// What drives a run. Every function may be NULL: the surface is then at the start temperature.
typedef struct ground_drive {
    cb_surface_exchange (*surface)(const void *context, double time_s);
    double (*pipe_w_m)(const void *context, double time_s); ///< heat put into each metre of pipe
    const double *cell_w;                                   ///< [cells] constant heat; or NULL
    const void *context;
    double relative_tolerance; ///< of the time integration; 0: 1e-7
} ground_drive;

typedef struct ground_run ground_run;

/// A drive's surface that never changes: the context is a cb_surface_exchange.
cb_surface_exchange ground_constant_surface(const void *context, double time_s);

/// Soil that does not freeze.
cb_soil ground_plain_soil(double conductivity_w_mk, double heat_capacity_j_m3k);

/// Soil of one kind with the given cell edges and no pipe. x may be NULL: a column of 1 m2.
ground_run *ground_run_section(const cb_axis *x, const cb_axis *z, const cb_soil *soil,
                               const ground_drive *drive);

/// Soil that differs from cell to cell: cell (i across, k down) holds soil_of(context, i, k).
typedef struct ground_soils {
    const cb_soil *soil; ///< [count]
    int count;
    int (*soil_of)(const void *context, int i, int k);
    const void *context;
} ground_soils;
ground_run *ground_run_mixed(const cb_axis *x, const cb_axis *z, const ground_soils *soils,
                             const ground_drive *drive);

/// A column of 1 m2, `first_m` the size of its first cell, growing by `growth` per metre.
ground_run *ground_run_column(double depth_m, double first_m, double growth, const cb_soil *soil,
                              const ground_drive *drive);

/// One straight pipe or coil in one kind of soil as coilbed lays it out; edit and pass to
/// ground_run_field. The pipe wall is 1 in (16.7 mm outer radius) unless edited.
cb_design ground_design(const cb_soil *soil, double depth_m, double side_m, double bottom_m);

/// The system coilbed makes of a design.
ground_run *ground_run_field(const cb_design *design, const ground_drive *drive);

/// NULL is fine; returns NULL.
ground_run *ground_run_destroy(ground_run *run);

cbx_system *ground_run_system(ground_run *run);

/// Temperature everywhere at time 0: uniform, or by depth.
void ground_run_start(ground_run *run, double temperature_c);
void ground_run_start_profile(ground_run *run, double (*profile_c)(const void *context, double z_m),
                              const void *context);

/// Advances to `time_s`, not before the last.
void ground_run_to(ground_run *run, double time_s);

/// Forgets the past of the integrator: call where a drive jumps.
void ground_run_restart(ground_run *run);

/// The steady state under the drive at time 0, sought from the present state; where the soil
/// freezes that must be near it.
void ground_run_settle(ground_run *run);

/// Between cell centres by cubic interpolation of a value for each cell of an axis; at least four.
double ground_between(const double *edge_m, int cells, const double *value, double at_m);
/// Soil temperature between cell centres by cubic interpolation; mirrored at the sides.
double ground_at(ground_run *run, double x_m, double z_m);
/// Soil temperature of one cell of the section.
double ground_cell_c(ground_run *run, int cell);
/// Temperature of the surface [degC], and heat into the soil [W/m2], above x.
double ground_surface_c(ground_run *run, double x_m);
double ground_surface_w_m2(ground_run *run, double x_m);
/// Outer pipe wall of one run of the system.
double ground_wall_c(ground_run *run, int pipe);
/// Volume of frozen soil, shells included, in a water-equivalent sense: sum of ice share x volume.
double ground_frozen_m3(ground_run *run);
/// Heat stored, and heat that has come through surface and bottom since the start [J].
double ground_stored_j(ground_run *run);
double ground_taken_j(ground_run *run);

/// Amplitude and phase lag [rad] of the harmonic of `period_s` in a value sampled over one period
/// from `from_s`: value = mean + amplitude cos(2 pi t / period - lag).
typedef struct ground_harmonic {
    double mean, amplitude, lag_rad;
} ground_harmonic;
typedef double ground_probe(ground_run *run, const void *context);
ground_harmonic ground_harmonic_of(ground_run *run, double period_s, double from_s,
                                   ground_probe *probe, const void *context);

#endif
