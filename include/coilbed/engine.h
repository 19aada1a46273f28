// SPDX-License-Identifier: MIT
/// The coupled run: soil sections, near fields, fluid and plant as one ODE system.
#ifndef COILBED_ENGINE_H
#define COILBED_ENGINE_H

#include "coilbed/house.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Hourly means (unless said otherwise) handed to the sink, in order, once each.
typedef struct cb_hour {
    long run_hour; ///< 0-based; the hour starts run_hour * 3600 s after the start
    double entering_water_c, leaving_water_c, coldest_fluid_c, hottest_fluid_c;
    double mean_fluid_c;       ///< over the length of all pipe
    double flow_kg_s;          ///< whole field, hour's mean
    double reynolds;           ///< least of all circuits while the pump runs, at the coldest fluid
    double heat_from_ground_w; ///< positive into the fluid
    double pump_fraction;      ///< share of the hour the circulators run, 0..1
    double heating_output_w, cooling_output_w, compressor_power_w, fan_power_w, pump_power_w;
    double backup_power_w, unmet_load_w;
    /// Hot water: what the units and the element give, what is drawn and lost, what of that was
    /// taken from (or went into) store, what the draw lacked; all 0 without a tank.
    double desuperheater_w, element_power_w, hot_water_w, tank_loss_w, tank_heat_w,
        hot_water_unmet_w;
    double tank_c; ///< NaN without a tank
    double heating_load_w, cooling_load_w;
    cb_weather_hour weather; ///< as used, after shaping
    double yard_surface_c;   ///< soil surface of the undisturbed yard, below cover and snow
    double snow_depth_m;     ///< on the yard, at the hour's end
    double root_dryness; ///< share of the yard's root water that is gone at the hour's end, 0..1
} cb_hour;

/// Shape of the daily snapshots; fixed for a run. Arrays belong to the engine.
typedef struct cb_sections {
    int slices, nz, nx, trenches;
    const double *z_m;      ///< [nz] cell-centre depth
    const double *x_m;      ///< [nx] cell-centre distance from the field's centre line or left side
    const double *z_edge_m; ///< [nz + 1]
    const double *x_edge_m; ///< [nx + 1]
    bool half;              ///< the section is the right half of a symmetric field
    const double *slice_m;  ///< [slices] middle of each slice along the trench
} cb_sections;

/// State at a midnight (start of run_day). Arrays belong to the engine, valid during the call.
typedef struct cb_day {
    long run_day;
    const double *temperature_c; ///< [slices][nz][nx]
    const double *ice_fraction;  ///< [slices][nz][nx] share of the freezable water that is ice
    const double *coil_depth_c;  ///< [slices] mean of the cells that hold pipe
    const double *pipe_wall_c;   ///< [slices] coldest pipe wall
    const double *ice_radius_m;  ///< [slices] outer radius of the soil around the coldest pipe that
                                 ///< is at least half frozen; 0 if none
} cb_day;

/// All that a run needs to go on from the end of a month as if it had never stopped: the ODE state
/// and the sums kept beside it. The integrator starts afresh at the end of every month of every
/// run, so a run that went on from here has the same bits as one that was never interrupted.
typedef struct cb_checkpoint {
    long hours_done;
    size_t size;         ///< number of values
    const double *value; ///< [size] opaque; SI
} cb_checkpoint;

/// Receives a run. Each function may be NULL; any status but CB_OK stops the run with it.
typedef struct cb_sink {
    void *context;
    cb_status (*hour)(void *context, const cb_hour *hour, cb_error *error);
    cb_status (*day)(void *context, const cb_day *day, cb_error *error);
    /// After the last hour of each calendar month, when hours and days so far are complete. The
    /// checkpoint is valid during the call.
    cb_status (*month)(void *context, const cb_checkpoint *checkpoint, cb_error *error);
    /// Called about once per simulated day; returning true stops the run with CB_STOPPED.
    bool (*stop)(void *context);
} cb_sink;

/// Numerical quality of a run so far.
typedef struct cb_quality {
    double energy_audit_relative; ///< |in - out - stored| / total heat exchanged
    /// Heat through the surface by its own integral against the state that Newton carries, relative
    /// to all heat exchanged: the size of what Newton's tolerance leaves.
    double surface_heat_mismatch_relative;
    /// Of the coldest fluid of the first year: how far it moves when the same year is run with the
    /// next coarser grid, tolerances and slices. The run's own error is smaller. NaN at draft
    /// accuracy, which has nothing coarser, and for runs that do not end or last under a year.
    double estimated_discretisation_error_k;
    long steps, rhs_evaluations, linear_setups, newton_iterations, error_test_failures,
        newton_failures;
    double wall_seconds;
    long cells; ///< soil cells, all slices
    int slices;
    double spin_up_years;
    double spin_up_residual_k; ///< largest change of the undisturbed state in its last year
} cb_quality;

