// SPDX-License-Identifier: MIT
#include "engine/newton.h"

#include "engine/newton_right.h"

#include <cvodes/cvodes.h>
#include <stdlib.h>

struct cbx_newton {
    cbx_system *system;
    void *cvode; // whose steps are solved
    cbx_newton_matrix *matrix;
    cbx_piece *piece; // [nodes]
    double *right;    // [size], its soil is not used
    N_Vector delta;
    SUNNonlinearSolver handle;
    SUNNonlinSolLSetupFn set_up; // the integrator's
    SUNNonlinSolConvTestFn test;
    void *test_data;
    int most, iteration;
    long iterations, failures; // of the last step
    long evaluations;          // of all
};

// The step under way, and the integrator's vectors it is about.
typedef struct step_data {
    cbx_newton_step step;
    N_Vector predicted, state;
} step_data;

// ---- solution --------------------------------------------------------------------------------

// A matrix of an older gamma gives steps that are scaled as CVODES would; the tank's is found with
// the gamma of now.
static void solve(cbx_newton *newton, const cbx_newton_step *step, double *x)
{
    const cbx_system *system = newton->system;
    const double scale = 2.0 / (1.0 + step->gamma / newton->matrix->gamma);
    const double tank_right_k = newton->right[cbx_tank_at(system)];
    cbx_newton_matrix_solve_put(newton->matrix, newton->right, scale, x);
    if (cb_plant_tank_capacity_j_k(system->plant) > 0.0) {
        x[cbx_tank_at(system)] = cbx_tank_step(
            system,
            &(cbx_tank_request){.gamma_s = step->gamma,
                                .right_k = tank_right_k,
                                .entering_k = x[cbx_entering_at(system)],
                                .fluid_k = scale * cbx_newton_matrix_mean_fluid(newton->matrix)});
    }
}

static bool begin(const cbx_newton *newton, step_data *data)
{
    N_Vector rates, history;
    void *user_data;
    *data = (step_data){.predicted = NULL};
    cbx_newton_step *step = &data->step;
    const int flag = CVodeGetNonlinearSystemData(newton->cvode, &step->time_s, &data->predicted,
                                                 &data->state, &rates, &step->gamma,
                                                 &step->history_factor, &history, &user_data);
    if (flag != CV_SUCCESS) {
        return false;
    }
    step->state = N_VGetArrayPointer(data->predicted);
    step->history = N_VGetArrayPointer(history);
    return true;
}

static bool put_right(cbx_newton *newton, const cbx_newton_step *step)
{
    newton->evaluations++;
    return cbx_newton_right(newton->matrix, step, newton->piece, newton->right);
}

// Iterations with one matrix, the first right-hand side put already. Returns as a
// SUNNonlinearSolver does.
static int iterate(cbx_newton *newton, step_data *data, N_Vector correction, N_Vector weight,
                   double tolerance)
{
    for (newton->iteration = 0; newton->iteration < newton->most; newton->iteration++) {
        N_Vector delta = correction;
        if (newton->iteration > 0) {
            N_VLinearSum(1.0, data->predicted, 1.0, correction, data->state);
            data->step.state = N_VGetArrayPointer(data->state);
            data->step.correction = N_VGetArrayPointer(correction);
            if (!put_right(newton, &data->step)) {
                return SUN_NLS_CONV_RECVR;
            }
            delta = newton->delta;
        }
        newton->iterations++;
        solve(newton, &data->step, N_VGetArrayPointer(delta));
        if (newton->iteration > 0) {
            N_VLinearSum(1.0, correction, 1.0, delta, correction);
        }
        const int verdict =
            newton->test(newton->handle, correction, delta, tolerance, weight, newton->test_data);
        if (verdict != SUN_NLS_CONTINUE) {
            return verdict;
        }
    }
    return SUN_NLS_CONV_RECVR;
}

static int solve_step(SUNNonlinearSolver handle, N_Vector predicted, N_Vector correction,
                      N_Vector weight, realtype tolerance, booleantype wants_set_up, void *cvode)
{
    (void)predicted;
    cbx_newton *newton = handle->content;
    newton->iterations = newton->failures = 0;
    booleantype current = SUNFALSE, bad = SUNFALSE;
    for (;;) {
        step_data data;
        if (!begin(newton, &data)) {
            return SUN_NLS_MEM_FAIL;
        }
        if (wants_set_up) { // before the right-hand side is put: the factors want its place
            N_VScale(1.0, data.predicted, data.state); // the integrator sets up at its state
            const int flag = newton->set_up(bad, &current, cvode);
            if (flag != SUN_NLS_SUCCESS) {
                return flag;
            }
        }
        if (!put_right(newton, &data.step)) {
            return SUN_NLS_CONV_RECVR;
        }
        const int verdict = iterate(newton, &data, correction, weight, tolerance);
        if (verdict == SUN_NLS_SUCCESS) {
            return verdict;
        }
        newton->failures++;
        if (verdict < 0 || current) {
            return verdict;
        }
        wants_set_up = bad = SUNTRUE; // once more, with a matrix of now
    }
}

