// SPDX-License-Identifier: MIT
#include "coilbed/engine.h"

#include "base/clock.h"
#include "engine/assemble.h"
#include "engine/crew.h"
#include "engine/integrator.h"
#include "engine/means.h"
#include "engine/snapshot.h"
#include "engine/undisturbed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct cb_engine {
    const cb_design *design;
    cbx_system *system;
    cbx_crew *crew; // of the system
    cb_section *column;
    cbx_undisturbed *undisturbed;
    cbx_snapshot *snapshot;
    cb_fluid fluid;
    cb_pipe pipe;
    double *start, *tolerance; // [size]
};

// Soil at the undisturbed temperature of its depth, fluid at that of the coil.
static void fill_start(cb_engine *engine)
{
    const cbx_system *system = engine->system;
    const cb_section *section = system->section;
    for (int s = 0; s < system->slices; s++) {
        for (int c = 0; c < section->cells; c++) {
            engine->start[cbx_section_at(system, s) + c] = cb_soil_enthalpy_j_m3(
                section->curves[section->soil[c]], engine->undisturbed->start_c[c % section->nz]);
        }
    }
    double coil_c = 0.0;
    for (int node = 0; node < cbx_node_count(system); node++) {
        const cbx_run *run = &system->run[node % system->run_count];
        coil_c = engine->undisturbed->start_c[run->cell[run->block_cells / 2] % section->nz];
        for (int n = 0; n < CBX_SHELLS; n++) {
            engine->start[cbx_shell_at(system, node) + n] =
                cb_soil_enthalpy_j_m3(system->curves[run->soil], coil_c);
        }
        engine->start[cbx_fluid_at(system, node)] = coil_c;
    }
    engine->start[cbx_entering_at(system)] = coil_c;
}

static cb_status share_out(cb_engine *engine, cb_error *error)
{
    int threads;
    const int groups = cbx_soil_solver_groups(engine->system->slices);
    cb_status status = cbx_crew_size_for(&threads, groups, error);
    if (status == CB_OK) {
        status = cbx_crew_create(&engine->crew, threads, error);
    }
    engine->system->crew = engine->crew;
    return status;
}

static cb_status settle(cb_engine *engine, const cb_run_weather *weather, cb_error *error)
{
    cb_status status = cbx_column_section_create(&engine->column, engine->system, error);
    if (status == CB_OK) {
        status = cbx_undisturbed_create(&engine->undisturbed, engine->column, engine->design,
                                        weather, error);
    }
    engine->system->forcing.ground = engine->undisturbed;
    return status;
}

static cb_status fill_engine(cb_engine *engine, const cb_run_weather *weather,
                             const cb_house *house, cb_error *error)
{
    const cb_design *design = engine->design;
    cb_status status = cbx_system_create(&engine->system, design, weather, house, error);
    if (status == CB_OK) {
        status = share_out(engine, error);
    }
    if (status == CB_OK) {
        // The system was built from the same choices, so these cannot fail differently.
        status = cb_fluid_define(&engine->fluid, &design->fluid, error);
    }
    if (status == CB_OK) {
        status = cb_pipe_of(&engine->pipe, &design->field.pipe, error);
    }
    if (status == CB_OK) {
        status = cbx_snapshot_create(&engine->snapshot, engine->system, error);
    }
    if (status == CB_OK) {
        status = settle(engine, weather, error);
    }
    if (status == CB_OK) {
        engine->start = calloc((size_t)engine->system->size, sizeof(double));
        engine->tolerance = calloc((size_t)engine->system->size, sizeof(double));
        if (!engine->start || !engine->tolerance) {
            return cb_fail(error, CB_NO_MEMORY, "no memory for the state");
        }
        fill_start(engine);
        cbx_tolerances(engine->system, engine->tolerance);
    }
    return status;
}

cb_status cb_engine_create(cb_engine **out, const cb_design *design, const cb_run_weather *weather,
                           const cb_house *house, cb_error *error)
{
    *out = NULL;
    cb_engine *engine = calloc(1, sizeof *engine);
    if (!engine) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the engine");
    }
    engine->design = design;
    const cb_status status = fill_engine(engine, weather, house, error);
    if (status != CB_OK) {
        cb_engine_destroy(engine);
        return status;
    }
    *out = engine;
    return CB_OK;
}

