// SPDX-License-Identifier: MIT
/// Rules of the trade about air and loop, beside what the design has.
#include "cli/sizing.h"

#include <math.h>

static const double feet3_m3 = 0.3048 * 0.3048 * 0.3048;
static const double air_j_m3k = 1200.0;

void cli_size_air(const cli_sheet *s)
{
    // Common practice, no source: 400 cfm per ton; supply air 30 degF warmer or 20 degF colder than
    // the room; 80 % of a cooling load sensible where the design does not say.
    const double usual_m3_s = 400.0 * feet3_m3 / 60.0 * s->nominal_w / CLI_TON_W;
    const double warmer_k = 30.0 / 1.8, colder_k = 20.0 / 1.8;
    const bool known = !isnan(s->loads.sensible_share);
    const double sensible = known ? s->loads.sensible_share : 0.8;
    char step[40];
    s->facts->section = "air";
    cli_fact_note(
        cli_fact_quantity(s->facts, "usual_flow", "usual for these units", CB_AIR_FLOW, usual_m3_s),
        "400 cfm per ton of %.1f tons; common practice, no source", s->nominal_w / CLI_TON_W);
    cb_units_format(CB_TEMPERATURE_DIFFERENCE, s->facts->system, warmer_k, 3, step, sizeof step);
    cli_fact_note(cli_fact_quantity(s->facts, "heating_flow", "the heating load asks for",
                                    CB_AIR_FLOW, s->loads.heating_w / (air_j_m3k * warmer_k)),
                  "supply air %s warmer than the room; common practice, no source", step);
    cb_units_format(CB_TEMPERATURE_DIFFERENCE, s->facts->system, colder_k, 3, step, sizeof step);
    cli_fact_note(
        cli_fact_quantity(s->facts, "cooling_flow", "the cooling load asks for", CB_AIR_FLOW,
                          sensible * s->loads.cooling_w / (air_j_m3k * colder_k)),
        "supply air %s colder than the room, %.0f %% of the load sensible%s; common practice, no "
        "source",
        step, 100.0 * sensible, known ? "" : " assumed");
}

static void add_per_ton(const cli_sheet *s, const char *key, const char *label, double length_m,
                        const char *usual)
{
    const double per_w = length_m / s->nominal_w;
    cli_fact *fact =
        s->facts->system == CB_UNITS_US
            ? cli_fact_value(s->facts, key, label, per_w, "m W-1", "%.0f ft a ton",
                             per_w * CLI_TON_W / CLI_FOOT_M)
            : cli_fact_value(s->facts, key, label, per_w, "m W-1", "%.1f m/kW", 1e3 * per_w);
    cli_fact_note(fact, "%s", usual);
}

void cli_size_loop(const cli_sheet *s)
{
    const cb_design_field *field = &s->design->field;
    s->facts->section = "loop";
    cli_fact_note(cli_fact_value(s->facts, "nominal", "units, nominal", s->nominal_w, "W",
                                 "%.2f tons", s->nominal_w / CLI_TON_W),
                  "%s",
                  cli_sheet_capacity_w(s, CLI_RATING_COOLING_C, true) > 0.0
                      ? "cooling with water of 25 degC"
                      : "heating with water of 0 degC");
    if (!(s->nominal_w > 0.0)) {
        return;
    }
    add_per_ton(s, "pipe_per_capacity", "pipe", s->subject->bill.pipe_m,
                field->layout != CB_STRAIGHT
                    ? "500 to 700 ft of 3/4 in pipe a ton in coils is common practice, no source; "
                      "that is 43 to 61 m/kW"
                    : "all circuits");
    add_per_ton(s, "trench_per_capacity", "trench", s->subject->bill.trench_m, "all trenches");
    const double flow_m3_s = s->subject->bill.circuits * s->design->pumps.flow_per_circuit_m3_s;
    const double gpm = flow_m3_s * 60.0 / 3.785411784e-3;
    const double per_w = flow_m3_s / s->nominal_w;
    cli_fact *fact =
        s->facts->system == CB_UNITS_US
            ? cli_fact_value(s->facts, "flow_per_capacity", "water", per_w, "m3 s-1 W-1",
                             "%.2f gpm a ton", gpm * CLI_TON_W / s->nominal_w)
            : cli_fact_value(s->facts, "flow_per_capacity", "water", per_w, "m3 s-1 W-1",
                             "%.3f L/s/kW", 1e6 * per_w);
    cli_fact_note(fact, "3 gpm a ton is common practice, no source; that is 0.054 L/s/kW");
}
