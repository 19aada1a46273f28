// SPDX-License-Identifier: MIT
// Functions that stand before the library's own of the same name (ld --wrap). A call between two of
// the library's source files comes here first.
#include "speed.h"

#include "engine/layout.h"
#include "engine/means.h"
#include "engine/newton_right.h"
#include "engine/snapshot.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

const char *const speed_stage_name[SPEED_STAGES] = {
    [SPEED_OTHER] = "other",       [SPEED_SETTLE] = "settle",      [SPEED_WEATHER] = "weather",
    [SPEED_RESIDUAL] = "residual", [SPEED_LINEARISE] = "jacobian", [SPEED_FACTOR] = "factorisation",
    [SPEED_SOLVE] = "solve",       [SPEED_STEPPER] = "stepper",    [SPEED_MEANS] = "means",
    [SPEED_RECORD] = "record",     [SPEED_ESTIMATE] = "estimate",
};

speed_knobs speed_knob = {1.0, 1.0};

static struct clock_state {
    speed_stage stage;
    double since_s, stage_s[SPEED_STAGES];
    const cbx_system *first; // a run's own; another one is the estimate's
    bool estimating;
} state;

static speed_capture captured;

static double time_of(clockid_t id)
{
    struct timespec now;
    clock_gettime(id, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

double speed_seconds(void)
{
    return time_of(CLOCK_MONOTONIC);
}

double speed_cpu_seconds(void)
{
    return time_of(CLOCK_PROCESS_CPUTIME_ID);
}

// The clock of the wall for the stages: that of the processor asks the kernel, some twenty times a
// step, and took a fifth of a run.
void speed_clock_start(void)
{
    memset(&state, 0, sizeof state);
    state.since_s = speed_seconds();
}

speed_stage speed_clock_enter(speed_stage stage)
{
    const double now = speed_seconds();
    const speed_stage left = state.stage;
    state.stage_s[state.estimating ? SPEED_ESTIMATE : left] += now - state.since_s;
    state.since_s = now;
    state.stage = stage;
    return left;
}

void speed_clock_read(double *stage_s)
{
    speed_clock_enter(state.stage);
    memcpy(stage_s, state.stage_s, sizeof state.stage_s);
}

const speed_capture *speed_captured(void)
{
    return &captured;
}

// ---- wraps -----------------------------------------------------------------------------------

// Their names are the linker's.
// NOLINTBEGIN(bugprone-reserved-identifier)

// Declares what the linker provides, opens the wrap and calls through to the library.
#define WRAP(TYPE, NAME, STAGE, PARAMETERS, ARGUMENTS)                                             \
    TYPE __real_##NAME PARAMETERS;                                                                 \
    TYPE __wrap_##NAME PARAMETERS;                                                                 \
    TYPE __wrap_##NAME PARAMETERS                                                                  \
    {                                                                                              \
        const speed_stage before = speed_clock_enter(STAGE);                                       \
        const TYPE result = __real_##NAME ARGUMENTS;                                               \
        speed_clock_enter(before);                                                                 \
        return result;                                                                             \
    }
#define WRAP_VOID(NAME, STAGE, PARAMETERS, ARGUMENTS)                                              \
    void __real_##NAME PARAMETERS;                                                                 \
    void __wrap_##NAME PARAMETERS;                                                                 \
    void __wrap_##NAME PARAMETERS                                                                  \
    {                                                                                              \
        const speed_stage before = speed_clock_enter(STAGE);                                       \
        __real_##NAME ARGUMENTS;                                                                   \
        speed_clock_enter(before);                                                                 \
    }

WRAP(cb_status, cbx_undisturbed_create, SPEED_SETTLE,
     (cbx_undisturbed * *out, const cb_section *column, const cb_design *design,
      const cb_run_weather *weather, cb_error *error),
     (out, column, design, weather, error))
WRAP(cbx_forcing_point, cbx_forcing_at, SPEED_WEATHER, (cbx_forcing * forcing, double time_s),
     (forcing, time_s))
WRAP(int, cbx_system_rates, SPEED_RESIDUAL,
     (cbx_system * system, double time_s, const double *y, double *rate, cbx_piece *piece),
     (system, time_s, y, rate, piece))
WRAP(bool, cbx_newton_right, SPEED_RESIDUAL,
     (const cbx_newton_matrix *matrix, const cbx_newton_step *step, cbx_piece *piece,
      double *right),
     (matrix, step, piece, right))
WRAP_VOID(cbx_newton_matrix_linearise, SPEED_LINEARISE,
          (cbx_newton_matrix * matrix, double time_s, const double *y), (matrix, time_s, y))
WRAP(bool, cbx_newton_matrix_factor, SPEED_FACTOR, (cbx_newton_matrix * matrix, double gamma),
     (matrix, gamma))
WRAP_VOID(cbx_newton_matrix_solve_put, SPEED_SOLVE,
          (cbx_newton_matrix * matrix, const double *b, double scale, double *x),
          (matrix, b, scale, x))
WRAP(cb_status, cbx_integrator_advance, SPEED_STEPPER,
     (cbx_integrator * integrator, double time_s, const double **y, const double **integral,
      cb_error *error),
     (integrator, time_s, y, integral, error))
WRAP_VOID(cbx_means_at, SPEED_MEANS,
          (void *context, double time_s, const double *y, double *integrand),
          (context, time_s, y, integrand))
WRAP(cb_day, cbx_snapshot_take, SPEED_RECORD,
     (cbx_snapshot * snapshot, const double *y, long run_day), (snapshot, y, run_day))

static cbx_accuracy scaled(const cbx_accuracy *accuracy)
{
    cbx_accuracy other = *accuracy;
    other.cell_m *= speed_knob.cell_factor;
    other.surface_cell_m *= speed_knob.cell_factor;
    other.growth *= speed_knob.cell_factor;
    return other;
}

void __real_cbx_layout_plan(cbx_layout *layout, const cb_design *design, const cb_pipe *pipe,
                            const cb_pipe *runout_pipe, const cbx_accuracy *accuracy);
void __wrap_cbx_layout_plan(cbx_layout *layout, const cb_design *design, const cb_pipe *pipe,
                            const cb_pipe *runout_pipe, const cbx_accuracy *accuracy);
void __wrap_cbx_layout_plan(cbx_layout *layout, const cb_design *design, const cb_pipe *pipe,
                            const cb_pipe *runout_pipe, const cbx_accuracy *accuracy)
{
    const cbx_accuracy other = scaled(accuracy);
    __real_cbx_layout_plan(layout, design, pipe, runout_pipe, &other);
}

cb_status __real_cbx_layout_axes(const cbx_layout *layout, const cb_design *design,
                                 const cbx_accuracy *accuracy, cb_axis *x, cb_axis *z,
                                 cb_error *error);
cb_status __wrap_cbx_layout_axes(const cbx_layout *layout, const cb_design *design,
                                 const cbx_accuracy *accuracy, cb_axis *x, cb_axis *z,
                                 cb_error *error);
cb_status __wrap_cbx_layout_axes(const cbx_layout *layout, const cb_design *design,
                                 const cbx_accuracy *accuracy, cb_axis *x, cb_axis *z,
                                 cb_error *error)
{
    const cbx_accuracy other = scaled(accuracy);
    return __real_cbx_layout_axes(layout, design, &other, x, z, error);
}

static bool keep_copy(double **copy, const double *from, int size)
{
    double *room = realloc(*copy, (size_t)size * sizeof *room);
    if (room) {
        *copy = memcpy(room, from, (size_t)size * sizeof *room);
    }
    return room != NULL;
}

cb_status __real_cbx_integrator_create(cbx_integrator **out, const cbx_integrator_plan *plan,
                                       cb_error *error);
cb_status __wrap_cbx_integrator_create(cbx_integrator **out, const cbx_integrator_plan *plan,
                                       cb_error *error);
cb_status __wrap_cbx_integrator_create(cbx_integrator **out, const cbx_integrator_plan *plan,
                                       cb_error *error)
{
    const int size = plan->system->size;
    const speed_stage before = speed_clock_enter(state.stage);
    state.first = state.first ? state.first : plan->system;
    state.estimating = state.first != plan->system;
    if (!keep_copy(&captured.start, plan->start, size) ||
        !keep_copy(&captured.tolerance, plan->tolerance, size)) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a copy of the state");
    }
    captured.plan = *plan;
    captured.plan.start = captured.start;
    captured.plan.tolerance = captured.tolerance;
    for (int n = 0; n < size; n++) {
        captured.tolerance[n] *= speed_knob.tolerance_factor;
    }
    captured.plan.relative_tolerance *= speed_knob.tolerance_factor;
    const cb_status status = __real_cbx_integrator_create(out, &captured.plan, error);
    speed_clock_enter(before);
    return status;
}
// NOLINTEND(bugprone-reserved-identifier)
