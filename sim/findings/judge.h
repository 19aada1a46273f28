// SPDX-License-Identifier: MIT
/// One run before its judges. Each judge adds the findings of its field; sentences are written in
/// the case's units, so that a page in US units is judged again rather than translated.
#ifndef FINDINGS_JUDGE_H
#define FINDINGS_JUDGE_H

#include "coilbed/findings.h"
#include "coilbed/loop.h"
#include "findings/summary.h"
#include "findings/text.h"

enum { CBX_MOST_FINDINGS = 24 };

typedef struct cbx_case {
    const cb_run_data *data;
    const cb_design *design;
    cbx_summary *summary; ///< owned
    cb_fluid fluid;
    cb_unit_system system;
    size_t count;
    cb_finding finding[CBX_MOST_FINDINGS];
    /// Says drift_coldest and drift_minimum in one sentence; "" if they differ in kind.
    char both_drifts[sizeof((cb_finding *)0)->sentence];
} cbx_case;

/// Hears all judges; the findings come sorted: an incomplete run first, then the worst. *out is
/// owned by the caller; data and design must outlive it. Errors: those of cb_findings_create.
cb_status cbx_case_create(cbx_case **out, const cb_run_data *data, const cb_design *design,
                          cb_unit_system system, cb_error *error);
cbx_case *cbx_case_destroy(cbx_case *judged);

/// Short heading of a finding's code for lists; never NULL.
const char *cbx_title(const char *code);

// ---- for the judges --------------------------------------------------------------------------

/// A clear finding without numbers.
cb_finding *cbx_add_finding(cbx_case *judged, const char *code, cb_kind kind);

/// Sets value, limit, margin (above or below the limit as `above` says) and the severity by it.
typedef struct cbx_bound {
    double value, limit;
    bool above;   ///< the value must stay above the limit
    double close; ///< margins below this are close
} cbx_bound;
void cbx_hold_against(cb_finding *finding, const cbx_bound *bound);

void cbx_say(cb_finding *finding, const char *format, ...) __attribute__((format(printf, 2, 3)));

void cbx_judge_temperatures(cbx_case *judged); // judge.c: fluid and entering water
void cbx_judge_drift(cbx_case *judged);
void cbx_judge_ground(cbx_case *judged); // ice, frost
void cbx_judge_supply(cbx_case *judged); // unmet load, backup, hot water
/// Flow and head at the coldest hour, where the design gives what makes them. Errors: CB_NO_MEMORY;
/// CB_BAD_INPUT for piping that a run would not have taken.
cb_status cbx_judge_flow(cbx_case *judged, cb_error *error);
void cbx_judge_quality(cbx_case *judged);

/// Limits of the annual extremes, shared with the drift: coldest fluid, entering low, high.
double cbx_freeze_limit_c(const cbx_case *judged);

#endif
