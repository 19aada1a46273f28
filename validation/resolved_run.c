// SPDX-License-Identifier: MIT
#include "resolved_run.h"

#include "resolved_matrix.h"

#include <cvodes/cvodes.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <sundials/sundials_linearsolver.h>
#include <sundials/sundials_matrix.h>

// The state is the cells' enthalpies [J/m3] and last the heat taken in through the surface [J].
struct resolved_run {
    resolved_cell *cell;
    resolved_matrix *matrix;
    SUNContext sundials;
    void *cvode;
    N_Vector y, tolerance;
    SUNMatrix handle; // CVODES passes it around; the numbers are in `matrix`
    SUNLinearSolver linear;
    double time_s;
    bool lost;
};

// So that what CVODE takes for an exact solution is one beside its tolerances.
static const double linear_relative = 1e-5;

static int rates(realtype t, N_Vector y, N_Vector rate, void *user_data)
{
    resolved_run *self = user_data;
    double *out = N_VGetArrayPointer(rate);
    resolved_cell_update(self->cell, N_VGetArrayPointer(y), t);
    out[self->cell->cells] = resolved_cell_rates(self->cell, t, out);
    return isfinite(out[self->cell->cells]) ? 0 : 1;
}

static int set_up(realtype t, N_Vector y, N_Vector rate, SUNMatrix handle, booleantype jok,
                  booleantype *jcur, realtype gamma, void *user_data, N_Vector a, N_Vector b,
                  N_Vector c)
{
    (void)rate, (void)handle, (void)a, (void)b, (void)c;
    resolved_run *self = user_data;
    if (!jok) {
        resolved_cell_update(self->cell, N_VGetArrayPointer(y), t);
        resolved_matrix_linearise(self->matrix, self->cell);
    }
    *jcur = jok ? SUNFALSE : SUNTRUE;
    resolved_matrix_factor(self->matrix, gamma);
    return 0;
}

static int solve(SUNLinearSolver linear, SUNMatrix handle, N_Vector x, N_Vector b,
                 realtype tolerance)
{
    (void)handle, (void)tolerance;
    resolved_matrix *matrix = linear->content;
    const double *right = N_VGetArrayPointer(b);
    double *out = N_VGetArrayPointer(x), surface_w;
    const double surface_j = right[matrix->cells];
    const bool ok = resolved_matrix_solve(matrix, right, linear_relative, out, &surface_w);
    out[matrix->cells] = surface_j + matrix->gamma * surface_w;
    return ok ? 0 : 1;
}

static SUNLinearSolver_Type direct(SUNLinearSolver linear)
{
    (void)linear;
    return SUNLINEARSOLVER_DIRECT; // it solves to its own tolerance
}

static SUNMatrix_ID custom(SUNMatrix matrix)
{
    (void)matrix;
    return SUNMATRIX_CUSTOM;
}

// What it has to say shows as a lost run. The signature is the library's.
// NOLINTNEXTLINE(readability-non-const-parameter)
static void keep_quiet(int code, const char *module, const char *function, char *message,
                       void *user_data)
{
    (void)code, (void)module, (void)function, (void)message, (void)user_data;
}

static void fill_tolerances(const resolved_cell *cell, double kelvin, double *tolerance)
{
    for (int c = 0; c < cell->cells; c++) {
        tolerance[c] =
            kelvin * cb_soil_unfrozen_capacity_j_m3k(cell->curve[cell->curve_of_row[c % cell->nz]]);
    }
    tolerance[cell->cells] = 1e30; // the sum of heat must not steer the steps
}

static bool make_handles(resolved_run *self, const resolved_accuracy *accuracy)
{
    const int size = self->cell->cells + 1;
    self->y = N_VNew_Serial(size, self->sundials);
    self->tolerance = N_VNew_Serial(size, self->sundials);
    self->handle = SUNMatNewEmpty(self->sundials);
    self->linear = SUNLinSolNewEmpty(self->sundials);
    if (!self->y || !self->tolerance || !self->handle || !self->linear) {
        return false;
    }
    fill_tolerances(self->cell, accuracy->temperature_k, N_VGetArrayPointer(self->tolerance));
    self->handle->ops->getid = custom;
    self->linear->ops->gettype = direct;
    self->linear->ops->solve = solve;
    self->linear->content = self->matrix;
    return true;
}

