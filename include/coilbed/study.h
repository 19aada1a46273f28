// SPDX-License-Identifier: MIT
/// A study: one design run many times with some of its values varied.
///
/// The study file (YAML) names the design, what varies, and by which scheme:
///
///     design: yard.yaml
///     scheme: latin_hypercube
///     samples: 100
///     seed: 1
///     set:
///       run.years: 10
///     vary:
///       field.depth: [4 ft, 5 ft, 6 ft]
///       ground.layers[1].conductivity: normal(1.2, 0.3) W/m/K from 0.6 to 2
///     correlations:
///       - {first: field.depth, second: "ground.layers[1].conductivity", rank: 0.5}
#ifndef COILBED_STUDY_H
#define COILBED_STUDY_H

#include "coilbed/case.h"
#include "coilbed/sampling.h"
#include "coilbed/statistics.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CB_MAX_FACTORS = 20,        ///< values that vary together; two Sobol dimensions each
    CB_MAX_GRID_FACTORS = 8,    ///< ... of a factorial, whose file has so many dimensions
    CB_MAX_FACTOR_LEVELS = 100, ///< values in one list
    CB_MAX_STUDY_SET = 64       ///< values set alike in all cases
};

typedef enum cb_scheme {
    CB_FACTORIAL,       ///< every combination of the listed values
    CB_LATIN_HYPERCUBE, ///< cb_points_latin
    CB_SOBOL            ///< cb_points_sobol; with indices in blocks A, B and one for each factor
} cb_scheme;

/// One value that varies. A list in a sampled scheme stands for equally likely values.
typedef struct cb_factor {
    const char *path;             ///< "field.depth"
    const char *name;             ///< "field_depth": for files and tables
    cb_kind kind;                 ///< of a number
    const char *units;            ///< of `value`, UDUNITS spelling; NULL where the values are words
    size_t level_count;           ///< 0: distribution
    const char *const *level;     ///< [level_count] as written in the study
    const double *value;          ///< [level_count] SI; NULL where the values are words
    cb_distribution distribution; ///< SI
} cb_factor;

typedef struct cb_study {
    const char *path;        ///< of the study file
    const char *design_path; ///< resolved against the study's folder
    char *text;              ///< of the study file
    cb_design *design;       ///< with `set` applied and nothing varied
    cb_scheme scheme;
    bool indices; ///< Saltelli scheme: samples * (factor_count + 2) cases
    bool keep_runs;
    int samples; ///< of a sampled scheme; of each block with indices
    unsigned seed;
    size_t factor_count, set_count, case_count;
    cb_factor factor[CB_MAX_FACTORS];
    cb_override set[CB_MAX_STUDY_SET]; ///< those of the file, then the caller's
    double *rank_correlation;          ///< [factor_count][factor_count]; NULL: independent
    double *share;      ///< [case_count][factor_count] points in (0, 1); NULL for a factorial
    char notices[2048]; ///< a line for each thing done that the file does not say
    struct cb_design_memory *memory;
} cb_study;

typedef struct cb_study_order {
    const char *path;
    const cb_override *set; ///< [set_count] more values set alike in all cases; may be NULL
    size_t set_count;
    size_t most_cases; ///< refuse a study of more
} cb_study_order;

/// Reads a study and its design, checks every listed value and every distribution against what the
/// design accepts, and lays out the cases. A distribution that reaches beyond is cut off there,
/// with a notice; it is refused if less than half of it is inside. Errors: CB_IO; CB_BAD_INPUT with
/// line and column of the study (or of the design, if that is what is wrong); CB_NO_MEMORY. *out is
/// owned by the caller; NULL on failure.
cb_status cb_study_read(cb_study **out, const cb_study_order *order, const cb_units *units,
                        cb_error *error);
cb_study *cb_study_destroy(cb_study *study);

/// One case's values.
typedef struct cb_study_point {
    double value[CB_MAX_FACTORS];  ///< SI; number of the level where the values are words
    size_t level[CB_MAX_FACTORS];  ///< for listed values
    char text[CB_MAX_FACTORS][64]; ///< of a distribution's value, read back to the same bits
    size_t set_count;
    cb_override set[CB_MAX_STUDY_SET + CB_MAX_FACTORS]; ///< for cb_case_run; points into *point
                                                        ///< and the study
} cb_study_point;

/// Fills *point for case `index` < case_count. Of a factorial the last factor changes fastest.
void cb_study_point_of(const cb_study *study, size_t index, cb_study_point *point);

// ---- running ---------------------------------------------------------------------------------

