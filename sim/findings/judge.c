// SPDX-License-Identifier: MIT
#include "findings/judge.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

static const double AUDIT_LIMIT = 1e-5; // of the heat exchanged: the accuracy asked of every run
static const double GRID_LIMIT_K =
    0.2; // a margin known worse than this is no margin; own mark, no source

// ---- shared by the judges --------------------------------------------------------------------

cb_finding *cbx_add_finding(cbx_case *judged, const char *code, cb_kind kind)
{
    // The judges together add fewer than the case holds; the last place is reused if ever not.
    const size_t at = judged->count < CBX_MOST_FINDINGS ? judged->count++ : CBX_MOST_FINDINGS - 1;
    cb_finding *finding = &judged->finding[at];
    *finding = (cb_finding){.severity = CB_CLEAR,
                            .value = NAN,
                            .limit = NAN,
                            .margin = NAN,
                            .kind = kind,
                            .run_hour = -1};
    snprintf(finding->code, sizeof finding->code, "%s", code);
    return finding;
}

void cbx_hold_against(cb_finding *finding, const cbx_bound *bound)
{
    finding->value = bound->value;
    finding->limit = bound->limit;
    finding->margin = bound->above ? bound->value - bound->limit : bound->limit - bound->value;
    // Written so that a margin that is not a number is never clear.
    if (finding->margin >= bound->close) {
        finding->severity = CB_CLEAR;
    } else {
        finding->severity = finding->margin >= 0.0 ? CB_CLOSE : CB_BROKEN;
    }
}

static void fill(cb_finding *finding, const char *format, va_list arguments)
{
    vsnprintf(finding->sentence, sizeof finding->sentence, format, arguments);
}

void cbx_say(cb_finding *finding, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    fill(finding, format, arguments);
    va_end(arguments);
}

double cbx_freeze_limit_c(const cbx_case *judged)
{
    return judged->data->freeze_c + judged->design->limits.freeze_margin_k;
}

// ---- temperatures ----------------------------------------------------------------------------

typedef struct temperature_rule {
    const char *code, *what, *whose;
    cbx_bound bound;
    const cbx_extreme *extreme;
} temperature_rule;

static void judge_temperature(cbx_case *judged, const temperature_rule *rule)
{
    cb_finding *finding = cbx_add_finding(judged, rule->code, CB_TEMPERATURE);
    cbx_bound bound = rule->bound;
    if (rule->extreme->run_hour < 0) {
        finding->limit = bound.limit;
        cbx_say(finding, "The pump never ran, so there is no %s to judge.", rule->what);
        return;
    }
    bound.value = rule->extreme->value;
    bound.close = judged->design->limits.close_k;
    cbx_hold_against(finding, &bound);
    finding->run_hour = rule->extreme->run_hour;
    const cb_unit_system system = judged->system;
    const bool under = bound.value < bound.limit;
    cbx_say(finding, "The %s is %s (%s), %s %s %s of %s.", rule->what,
            cbx_quantity(CB_TEMPERATURE, system, bound.value).text,
            cbx_when(judged->design, finding->run_hour).text,
            cbx_distance(CB_TEMPERATURE, system, finding->margin).text, under ? "below" : "above",
            rule->whose, cbx_quantity(CB_TEMPERATURE, system, bound.limit).text);
}

static void judge_freezing(cbx_case *judged)
{
    const double freeze_c = judged->data->freeze_c;
    const cb_unit_system system = judged->system;
    const temperature_rule rule = {
        .code = "freeze_margin",
        .what = "coldest fluid",
        .whose = "its limit",
        .bound = {.limit = cbx_freeze_limit_c(judged), .above = true},
        .extreme = &judged->summary->run.coldest,
    };
    judge_temperature(judged, &rule);
    cb_finding *finding = &judged->finding[judged->count - 1];
    const cbx_text freeze = cbx_quantity(CB_TEMPERATURE, system, freeze_c);
    const cbx_text safety =
        cbx_distance(CB_TEMPERATURE, system, judged->design->limits.freeze_margin_k);
    char extra[200];
    if (finding->value < freeze_c) {
        snprintf(extra, sizeof extra,
                 " That is below the freeze point itself (%s): ice can form inside the loop.",
                 freeze.text);
    } else {
        snprintf(extra, sizeof extra, " The limit is the freeze point, %s, plus %s of safety.",
                 freeze.text, safety.text);
    }
    const size_t used = strlen(finding->sentence);
    snprintf(finding->sentence + used, sizeof finding->sentence - used, "%s", extra);
}

/// Property data are held at their ends beyond their span: the run goes on, less exact.
static void judge_fluid_span(cbx_case *judged)
{
    const cbx_period *run = &judged->summary->run;
    const cb_fluid *fluid = &judged->fluid;
    const struct {
        const char *code, *word;
        const cbx_extreme *extreme;
        double limit_c;
        bool cold;
    } side[] = {
        {"fluid_span_cold", "below", &run->coldest, fluid->minimum_c, true},
        {"fluid_span_hot", "above", &run->hottest, fluid->maximum_c, false},
    };
    for (size_t i = 0; i < 2; i++) {
        const double value = side[i].extreme->value, limit = side[i].limit_c;
        if (side[i].cold ? value >= limit : value <= limit) {
            continue;
        }
        cb_finding *finding = cbx_add_finding(judged, side[i].code, CB_TEMPERATURE);
        cbx_hold_against(finding,
                         &(cbx_bound){.value = value, .limit = limit, .above = side[i].cold});
        // Warm fluid flows easily whatever the last digit of its viscosity: worth a word, no more.
        finding->severity = side[i].cold ? CB_CLOSE : CB_CLEAR;
        finding->run_hour = side[i].extreme->run_hour;
        cbx_say(finding,
                "The fluid's property data end at %s; at %s (%s) it is %s them and those at the "
                "end were used, so the result there is approximate.",
                cbx_quantity(CB_TEMPERATURE, judged->system, limit).text,
                cbx_quantity(CB_TEMPERATURE, judged->system, value).text,
                cbx_when(judged->design, finding->run_hour).text, side[i].word);
    }
}

