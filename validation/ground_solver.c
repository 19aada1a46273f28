// SPDX-License-Identifier: MIT
#include "ground_solver.h"

#include <cvodes/cvodes.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <string.h>
#include <sundials/sundials_linearsolver.h>
#include <sundials/sundials_matrix.h>
#include <sunlinsol/sunlinsol_spgmr.h>

struct ground_solver {
    ground_solver_plan plan;
    cbx_newton_matrix *matrix;
    SUNContext sundials;
    void *cvode;
    N_Vector y, tolerance;
    SUNMatrix handle; // CVODES passes it around; the numbers are in `matrix`
    SUNLinearSolver linear;
};

static int rates(realtype t, N_Vector y, N_Vector rate, void *user_data)
{
    const ground_solver *self = user_data;
    return self->plan.rates(self->plan.context, t, N_VGetArrayPointer(y), N_VGetArrayPointer(rate));
}

static int set_up(realtype t, N_Vector y, N_Vector rate, SUNMatrix handle, booleantype jok,
                  booleantype *jcur, realtype gamma, void *user_data, N_Vector a, N_Vector b,
                  N_Vector c)
{
    (void)rate, (void)handle, (void)a, (void)b, (void)c;
    const ground_solver *self = user_data;
    if (!jok) {
        self->plan.set_forcing(self->plan.context, t);
        cbx_newton_matrix_linearise(self->matrix, t, N_VGetArrayPointer(y));
    }
    *jcur = jok ? SUNFALSE : SUNTRUE;
    return cbx_newton_matrix_factor(self->matrix, gamma) ? 0 : 1;
}

static int solve(SUNLinearSolver linear, SUNMatrix handle, N_Vector x, N_Vector b,
                 realtype tolerance)
{
    (void)handle, (void)tolerance;
    cbx_newton_matrix_solve(linear->content, N_VGetArrayPointer(b), N_VGetArrayPointer(x));
    return 0;
}

static SUNLinearSolver_Type direct(SUNLinearSolver linear)
{
    (void)linear;
    return SUNLINEARSOLVER_DIRECT;
}

static SUNMatrix_ID custom(SUNMatrix matrix)
{
    (void)matrix;
    return SUNMATRIX_CUSTOM;
}

// What it has to say shows as a row of NaN. The signature is the library's.
// NOLINTNEXTLINE(readability-non-const-parameter)
static void keep_quiet(int code, const char *module, const char *function, char *message,
                       void *user_data)
{
    (void)code, (void)module, (void)function, (void)message, (void)user_data;
}

// Absolute tolerances: enthalpy of a temperature in soil and shells, a temperature in fluid; the
// two sums of heat must not steer the steps.
static void fill_tolerances(const cbx_system *system, double kelvin, double *tolerance)
{
    const cb_section *section = system->section;
    for (int c = 0; c < section->cells; c++) {
        tolerance[c] = kelvin * cb_soil_unfrozen_capacity_j_m3k(section->curves[section->soil[c]]);
    }
    for (int r = 0; r < system->run_count; r++) {
        for (int n = 0; n < CBX_SHELLS; n++) {
            tolerance[cbx_shell_at(system, r) + n] =
                kelvin * cb_soil_unfrozen_capacity_j_m3k(system->curves[system->run[r].soil]);
        }
        tolerance[cbx_fluid_at(system, r)] = tolerance[cbx_entering_at(system)] =
            tolerance[cbx_tank_at(system)] = kelvin;
    }
    tolerance[cbx_surface_heat_at(system)] = tolerance[cbx_loop_heat_at(system)] = 1e30;
}

static bool make_handles(ground_solver *self, const double *y)
{
    const cbx_system *system = self->plan.system;
    self->y = N_VNew_Serial(system->size, self->sundials);
    self->tolerance = N_VNew_Serial(system->size, self->sundials);
    self->handle = SUNMatNewEmpty(self->sundials);
    self->linear = SUNLinSolNewEmpty(self->sundials);
    if (!self->y || !self->tolerance || !self->handle || !self->linear) {
        return false;
    }
    memcpy(N_VGetArrayPointer(self->y), y, (size_t)system->size * sizeof *y);
    fill_tolerances(system, 100.0 * self->plan.relative_tolerance,
                    N_VGetArrayPointer(self->tolerance));
    self->handle->ops->getid = custom;
    self->linear->ops->gettype = direct;
    self->linear->ops->solve = solve;
    self->linear->content = self->matrix;
    return true;
}

