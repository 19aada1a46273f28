// SPDX-License-Identifier: MIT
#include "engine/integrator.h"

#include "engine/newton.h"
#include "engine/vectors.h"

#include <cvodes/cvodes.h>
#include <stdio.h>
#include <stdlib.h>
#include <sundials/sundials_linearsolver.h>
#include <sundials/sundials_matrix.h>

struct cbx_integrator {
    cbx_integrator_plan plan;
    cbx_newton *newton;
    cbx_piece *piece;
    SUNContext sundials;
    void *cvode;
    N_Vector y, tolerance, integral;
    long weighed;           // how often weights were asked for
    SUNMatrix shell_matrix; // a handle CVODES passes around; the numbers are in `newton`
    SUNLinearSolver solver;
    char complaint[256]; // the last thing CVODES said
};

static int rates(realtype t, N_Vector y, N_Vector rate, void *user_data)
{
    cbx_integrator *self = user_data;
    return cbx_system_rates(self->plan.system, t, N_VGetArrayPointer(y), N_VGetArrayPointer(rate),
                            self->piece);
}

static int integrands(realtype t, N_Vector y, N_Vector integrand, void *user_data)
{
    cbx_integrator *self = user_data;
    self->plan.integrands(self->plan.context, t, N_VGetArrayPointer(y),
                          N_VGetArrayPointer(integrand));
    return 0;
}

static int set_up_system(realtype t, N_Vector y, N_Vector rate, SUNMatrix shell, booleantype jok,
                         booleantype *jcur, realtype gamma, void *user_data, N_Vector a, N_Vector b,
                         N_Vector c)
{
    (void)rate, (void)shell, (void)a, (void)b, (void)c;
    cbx_integrator *self = user_data;
    *jcur = jok ? SUNFALSE : SUNTRUE;
    return cbx_newton_set_up(self->newton, t, N_VGetArrayPointer(y), jok, gamma);
}

// Newton's method here solves by itself; the integrator asks for set-ups only.
static int refuse_to_solve(SUNLinearSolver solver, SUNMatrix shell, N_Vector x, N_Vector b,
                           realtype tolerance)
{
    (void)solver, (void)shell, (void)x, (void)b, (void)tolerance;
    return SUNLS_PACKAGE_FAIL_UNREC;
}

static SUNLinearSolver_Type solver_type(SUNLinearSolver solver)
{
    (void)solver;
    return SUNLINEARSOLVER_DIRECT;
}

static SUNMatrix_ID matrix_id(SUNMatrix matrix)
{
    (void)matrix;
    return SUNMATRIX_CUSTOM;
}

static void keep_complaint(int code, const char *module, const char *function, char *message,
                           void *user_data)
{
    (void)module, (void)function;
    cbx_integrator *self = user_data;
    if (code < 0) {
        snprintf(self->complaint, sizeof self->complaint, "%.250s", message);
    }
}

// In one pass; the integrator's own takes four. Those of soil are nearly its absolute tolerances,
// so that they need not be those of this very step.
static int weights(N_Vector y, N_Vector weight, void *user_data)
{
    enum { LAST = 64 }; // steps
    cbx_integrator *self = user_data;
    const bool soil_lasts = self->weighed++ % LAST > 0;
    cbx_vectors_weigh(y, self->plan.relative_tolerance, self->tolerance, weight, soil_lasts);
    return 0;
}

static bool make_handles(cbx_integrator *self)
{
    const cbx_integrator_plan *plan = &self->plan;
    const cbx_system *system = plan->system;
    const cbx_vector_parts parts = {.crew = system->crew,
                                    .parts = system->slices,
                                    .part_size = system->section->cells,
                                    .length = system->size};
    self->y = cbx_vectors_create(self->sundials, &parts, plan->start);
    self->tolerance = cbx_vectors_create(self->sundials, &parts, plan->tolerance);
    if (plan->integrand_count) {
        self->integral = N_VNew_Serial(plan->integrand_count, self->sundials);
    }
    self->shell_matrix = SUNMatNewEmpty(self->sundials);
    self->solver = SUNLinSolNewEmpty(self->sundials);
    if (!self->y || !self->tolerance || (plan->integrand_count && !self->integral) ||
        !self->shell_matrix || !self->solver) {
        return false;
    }
    if (self->integral) {
        N_VConst(0.0, self->integral);
    }
    self->shell_matrix->ops->getid = matrix_id;
    self->solver->ops->gettype = solver_type;
    self->solver->ops->solve = refuse_to_solve;
    return true;
}