/// Size of the model a design asks for.
typedef struct cb_grid_size {
    int slices, nx, nz; ///< nx * nz soil cells in each slice
    int states;         ///< of the ODE system
    bool half;          ///< half of a symmetric field is modelled
} cb_grid_size;

/// Builds what a run would, short of settling the ground, and lets go of it: whatever soil, fluid,
/// pipe, tables or geometry would make a run refuse is refused here. Takes well under a second.
/// Errors: as cb_engine_create.
cb_status cb_engine_probe(cb_grid_size *out, const cb_design *design, const cb_run_weather *weather,
                          const cb_house *house, cb_error *error);

/// The undisturbed ground at one depth. Mean and first harmonic are those of least squares on the
/// daily means of the settled typical year (of measured weather: of all its years).
typedef struct cb_ground_depth {
    double depth_m;
    double mean_c, amplitude_k;         ///< of the harmonic
    double coldest_day;                 ///< of the harmonic, in days since 1 January 00:00, 0..365
    double lowest_c, highest_c;         ///< daily mean of the typical year
    double run_lowest_c, run_highest_c; ///< daily mean of the whole run, hard winters and all
} cb_ground_depth;

/// The undisturbed ground by depth, its frost and its snow. Frost depth is that of the deepest
/// 0 degC isotherm at any of the states six hours apart, linear between the middles of two cells.
/// Snow lies where it is at least CB_SNOW_LIES_M deep.
#define CB_SNOW_LIES_M 0.01
typedef struct cb_ground_summary {
    int count;              ///< depths: the soil surface, then the middle of every cell
    cb_ground_depth *depth; ///< [count], owned
    double typical_frost_m; ///< deepest of a typical year; mean of all years of measured weather,
                            ///< as the next two
    double typical_snow_m;
    double typical_snow_days; ///< longest time in a row that snow lies
    double run_frost_m;       ///< deepest of the whole run; 0 if it never freezes
    long run_frost_hour;      ///< when; -1 if never, as the next
    double run_snow_m;
    long run_snow_hour;
    double run_snow_days;
    long run_snow_begins; ///< hour in which the longest snow cover began; -1 if there is none
    bool precipitation;   ///< false: the weather has none, so no snow falls and no water moves
    int weather_years;    ///< 1 for a typical year
    int cycles;           ///< of that weather until the ground repeated itself
    double residual_k;    ///< largest change over the last of them, below half a metre
} cb_ground_summary;

/// Settles the undisturbed ground of a design and steps it through the run, without the field: a
/// second or so. Errors: as cb_engine_create. *out is owned by the caller.
cb_status cb_ground_summary_create(cb_ground_summary **out, const cb_design *design,
                                   const cb_run_weather *weather, cb_error *error);
cb_ground_summary *cb_ground_summary_destroy(cb_ground_summary *summary);

/// The row at any depth >= 0, linear between those of the summary; the last one below them.
cb_ground_depth cb_ground_at(const cb_ground_summary *summary, double depth_m);

typedef struct cb_engine cb_engine;

/// Builds grid, near fields and plant, and spins the undisturbed ground up to its periodic state.
/// design, weather and house must outlive the engine.
/// The engine works on as many threads as there are pairs of slices, cores online or 8, whichever
/// is least; COILBED_THREADS in the environment takes the place of the last two. Results have the
/// same bits on any number of threads. Errors: CB_BAD_INPUT with the place in the design for
/// impossible geometry, or for a COILBED_THREADS that is no whole number from 1 to 64; CB_NUMERICS
/// if the spin-up does not settle; CB_NO_MEMORY. *out is owned by the caller.
cb_status cb_engine_create(cb_engine **out, const cb_design *design, const cb_run_weather *weather,
                           const cb_house *house, cb_error *error);
cb_engine *cb_engine_destroy(cb_engine *engine);

/// Sections' shape, valid until the engine is destroyed.
const cb_sections *cb_engine_sections(const cb_engine *engine);

/// Undisturbed temperature of the spun-up year, from the run's start day:
/// [CB_YEAR_DAYS][nz] daily means, same depths as cb_sections.z_m. Valid until destroy.
const double *cb_engine_undisturbed_c(const cb_engine *engine);

/// The undisturbed ground of this engine; its depths are the surface and those of cb_sections.z_m.
/// Valid until destroy.
const cb_ground_summary *cb_engine_ground_summary(const cb_engine *engine);

/// Runs design->run.years and feeds the sink, from the start or, with `from`, from a checkpoint of
/// the same design (the day that begins there has been handed out before and is not repeated). The
/// Jacobian is analytic and sparse; forcing is continuous (piecewise linear through hour middles),
/// so the integrator never restarts. Errors: CB_BAD_INPUT if `from` does not fit the design;
/// CB_STOPPED when the sink says so, CB_NUMERICS when the integrator gives up (hours handed out
/// before are good), or the sink's own status. *quality is filled in every case.
cb_status cb_engine_run(cb_engine *engine, const cb_sink *sink, const cb_checkpoint *from,
                        cb_quality *quality, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
