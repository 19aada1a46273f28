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

#include "coilbed/design.h"
#include "coilbed/sampling.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CB_MAX_FACTORS = 20,     ///< values that vary together; two Sobol dimensions each
    CB_MAX_GRID_FACTORS = 8, ///< ... of a factorial, whose file has so many dimensions
    CB_MAX_LEVELS = 100,     ///< values in one list
    CB_MAX_STUDY_SET = 64    ///< values set alike in all cases
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

#ifdef __cplusplus
}
#endif
#endif