cb_engine *cb_engine_destroy(cb_engine *engine)
{
    if (engine) {
        cbx_snapshot_destroy(engine->snapshot);
        cbx_undisturbed_destroy(engine->undisturbed);
        cb_section_destroy(engine->column);
        cbx_system_destroy(engine->system);
        cbx_crew_destroy(engine->crew);
        free(engine->start);
        free(engine->tolerance);
        free(engine);
    }
    return NULL;
}

const cb_sections *cb_engine_sections(const cb_engine *engine)
{
    return cbx_snapshot_sections(engine->snapshot);
}

const double *cb_engine_undisturbed_c(const cb_engine *engine)
{
    return engine->undisturbed->daily_c;
}

const cb_ground_summary *cb_engine_ground_summary(const cb_engine *engine)
{
    return engine->undisturbed->summary;
}

// ---- running ---------------------------------------------------------------------------------

// Beside the ODE state a run keeps these; together they make a checkpoint.
typedef struct run_sums {
    double surface_j, gross_j; // of the finished solution, up to `hours_done`
    double steps, rhs_evaluations, linear_setups, newton_iterations, error_test_failures,
        newton_failures;
    double wall_seconds;
    double coldest_c; // fluid of the first year
} run_sums;
enum { RUN_SUMS = sizeof(run_sums) / sizeof(double) };

typedef struct run_state {
    cb_engine *engine;
    const cb_sink *sink;
    cbx_means means;
    cbx_integrator *integrator;
    double integral[CBX_MEAN_COUNT]; // up to the hour's start, since the integrator's start
    const double *y;                 // at hours_done
    long hours_done;
    double *checkpoint; // [size + RUN_SUMS] state and sums at the last month's end
    run_sums sums;      // of months that are over
    double started;
} run_state;

static cb_status give_day(const run_state *run, cb_error *error)
{
    if (!run->sink->day) {
        return CB_OK;
    }
    const cb_day day = cbx_snapshot_take(run->engine->snapshot, run->y, run->hours_done / 24);
    return run->sink->day(run->sink->context, &day, error);
}

static cb_status step_hour(run_state *run, cb_error *error)
{
    const double *integral;
    const cb_status status = cbx_integrator_advance(
        run->integrator, ((double)run->hours_done + 1.0) * 3600.0, &run->y, &integral, error);
    if (status != CB_OK) {
        return status;
    }
    double mean[CBX_MEAN_COUNT];
    for (int n = 0; n < CBX_MEAN_COUNT; n++) {
        mean[n] = (integral[n] - run->integral[n]) / 3600.0;
        run->integral[n] = integral[n];
    }
    const long hour = run->hours_done++;
    if (hour < CB_YEAR_HOURS) {
        run->sums.coldest_c = fmin(run->sums.coldest_c, mean[CBX_MEAN_COLDEST]);
    }
    if (!run->sink->hour) {
        return CB_OK;
    }
    cb_hour record;
    cbx_means_to_hour(run->engine->system, &run->engine->fluid, run->engine->pipe.inside_diameter_m,
                      hour, mean, &record);
    return run->sink->hour(run->sink->context, &record, error);
}

// Sums up to now: those of the months before and what the present integrator adds.
static run_sums sums_now(const run_state *run)
{
    run_sums sums = run->sums;
    if (run->integrator) {
        cb_quality part = {0};
        cbx_integrator_count(run->integrator, &part);
        sums.surface_j += run->integral[CBX_MEAN_SURFACE_HEAT];
        sums.gross_j += run->integral[CBX_MEAN_GROSS_HEAT];
        sums.steps += (double)part.steps;
        sums.rhs_evaluations += (double)part.rhs_evaluations;
        sums.linear_setups += (double)part.linear_setups;
        sums.newton_iterations += (double)part.newton_iterations;
        sums.error_test_failures += (double)part.error_test_failures;
        sums.newton_failures += (double)part.newton_failures;
    }
    return sums;
}

