// SPDX-License-Identifier: MIT
// The soil's part of Newton's matrix: slices that meet only in the runs of pipe that heat them.
//
// With the unknowns of soil as temperature changes and each row multiplied by its heat capacity, a
// slice's section is a symmetric positive definite matrix B (dk/dT left out: Newton converges all
// the same), whose incomplete factors (incomplete.h) stand for it here. A run's heat flow q to its
// block of cells, whose shares are w, is a number from outside:
//     B t = r - sum over runs of w q.
// Who finds q needs w . B^-1 r and P = w . B^-1 w' only. So each run's B^-1 w is kept, which
// reaches a few cells around its block; a solution is B^-1 r, a few short sums for w . B^-1 r, and
// what the runs take from it once q is known.
#ifndef COILBED_ENGINE_SOIL_SOLVER_H
#define COILBED_ENGINE_SOIL_SOLVER_H

#include "engine/system.h"

typedef struct cbx_soil_solver cbx_soil_solver;

// Groups of neighbouring slices (CBX_TOGETHER, system.h) that are solved side by side: as many
// threads can share the work.
int cbx_soil_solver_groups(int slices);

// `system` must outlive it. Errors: CB_NO_MEMORY.
cb_status cbx_soil_solver_create(cbx_soil_solver **out, const cbx_system *system, cb_error *error);
cbx_soil_solver *cbx_soil_solver_destroy(cbx_soil_solver *solver);

// Takes capacities and conductances at a state.
void cbx_soil_solver_linearise(cbx_soil_solver *solver, const double *y,
                               const cbx_forcing_point *forcing);

// Factors for a gamma [s]. False if a pivot is not positive.
bool cbx_soil_solver_factor(cbx_soil_solver *solver, double gamma_s);

// P between two runs of a slice, of the last factors [K/J].
double cbx_soil_solver_response(const cbx_soil_solver *solver, int slice, int run, int other);

// A column of a slice's right-hand side, times the cells' volumes [nz]. All columns of all slices
// before a solution and after the factors; slices may be put at the same time.
void cbx_soil_solver_put(cbx_soil_solver *solver, int slice, int column, const double *right);

// Starts a solution and gives what each piece of pipe asks, w . B^-1 r [nodes].
void cbx_soil_solver_ask(cbx_soil_solver *solver, double *asked_k);

// Ends it with the runs' heat flows [nodes] and fills the soil of x, as enthalpies, times `scale`.
// Returns the heat through the surface that goes with it, not scaled [W].
double cbx_soil_solver_finish(cbx_soil_solver *solver, const double *flow_j, double scale,
                              double *x);

#endif
