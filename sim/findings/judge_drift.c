// SPDX-License-Identifier: MIT
#include "findings/judge.h"

#include <math.h>

typedef struct drift_rule {
    const char *code, *what;
    double limit_c;
    bool above;           ///< harm lies in falling below the limit
    const double *annual; ///< [summary->years]
} drift_rule;

static int ordinary_years(const cbx_summary *summary)
{
    int count = 0;
    for (int y = 0; y < summary->years; y++) {
        count += summary->ordinary[y];
    }
    return count;
}

static void say_drift(cbx_case *judged, cb_finding *finding, const drift_rule *rule,
                      const cb_drift *drift)
{
    const cb_unit_system system = judged->system;
    const cbx_text change = cbx_change(system, drift->last_change_k);
    const cbx_text settled = cbx_quantity(CB_TEMPERATURE, system, drift->settled_c);
    const cbx_text limit = cbx_quantity(CB_TEMPERATURE, system, rule->limit_c);
    if (!drift->fitted) {
        cbx_say(finding,
                "The %s last moved by %s a year, to %s (limit %s); the ordinary years do not yet "
                "tell where it settles.",
                rule->what, change.text, settled.text, limit.text);
        return;
    }
    const bool crosses = finding->margin < 0.0;
    cbx_say(finding, "The %s last moved by %s a year and tends to %s, %s %s the limit of %s%s.",
            rule->what, change.text, settled.text,
            cbx_distance(CB_TEMPERATURE, system, finding->margin).text,
            rule->above == crosses ? "below" : "above", limit.text,
            crosses ? ": in the years to come it will cross it" : "");
}

static void judge_one(cbx_case *judged, const drift_rule *rule)
{
    const cbx_summary *summary = judged->summary;
    const cb_design_limits *limits = &judged->design->limits;
    const cb_drift drift = cb_drift_fit(rule->annual, summary->ordinary, summary->years);
    cb_finding *finding = cbx_add_finding(judged, rule->code, CB_TEMPERATURE);
    cbx_hold_against(finding, &(cbx_bound){.value = drift.settled_c,
                                           .limit = rule->limit_c,
                                           .above = rule->above,
                                           .close = limits->close_k});
    const double harm = rule->above ? -drift.last_change_k : drift.last_change_k;
    if (finding->severity == CB_CLEAR && harm > limits->drift_k_per_year) {
        finding->severity = CB_CLOSE;
    }
    say_drift(judged, finding, rule, &drift);
}

/// Copies one extreme of every year; a year whose pump never ran takes no part in any fit.
static bool collect(const cbx_summary *summary, size_t offset, double *annual)
{
    bool all = true;
    for (int y = 0; y < summary->years; y++) {
        const cbx_extreme *extreme =
            (const cbx_extreme *)((const char *)&summary->year[y] + offset);
        annual[y] = extreme->value;
        all = all && (extreme->run_hour >= 0 || !summary->ordinary[y]);
    }
    return all;
}

void cbx_judge_drift(cbx_case *judged)
{
    const cbx_summary *summary = judged->summary;
    const int ordinary = ordinary_years(summary);
    if (ordinary < 2) {
        cb_finding *finding = cbx_add_finding(judged, "drift_unknown", CB_NUMBER);
        finding->severity = CB_CLOSE;
        finding->value = ordinary;
        finding->limit = 2.0;
        finding->margin = ordinary - 2.0;
        cbx_say(finding,
                "The run holds %d whole year%s without a hard winter; drift from year to year "
                "needs at least 2, and where it settles some 10.",
                ordinary, ordinary == 1 ? "" : "s");
        return;
    }
    double annual[CBX_MOST_YEARS] = {0.0};
    const drift_rule rule[] = {
        {"drift_coldest", "coldest fluid of an ordinary year", cbx_freeze_limit_c(judged), true,
         annual},
        {"drift_minimum", "lowest entering water of an ordinary year",
         judged->design->limits.entering_minimum_c, true, annual},
        {"drift_maximum", "highest entering water of an ordinary year",
         judged->design->limits.entering_maximum_c, false, annual},
    };
    const size_t offset[] = {offsetof(cbx_period, coldest), offsetof(cbx_period, entering_low),
                             offsetof(cbx_period, entering_high)};
    for (size_t i = 0; i < sizeof rule / sizeof *rule; i++) {
        if (collect(summary, offset[i], annual)) {
            judge_one(judged, &rule[i]);
        }
    }
}