// Starts an integrator at the checkpoint, whether it was just made or read back.
static cb_status start_integrator(run_state *run, cb_error *error)
{
    const cb_engine *engine = run->engine;
    run->integrator = cbx_integrator_destroy(run->integrator);
    memcpy(&run->sums, run->checkpoint + engine->system->size, sizeof run->sums);
    memset(run->integral, 0, sizeof run->integral);
    run->y = run->checkpoint;
    const cbx_integrator_plan plan = {
        .system = engine->system,
        .start_s = (double)run->hours_done * 3600.0,
        .start = run->checkpoint,
        .tolerance = engine->tolerance,
        .relative_tolerance = cbx_accuracy_of(engine->design->run.accuracy).relative,
        .integrand_count = CBX_MEAN_COUNT,
        .integrands = cbx_means_at,
        .context = &run->means,
    };
    return cbx_integrator_create(&run->integrator, &plan, error);
}

static cb_status close_month(run_state *run, cb_error *error)
{
    const size_t size = (size_t)run->engine->system->size;
    run_sums sums = sums_now(run);
    sums.wall_seconds += cbx_clock_s() - run->started;
    run->started = cbx_clock_s();
    memcpy(run->checkpoint, run->y, size * sizeof(double));
    memcpy(run->checkpoint + size, &sums, sizeof sums);
    const cb_checkpoint checkpoint = {run->hours_done, size + RUN_SUMS, run->checkpoint};
    const cb_status status =
        run->sink->month ? run->sink->month(run->sink->context, &checkpoint, error) : CB_OK;
    return status == CB_OK ? start_integrator(run, error) : status;
}

// After an hour: the day's state at midnight, the month's end, and whether to stop.
static cb_status close_hour(run_state *run, cb_error *error)
{
    if (run->hours_done % 24 != 0) {
        return CB_OK;
    }
    cb_status status = give_day(run, error);
    if (status == CB_OK && cb_run_moment(&run->engine->design->run, run->hours_done).day == 1) {
        status = close_month(run, error);
    }
    if (status == CB_OK && run->sink->stop && run->sink->stop(run->sink->context)) {
        status =
            cb_fail(error, CB_STOPPED, "stopped after %ld simulated days", run->hours_done / 24);
    }
    return status;
}

static double audit(const run_state *run)
{
    const cbx_system *system = run->engine->system;
    const double stored =
        cbx_system_stored_j(system, run->y) - cbx_system_stored_j(system, run->engine->start);
    const double *y = run->y;
    // A run has a state from its first line on; the analyser loses that at the integrator's call.
    // NOLINTNEXTLINE(clang-analyzer-core.NullDereference)
    const double taken_j = y[cbx_surface_heat_at(system)] + y[cbx_loop_heat_at(system)];
    const double into = taken_j + cbx_bottom_heat_w(system) * (double)run->hours_done * 3600.0;
    const double gross = sums_now(run).gross_j;
    return gross > 0.0 ? fabs(into - stored) / gross : 0.0;
}

// What Newton's tolerance leaves: heat through the surface of the finished solution against the
// state that the iteration carried.
static double surface_mismatch(const run_state *run)
{
    const run_sums sums = sums_now(run);
    const double carried = run->y[cbx_surface_heat_at(run->engine->system)];
    return sums.gross_j > 0.0 ? fabs(sums.surface_j - carried) / sums.gross_j : 0.0;
}

static cb_status run_hours(run_state *run, cb_error *error)
{
    const long hours = (long)run->engine->design->run.years * CB_YEAR_HOURS;
    cb_status status = run->hours_done == 0 ? give_day(run, error) : CB_OK;
    while (run->hours_done < hours && status == CB_OK) {
        status = step_hour(run, error);
        if (status == CB_OK) {
            status = close_hour(run, error);
        }
    }
    return status;
}

static void fill_quality(const run_state *run, cb_quality *quality)
{
    const cbx_system *system = run->engine->system;
    const run_sums sums = sums_now(run);
    *quality = (cb_quality){
        .energy_audit_relative = audit(run),
        .surface_heat_mismatch_relative = surface_mismatch(run),
        .steps = (long)sums.steps,
        .rhs_evaluations = (long)sums.rhs_evaluations,
        .linear_setups = (long)sums.linear_setups,
        .newton_iterations = (long)sums.newton_iterations,
        .error_test_failures = (long)sums.error_test_failures,
        .newton_failures = (long)sums.newton_failures,
        .wall_seconds = sums.wall_seconds + cbx_clock_s() - run->started,
        .cells = (long)system->slices * (long)system->section->cells,
        .slices = system->slices,
        .spin_up_years = run->engine->undisturbed->years,
        .spin_up_residual_k = run->engine->undisturbed->summary->residual_k,
    };
}