static bool configure(ground_solver *self)
{
    void *cvode = self->cvode;
    const ground_solver_plan *plan = &self->plan;
    return CVodeSetErrHandlerFn(cvode, keep_quiet, NULL) == CV_SUCCESS &&
           CVodeInit(cvode, rates, plan->start_s, self->y) == CV_SUCCESS &&
           CVodeSVtolerances(cvode, plan->relative_tolerance, self->tolerance) == CV_SUCCESS &&
           CVodeSetUserData(cvode, self) == CV_SUCCESS &&
           CVodeSetLinearSolver(cvode, self->linear, self->handle) == CV_SUCCESS &&
           CVodeSetLinSysFn(cvode, set_up) == CV_SUCCESS &&
           CVodeSetMaxNumSteps(cvode, 200000) == CV_SUCCESS &&
           CVodeSetMaxConvFails(cvode, 50) == CV_SUCCESS &&
           CVodeSetMaxErrTestFails(cvode, 20) == CV_SUCCESS &&
           CVodeSetNonlinConvCoef(cvode, 0.02) == CV_SUCCESS;
}

ground_solver *ground_solver_create(const ground_solver_plan *plan, const double *y)
{
    ground_solver *self = calloc(1, sizeof *self);
    if (!self) {
        return NULL;
    }
    self->plan = *plan;
    const bool ok = cbx_newton_matrix_create(&self->matrix, plan->system, NULL) == CB_OK &&
                    SUNContext_Create(NULL, &self->sundials) == 0 &&
                    (self->cvode = CVodeCreate(CV_BDF, self->sundials)) != NULL &&
                    make_handles(self, y) && configure(self);
    return ok ? self : ground_solver_destroy(self);
}

ground_solver *ground_solver_destroy(ground_solver *solver)
{
    if (solver) {
        CVodeFree(&solver->cvode);
        if (solver->linear) {
            SUNLinSolFreeEmpty(solver->linear);
        }
        if (solver->handle) {
            SUNMatFreeEmpty(solver->handle);
        }
        N_VDestroy(solver->y);
        N_VDestroy(solver->tolerance);
        SUNContext_Free(&solver->sundials);
        cbx_newton_matrix_destroy(solver->matrix);
        free(solver);
    }
    return NULL;
}

bool ground_solver_advance(ground_solver *solver, double time_s, double *y)
{
    realtype reached;
    if (CVode(solver->cvode, time_s, solver->y, &reached, CV_NORMAL) < 0) {
        return false;
    }
    memcpy(y, N_VGetArrayPointer(solver->y), (size_t)solver->plan.system->size * sizeof *y);
    return true;
}

// ---- steady states ---------------------------------------------------------------------------

static const double endless_s = 1e14; // a step against which every heat capacity is nothing

// What GMRES is told of a state: its rates, and those of states near it.
typedef struct steady {
    const ground_solver_plan *plan;
    cbx_newton_matrix *matrix;
    double *y;
    N_Vector rate, shifted, weight, right, x;
} steady;

// product = (I - endless J) x, by differences.
static int times_matrix(void *data, N_Vector x, N_Vector product)
{
    const steady *at = data;
    const double *value = N_VGetArrayPointer(x), *weight = N_VGetArrayPointer(at->weight);
    const double *rate = N_VGetArrayPointer(at->rate);
    double *shifted = N_VGetArrayPointer(at->shifted), *out = N_VGetArrayPointer(product);
    const int size = at->plan->system->size;
    double most = 0.0;
    for (int n = 0; n < size; n++) {
        most = fmax(most, fabs(value[n]) * weight[n]);
    }
    const double step = most > 0.0 ? 0.01 / most : 1.0; // 0.01 K at most
    for (int n = 0; n < size; n++) {
        shifted[n] = at->y[n] + step * value[n];
    }
    if (at->plan->rates(at->plan->context, 0.0, shifted, out) != 0) {
        return 1;
    }
    for (int n = 0; n < size; n++) {
        out[n] = value[n] - endless_s * (out[n] - rate[n]) / step;
    }
    return 0;
}

