// SPDX-License-Identifier: MIT
// What the pumps make of the loop in its coldest hour, when the fluid is thickest.
#include "findings/judge.h"

#include "coilbed/hydraulics.h"

#include <math.h>

// Of the flow wanted, what a pump may lack before it is worth a word; own mark, no source.
static const double FLOW_MARK = 0.98;
// Head per length of pipe above which pipe is usually made larger; common practice, from memory.
static const double GRADIENT_MARK = 0.04;

static bool has_piping(const cb_design *design)
{
    const cb_design_piping *piping = &design->piping;
    return design->pumps.curve_count > 0 || piping->header_size_count > 0 || piping->has_house ||
           piping->unit_drop_count > 0;
}

static cb_status solve(const cbx_case *judged, long hour, cb_network_report *out, cb_error *error)
{
    const cb_design *design = judged->design;
    cb_pipe pipe;
    cb_status status = cb_pipe_of(&pipe, &design->field.pipe, error);
    if (status != CB_OK) {
        return status;
    }
    cb_network *network;
    status = cb_network_of_design(&network, design, &pipe, &judged->fluid, error);
    if (status == CB_OK) {
        status = cb_network_solve(network, judged->data->mean_fluid_c[hour], out, NULL, error);
    }
    cb_network_destroy(network);
    return status;
}

static void judge_flow(cbx_case *judged, const cb_network_report *report, const char *when)
{
    const double flow = report->state.flow_m3_s, wanted = report->wanted_m3_s;
    cb_finding *finding = cbx_add_finding(judged, "flow", CB_VOLUME_FLOW);
    cbx_hold_against(finding, &(cbx_bound){.value = flow, .limit = wanted, .above = true});
    const bool enough = flow >= FLOW_MARK * wanted;
    finding->severity = enough && !report->beyond_curve ? CB_CLEAR : CB_CLOSE;
    cbx_say(finding, "At the coldest hour (%s) the pumps give %s, %.0f %% of the flow wanted%s%s.",
            when, cbx_quantity(CB_VOLUME_FLOW, judged->system, flow).text, 100.0 * flow / wanted,
            enough ? "" : ": the fluid is thickest when its heat is needed most",
            report->beyond_curve ? "; their curve has no points there" : "");
}

static void judge_head(cbx_case *judged, const cb_network_report *report, const char *when)
{
    const cb_unit_system system = judged->system;
    const double per_pa = report->state.head_m / report->state.drop_pa;
    const double gradient = fmax(report->header_gradient, report->house_gradient);
    cb_finding *finding = cbx_add_finding(judged, "head", CB_LENGTH);
    finding->value = report->state.head_m;
    finding->severity = gradient > GRADIENT_MARK ? CB_CLOSE : CB_CLEAR;
    cbx_say(finding,
            "At the coldest hour (%s) the loop takes %s of head: circuits %s, headers %s, house "
            "pipe %s, units %s. The hardest driven pipe beyond the circuits loses %.1f m per 100 m "
            "(ft per 100 ft)%s.",
            when, cbx_quantity(CB_LENGTH, system, report->state.head_m).text,
            cbx_quantity(CB_LENGTH, system, per_pa * report->circuits_pa).text,
            cbx_quantity(CB_LENGTH, system, per_pa * report->headers_pa).text,
            cbx_quantity(CB_LENGTH, system, per_pa * report->house_pa).text,
            cbx_quantity(CB_LENGTH, system, per_pa * report->units_pa).text, 100.0 * gradient,
            gradient > GRADIENT_MARK ? "; more than 4 is usually avoided by larger pipe" : "");
}

cb_status cbx_judge_flow(cbx_case *judged, cb_error *error)
{
    const long hour = judged->summary->run.coldest_running.run_hour;
    if (!has_piping(judged->design) || hour < 0) {
        return CB_OK;
    }
    cb_network_report report;
    const cb_status status = solve(judged, hour, &report, error);
    if (status != CB_OK) {
        return status;
    }
    const cbx_text when = cbx_when(judged->design, hour);
    if (judged->design->pumps.curve_count > 0) {
        judge_flow(judged, &report, when.text);
        judged->finding[judged->count - 1].run_hour = hour;
    }
    judge_head(judged, &report, when.text);
    judged->finding[judged->count - 1].run_hour = hour;
    return CB_OK;
}
