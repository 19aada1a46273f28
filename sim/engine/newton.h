// SPDX-License-Identifier: MIT
// Newton's method for the integrator's steps.
//
// The integrator's own goes over all states for each of: state, rates, residual, solution and
// correction. Here the soil is swept once, from the predicted state to the right-hand side as its
// solver wants it, and its solution is the correction.
#ifndef COILBED_ENGINE_NEWTON_H
#define COILBED_ENGINE_NEWTON_H

#include "engine/newton_matrix.h"

#include <sundials/sundials_nonlinearsolver.h>

typedef struct cbx_newton cbx_newton;

// `system` and the context must outlive it. Errors: CB_NO_MEMORY.
cb_status cbx_newton_create(cbx_newton **out, cbx_system *system, SUNContext sundials,
                            cb_error *error);
cbx_newton *cbx_newton_destroy(cbx_newton *newton);

// To be handed to the integrator, whose steps it then solves; vectors are cloned from `like`.
SUNNonlinearSolver cbx_newton_serve(cbx_newton *newton, void *cvode, N_Vector like);

// The integrator's set-up of its linear system. Returns as a CVLsLinSysFn does.
int cbx_newton_set_up(cbx_newton *newton, double time_s, const double *y, bool keep, double gamma);

long cbx_newton_evaluations(const cbx_newton *newton); // of the right-hand side

#endif
