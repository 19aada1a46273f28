// SPDX-License-Identifier: MIT
/// What a run says about its design: limits held or broken, drift, ice, backup, and what would
/// help.
#ifndef COILBED_FINDINGS_H
#define COILBED_FINDINGS_H

#include "coilbed/record.h"

#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

#define CB_SEVERITY_LIST(X)                                                                        \
    X(CB_CLEAR, 0, "clear")                                                                        \
    X(CB_CLOSE, 1, "close")                                                                        \
    X(CB_BROKEN, 2, "broken")
#define CB_AS_ENUM(name, value, text) name = value,
typedef enum cb_severity { CB_SEVERITY_LIST(CB_AS_ENUM) } cb_severity;
#undef CB_AS_ENUM
const char *cb_severity_text(cb_severity severity);

typedef struct cb_findings {
    size_t count;
    cb_finding *finding; ///< [count], an incomplete run first, then worst first
    cb_severity verdict; ///< the worst of all
    bool complete;       ///< false: the run was cut short, the verdict covers what there is
} cb_findings;

/// Judges a run against its design's limits. *out is owned by the caller.
///
/// Temperatures are close below limits.close_k of margin. Marks without a limit in the design (thin
/// ice, unnoticed shortfall, little backup) stand beside their use in sim/findings. Errors:
/// CB_BAD_INPUT if the run holds less than a day or more than 100 years, a value that is not a
/// number, or the design an impossible fluid; CB_BAD_CALL for missing series; CB_NO_MEMORY.
cb_status cb_findings_create(cb_findings **out, const cb_run_data *data, const cb_design *design,
                             cb_error *error);
cb_findings *cb_findings_destroy(cb_findings *findings);

/// Drift of a row of annual extremes: fits a_n = a_settled + c exp(-n / tau) by least squares on
/// the years in `use` (those without a hard winter or hot summer). There is no fit for fewer than
/// four years, for tau beyond twice their span, or when it explains less than half of their
/// scatter.
typedef struct cb_drift {
    double last_change_k; ///< between the last two years in use, K per year; NaN without two
    double settled_c;     ///< where the fit tends; the last value in use if there is no fit
    bool fitted;
    double distance_k; ///< c of the fit, n counted from the first year in use; 0 without a fit
    double tau_years;  ///< of the fit; NaN without one or where nothing drifts
} cb_drift;
/// @param annual_c, use  [years]; years not in use may hold anything
cb_drift cb_drift_fit(const double *annual_c, const bool *use, int years);

/// The readable page, in the user's units, to `stream`; `colour` adds emphasis by escape codes
/// (never the only sign). Findings are those of cb_findings_create for the same run and design.
/// Returns false if writing failed or memory ran out.
bool cb_findings_print(const cb_findings *findings, const cb_run_data *data,
                       const cb_design *design, cb_unit_system system, bool colour, FILE *stream);

/// What a program that judged a run says about itself in the JSON object.
typedef struct cb_findings_caller {
    const char *file; ///< the run's file
    int exit_status;  ///< the program is about to end with it
    const char *exit_meaning;
} cb_findings_caller;

/// The same facts as one JSON object, in SI, with the run's quality; null stands for what does not
/// exist. caller may be NULL: its members are null then. Returns false if writing failed or memory
/// ran out.
bool cb_findings_json(const cb_findings *findings, const cb_run_data *data, const cb_design *design,
                      const cb_findings_caller *caller, FILE *stream);

#ifdef __cplusplus
}
#endif
#endif
