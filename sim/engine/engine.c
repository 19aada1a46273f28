// SPDX-License-Identifier: MIT
#include "coilbed/engine.h"

#include "engine/integrator.h"
#include "engine/means.h"
#include "engine/snapshot.h"
#include "engine/spin_up.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

struct cb_engine {
    const cb_design *design;
    cbx_system *system;
    cbx_undisturbed undisturbed;
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
                section->curves[section->soil[c]], engine->undisturbed.start_c[c % section->nz]);
        }
    }
    double coil_c = 0.0;
    for (int node = 0; node < system->slices * system->run_count; node++) {
        const cbx_run *run = &system->run[node % system->run_count];
        coil_c = engine->undisturbed.start_c[run->cell[run->block_cells / 2] % section->nz];
        for (int n = 0; n < CBX_SHELLS; n++) {
            engine->start[cbx_shell_at(system, node) + n] =
                cb_soil_enthalpy_j_m3(system->curves[run->soil], coil_c);
        }
        engine->start[cbx_fluid_at(system, node)] = coil_c;
    }
    engine->start[cbx_entering_at(system)] = coil_c;
}

static cb_status fill_engine(cb_engine *engine, const cb_run_weather *weather,
                             const cb_house *house, cb_error *error)
{
    const cb_design *design = engine->design;
    cb_status status = cbx_system_create(&engine->system, design, weather, house, error);
    if (status == CB_OK) {
        // The system was built from the same choices, so these cannot fail differently.
        status = cb_fluid_define(&engine->fluid, &design->fluid, error);
    }
    if (status == CB_OK) {
        status =
            cb_pipe_find(&engine->pipe, design->field.pipe.nominal, design->field.pipe.sdr, error);
    }
    if (status == CB_OK) {
        status = cbx_snapshot_create(&engine->snapshot, engine->system, error);
    }
    if (status == CB_OK) {
        status = cbx_spin_up(&engine->undisturbed, engine->system, error);
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
        cbx_undisturbed_free(&engine->undisturbed);
        cbx_system_destroy(engine->system);
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
    return engine->undisturbed.daily_c;
}

// ---- running ---------------------------------------------------------------------------------

typedef struct run_state {
    cb_engine *engine;
    const cb_sink *sink;
    cbx_integrator *integrator;
    double integral[CBX_MEAN_COUNT]; // up to the hour's start
    const double *y;
    double time_s; // of y
} run_state;

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static cb_status give_day(const run_state *run, long run_day, cb_error *error)
{
    if (!run->sink->day) {
        return CB_OK;
    }
    const cb_day day = cbx_snapshot_take(run->engine->snapshot, run->y, run_day);
    return run->sink->day(run->sink->context, &day, error);
}

static cb_status step_hour(run_state *run, long hour, cb_error *error)
{
    const double *integral;
    const cb_status status = cbx_integrator_advance(run->integrator, ((double)hour + 1.0) * 3600.0,
                                                    &run->y, &integral, error);
    if (status != CB_OK) {
        return status;
    }
    run->time_s = ((double)hour + 1.0) * 3600.0;
    double mean[CBX_MEAN_COUNT];
    for (int n = 0; n < CBX_MEAN_COUNT; n++) {
        mean[n] = (integral[n] - run->integral[n]) / 3600.0;
        run->integral[n] = integral[n];
    }
    if (!run->sink->hour) {
        return CB_OK;
    }
    cb_hour record;
    cbx_means_to_hour(run->engine->system, &run->engine->fluid, run->engine->pipe.inside_diameter_m,
                      hour, mean, &record);
    return run->sink->hour(run->sink->context, &record, error);
}

// After an hour: the day's state at midnight, the month's end, and whether to stop.
static cb_status close_hour(const run_state *run, long hours_done, cb_error *error)
{
    if (hours_done % 24 != 0) {
        return CB_OK;
    }
    cb_status status = give_day(run, hours_done / 24, error);
    const cb_design_run *plan = &run->engine->design->run;
    const bool month_over = cb_run_moment(plan, hours_done).day == 1;
    if (status == CB_OK && month_over && run->sink->month) {
        status = run->sink->month(run->sink->context, hours_done, error);
    }
    if (status == CB_OK && run->sink->stop && run->sink->stop(run->sink->context)) {
        status = cb_fail(error, CB_STOPPED, "stopped after %ld simulated days", hours_done / 24);
    }
    return status;
}

static double audit(const run_state *run)
{
    const cbx_system *system = run->engine->system;
    const double stored =
        cbx_system_stored_j(system, run->y) - cbx_system_stored_j(system, run->engine->start);
    const double into = run->y[cbx_surface_heat_at(system)] + run->y[cbx_loop_heat_at(system)] +
                        cbx_bottom_heat_w(system) * run->time_s;
    const double gross = run->integral[CBX_MEAN_GROSS_HEAT];
    return gross > 0.0 ? fabs(into - stored) / gross : 0.0;
}

// What Newton's tolerance leaves: heat through the surface of the finished solution against the
// state that the iteration carried.
static double surface_mismatch(const run_state *run)
{
    const double carried = run->y[cbx_surface_heat_at(run->engine->system)];
    const double gross = run->integral[CBX_MEAN_GROSS_HEAT];
    return gross > 0.0 ? fabs(run->integral[CBX_MEAN_SURFACE_HEAT] - carried) / gross : 0.0;
}

static cb_status run_hours(run_state *run, cb_error *error)
{
    const long hours = (long)run->engine->design->run.years * CB_YEAR_HOURS;
    cb_status status = give_day(run, 0, error);
    for (long hour = 0; hour < hours && status == CB_OK; hour++) {
        status = step_hour(run, hour, error);
        if (status == CB_OK) {
            status = close_hour(run, hour + 1, error);
        }
    }
    return status;
}

static void fill_quality(const run_state *run, double started, cb_quality *quality)
{
    const cbx_system *system = run->engine->system;
    *quality = (cb_quality){
        .cells = (long)system->slices * (long)system->section->cells,
        .slices = system->slices,
        .spin_up_years = run->engine->undisturbed.years,
        .spin_up_residual_k = run->engine->undisturbed.residual_k,
    };
    if (run->integrator) {
        cbx_integrator_count(run->integrator, quality);
        quality->energy_audit_relative = audit(run);
        quality->surface_heat_mismatch_relative = surface_mismatch(run);
    }
    quality->wall_seconds = seconds_now() - started;
}

cb_status cb_engine_run(cb_engine *engine, const cb_sink *sink, cb_quality *quality,
                        cb_error *error)
{
    const double started = seconds_now();
    cbx_system *system = engine->system;
    cbx_means means = {.system = system};
    run_state run = {.engine = engine, .sink = sink, .y = engine->start};
    means.piece = calloc((size_t)(system->slices * system->run_count), sizeof *means.piece);
    cb_status status = CB_OK;
    if (!means.piece) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the hourly means");
    }
    if (status == CB_OK) {
        const cbx_integrator_plan plan = {
            .system = system,
            .start = engine->start,
            .tolerance = engine->tolerance,
            .relative_tolerance = cbx_accuracy_of(engine->design->run.accuracy).relative,
            .integrand_count = CBX_MEAN_COUNT,
            .integrands = cbx_means_at,
            .context = &means,
        };
        status = cbx_integrator_create(&run.integrator, &plan, error);
    }
    if (status == CB_OK) {
        status = run_hours(&run, error);
    }
    fill_quality(&run, started, quality);
    cbx_integrator_destroy(run.integrator);
    free(means.piece);
    return status;
}
