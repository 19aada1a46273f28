// SPDX-License-Identifier: MIT
#include "engine/newton.h"

#include "base/wide.h"

#include <cvodes/cvodes.h>
#include <math.h>
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

// The step under way: find c with  gamma f(predicted + c) - history - c = 0.
typedef struct step_data {
    double time_s, gamma, history_factor;
    N_Vector predicted, state;
    const double *history;    // times the factor
    const double *correction; // so far; NULL: none
    cbx_forcing_point forcing;
} step_data;

typedef struct sweep_work {
    const cbx_newton *newton;
    const step_data *step;
    const double *y;
    int slice;
    double surface_w, check; // sum of the right-hand sides
} sweep_work;

// ---- right-hand side -------------------------------------------------------------------------

// What a column's right-hand side is made of, [cells] each.
typedef struct column_terms {
    double gamma, factor;
    const double *pipe_w, *volume_m3, *history, *correction;
} column_terms;

// heat becomes volume times the residual, negative. Returns a sum that is finite if all are, in four
// chains of additions.
CBX_WIDE static double column_right(int count, const column_terms *terms, double *restrict heat)
{
    const double *restrict pipe_w = terms->pipe_w, *restrict volume_m3 = terms->volume_m3;
    const double *restrict history = terms->history;
    const double gamma = terms->gamma, factor = terms->factor;
    double sum[4] = {0.0};
    for (int n = 0; n < count; n++) {
        heat[n] = gamma * (heat[n] + pipe_w[n]) - volume_m3[n] * (factor * history[n]);
    }
    int n = 0;
    for (; n + 3 < count; n += 4) {
        for (int k = 0; k < 4; k++) {
            sum[k] += heat[n + k];
        }
    }
    for (; n < count; n++) {
        sum[0] += heat[n];
    }
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

CBX_WIDE static void take_correction(int count, const column_terms *terms, double *restrict right)
{
    const double *restrict volume_m3 = terms->volume_m3, *restrict correction = terms->correction;
    for (int n = 0; n < count; n++) {
        right[n] -= volume_m3[n] * correction[n];
    }
}

static void put_column(void *context, int column, double *heat_w)
{
    sweep_work *work = context;
    const step_data *step = work->step;
    const cbx_system *system = work->newton->system;
    const int nz = system->section->nz, first = column * nz;
    const int at = cbx_section_at(system, work->slice) + first;
    const column_terms terms = {.gamma = step->gamma,
                                .factor = step->history_factor,
                                .pipe_w = system->pipe_heat_w + at,
                                .volume_m3 = system->volume_m3[work->slice] + first,
                                .history = step->history + at,
                                .correction = step->correction ? step->correction + at : NULL};
    work->check += column_right(nz, &terms, heat_w);
    if (step->correction) {
        take_correction(nz, &terms, heat_w);
    }
    cbx_soil_solver_put(work->newton->matrix->soil, work->slice, column, heat_w);
}

static void sweep_slice(void *context, int slice)
{
    sweep_work *work = (sweep_work *)context + slice;
    work->surface_w = cbx_slice_sweep(work->newton->system, slice, work->y, &work->step->forcing,
                                      put_column, work);
}

// Puts the soil's right-hand side and fills the rest. False if a state is not finite.
static bool put_right(cbx_newton *newton, step_data *step)
{
    cbx_system *system = newton->system;
    double *right = newton->right;
    const double *y = N_VGetArrayPointer(step->correction ? step->state : step->predicted);
    newton->evaluations++;
    step->forcing = cbx_loop_rates(system, step->time_s, y, right, newton->piece);
    sweep_work work[CBX_MAX_SLICES];
    for (int s = 0; s < system->slices; s++) {
        work[s] = (sweep_work){newton, step, y, s, 0.0, 0.0};
    }
    cbx_crew_run(system->crew, sweep_slice, work, system->slices);
    double surface_w = 0.0, check = 0.0;
    for (int s = 0; s < system->slices; s++) {
        surface_w += work[s].surface_w;
        check += work[s].check;
    }
    right[cbx_surface_heat_at(system)] = surface_w;
    for (int n = system->slices * system->section->cells; n < system->size; n++) {
        right[n] = step->gamma * right[n] - step->history_factor * step->history[n] -
                   (step->correction ? step->correction[n] : 0.0);
        check += right[n];
    }
    return isfinite(check);
}

// ---- solution --------------------------------------------------------------------------------

// A matrix of an older gamma gives steps that are scaled as CVODES would; the tank's is found with
// the gamma of now.
static void solve(cbx_newton *newton, const step_data *step, double *x)
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

static bool begin(const cbx_newton *newton, step_data *step)
{
    N_Vector rates, history;
    void *user_data;
    *step = (step_data){.correction = NULL};
    const int flag = CVodeGetNonlinearSystemData(
        newton->cvode, &step->time_s, &step->predicted, &step->state, &rates, &step->gamma,
        &step->history_factor, &history, &user_data);
    step->history = flag == CV_SUCCESS ? N_VGetArrayPointer(history) : NULL;
    return flag == CV_SUCCESS;
}

// Iterations with one matrix. Returns as a SUNNonlinearSolver does.
static int iterate(cbx_newton *newton, step_data *step, N_Vector correction, N_Vector weight,
                   double tolerance)
{
    for (newton->iteration = 0; newton->iteration < newton->most; newton->iteration++) {
        N_Vector delta = correction;
        if (newton->iteration > 0) {
            N_VLinearSum(1.0, step->predicted, 1.0, correction, step->state);
            step->correction = N_VGetArrayPointer(correction);
            if (!put_right(newton, step)) {
                return SUN_NLS_CONV_RECVR;
            }
            delta = newton->delta;
        }
        newton->iterations++;
        solve(newton, step, N_VGetArrayPointer(delta));
        if (newton->iteration > 0) {
            N_VLinearSum(1.0, correction, 1.0, delta, correction);
        }
        const int verdict = newton->test(newton->handle, correction, delta, tolerance, weight,
                                         newton->test_data);
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
        step_data step;
        if (!begin(newton, &step)) {
            return SUN_NLS_MEM_FAIL;
        }
        if (wants_set_up) { // before the right-hand side is put: the factors want its place
            N_VScale(1.0, step.predicted, step.state); // the integrator sets up at its state
            const int flag = newton->set_up(bad, &current, cvode);
            if (flag != SUN_NLS_SUCCESS) {
                return flag;
            }
        }
        if (!put_right(newton, &step)) {
            return SUN_NLS_CONV_RECVR;
        }
        const int verdict = iterate(newton, &step, correction, weight, tolerance);
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

SUNNonlinearSolver cbx_newton_serve(cbx_newton *newton, void *cvode, N_Vector template_vector)
{
    newton->cvode = cvode;
    newton->delta = N_VClone(template_vector);
    return newton->delta ? newton->handle : NULL;
}