int cbx_newton_set_up(cbx_newton *newton, double time_s, const double *y, bool keep, double gamma)
{
    if (!keep) {
        cbx_newton_matrix_linearise(newton->matrix, time_s, y);
    }
    return cbx_newton_matrix_factor(newton->matrix, gamma) ? 0 : 1;
}

long cbx_newton_evaluations(const cbx_newton *newton)
{
    return newton->evaluations;
}

// ---- handle ----------------------------------------------------------------------------------

static SUNNonlinearSolver_Type type_of(SUNNonlinearSolver handle)
{
    (void)handle;
    return SUNNONLINEARSOLVER_ROOTFIND;
}

// The integrator's residual is not needed.
static int ignore_residual(SUNNonlinearSolver handle, SUNNonlinSolSysFn residual)
{
    (void)handle, (void)residual;
    return SUN_NLS_SUCCESS;
}

static int take_set_up(SUNNonlinearSolver handle, SUNNonlinSolLSetupFn set_up)
{
    ((cbx_newton *)handle->content)->set_up = set_up;
    return SUN_NLS_SUCCESS;
}

static int take_test(SUNNonlinearSolver handle, SUNNonlinSolConvTestFn test, void *data)
{
    cbx_newton *newton = handle->content;
    newton->test = test;
    newton->test_data = data;
    return SUN_NLS_SUCCESS;
}

static int take_most(SUNNonlinearSolver handle, int most)
{
    ((cbx_newton *)handle->content)->most = most;
    return SUN_NLS_SUCCESS;
}

static int give_iterations(SUNNonlinearSolver handle, long *count)
{
    *count = ((const cbx_newton *)handle->content)->iterations;
    return SUN_NLS_SUCCESS;
}

static int give_iteration(SUNNonlinearSolver handle, int *iteration)
{
    *iteration = ((const cbx_newton *)handle->content)->iteration;
    return SUN_NLS_SUCCESS;
}

static int give_failures(SUNNonlinearSolver handle, long *count)
{
    *count = ((const cbx_newton *)handle->content)->failures;
    return SUN_NLS_SUCCESS;
}

static void fill_handle(cbx_newton *newton)
{
    SUNNonlinearSolver_Ops ops = newton->handle->ops;
    newton->handle->content = newton;
    ops->gettype = type_of;
    ops->solve = solve_step;
    ops->setsysfn = ignore_residual;
    ops->setlsetupfn = take_set_up;
    ops->setctestfn = take_test;
    ops->setmaxiters = take_most;
    ops->getnumiters = give_iterations;
    ops->getcuriter = give_iteration;
    ops->getnumconvfails = give_failures;
}

cb_status cbx_newton_create(cbx_newton **out, cbx_system *system, SUNContext sundials,
                            cb_error *error)
{
    *out = NULL;
    cbx_newton *newton = calloc(1, sizeof *newton);
    bool ok = newton != NULL;
    if (ok) {
        newton->system = system;
        newton->most = 3;
        newton->piece = calloc((size_t)cbx_node_count(system) + 1, sizeof *newton->piece);
        newton->right = calloc((size_t)system->size, sizeof *newton->right);
        newton->handle = SUNNonlinSolNewEmpty(sundials);
        ok = newton->piece && newton->right && newton->handle &&
             cbx_newton_matrix_create(&newton->matrix, system, error) == CB_OK;
    }
    if (!ok) {
        cbx_newton_destroy(newton);
        return cb_fail(error, CB_NO_MEMORY, "no memory for Newton's method");
    }
    fill_handle(newton);
    *out = newton;
    return CB_OK;
}

cbx_newton *cbx_newton_destroy(cbx_newton *newton)
{
    if (newton) {
        if (newton->handle) {
            SUNNonlinSolFreeEmpty(newton->handle);
        }
        N_VDestroy(newton->delta);
        cbx_newton_matrix_destroy(newton->matrix);
        free(newton->piece);
        free(newton->right);
        free(newton);
    }
    return NULL;
}

SUNNonlinearSolver cbx_newton_serve(cbx_newton *newton, void *cvode, N_Vector like)
{
    newton->cvode = cvode;
    newton->delta = N_VClone(like);
    return newton->delta ? newton->handle : NULL;
}