static cb_status load_checkpoint(run_state *run, const cb_checkpoint *from, cb_error *error)
{
    const size_t size = (size_t)run->engine->system->size;
    if (!from) {
        const run_sums none = {.coldest_c = INFINITY};
        memcpy(run->checkpoint, run->engine->start, size * sizeof(double));
        memcpy(run->checkpoint + size, &none, sizeof none);
        return CB_OK;
    }
    const long hours = (long)run->engine->design->run.years * CB_YEAR_HOURS;
    if (from->size != size + RUN_SUMS || from->hours_done < 0 || from->hours_done > hours) {
        return cb_fail(error, CB_BAD_INPUT,
                       "the checkpoint holds %zu values at hour %ld; this design needs %zu and has "
                       "%ld hours",
                       from->size, from->hours_done, size + RUN_SUMS, hours);
    }
    memcpy(run->checkpoint, from->value, from->size * sizeof(double));
    run->hours_done = from->hours_done;
    return CB_OK;
}

static cb_status run_from(cb_engine *engine, const cb_sink *sink, const cb_checkpoint *from,
                          cb_quality *quality, double *coldest_c, cb_error *error)
{
    cbx_system *system = engine->system;
    run_state run = {.engine = engine,
                     .sink = sink,
                     .means = {.system = system},
                     .y = engine->start,
                     .started = cbx_clock_s()};
    const size_t nodes = (size_t)system->slices * (size_t)system->run_count;
    run.means.piece = calloc(nodes, sizeof *run.means.piece);
    run.checkpoint = calloc((size_t)system->size + RUN_SUMS, sizeof *run.checkpoint);
    cb_status status = CB_OK;
    if (!run.means.piece || !run.checkpoint) {
        cb_fail(error, CB_NO_MEMORY, "no memory for the run");
        status = CB_NO_MEMORY;
    }
    if (status == CB_OK) {
        status = load_checkpoint(&run, from, error);
    }
    if (status == CB_OK) {
        status = start_integrator(&run, error);
    }
    if (status == CB_OK) {
        status = run_hours(&run, error);
    }
    fill_quality(&run, quality);
    *coldest_c = run.sums.coldest_c;
    cbx_integrator_destroy(run.integrator);
    free(run.means.piece);
    free(run.checkpoint);
    return status;
}

// The first year again on the next coarser setting; NaN if it cannot be had.
static double coarser_coldest_c(const cb_engine *engine)
{
    cb_design coarse = *engine->design;
    coarse.run.accuracy = coarse.run.accuracy == CB_FINE ? CB_STANDARD : CB_DRAFT;
    coarse.run.years = 1;
    coarse.run.slices = 0;
    const cbx_forcing *forcing = &engine->system->forcing;
    const cb_sink blind = {0};
    cb_quality quality;
    cb_error error;
    double coldest_c = NAN;
    cb_engine *twin = NULL;
    cb_engine_create(&twin, &coarse, forcing->weather, forcing->house, &error);
    if (twin && run_from(twin, &blind, NULL, &quality, &coldest_c, &error) != CB_OK) {
        coldest_c = NAN;
    }
    cb_engine_destroy(twin);
    return coldest_c;
}

cb_status cb_engine_run(cb_engine *engine, const cb_sink *sink, const cb_checkpoint *from,
                        cb_quality *quality, cb_error *error)
{
    double coldest_c;
    const cb_status status = run_from(engine, sink, from, quality, &coldest_c, error);
    quality->estimated_discretisation_error_k = NAN;
    if (status == CB_OK && engine->design->run.accuracy != CB_DRAFT) {
        const double started = cbx_clock_s();
        quality->estimated_discretisation_error_k = fabs(coarser_coldest_c(engine) - coldest_c);
        quality->wall_seconds += cbx_clock_s() - started;
    }
    return status;
}
