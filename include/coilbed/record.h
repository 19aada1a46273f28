// SPDX-License-Identifier: MIT
/// The HDF5 file of a run: written as a stream, read back for findings and reports.
///
/// A run is appended to its file in whole months; in between the file is closed, and any program
/// can open it. Months that the engine is done with in no time wait for one another: no longer than
/// two seconds, no more of them than the file holds already, and a year at most. So a run that is
/// killed loses what it computed in its last two seconds, and the month it was in. A program that
/// holds it open meanwhile does not stop the run but must open it again to see more. If the writing
/// process is killed within an append (milliseconds), the file is whole all the same, but marked:
/// this library opens it; h5py opens it with swmr=True; others open it after `h5clear -s
/// --increment=0 FILE`, or after cb_record_write_findings or cb_record_resume.
///
/// With its last month the file also keeps the engine's checkpoint, in the group /checkpoint: two
/// slots that take turns (values_1 and _2, hours_done_1 and _2, days_done_1 and _2), so that a kill
/// never leaves only a torn one. The values are an implementation detail, uncompressed and
/// rewritten in place; a complete run has none.
///
/// Calls from several threads need an HDF5 library that was built thread-safe.
#ifndef COILBED_RECORD_H
#define COILBED_RECORD_H

#include "coilbed/engine.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cb_record cb_record; // an open, growing file

/// Everything written once, at the start. Pointers are only read during the call.
typedef struct cb_record_header {
    const cb_design *design;
    const cb_weather *weather;
    const cb_run_weather *run_weather;
    const cb_sections *sections;
    const double *undisturbed_c;     ///< [CB_YEAR_DAYS][sections->nz]
    const cb_ground_summary *ground; ///< of the same ground: sections->nz + 1 depths
    double freeze_c;                 ///< of the fluid
    const char *libraries; ///< names and versions of the libraries used, free text; or NULL
} cb_record_header;

/// Creates the file (an existing one is replaced only when the new one can be created) and marks
/// it incomplete (attribute `complete` = 0 on the root).
/// Errors: CB_IO with the path and the system's reason (no folder, not writable, disk full, no
/// regular file). `path` must keep its meaning while the record is open.
cb_status cb_record_create(cb_record **out, const char *path, const cb_record_header *header,
                           cb_error *error);

/// Opens the file of a run that was interrupted, to go on from the end of its last whole month:
/// later hours, days and summaries, and findings, are cut off, a mark of a killed writer is taken
/// off (after waiting a second for one that is alive), and the sink then expects the hour
/// from->hours_done. If the run that wrote the file still goes on elsewhere, that one stops with
/// CB_IO at its next append. The finished file holds the same values as one that was never
/// interrupted.
/// @param header  as given to cb_record_create by that run
/// @param from    for cb_engine_run; its values belong to the record until it is closed
/// Errors: CB_BAD_INPUT, the file unchanged, if the run is complete, was made from another design
/// (the first difference is named), with other weather or by another version of this program, or
/// holds no whole month; the errors of cb_record_read; CB_IO as the sink has. *out and from->value
/// are NULL then.
cb_status cb_record_resume(cb_record **out, const char *path, const cb_record_header *header,
                           cb_checkpoint *from, cb_error *error);

/// A sink that appends hours and days to the record, whole months at a time. The record must
/// outlive the sink's use. `stop` is left NULL. Its errors: CB_IO when the next months have no room
/// or the file was taken away (those in the file stay readable), CB_NUMERICS for a value that is
/// not finite (only reynolds may be NaN: the pump did not run), CB_BAD_CALL for hours out of order.
/// The checkpoint of the last of them is stored with it; the first month is appended at once.
/// Soil sections are kept of days that are multiples of the design's section_every_days.
cb_sink cb_record_sink(cb_record *record);

/// One finding as stored; strings are read during the call.
typedef struct cb_finding {
    char code[40];               ///< "freeze_margin", ...
    int severity;                ///< cb_severity of findings.h: 0 clear, 1 close, 2 broken
    double value, limit, margin; ///< SI; NaN where there is none. margin > 0 holds
    cb_kind kind;                ///< unit of value and limit (margin: difference of the same)
    long run_hour;               ///< when; -1 if not tied to an hour
    char sentence[512];          ///< plain words, SI units
} cb_finding;

/// Writes the annual and monthly summaries from the hours so far, the quality attributes, and marks
/// the file complete if `complete`; findings are written by cb_record_write_findings. Flushes.
cb_status cb_record_finish(cb_record *record, const cb_quality *quality, bool complete,
                           cb_error *error);

/// Replaces /findings in an existing file. On a file marked by a killed writer it first waits a
/// second for one that is alive, then takes the mark off.
cb_status cb_record_write_findings(const char *path, const cb_finding *findings, size_t count,
                                   cb_error *error);

enum { CB_MAX_RUN_EFFECTS = 10, CB_EFFECT_TEXT = 64 };

/// How far one value of a run's design moves one of its margins. SI throughout.
typedef struct cb_run_effect {
    char path[CB_EFFECT_TEXT]; ///< "field.depth"
    cb_kind kind;              ///< of the value
    double value;              ///< of the design
    double step;               ///< moved by this, up and down
    double spread;             ///< how far off it may plausibly be: a mark of this program
    double slope;              ///< K per unit of the value; NaN if it could not be moved
    double bend;               ///< K that the straight line may be off by over the spread; NaN if
                               ///< only one side could be run
    double blur;               ///< K that the noise of the runs makes over the spread
} cb_run_effect;