void cbx_judge_temperatures(cbx_case *judged)
{
    const cb_design_limits *limits = &judged->design->limits;
    const cbx_period *run = &judged->summary->run;
    const temperature_rule rule[] = {
        {"entering_minimum",
         "lowest entering water",
         "the heat pump's limit",
         {.limit = limits->entering_minimum_c, .above = true},
         &run->entering_low},
        {"entering_maximum",
         "highest entering water",
         "the heat pump's limit",
         {.limit = limits->entering_maximum_c, .above = false},
         &run->entering_high},
        {"pipe_temperature",
         "hottest fluid",
         "the pipe's rating",
         {.limit = limits->pipe_maximum_c, .above = false},
         &run->hottest},
    };
    judge_freezing(judged);
    for (size_t i = 0; i < sizeof rule / sizeof *rule; i++) {
        judge_temperature(judged, &rule[i]);
    }
    judge_fluid_span(judged);
}

// ---- flow and quality of the run -------------------------------------------------------------

static void judge_reynolds(cbx_case *judged)
{
    const long hour = judged->summary->run.coldest_running.run_hour;
    const double limit = judged->design->limits.minimum_reynolds;
    cb_finding *finding = cbx_add_finding(judged, "reynolds", CB_NUMBER);
    finding->limit = limit;
    if (hour < 0) {
        cbx_say(finding, "The pump never ran, so there is no flow to judge.");
        return;
    }
    cbx_hold_against(
        finding,
        &(cbx_bound){.value = judged->data->reynolds[hour], .limit = limit, .above = true});
    finding->run_hour = hour;
    const cbx_text when = cbx_when(judged->design, hour);
    if (finding->severity == CB_CLEAR) {
        cbx_say(finding, "The Reynolds number at the coldest hour (%s) is %.0f, above %.0f.",
                when.text, finding->value, limit);
        return;
    }
    // Slow flow passes heat less well, which the temperatures already show: no fault by itself.
    finding->severity = CB_CLOSE;
    cbx_say(finding,
            "The Reynolds number at the coldest hour (%s) is %.0f, below %.0f: laminar flow "
            "takes up less heat just when it is needed.",
            when.text, finding->value, limit);
}

static void judge_audit(cbx_case *judged)
{
    const cb_quality *quality = &judged->data->quality;
    if (quality->steps == 0) {
        return; // the run never got to its audit: "incomplete" says so
    }
    cb_finding *finding = cbx_add_finding(judged, "energy_audit", CB_NUMBER);
    cbx_hold_against(finding, &(cbx_bound){.value = quality->energy_audit_relative,
                                           .limit = AUDIT_LIMIT,
                                           .above = false});
    if (finding->severity == CB_CLEAR) {
        cbx_say(finding, "Heat in, out and stored agree to %.1e of the heat exchanged.",
                finding->value);
        return;
    }
    finding->severity = CB_CLOSE;
    cbx_say(finding,
            "Heat in, out and stored agree only to %.1e of the heat exchanged; %.0e is the mark: "
            "run again with finer accuracy before trusting the last digits.",
            finding->value, AUDIT_LIMIT);
}

static void judge_grid(cbx_case *judged)
{
    const double error_k = judged->data->quality.estimated_discretisation_error_k;
    if (judged->data->quality.steps == 0 || isnan(error_k)) {
        return;
    }
    cb_finding *finding = cbx_add_finding(judged, "grid_error", CB_TEMPERATURE_DIFFERENCE);
    cbx_hold_against(finding,
                     &(cbx_bound){.value = error_k, .limit = GRID_LIMIT_K, .above = false});
    finding->severity = error_k > GRID_LIMIT_K ? CB_CLOSE : CB_CLEAR;
    cbx_say(finding,
            "On the next coarser grid the first year's coldest fluid differs by %.2f K; the error "
            "of this run is smaller.",
            error_k);
}

static void judge_completeness(cbx_case *judged)
{
    const cb_run_data *data = judged->data;
    if (data->complete) {
        return;
    }
    cb_finding *finding = cbx_add_finding(judged, "incomplete", CB_TIME);
    finding->severity = CB_CLOSE;
    finding->value = (double)data->hours * 3600.0;
    finding->limit = judged->design->run.years * (double)CB_YEAR_HOURS * 3600.0;
    finding->margin = finding->value - finding->limit;
    finding->run_hour = data->hours - 1;
    const long years = data->hours / CB_YEAR_HOURS;
    const long days = data->hours % CB_YEAR_HOURS / 24;
    cbx_say(finding,
            "The run stopped after %ld year%s and %ld day%s of %d years; nothing beyond that was "
            "judged.",
            years, years == 1 ? "" : "s", days, days == 1 ? "" : "s", judged->design->run.years);
}

void cbx_judge_quality(cbx_case *judged)
{
    judge_completeness(judged);
    judge_reynolds(judged);
    judge_audit(judged);
    judge_grid(judged);
}