static bool configure(resolved_run *self, const resolved_accuracy *accuracy)
{
    void *cvode = self->cvode;
    return CVodeSetErrHandlerFn(cvode, keep_quiet, NULL) == CV_SUCCESS &&
           CVodeInit(cvode, rates, 0.0, self->y) == CV_SUCCESS &&
           CVodeSVtolerances(cvode, accuracy->relative, self->tolerance) == CV_SUCCESS &&
           CVodeSetUserData(cvode, self) == CV_SUCCESS &&
           CVodeSetLinearSolver(cvode, self->linear, self->handle) == CV_SUCCESS &&
           CVodeSetLinSysFn(cvode, set_up) == CV_SUCCESS &&
           CVodeSetMaxNumSteps(cvode, 200000) == CV_SUCCESS &&
           CVodeSetMaxConvFails(cvode, 50) == CV_SUCCESS &&
           CVodeSetMaxErrTestFails(cvode, 20) == CV_SUCCESS &&
           CVodeSetMaxStep(cvode, accuracy->longest_step_s) == CV_SUCCESS;
}

resolved_run *resolved_run_create(const resolved_plan *plan, const resolved_accuracy *accuracy,
                                  double (*profile_c)(const void *context, double z_m),
                                  const void *context, cb_error *error)
{
    resolved_run *self = calloc(1, sizeof *self);
    if (!self || !(self->cell = resolved_cell_create(plan, error))) {
        return resolved_run_destroy(self);
    }
    if (!(self->matrix = resolved_matrix_create(self->cell)) ||
        SUNContext_Create(NULL, &self->sundials) != 0 ||
        !(self->cvode = CVodeCreate(CV_BDF, self->sundials)) || !make_handles(self, accuracy)) {
        cb_fail(error, CB_NO_MEMORY, "no memory for the resolved cell");
        return resolved_run_destroy(self);
    }
    double *y = N_VGetArrayPointer(self->y);
    resolved_cell_start(self->cell, profile_c, context, y);
    y[self->cell->cells] = 0.0;
    if (!configure(self, accuracy)) {
        cb_fail(error, CB_NUMERICS, "the integrator refused its settings");
        return resolved_run_destroy(self);
    }
    return self;
}

resolved_run *resolved_run_destroy(resolved_run *run)
{
    if (run) {
        CVodeFree(&run->cvode);
        if (run->linear) {
            SUNLinSolFreeEmpty(run->linear);
        }
        if (run->handle) {
            SUNMatFreeEmpty(run->handle);
        }
        if (run->y) {
            N_VDestroy(run->y);
        }
        if (run->tolerance) {
            N_VDestroy(run->tolerance);
        }
        SUNContext_Free(&run->sundials);
        resolved_matrix_destroy(run->matrix);
        resolved_cell_destroy(run->cell);
        free(run);
    }
    return NULL;
}

bool resolved_run_to(resolved_run *run, double time_s)
{
    realtype reached;
    if (!run->lost && time_s > run->time_s) {
        run->lost = CVode(run->cvode, time_s, run->y, &reached, CV_NORMAL) < 0;
        run->time_s = time_s;
    }
    return !run->lost;
}

// Without freezing the rates are linear: one step of Newton's method so long that every heat
// capacity is nothing against it.
bool resolved_run_settle(resolved_run *run)
{
    static const double longest_s = 1e14;
    const int cells = run->cell->cells;
    double *y = N_VGetArrayPointer(run->y), surface_w;
    double *rate = calloc((size_t)cells + 1, sizeof *rate);
    if (!rate) {
        return false;
    }
    resolved_cell_update(run->cell, y, 0.0);
    resolved_cell_rates(run->cell, 0.0, rate);
    resolved_matrix_linearise(run->matrix, run->cell);
    resolved_matrix_factor(run->matrix, longest_s);
    for (int c = 0; c < cells; c++) {
        rate[c] *= longest_s;
    }
    run->lost = !resolved_matrix_solve(run->matrix, rate, 1e-9, rate, &surface_w);
    for (int c = 0; c < cells; c++) {
        y[c] += rate[c];
    }
    free(rate);
    return !run->lost;
}

const resolved_cell *resolved_run_cell(const resolved_run *run)
{
    return run->cell;
}

double resolved_run_wall_c(resolved_run *run)
{
    resolved_cell_update(run->cell, N_VGetArrayPointer(run->y), run->time_s);
    return run->lost ? NAN : resolved_cell_wall_c(run->cell, run->time_s);
}

double resolved_run_stored_j(const resolved_run *run)
{
    return resolved_cell_stored_j(run->cell, N_VGetArrayPointer(run->y));
}

double resolved_run_surface_j(const resolved_run *run)
{
    return N_VGetArrayPointer(run->y)[run->cell->cells];
}

void resolved_run_count(const resolved_run *run, long *steps, long *iterations)
{
    *steps = 0;
    CVodeGetNumSteps(run->cvode, steps);
    *iterations = run->matrix->iterations;
}
