// SPDX-License-Identifier: MIT
/// The resolved cell through time: CVODE's BDF, Newton's method, and conjugate gradients with an
/// incomplete Cholesky factor for its linear systems.
#ifndef COILBED_VALIDATION_RESOLVED_RUN_H
#define COILBED_VALIDATION_RESOLVED_RUN_H

#include "resolved_cell.h"

typedef struct resolved_run resolved_run;

typedef struct resolved_accuracy {
    double relative;       ///< of the enthalpies
    double temperature_k;  ///< absolute
    double longest_step_s; ///< 0: no limit
} resolved_accuracy;

/// From a temperature by depth at time 0. NULL, with a message, if it cannot be set up.
resolved_run *resolved_run_create(const resolved_plan *plan, const resolved_accuracy *accuracy,
                                  double (*profile_c)(const void *context, double z_m),
                                  const void *context, cb_error *error);
resolved_run *resolved_run_destroy(resolved_run *run);

/// Advances to a time, not before the last. False if the integrator gave up.
bool resolved_run_to(resolved_run *run, double time_s);

/// Seeks the steady state under the drive at time 0 in soil that does not freeze.
bool resolved_run_settle(resolved_run *run);

const resolved_cell *resolved_run_cell(const resolved_run *run);
/// Mean of the pipe wall.
double resolved_run_wall_c(resolved_run *run);
/// Heat stored, and heat through the surface since the start [J].
double resolved_run_stored_j(const resolved_run *run);
double resolved_run_surface_j(const resolved_run *run);
/// Steps of the integrator and iterations of the conjugate gradients.
void resolved_run_count(const resolved_run *run, long *steps, long *iterations);

#endif
