// SPDX-License-Identifier: MIT
#include "coilbed/findings.h"

#include "findings/judge.h"

#include <stdlib.h>
#include <string.h>

const char *cb_severity_text(cb_severity severity)
{
#define AS_CASE(name, value, text)                                                                 \
    case name:                                                                                     \
        return text;
    switch (severity) {
        CB_SEVERITY_LIST(AS_CASE)
    }
#undef AS_CASE
    return "unknown severity";
}

const char *cbx_title(const char *code)
{
    static const struct {
        const char *code, *title;
    } row[] = {
        {"incomplete", "Run not complete"},
        {"freeze_margin", "Coldest fluid"},
        {"entering_minimum", "Entering water, lowest"},
        {"entering_maximum", "Entering water, highest"},
        {"drift_coldest", "Coldest fluid settles"},
        {"drift_minimum", "Lowest water settles"},
        {"drift_maximum", "Highest water settles"},
        {"drift_unknown", "Years to judge drift by"},
        {"unmet_heating", "Heat not delivered"},
        {"unmet_cooling", "Cooling not delivered"},
        {"backup", "Backup heat"},
        {"ice", "Ice around the pipe"},
        {"frost_depth", "Frost depth"},
        {"reynolds", "Reynolds number, cold"},
        {"flow", "Flow, cold"},
        {"head", "Head of the loop, cold"},
        {"hot_water", "Hot water not delivered"},
        {"pipe_temperature", "Hottest fluid"},
        {"fluid_span_cold", "Fluid data, cold end"},
        {"fluid_span_hot", "Fluid data, warm end"},
        {"energy_audit", "Energy audit of the run"},
        {"grid_error", "Error of the grid, under"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        if (strcmp(code, row[i].code) == 0) {
            return row[i].title;
        }
    }
    return code;
}

static int rank(const cb_finding *finding)
{
    return strcmp(finding->code, "incomplete") == 0 ? CB_BROKEN + 1 : finding->severity;
}

/// By insertion: few findings, and equals keep the order of the judges.
static void sort_findings(cb_finding *finding, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        const cb_finding moving = finding[i];
        size_t at = i;
        for (; at > 0 && rank(&finding[at - 1]) < rank(&moving); at--) {
            finding[at] = finding[at - 1];
        }
        finding[at] = moving;
    }
}

cb_status cbx_case_create(cbx_case **out, const cb_run_data *data, const cb_design *design,
                          cb_unit_system system, cb_error *error)
{
    *out = NULL;
    cbx_case *judged = calloc(1, sizeof *judged);
    if (!judged) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the findings");
    }
    judged->data = data;
    judged->design = design;
    judged->system = system;
    cb_status status = cbx_summary_create(&judged->summary, data, design, error);
    if (status == CB_OK) {
        status = cb_fluid_define(&judged->fluid, &design->fluid, error);
    }
    if (status != CB_OK) {
        cbx_case_destroy(judged);
        return status;
    }
    cbx_judge_temperatures(judged);
    cbx_judge_supply(judged);
    cbx_judge_drift(judged);
    cbx_judge_ground(judged);
    cbx_judge_quality(judged);
    status = cbx_judge_flow(judged, error);
    if (status != CB_OK) {
        cbx_case_destroy(judged);
        return status;
    }
    sort_findings(judged->finding, judged->count);
    *out = judged;
    return CB_OK;
}

cbx_case *cbx_case_destroy(cbx_case *judged)
{
    if (judged) {
        cbx_summary_destroy(judged->summary);
        free(judged);
    }
    return NULL;
}

static cb_findings *copy_of(const cbx_case *judged)
{
    cb_findings *findings = calloc(1, sizeof *findings);
    if (!findings) {
        return NULL;
    }
    findings->finding = calloc(judged->count, sizeof *findings->finding);
    if (!findings->finding) {
        free(findings);
        return NULL;
    }
    findings->count = judged->count;
    findings->complete = judged->data->complete;
    memcpy(findings->finding, judged->finding, judged->count * sizeof *findings->finding);
    for (size_t i = 0; i < findings->count; i++) {
        if (findings->finding[i].severity > (int)findings->verdict) {
            findings->verdict = (cb_severity)findings->finding[i].severity;
        }
    }
    return findings;
}

cb_status cb_findings_create(cb_findings **out, const cb_run_data *data, const cb_design *design,
                             cb_error *error)
{
    if (!out || !data || !design) {
        return cb_fail(error, CB_BAD_CALL, "cb_findings_create needs a run and its design");
    }
    *out = NULL;
    cbx_case *judged = NULL;
    const cb_status status = cbx_case_create(&judged, data, design, CB_UNITS_SI, error);
    if (!judged) {
        return status;
    }
    *out = copy_of(judged);
    cbx_case_destroy(judged);
    return *out ? CB_OK : cb_fail(error, CB_NO_MEMORY, "no memory for the findings");
}

cb_findings *cb_findings_destroy(cb_findings *findings)
{
    if (findings) {
        free(findings->finding);
        free(findings);
    }
    return NULL;
}