typedef enum cb_study_state {
    CB_STUDY_MISSING, ///< not run yet
    CB_STUDY_OK,
    CB_STUDY_FAILED, ///< the design was refused or the run failed: `message` says why
    CB_STUDY_LOST    ///< its process was killed or crashed; run again when the study is resumed
} cb_study_state;

/// What is kept of one finding of a case.
typedef struct cb_study_finding {
    char code[40];
    int severity;  ///< cb_severity
    double margin; ///< SI; NaN where there is none
    cb_kind kind;  ///< as in cb_finding
} cb_study_finding;

enum { CB_MAX_STUDY_FINDINGS = 32, CB_STUDY_MESSAGE = CB_PATH_SIZE + CB_MESSAGE_SIZE + 40 };

/// One case's outcome. Plain value.
typedef struct cb_study_result {
    cb_study_state state;
    cb_headline headline; ///< NaN throughout unless CB_STUDY_OK
    int finding_count;
    cb_study_finding finding[CB_MAX_STUDY_FINDINGS];
    char message[CB_STUDY_MESSAGE]; ///< "" if CB_STUDY_OK
} cb_study_result;

/// Told how a study goes on.
typedef struct cb_study_watch {
    void *context;
    /// At the start, after each case and about five times a second.
    void (*progress)(void *context, size_t done, size_t failed, size_t wanted);
    bool (*stop)(void *context); ///< true ends the study with CB_STOPPED; cases that run are lost,
                                 ///< those done are kept
} cb_study_watch;

typedef struct cb_study_job {
    const cb_study *study;
    const char *output; ///< the study's HDF5 file; finished cases are kept in journals beside it
    int jobs;           ///< processes at a time, at least 1
    int share, shares;  ///< run only every shares-th case, from the share-th on (1-based), into a
                        ///< journal of its own, and write no HDF5 file; 0, 0: all
    bool resume;        ///< go on with the cases that no journal has yet, if there are any
    bool replace;       ///< forget journals of another beginning
    bool gather;        ///< run nothing: only write the file from what all journals hold
    const char *libraries;       ///< as in cb_record_header; may be NULL
    const cb_study_watch *watch; ///< may be NULL
} cb_study_job;

/// Runs the cases of a study, each in a process of its own, and writes the HDF5 file when all are
/// there; the journals are removed then, unless a case was lost. A case is in its journal, on disk,
/// before the next begins in its place: whatever is killed, only cases that were running are lost.
/// The file holds the same bits whether or not the study was interrupted, and whoever ran which
/// share.
/// @param results  receives [study->case_count] results owned by the caller (free()), also for a
///                 share; NULL on failure
/// Errors: CB_IO for what cannot be written, or if another process works on the same journal;
/// CB_BAD_INPUT if journals are there without resume or replace, if they are of another study,
/// design, weather or version, or if gather finds cases missing; CB_STOPPED; CB_NO_MEMORY.
cb_status cb_study_run(cb_study_result **results, const cb_study_job *job, const cb_units *units,
                       cb_error *error);

// ---- what the samples say --------------------------------------------------------------------

/// How often a limit was crossed.
typedef struct cb_study_limit {
    char code[40];         ///< of the finding
    size_t cases, crossed; ///< judged by it; with a margin below 0
    cb_proportion probability;
} cb_study_limit;

/// The shares of cb_study_statistics.quantile.
#define CB_STUDY_SHARES                                                                            \
    {                                                                                              \
        0.05, 0.25, 0.5, 0.75, 0.95                                                                \
    }
enum { CB_STUDY_QUANTILES = 5 };

/// Of a sampled study. Numbers are NaN where an output has none in some case, where it or the
/// factor does not vary, and where the factor's values are words (for rank correlations).
typedef struct cb_study_statistics {
    size_t samples, failed; ///< independent samples (with indices: blocks A and B), of them failed
    size_t index_rows;      ///< rows without a failed case, which the Sobol indices are made from
    double quantile[CB_HEADLINE_COUNT][CB_STUDY_QUANTILES];
    double rank_correlation[CB_HEADLINE_COUNT][CB_MAX_FACTORS];
    cb_sobol_index index[CB_HEADLINE_COUNT][CB_MAX_FACTORS];
    size_t limit_count;
    cb_study_limit limit[CB_MAX_STUDY_FINDINGS];
} cb_study_statistics;

/// @param results  [study->case_count] of cb_study_run
/// Errors: CB_BAD_CALL for a factorial, which is no sample; CB_NO_MEMORY. *out is owned by the
/// caller (free()).
cb_status cb_study_statistics_create(cb_study_statistics **out, const cb_study *study,
                                     const cb_study_result *results, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
