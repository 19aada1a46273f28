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

/// How a row of years stands to its limit.
typedef enum drift_course {
    KEEPS,       ///< within the limit, as far as the years can tell
    WILL_CROSS,  ///< still within it, but it tends to the other side
    HAS_CROSSED, ///< beyond it in the last year in use
} drift_course;

typedef struct drift_story {
    const drift_rule *rule;
    cb_drift drift;
    const cb_finding *finding;
    drift_course course;
    int crossed_year; ///< 1-based: beyond the limit in it and in all later years in use; 0: none
    bool from_start;  ///< crossed_year is the first year in use
} drift_story;

static void follow_course(const cbx_summary *summary, drift_story *story)
{
    const drift_rule *rule = story->rule;
    bool from_start = true;
    for (int y = summary->years - 1; y >= 0; y--) {
        if (!summary->ordinary[y]) {
            continue;
        }
        const double above_k = rule->annual[y] - rule->limit_c;
        if (rule->above ? above_k >= 0.0 : above_k <= 0.0) {
            from_start = false;
            break;
        }
        story->crossed_year = y + 1;
    }
    story->from_start = from_start && story->crossed_year > 0;
    if (story->finding->margin < 0.0) {
        story->course = story->crossed_year > 0 ? HAS_CROSSED : WILL_CROSS;
    }
}

/// What follows the numbers; `many`: two rows at once.
static void say_course(const drift_story *story, bool many, char *buffer, size_t size)
{
    const char *side = story->rule->above ? "below" : "above";
    if (story->course == KEEPS) {
        snprintf(buffer, size, "%s", "");
    } else if (story->course == WILL_CROSS) {
        snprintf(buffer, size, ": in the years to come %s will cross %s", many ? "they" : "it",
                 many ? "them" : "it");
    } else if (story->from_start) {
        snprintf(buffer, size, ": %s already %s %s and %s there", many ? "they are" : "it is", side,
                 many ? "them" : "it", many ? "stay" : "stays");
    } else {
        snprintf(buffer, size, ": %s %s %s from year %d on", many ? "they are" : "it is", side,
                 many ? "them" : "it", story->crossed_year);
    }
}

static void say_drift(cbx_case *judged, cb_finding *finding, const drift_story *story)
{
    const cb_unit_system system = judged->system;
    const drift_rule *rule = story->rule;
    const cbx_text change = cbx_change(system, story->drift.last_change_k);
    const cbx_text settled = cbx_quantity(CB_TEMPERATURE, system, story->drift.settled_c);
    const cbx_text limit = cbx_quantity(CB_TEMPERATURE, system, rule->limit_c);
    const bool beyond = finding->margin < 0.0;
    const char *side = rule->above == beyond ? "below" : "above";
    if (!story->drift.fitted) {
        cbx_say(finding,
                "The %s last moved by %s a year, to %s (%s the limit of %s); the ordinary years do "
                "not yet tell where it settles.",
                rule->what, change.text, settled.text, side, limit.text);
        return;
    }
    char course[64];
    say_course(story, false, course, sizeof course);
    cbx_say(finding, "The %s last moved by %s a year and tends to %s, %s %s the limit of %s%s.",
            rule->what, change.text, settled.text,
            cbx_distance(CB_TEMPERATURE, system, finding->margin).text, side, limit.text, course);
}

static drift_story judge_one(cbx_case *judged, const drift_rule *rule)
{
    const cbx_summary *summary = judged->summary;
    const cb_design_limits *limits = &judged->design->limits;
    drift_story story = {.rule = rule,
                         .drift = cb_drift_fit(rule->annual, summary->ordinary, summary->years)};
    cb_finding *finding = cbx_add_finding(judged, rule->code, CB_TEMPERATURE);
    cbx_hold_against(finding, &(cbx_bound){.value = story.drift.settled_c,
                                           .limit = rule->limit_c,
                                           .above = rule->above,
                                           .close = limits->close_k});
    const double harm = rule->above ? -story.drift.last_change_k : story.drift.last_change_k;
    if (finding->severity == CB_CLEAR && harm > limits->drift_k_per_year) {
        finding->severity = CB_CLOSE;
    }
    story.finding = finding;
    follow_course(summary, &story);
    say_drift(judged, finding, &story);
    return story;
}

/// Water and fluid mostly drift together; a page that says so once is shorter.
static void say_both(cbx_case *judged, const drift_story *fluid, const drift_story *water)
{
    const bool same = fluid->finding && water->finding &&
                      fluid->finding->severity == water->finding->severity &&
                      fluid->drift.fitted == water->drift.fitted &&
                      fluid->course == water->course && fluid->crossed_year == water->crossed_year;
    if (!same) {
        return;
    }
    const cb_unit_system system = judged->system;
    const bool beyond = fluid->finding->margin < 0.0;
    char course[64];
    say_course(fluid, true, course, sizeof course);
    snprintf(judged->both_drifts, sizeof judged->both_drifts,
             "The coldest fluid and the lowest entering water of an ordinary year last moved by %s "
             "and %s a year%s %s and %s, %s and %s %s their limits%s.",
             cbx_change(system, fluid->drift.last_change_k).text,
             cbx_change(system, water->drift.last_change_k).text,
             fluid->drift.fitted ? " and tend to" : ", to",
             cbx_quantity(CB_TEMPERATURE, system, fluid->drift.settled_c).text,
             cbx_quantity(CB_TEMPERATURE, system, water->drift.settled_c).text,
             cbx_distance(CB_TEMPERATURE, system, fluid->finding->margin).text,
             cbx_distance(CB_TEMPERATURE, system, water->finding->margin).text,
             beyond ? "below" : "above",
             fluid->drift.fitted ? course : "; the years do not yet tell where they settle");
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
                "The run holds %d whole year%s without a hard winter or hot summer; drift from "
                "year to year "
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
    drift_story story[sizeof rule / sizeof *rule] = {0};
    const size_t offset[] = {offsetof(cbx_period, coldest), offsetof(cbx_period, entering_low),
                             offsetof(cbx_period, entering_high)};
    for (size_t i = 0; i < sizeof rule / sizeof *rule; i++) {
        if (collect(summary, offset[i], annual)) {
            story[i] = judge_one(judged, &rule[i]);
        }
    }
    say_both(judged, &story[0], &story[1]);
}
