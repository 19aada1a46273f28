// SPDX-License-Identifier: MIT
#include "findings/judge.h"

#include <math.h>

// Marks chosen here, common practice, no source: what a household would not notice, the share of
// the cooling whose lack it feels, and the share of the heat from which backup deserves a look.
static const double UNNOTICED_SHARE = 0.002;
static const double FELT_COOLING_SHARE = 0.05;
static const double BACKUP_SHARE = 0.05;
static const double NOTHING_J = 3.6e6; // less than 1 kWh a year is rounding, not a shortfall

static double share_of(double part_j, double whole_j)
{
    return whole_j > 0.0 ? part_j / whole_j : 0.0;
}

typedef struct percent {
    char text[24];
} percent;

static percent percent_of(double share)
{
    const double shown = 100.0 * share;
    percent out;
    if (shown > 0.0 && shown < 0.01) {
        snprintf(out.text, sizeof out.text, "under 0.01 %%");
    } else {
        snprintf(out.text, sizeof out.text, "%.*f %%",
                 shown < 0.995  ? 2
                 : shown < 9.95 ? 1
                                : 0,
                 shown);
    }
    return out;
}

typedef struct unmet_story {
    double worst_share, worst_j;
    long worst_hours;
    int worst_year; ///< 1-based
} unmet_story;

static unmet_story read_unmet(const cbx_summary *summary, bool cooling)
{
    unmet_story story = {.worst_share = -1.0};
    for (int y = 0; y < summary->years; y++) {
        const cbx_mode *mode = cooling ? &summary->year[y].cooling : &summary->year[y].heating;
        const double share = share_of(mode->unmet_j, mode->load_j);
        if (share > story.worst_share) {
            story = (unmet_story){share, mode->unmet_j, mode->unmet_hours, y + 1};
        }
    }
    return story;
}

static bool nothing_cools(const cb_design *design)
{
    int tables = 0;
    for (int i = 0; i < design->heat_pump_count; i++) {
        tables += design->heat_pump[i].cooling.count > 0;
    }
    return design->heat_pump_count > 0 && tables == 0;
}

/// What the shortfall comes to for those who live there.
static const char *consequence(const cbx_case *judged, const unmet_story *story, bool cooling)
{
    if (story->worst_share <= UNNOTICED_SHARE) {
        return ": hardly noticed";
    }
    if (!cooling || story->worst_share <= FELT_COOLING_SHARE) {
        return "";
    }
    return nothing_cools(judged->design)
               ? ": no heat pump of the design has a cooling table, so the house has no cooling"
               : ": the house then gets warmer than its thermostat asks for; the unit is too small "
                 "for the load, or its water too warm to work with";
}

static void judge_unmet(cbx_case *judged, bool cooling)
{
    const unmet_story story = read_unmet(judged->summary, cooling);
    const char *mode = cooling ? "cooling" : "heating";
    cb_finding *finding =
        cbx_add_finding(judged, cooling ? "unmet_cooling" : "unmet_heating", CB_ENERGY);
    finding->value = story.worst_j;
    if (story.worst_j < NOTHING_J) {
        cbx_say(finding, "All %s the house asks for is delivered.", mode);
        return;
    }
    // Too little cooling is a matter of comfort; too little heat in a hard winter is not.
    const bool noticed = story.worst_share > UNNOTICED_SHARE;
    const char *what = consequence(judged, &story, cooling);
    finding->severity = noticed && !cooling ? CB_BROKEN : CB_CLOSE;
    cbx_say(finding,
            "In year %d the house goes without %s of its %s load, %s of the year's, in %ld "
            "hour%s%s.",
            story.worst_year, cbx_quantity(CB_ENERGY, judged->system, story.worst_j).text, mode,
            percent_of(story.worst_share).text, story.worst_hours,
            story.worst_hours == 1 ? "" : "s", what);
}

static void judge_backup(cbx_case *judged)
{
    const cbx_summary *summary = judged->summary;
    const cbx_period total = cbx_summary_total(summary);
    const double years = cbx_summary_average_years(summary);
    cb_finding *finding = cbx_add_finding(judged, "backup", CB_ENERGY);
    finding->value = total.backup_j / years;
    if (summary->run.backup_hours == 0) {
        cbx_say(finding, "Backup heat is never needed.");
        return;
    }
    finding->run_hour = summary->run.backup.run_hour;
    const double share = share_of(summary->run.backup_j, summary->run.heating.load_j);
    finding->severity = share > BACKUP_SHARE ? CB_CLOSE : CB_CLEAR;
    cbx_say(finding,
            "Electric backup gives %s in an average year, in %.0f hours, and %s of the "
            "house's heat over the run; most at once %s (%s).",
            cbx_quantity(CB_ENERGY, judged->system, finding->value).text,
            (double)total.backup_hours / years, percent_of(share).text,
            cbx_quantity(CB_ELECTRIC_POWER, judged->system, summary->run.backup.value).text,
            cbx_when(judged->design, finding->run_hour).text);
}

// Warm enough to wash is not warm enough to be safe: the share of the drawn heat that may lack.
static const double LUKEWARM_SHARE = 0.01; // own mark, no source

static void judge_hot_water(cbx_case *judged)
{
    const cbx_period total = cbx_summary_total(judged->summary);
    const double years = cbx_summary_average_years(judged->summary);
    if (!(total.hot_water_j + total.element_j > 0.0)) {
        return; // the design has no tank
    }
    const double by_units_j = total.heating.into_tank_j + total.cooling.into_tank_j;
    const double share = share_of(total.hot_water_unmet_j, total.hot_water_j);
    cb_finding *finding = cbx_add_finding(judged, "hot_water", CB_ENERGY);
    finding->value = total.hot_water_unmet_j / years;
    finding->severity = share > LUKEWARM_SHARE ? CB_CLOSE : CB_CLEAR;
    cbx_say(finding,
            "Of %s of hot water drawn in an average year %s comes lukewarm; the heat pumps give %s "
            "into the tank, the element %s.",
            cbx_quantity(CB_ENERGY, judged->system, total.hot_water_j / years).text,
            percent_of(share).text,
            cbx_quantity(CB_ENERGY, judged->system, by_units_j / years).text,
            cbx_quantity(CB_ENERGY, judged->system, total.element_j / years).text);
}

void cbx_judge_supply(cbx_case *judged)
{
    judge_unmet(judged, false);
    judge_unmet(judged, true);
    judge_backup(judged);
    judge_hot_water(judged);
}
