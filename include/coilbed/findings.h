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
    cb_finding *finding; ///< [count], worst first within each kind
    cb_severity verdict; ///< the worst of all
    bool complete;       ///< false: the run was cut short, the verdict covers what there is
} cb_findings;

/// Judges a run against its design's limits. *out is owned by the caller.
/// Errors: CB_BAD_INPUT if the run holds less than a day, CB_NO_MEMORY.
cb_status cb_findings_create(cb_findings **out, const cb_run_data *data, const cb_design *design,
                             cb_error *error);
cb_findings *cb_findings_destroy(cb_findings *findings);

/// Drift of a row of annual extremes: fits a_n = a_settled + c exp(-n / tau) by least squares on
/// the years that are not hard winters.
typedef struct cb_drift {
    double last_change_k; ///< last year minus the year before, K
    double settled_c;     ///< where the fit tends; the last value if no fit was possible
    bool fitted;
} cb_drift;
cb_drift cb_drift_fit(const double *annual_c, const bool *use, int years);

/// The readable page, in the user's units, to `stream`; `colour` adds emphasis by escape codes
/// (never the only sign). Returns false if writing failed.
bool cb_findings_print(const cb_findings *findings, const cb_run_data *data,
                       const cb_design *design, cb_unit_system system, bool colour, FILE *stream);

/// The same facts as one JSON object.
bool cb_findings_json(const cb_findings *findings, const cb_run_data *data, const cb_design *design,
                      FILE *stream);

#ifdef __cplusplus
}
#endif
#endif