static int precondition(void *data, N_Vector right, N_Vector x, realtype tolerance, int side)
{
    (void)tolerance, (void)side;
    const steady *at = data;
    cbx_newton_matrix_solve(at->matrix, N_VGetArrayPointer(right), N_VGetArrayPointer(x));
    return 0;
}

static int nothing_to_set_up(void *data)
{
    (void)data;
    return 0;
}

static bool find_step(steady *at, SUNLinearSolver gmres)
{
    const cbx_system *system = at->plan->system;
    double *weight = N_VGetArrayPointer(at->weight);
    fill_tolerances(system, 1.0, weight);
    for (int n = 0; n < system->size; n++) {
        weight[n] = 1.0 / weight[n];
    }
    at->plan->set_forcing(at->plan->context, 0.0);
    cbx_newton_matrix_linearise(at->matrix, 0.0, at->y);
    if (!cbx_newton_matrix_factor(at->matrix, endless_s) ||
        at->plan->rates(at->plan->context, 0.0, at->y, N_VGetArrayPointer(at->rate)) != 0) {
        return false;
    }
    N_VScale(endless_s, at->rate, at->right);
    N_VConst(0.0, at->x);
    const double good_k = 1e-9 * sqrt(system->size); // the norm is a plain sum of squares
    const int flag = SUNLinSolSolve(gmres, NULL, at->x, at->right, good_k);
    return flag == SUNLS_SUCCESS || flag == SUNLS_RES_REDUCED;
}

static bool make_steady(steady *at, SUNContext sundials)
{
    const int size = at->plan->system->size;
    at->rate = N_VNew_Serial(size, sundials);
    at->shifted = N_VNew_Serial(size, sundials);
    at->weight = N_VNew_Serial(size, sundials);
    at->right = N_VNew_Serial(size, sundials);
    at->x = N_VNew_Serial(size, sundials);
    return at->rate && at->shifted && at->weight && at->right && at->x &&
           cbx_newton_matrix_create(&at->matrix, at->plan->system, NULL) == CB_OK;
}

static bool make_gmres(SUNLinearSolver *gmres, steady *at, SUNContext sundials)
{
    enum { KEPT = 80 }; // directions
    *gmres = SUNLinSol_SPGMR(at->x, SUN_PREC_LEFT, KEPT, sundials);
    return *gmres && SUNLinSolSetATimes(*gmres, at, times_matrix) == SUNLS_SUCCESS &&
           SUNLinSolSetPreconditioner(*gmres, at, nothing_to_set_up, precondition) ==
               SUNLS_SUCCESS &&
           SUNLinSolSetScalingVectors(*gmres, at->weight, at->weight) == SUNLS_SUCCESS &&
           SUNLinSol_SPGMRSetMaxRestarts(*gmres, 5) == SUNLS_SUCCESS &&
           SUNLinSolInitialize(*gmres) == SUNLS_SUCCESS;
}

// One step. Returns the largest change of soil [J/m3], NaN if no step could be found.
static double take_step(steady *at, SUNLinearSolver gmres)
{
    if (!find_step(at, gmres)) {
        return NAN;
    }
    const double *x = N_VGetArrayPointer(at->x);
    double moved = 0.0;
    for (int n = 0; n < at->plan->system->size; n++) {
        moved = n < at->plan->system->section->cells ? fmax(moved, fabs(x[n])) : moved;
        at->y[n] += x[n];
    }
    return moved;
}

bool ground_solver_settle(const ground_solver_plan *plan, double *y)
{
    enum { MOST_STEPS = 100 };
    const double least_j_m3 = 1.0; // half a microkelvin
    steady at = {.plan = plan, .y = y};
    SUNContext sundials = NULL;
    SUNLinearSolver gmres = NULL;
    double moved = NAN;
    if (SUNContext_Create(NULL, &sundials) == 0 && make_steady(&at, sundials) &&
        make_gmres(&gmres, &at, sundials)) {
        moved = INFINITY;
        for (int step = 0; step < MOST_STEPS && moved >= least_j_m3; step++) {
            moved = take_step(&at, gmres);
        }
    }
    SUNLinSolFree(gmres);
    N_VDestroy(at.rate);
    N_VDestroy(at.shifted);
    N_VDestroy(at.weight);
    N_VDestroy(at.right);
    N_VDestroy(at.x);
    cbx_newton_matrix_destroy(at.matrix);
    SUNContext_Free(&sundials);
    return moved < least_j_m3;
}