static bool configure(cbx_integrator *self)
{
    void *cvode = self->cvode;
    const cbx_integrator_plan *plan = &self->plan;
    bool ok = CVodeSetErrHandlerFn(cvode, keep_complaint, self) == CV_SUCCESS &&
              CVodeInit(cvode, rates, plan->start_s, self->y) == CV_SUCCESS &&
              CVodeSetUserData(cvode, self) == CV_SUCCESS &&
              CVodeWFtolerances(cvode, weights) == CV_SUCCESS &&
              CVodeSetLinearSolver(cvode, self->solver, self->shell_matrix) == CV_SUCCESS &&
              CVodeSetLinSysFn(cvode, set_up_system) == CV_SUCCESS &&
              CVodeSetNonlinearSolver(cvode, cbx_newton_serve(self->newton, cvode, self->y)) ==
                  CV_SUCCESS &&
              // Water that hardly flows swings: its eigenvalues lie near the imaginary axis, where
              // orders above 2 let what is left of an error grow from hour to hour.
              CVodeSetMaxOrd(cvode, 2) == CV_SUCCESS &&
              CVodeSetMaxNumSteps(cvode, 20000) == CV_SUCCESS &&
              // A longer step could leap over an hour's load unseen by the error test.
              CVodeSetMaxStep(cvode, 3600.0) == CV_SUCCESS &&
              // Steps are an hour long nearly always, so the factors last; Newton asks for new ones
              // where they do not.
              CVodeSetLSetupFrequency(cvode, 100) == CV_SUCCESS &&
              CVodeSetMaxConvFails(cvode, 50) == CV_SUCCESS &&
              CVodeSetMaxErrTestFails(cvode, 20) == CV_SUCCESS &&
              // Newton's own estimate of what is left is hopeful where soil freezes.
              CVodeSetNonlinConvCoef(cvode, 0.02) == CV_SUCCESS;
    if (ok && plan->integrand_count) {
        ok = CVodeQuadInit(cvode, integrands, self->integral) == CV_SUCCESS;
    }
    return ok;
}

cb_status cbx_integrator_create(cbx_integrator **out, const cbx_integrator_plan *plan,
                                cb_error *error)
{
    *out = NULL;
    cbx_integrator *self = calloc(1, sizeof *self);
    if (!self) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the integrator");
    }
    self->plan = *plan;
    self->piece = calloc((size_t)cbx_node_count(plan->system) + 1, sizeof *self->piece);
    cb_status status = CB_OK;
    if (!self->piece || SUNContext_Create(NULL, &self->sundials) != 0) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the integrator");
    }
    if (status == CB_OK) {
        status = cbx_newton_create(&self->newton, plan->system, self->sundials, error);
    }
    if (status == CB_OK && (!(self->cvode = CVodeCreate(CV_BDF, self->sundials)) ||
                            !make_handles(self) || !configure(self))) {
        status = cb_fail(error, CB_NO_MEMORY, "the integrator could not be set up: %s",
                         self->complaint[0] ? self->complaint : "no memory");
    }
    if (status != CB_OK) {
        cbx_integrator_destroy(self);
        return status;
    }
    *out = self;
    return CB_OK;
}

cbx_integrator *cbx_integrator_destroy(cbx_integrator *integrator)
{
    if (integrator) {
        CVodeFree(&integrator->cvode);
        if (integrator->solver) {
            SUNLinSolFreeEmpty(integrator->solver);
        }
        if (integrator->shell_matrix) {
            SUNMatFreeEmpty(integrator->shell_matrix);
        }
        N_VDestroy(integrator->y);
        N_VDestroy(integrator->tolerance);
        N_VDestroy(integrator->integral);
        cbx_newton_destroy(integrator->newton);
        SUNContext_Free(&integrator->sundials);
        free(integrator->piece);
        free(integrator);
    }
    return NULL;
}

cb_status cbx_integrator_advance(cbx_integrator *integrator, double time_s, const double **y,
                                 const double **integral, cb_error *error)
{
    realtype reached;
    const int flag = CVode(integrator->cvode, time_s, integrator->y, &reached, CV_NORMAL);
    if (flag < 0) {
        return cb_fail(error, CB_NUMERICS, "the integrator gave up after %.0f simulated hours: %s",
                       reached / 3600.0,
                       integrator->complaint[0] ? integrator->complaint : "no reason given");
    }
    *y = N_VGetArrayPointer(integrator->y);
    if (integral) {
        CVodeGetQuad(integrator->cvode, &reached, integrator->integral);
        *integral = N_VGetArrayPointer(integrator->integral);
    }
    return CB_OK;
}

void cbx_integrator_count(const cbx_integrator *integrator, cb_quality *quality)
{
    long steps = 0, evaluations = 0, setups = 0, error_failures = 0, newton = 0,
         newton_failures = 0;
    CVodeGetNumSteps(integrator->cvode, &steps);
    CVodeGetNumRhsEvals(integrator->cvode, &evaluations);
    CVodeGetNumLinSolvSetups(integrator->cvode, &setups);
    CVodeGetNumErrTestFails(integrator->cvode, &error_failures);
    CVodeGetNonlinSolvStats(integrator->cvode, &newton, &newton_failures);
    quality->steps += steps;
    quality->rhs_evaluations += evaluations + cbx_newton_evaluations(integrator->newton);
    quality->linear_setups += setups;
    quality->error_test_failures += error_failures;
    quality->newton_iterations += newton;
    quality->newton_failures += newton_failures;
}
