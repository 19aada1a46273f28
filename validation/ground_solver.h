// SPDX-License-Identifier: MIT
/// CVODES with the program's Newton matrix, as sim/engine/integrator.c sets it up, but with rates
/// the caller may add to and steps as long as the error test allows.
#ifndef COILBED_VALIDATION_GROUND_SOLVER_H
#define COILBED_VALIDATION_GROUND_SOLVER_H

#include "engine/newton_matrix.h"

typedef struct ground_solver ground_solver;

typedef struct ground_solver_plan {
    cbx_system *system;
    int (*rates)(void *context, double time_s, const double *y, double *rate);
    void (*set_forcing)(void *context, double time_s); ///< before the matrix is linearised
    void *context;
    double relative_tolerance; ///< absolute: this times 100 K of the cell's heat capacity
    double start_s;
} ground_solver_plan;

/// From state y [system->size]; NULL if it cannot be set up.
ground_solver *ground_solver_create(const ground_solver_plan *plan, const double *y);
/// NULL is fine; returns NULL.
ground_solver *ground_solver_destroy(ground_solver *solver);
/// Advances to time_s and writes the state there to y; false if the integrator gave up.
bool ground_solver_advance(ground_solver *solver, double time_s, double *y);

/// Moves y to where the rates at time 0 vanish, by Newton's method with a matrix whose heat
/// capacities count for nothing. The program's own matrix is made for hours, so that it serves as
/// preconditioner only, for SUNDIALS' GMRES. False if that place was not found.
bool ground_solver_settle(const ground_solver_plan *plan, double *y);

#endif