typedef struct cb_run_effects {
    char number[CB_EFFECT_TEXT]; ///< the margin: "freeze_margin"
    int count;                   ///< 0: nobody has asked yet
    cb_run_effect effect[CB_MAX_RUN_EFFECTS];
} cb_run_effects;

/// Replaces /sensitivity in an existing file, else as cb_record_write_findings. Errors: CB_IO, also
/// for a file of a version that had no such group.
cb_status cb_record_write_effects(const char *path, const cb_run_effects *effects, cb_error *error);

/// Closes the record. Whole months that wait are appended if that is possible; the hours since are
/// lost unless cb_record_finish was called. NULL is fine; returns NULL.
cb_record *cb_record_close(cb_record *record);

/// A run read back: hourly series, in memory. Arrays hold `hours` values and belong to the struct.
typedef struct cb_run_data {
    long hours;
    bool complete;
    double freeze_c; ///< of the fluid
    double *entering_water_c, *leaving_water_c, *coldest_fluid_c, *hottest_fluid_c, *mean_fluid_c,
        *flow_kg_s, *reynolds, *pump_fraction, *heat_from_ground_w;
    double *heating_output_w, *cooling_output_w, *compressor_power_w, *fan_power_w, *pump_power_w,
        *backup_power_w, *unmet_load_w;
    double *desuperheater_w, *element_power_w, *hot_water_w, *hot_water_unmet_w;
    double *tank_c; ///< NaN without a tank
    double *heating_load_w, *cooling_load_w, *air_temperature_c;
    long days; ///< stored daily states
    int slices;
    double *day_number;       ///< [days] run day of each stored state
    double *ice_radius_m;     ///< [days] largest of all slices
    double *coil_depth_c;     ///< [days] mean of all slices
    double frost_depth_m;     ///< deepest 0 degC of the undisturbed typical year
    double run_frost_depth_m; ///< the same of all the weather the run asked for
    long run_frost_hour;      ///< when; -1 if the ground never freezes
    double run_snow_depth_m;  ///< deepest snow on the yard in that weather
    char *design_path;        ///< of the design file, as given when the run was made; "" if by hand
    char *design_text;        ///< resolved design, readable by cb_design_parse
    char *weather_notes;      ///< what was done to the weather, one line each, in SI units
    char *weather_notes_us;   ///< the same in US units
    cb_quality quality;       ///< zeros if the run never finished
    cb_run_effects effects;   ///< what cb_record_write_effects left
} cb_run_data;

/// Reads a run file. Errors: CB_IO if it is missing or not HDF5, CB_BAD_INPUT if it is not a run
/// of this program (naming the first dataset that is missing).
cb_status cb_record_read(cb_run_data **out, const char *path, cb_error *error);
cb_run_data *cb_run_data_destroy(cb_run_data *data);

/// The soil of a run read back, but for its sections. Arrays belong to the struct.
typedef struct cb_run_ground {
    int slices, nz, nx;
    bool half;                    ///< the section is the right half of a symmetric field
    double *z_edge_m;             ///< [nz + 1] down from the surface
    double *x_edge_m;             ///< [nx + 1] across, 0 at the field's centre line
    double *slice_m;              ///< [slices] middle of each along the trench, from the supply end
    double *lowest_c, *highest_c; ///< [nz] daily means of the undisturbed typical year
    double *run_lowest_c, *run_highest_c; ///< [nz] the same of the run's weather
    long days;                            ///< stored daily states
    long *run_day;                        ///< [days]
    bool *kept;                           ///< [days] whether the day's sections are stored
    double *ice_radius_m, *coil_depth_c, *pipe_wall_c; ///< [days][slices]
    long undisturbed_days; ///< of the typical year, at most CB_YEAR_DAYS
    double *undisturbed_c; ///< [undisturbed_days][nz] from the run's first day
} cb_run_ground;

/// Errors: as cb_record_read.
cb_status cb_record_read_ground(cb_run_ground **out, const char *path, cb_error *error);
cb_run_ground *cb_run_ground_destroy(cb_run_ground *ground);

/// Reads the section of one slice on each of `count` stored days.
/// @param row  [count] places in ground->run_day whose sections are kept
/// @param temperature_c, ice_fraction  [count][nz][nx], filled
/// Errors: as cb_record_read; CB_BAD_CALL for a day or slice that is not there.
typedef struct cb_section_request {
    const long *row;
    size_t count;
    int slice;
} cb_section_request;
cb_status cb_record_read_sections(const char *path, const cb_run_ground *ground,
                                  const cb_section_request *request, float *temperature_c,
                                  float *ice_fraction, cb_error *error);

/// Where a run came from, as its file says. Strings belong to the struct, "" if not stated.
typedef struct cb_run_origin {
    char *program_version, *hdf5_version, *libraries;
    char *created; ///< UTC, ISO 8601
    char *weather_description, *weather_sha256, *design_sha256;
    /// The values that the design file did not give, a line for each: path, value and reason
    /// between tabs, in SI and in US units; "" in files of earlier versions.
    char *assumptions, *assumptions_us;
} cb_run_origin;

/// Errors: as cb_record_read.
cb_status cb_record_read_origin(cb_run_origin **out, const char *path, cb_error *error);
cb_run_origin *cb_run_origin_destroy(cb_run_origin *origin);

#ifdef __cplusplus
}
#endif
#endif
