// SPDX-License-Identifier: MIT
/// One case: a design with some values changed, run to its end and boiled down to headline numbers.
/// Everything here works in any process and keeps no state between calls; cases run by several
/// processes at once may share a cache folder.
#ifndef COILBED_CASE_H
#define COILBED_CASE_H

#include "coilbed/field.h"
#include "coilbed/findings.h"
#include "coilbed/loop.h"

#ifdef __cplusplus
extern "C" {
#endif

// ---- what a run starts from ------------------------------------------------------------------

/// A design and the values changed in it; only read during the calls that take it.
typedef struct cb_case_source {
    const char *path;       ///< of the design file; with `text` it stands for the file in messages
    const char *text;       ///< the design itself; NULL: it is read from path
    const cb_override *set; ///< [set_count]
    size_t set_count;
} cb_case_source;

/// Everything a run starts from.
typedef struct cb_inputs {
    cb_design *design;
    cb_weather *weather;
    cb_run_weather *run_weather;
    cb_house *house;
    cb_fluid fluid;
    cb_pipe pipe;
    cb_field_bill bill;
} cb_inputs;

/// Reads design, weather and loads, in that order. Errors: those of cb_design_read (or _parse),
/// cb_fluid_define, cb_pipe_of, cb_weather_create, cb_run_weather_create and cb_house_create, all
/// with the place in the design where one is known. cb_inputs_close is needed in every case.
cb_status cb_inputs_open(cb_inputs *inputs, const cb_case_source *source, const cb_units *units,
                         cb_error *error);
void cb_inputs_close(cb_inputs *inputs);

// ---- running ---------------------------------------------------------------------------------

/// Told how a run goes on. Each function may be NULL.
typedef struct cb_watch {
    void *context;
    void (*begin)(void *context, const cb_design_run *run); ///< valid until the run's end
    void (*stage)(void *context, const char *text);         ///< before the first hour
    void (*resumed)(void *context, long hours_done);        ///< an earlier run goes on from here
    void (*day)(void *context, long hours_done);            ///< after each simulated day
    bool (*stop)(void *context); ///< true ends the run with CB_STOPPED; asked about once a day
} cb_watch;

typedef struct cb_simulation {
    const cb_inputs *inputs;
    const char *path;      ///< of the run's file
    bool resume;           ///< the file holds an interrupted run that goes on
    const char *libraries; ///< as in cb_record_header; may be NULL
    const cb_watch *watch; ///< may be NULL
} cb_simulation;

/// What became of a run's file.
typedef struct cb_simulated {
    bool written;       ///< it exists and was closed in good order
    long hours_written; ///< hours in it, from now or before
    bool resumable;     ///< a later run can go on from it
} cb_simulated;

/// Runs the engine into a run file, which is marked complete only when the run came to its end.
/// *done is filled in every case. Errors: those of cb_engine_create, cb_engine_run and the record;
/// the hours before a failure stay in the file.
cb_status cb_simulate(const cb_simulation *what, cb_simulated *done, cb_error *error);

// ---- headline numbers ------------------------------------------------------------------------

/// The numbers by which cases are compared, in SI; NaN where a run has none. Columns: name, kind,
/// unit (UDUNITS spelling), whether it is a moment (seconds since the run's start), title, meaning.
/// Energies are means of a run's whole years (of a run under a year, its sum).
#define CB_HEADLINE_LIST(X)                                                                        \
    X(verdict, CB_NUMBER, "1", false, "Verdict", "0 clear, 1 close, 2 broken: the worst finding")  \
    X(worst_margin, CB_TEMPERATURE_DIFFERENCE, "K", false, "Least temperature margin",             \
      "least margin of freeze_margin, entering_minimum, entering_maximum and pipe_temperature")    \
    X(freeze_margin, CB_TEMPERATURE_DIFFERENCE, "K", false, "Margin to freezing limit",            \
      "coldest fluid less its limit: freeze point plus the design's safety margin")                \
    X(coldest_fluid, CB_TEMPERATURE, "degree_Celsius", false, "Coldest fluid",                     \
      "coldest hourly mean anywhere in the loop")                                                  \
    X(coldest_fluid_time, CB_TIME, "s", true, "  when", "hour of the coldest fluid")               \
    X(entering_minimum, CB_TEMPERATURE, "degree_Celsius", false, "Coldest entering water",         \
      "coldest hourly mean of the water into the heat pumps while the pump runs")                  \
    X(entering_minimum_time, CB_TIME, "s", true, "  when", "hour of the coldest entering water")   \
    X(entering_maximum, CB_TEMPERATURE, "degree_Celsius", false, "Hottest entering water",         \
      "hottest hourly mean of the water into the heat pumps while the pump runs")                  \
    X(entering_maximum_time, CB_TIME, "s", true, "  when", "hour of the hottest entering water")   \
    X(coldest_fluid_drift, CB_TEMPERATURE_DIFFERENCE, "K year-1", false, "Drift of coldest fluid", \
      "change between the last two ordinary years; none without two")                              \
    X(coldest_fluid_settled, CB_TEMPERATURE, "degree_Celsius", false, "  settles at",              \
      "coldest fluid of ordinary years: where its drift tends to")                                 \
    X(entering_minimum_drift, CB_TEMPERATURE_DIFFERENCE, "K year-1", false,                        \
      "Drift of coldest water", "change between the last two ordinary years")                      \
    X(entering_minimum_settled, CB_TEMPERATURE, "degree_Celsius", false, "  settles at",           \
      "coldest entering water of ordinary years: where its drift tends to")                        \
    X(entering_maximum_drift, CB_TEMPERATURE_DIFFERENCE, "K year-1", false,                        \
      "Drift of hottest water", "change between the last two ordinary years")                      \
    X(entering_maximum_settled, CB_TEMPERATURE, "degree_Celsius", false, "  settles at",           \
      "hottest entering water of ordinary years: where its drift tends to")                        \
    X(heat_from_ground, CB_ENERGY, "J year-1", false, "Heat from ground",                          \
      "hours in which it flows")                                                                   \
    X(heat_to_ground, CB_ENERGY, "J year-1", false, "Heat to ground", "hours in which it flows")   \
    X(heating_output, CB_ENERGY, "J year-1", false, "Heat delivered", "by the compressors")        \
    X(cooling_output, CB_ENERGY, "J year-1", false, "Cooling delivered", "by the compressors")     \
    X(compressor_energy, CB_ENERGY, "J year-1", false, "Compressor", "electricity")                \
    X(fan_energy, CB_ENERGY, "J year-1", false, "Fans", "electricity")                             \
    X(pump_energy, CB_ENERGY, "J year-1", false, "Loop pump", "electricity")                       \
    X(backup_energy, CB_ENERGY, "J year-1", false, "Backup heat", "electricity")                   \
    X(element_energy, CB_ENERGY, "J year-1", false, "Hot water element", "electricity")            \
    X(unmet_heating, CB_ENERGY, "J year-1", false, "Heat not delivered", "asked for and lacking")  \
    X(unmet_cooling, CB_ENERGY, "J year-1", false, "Cooling not delivered",                        \
      "asked for and lacking")                                                                     \
    X(unmet_hot_water, CB_ENERGY, "J year-1", false, "Hot water not delivered",                    \
      "asked for and lacking")                                                                     \
    X(heating_performance, CB_NUMBER, "1", false, "Seasonal COP, heating",                         \
      "heat delivered, to hot water too, over electricity of compressor, fan and loop pump")       \
    X(cooling_performance, CB_NUMBER, "1", false, "Seasonal COP, cooling",                         \
      "cooling delivered over electricity of compressor, fan and loop pump")                       \
    X(pipe_length, CB_LENGTH, "m", false, "Pipe", "all circuits, with the run-out")                \
    X(trench_length, CB_LENGTH, "m", false, "Trench", "all trenches, without the run-out")         \
    X(excavation, CB_VOLUME, "m3", false, "Excavation", "upright sides, with the run-out")         \
    X(energy_audit, CB_NUMBER, "1", false, "Energy audit",                                         \
      "|in - out - stored| over the heat exchanged")                                               \
    X(grid_error, CB_TEMPERATURE_DIFFERENCE, "K", false, "Error of the grid, under",               \
      "move of the first year's coldest fluid on the next coarser grid")

typedef struct cb_headline {
#define CB_AS_FIELD(name, kind, unit, moment, title, meaning) double name;
    CB_HEADLINE_LIST(CB_AS_FIELD)
#undef CB_AS_FIELD
} cb_headline;

typedef struct cb_headline_row {
    const char *name; ///< "entering_minimum"
    cb_kind kind;
    const char *unit;  ///< of the value, UDUNITS spelling
    bool moment;       ///< seconds since the run's start
    const char *title; ///< short heading for lists
    const char *meaning;
} cb_headline_row;

#define CB_AS_ONE(name, kind, unit, moment, title, meaning) +1
enum { CB_HEADLINE_COUNT = 0 CB_HEADLINE_LIST(CB_AS_ONE) };
#undef CB_AS_ONE

/// Row 0 .. CB_HEADLINE_COUNT - 1, in the order of the list; NULL beyond.
const cb_headline_row *cb_headline_row_of(int index);
/// Index of a name; -1 if there is none.
int cb_headline_find(const char *name);
/// The value of a row; NaN beyond.
double cb_headline_value(const cb_headline *headline, int index);

// ---- one case --------------------------------------------------------------------------------

typedef struct cb_case {
    char key[65];      ///< SHA-256 that stands for the case; "" if read from a run file
    bool from_cache;   ///< it was not run now
    char name[128];    ///< of the design, cut if need be
    cb_design_run run; ///< as designed
    cb_headline headline;
    cb_findings *findings; ///< sentences in SI units
} cb_case;

typedef struct cb_case_order {
    cb_case_source source;
    const char *cache;     ///< folder, made if need be; NULL: nothing is kept or read back
    const char *file;      ///< where the run's file is wanted; NULL: it is thrown away when judged
    const char *scratch;   ///< folder of a run that is thrown away; NULL: the cache, else $TMPDIR,
                           ///< else /tmp
    const char *libraries; ///< as in cb_record_header; may be NULL
    const cb_watch *watch; ///< may be NULL
} cb_case_order;

/// Reads, runs and judges one case, or takes it from the cache.
///
/// A case's key is the SHA-256 of its resolved design, of the weather's hours or file, of the
/// hourly loads, and of this library's version and sources. What is kept under it is the headline
/// and the findings, written beside and renamed, so that a killed process leaves nothing half
/// written; an entry that is damaged counts as none. With `file`, the case counts as cached only if
/// that file is there, whole, and of the same design, weather and version.
/// Errors: those of cb_inputs_open and cb_simulate; CB_IO for a folder or file that cannot be
/// written. A case that fails is not kept. *out is owned by the caller; NULL on failure.
cb_status cb_case_run(cb_case **out, const cb_case_order *order, const cb_units *units,
                      cb_error *error);

/// The same numbers from a finished (or interrupted) run's file. Errors: those of cb_record_read,
/// cb_design_parse and cb_findings_create.
cb_status cb_case_of_run(cb_case **out, const char *path, const cb_units *units, cb_error *error);

/// NULL is fine; returns NULL.
cb_case *cb_case_destroy(cb_case *result);

/// The finding with that code; NULL if the case has none.
const cb_finding *cb_case_finding(const cb_case *result, const char *code);

/// The usual cache folder of a person: $COILBED_CACHE, else $XDG_CACHE_HOME/coilbed, else
/// $HOME/.cache/coilbed. Owned by the caller (free()); NULL if none of them is set or without
/// memory.
char *cb_case_usual_cache(void);

#ifdef __cplusplus
}
#endif
#endif
