// SPDX-License-Identifier: MIT
#include "cli/explain.h"

#include <math.h>

typedef struct assumption_context {
    cli_facts *facts;
    const cb_design *design;
} assumption_context;

/// What the design leaves to the ground to work out gets its number here.
static void add_assumption(void *context, const char *path, const char *value, const char *reason)
{
    const assumption_context *assumption = context;
    const char *why = reason ? reason : "";
    if (!cli_ground_assumption(assumption->facts, assumption->design, path, why)) {
        cli_fact_note(cli_fact_text(assumption->facts, path, path, "%s", value), "%s", why);
    }
}

void cli_explain_assumptions(cli_facts *facts, const cli_subject *subject)
{
    assumption_context context = {.facts = facts, .design = subject->inputs->design};
    facts->section = "assumptions";
    const size_t before = facts->count;
    cb_design_assumptions(context.design, facts->system, add_assumption, &context);
    if (facts->count == before) {
        cli_fact_text(facts, "none", "", "None: the file gives every value.");
    }
}

static void caution_trench(cli_facts *facts, const cli_subject *subject)
{
    static const double protect_m = 5.0 * CLI_FOOT_M;
    static const double ladder_m = 4.0 * CLI_FOOT_M;
    const cb_runout *runout = &subject->inputs->design->field.runout;
    const double depth_m = fmax(subject->bill.deepest_m, runout->given ? runout->depth_m : 0.0);
    if (depth_m >= protect_m) {
        cli_fact_note(
            cli_fact_text(facts, "trench_collapse", "",
                          "Nobody enters a trench this deep (5 ft = 1.5 m or more) unless "
                          "it is sloped, shored or shielded: a cave-in kills."),
            "in the United States 29 CFR 1926.652(a)(1), from memory");
    } else {
        cli_fact_text(facts, "trench_collapse", "",
                      "Trench walls can cave in at any depth; look at the soil before anyone goes "
                      "in, after rain again.");
    }
    if (depth_m >= ladder_m) {
        cli_fact_note(cli_fact_text(facts, "trench_ladder", "",
                                    "A trench 4 ft (1.2 m) deep or more needs a ladder or ramp "
                                    "within 25 ft (7.6 m) of everyone in it."),
                      "in the United States 29 CFR 1926.651(c)(2), from memory");
    }
    cli_fact_text(facts, "buried_lines", "",
                  "Have buried power, gas and water lines marked before digging.");
}

static void caution_fluid(cli_facts *facts, const cli_subject *subject)
{
    const cb_design *design = subject->inputs->design;
    const cb_fluid *fluid = &subject->inputs->fluid;
    cli_fact_text(facts, "fluid_hazard", "", "%s", cb_fluid_hazard(fluid->type));
    const double coldest_c = fluid->freeze_c + design->limits.freeze_margin_k;
    cb_fluid_properties properties;
    if (!cb_fluid_at(fluid, coldest_c, &properties)) {
        char least[CLI_LABEL_SIZE];
        cb_units_format(CB_TEMPERATURE, facts->system, fluid->minimum_c, 3, least, sizeof least);
        cli_fact_text(facts, "fluid_data", "",
                      "The fluid's property data end at %s, above the coldest fluid allowed.",
                      least);
        return;
    }
    cb_network_result loop;
    cb_network_at(subject->network, coldest_c, &loop);
    const double reynolds = loop.value.least_reynolds;
    if (!(reynolds >= design->limits.minimum_reynolds)) {
        cli_fact_text(facts, "reynolds", "",
                      "At the coldest fluid allowed the Reynolds number is %.0f, below the limit "
                      "of %.0f: more flow or a thinner fluid is needed if the loop gets there.",
                      reynolds, design->limits.minimum_reynolds);
    }
}

static void caution_capacity(cli_facts *facts, const cli_subject *subject)
{
    const cb_design *design = subject->inputs->design;
    const cli_capacity cold =
        cli_capacity_at(design, subject->plant, design->limits.entering_minimum_c);
    double electric_w = 0.0;
    for (int stage = 0; stage < design->backup.stage_count; stage++) {
        electric_w += design->backup.stage_w[stage];
    }
    if (subject->loads.heating_peak_w > cold.heating_w + electric_w) {
        char peak[CLI_LABEL_SIZE];
        char have[CLI_LABEL_SIZE];
        cb_units_format(CB_POWER, facts->system, subject->loads.heating_peak_w, 3, peak,
                        sizeof peak);
        cb_units_format(CB_POWER, facts->system, cold.heating_w + electric_w, 3, have, sizeof have);
        cli_fact_text(facts, "heating_short", "",
                      "The peak heating load, %s, is more than units and backup give at the "
                      "coldest entering water allowed, %s.",
                      peak, have);
    }
}

/// A longitude of the wrong sign turns day into night; no land keeps a time so far from its sun.
static void caution_clock(cli_facts *facts, const cb_site *site)
{
    static const double most_h = 4.0; // the widest on land is some 3.5 h, from memory
    const double off_h = remainder(site->time_zone_h - site->longitude_deg / 15.0, 24.0);
    if (fabs(off_h) > most_h) {
        cli_fact_text(facts, "clock", "",
                      "Time zone and longitude are %.1f h apart, so the sun would be highest near "
                      "%.0f:00: longitude is negative west of Greenwich, and so is the time zone.",
                      fabs(off_h), fmod(round(12.0 + off_h) + 24.0, 24.0));
    }
}

void cli_explain_cautions(cli_facts *facts, const cli_subject *subject)
{
    facts->section = "cautions";
    if (subject->inputs->design->weather.hard_winter_count == 0) {
        cli_fact_text(facts, "no_hard_winter", "",
                      "No hard winter is asked for: a typical year hides the one that matters.");
    }
    caution_clock(facts, &subject->inputs->design->site);
    caution_capacity(facts, subject);
    caution_fluid(facts, subject);
    caution_trench(facts, subject);
    cli_caution_hot_water(facts, subject->inputs->design);
}
