// SPDX-License-Identifier: MIT
// The bench: how long runs take, where the time goes, and what that costs in accuracy.
//
// It looks into the library from outside: the linker puts the bench's own functions before some of
// the library's (wraps.c), so that the library itself carries no counters.
#ifndef COILBED_SPEED_H
#define COILBED_SPEED_H

#include "coilbed/engine.h"
#include "engine/integrator.h"
#include "findings/json_writer.h"

// ---- wraps.c: clock and knobs ----------------------------------------------------------------

typedef enum speed_stage {
    SPEED_OTHER,     // the bench, and what the hours' bookkeeping takes
    SPEED_SETTLE,    // the undisturbed ground
    SPEED_WEATHER,   // forcing at a time
    SPEED_RESIDUAL,  // rates
    SPEED_LINEARISE, // Jacobian
    SPEED_FACTOR,
    SPEED_SOLVE,
    SPEED_STEPPER, // CVODES' own vectors
    SPEED_MEANS,   // hourly means
    SPEED_RECORD,
    SPEED_ESTIMATE, // the coarser twin of the first year
    SPEED_STAGES
} speed_stage;

extern const char *const speed_stage_name[SPEED_STAGES];

// What the wraps do to a run; 1 leaves it alone. Set before the engine is created.
typedef struct speed_knobs {
    double cell_factor;      // on cell sizes and their growth
    double tolerance_factor; // on relative and absolute tolerances
} speed_knobs;
extern speed_knobs speed_knob;

// Starts the clock; afterwards the calling thread's processor time is shared out.
void speed_clock_start(void);
// Stage that the calling thread enters; returns the one it leaves.
speed_stage speed_clock_enter(speed_stage stage);
// Seconds by stage so far.
void speed_clock_read(double *stage_s);

// The last integrator that was made: its plan, with copies of start and tolerances [size].
typedef struct speed_capture {
    cbx_integrator_plan plan;
    double *start, *tolerance;
} speed_capture;
const speed_capture *speed_captured(void);

double speed_seconds(void);     // wall
double speed_cpu_seconds(void); // of this process

// ---- run.c: one measured run -----------------------------------------------------------------

typedef struct speed_case {
    cb_units *units;
    cb_design *design;
    cb_weather *weather;
    cb_run_weather *run_weather;
    cb_house *house;
} speed_case;

// The starter design with overrides.
cb_status speed_case_open(speed_case *one, const cb_override *set, size_t count, cb_error *error);
void speed_case_close(speed_case *one);

enum { SPEED_MOST_SET = 12, SPEED_MOST_YEARS = 100 };

typedef struct speed_plan {
    cb_override set[SPEED_MOST_SET]; // ends at the first without a path
    double cell_factor, tolerance_factor;
    int threads;
    long days;          // stop after so many; 0: the whole run
    const char *record; // write the run to this file; NULL: nowhere
} speed_plan;

typedef struct speed_result {
    bool ok;
    char trouble[256];
    double cpu_s, wall_s;         // of the engine, settling the ground and error estimate included
    double run_cpu_s, run_wall_s; // hours only
    double stage_s[SPEED_STAGES];
    double simulated_years;
    double peak_mb, file_mb;
    cb_quality quality;
    int years;                          // with an entry below, whole or not
    double coldest_c[SPEED_MOST_YEARS]; // entering water while the pump runs in earnest
    double heat_j[SPEED_MOST_YEARS];    // out of the ground, net
    double ice_m[SPEED_MOST_YEARS];     // largest radius
} speed_result;

// Runs the plan in a process of its own, so that memory is that of the run alone.
speed_result speed_measure(const speed_plan *plan);

typedef struct speed_error {
    double coldest_k, heat_relative, ice_m; // largest of all years that both have
} speed_error;
speed_error speed_compare(const speed_result *result, const speed_result *reference);

// ---- parts -----------------------------------------------------------------------------------

typedef struct speed_options {
    bool quick;
    const char *json;      // path; NULL: none
    const char *python;    // with SciPy; NULL: none
    const char *module;    // speed_month.so
    const char *script;    // scipy_month.py
    const char *only;      // one part; NULL: all
    const char *reference; // keeps the refined runs of the accuracy table between runs; NULL: no
} speed_options;

// Each prints its table and writes one value under its name. False if a run failed.
bool speed_engine(const speed_options *options, cbx_json *json);
bool speed_same_system(const speed_options *options, cbx_json *json);
bool speed_growth(const speed_options *options, cbx_json *json);
bool speed_accuracy(const speed_options *options, cbx_json *json);

// ---- month.c: one month of one system, for solvers to compare ---------------------------------

typedef struct speed_month speed_month;

// The starter, run to midwinter; NULL if that fails, with a word to standard error.
speed_month *speed_month_open(int quick);
void speed_month_close(speed_month *month);
int speed_month_size(const speed_month *month); // without the sums of heat, which nothing needs
int speed_month_hours(const speed_month *month);
double speed_month_start_s(const speed_month *month);
double speed_month_relative(const speed_month *month);
const double *speed_month_start(const speed_month *month);
const double *speed_month_tolerance(const speed_month *month);
int speed_month_entering_at(const speed_month *month);
// dy/dt; 0, or 1 if a state is not finite.
int speed_month_rates(speed_month *month, double time_s, const double *y, double *rate);
// Columns of the Jacobian's pattern: start [size + 1] and rows; found by moving each state.
const int *speed_month_column(speed_month *month);
const int *speed_month_row(speed_month *month);
// The engine's own integrator with tolerances times a factor; entering water at the hours' ends
// [hours], states at the end [size]. Returns processor seconds, negative if it failed.
double speed_month_engine(speed_month *month, double factor, double *entering_c, double *end);
// Largest difference of soil temperatures between two end states [K].
double speed_month_soil_k(const speed_month *month, const double *a, const double *b);
// One solution of the engine's factored matrix: processor seconds.
double speed_month_triangles_s(speed_month *month);
const cbx_system *speed_month_system(const speed_month *month);

// Plain CVODE and KLU on the same month; as speed_month_engine. Steps taken in *steps.
double speed_klu_month(speed_month *month, double *entering_c, double *end, long *steps);

#endif
