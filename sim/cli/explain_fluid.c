// SPDX-License-Identifier: MIT
#include "cli/explain.h"

#include <math.h>

static const double litre_m3 = 1e-3;
static const double gallon_m3 = 3.785411784e-3; // US liquid gallon, 231 in3, exact
static const double pound_kg = 0.45359237;      // exact
static const double gallon_per_minute_m3_s = 3.785411784e-3 / 60.0;

static void add_volume(cli_facts *facts, const char *key, const char *label, double volume_m3,
                       const char *note)
{
    const bool us = facts->system == CB_UNITS_US;
    cli_fact_note(cli_fact_value(facts, key, label, volume_m3, "m3", "%.1f %s",
                                 volume_m3 / (us ? gallon_m3 : litre_m3), us ? "gal" : "L"),
                  "%s", note);
}

static void add_antifreeze(cli_facts *facts, cb_fluid_type type, double mass_kg)
{
    const double density_kg_m3 = cb_fluid_additive_density_kg_m3(type);
    const bool us = facts->system == CB_UNITS_US;
    if (isnan(density_kg_m3)) {
        cli_fact_note(cli_fact_value(facts, "antifreeze_mass", "antifreeze to buy", mass_kg, "kg",
                                     "%.0f %s", us ? mass_kg / pound_kg : mass_kg,
                                     us ? "lb" : "kg"),
                      "of the dry salt");
    } else {
        add_volume(facts, "antifreeze_volume", "antifreeze to buy", mass_kg / density_kg_m3,
                   "undiluted, at 20 degC = 68 degF; density of the additive from memory");
    }
}

static void add_mixture(cli_facts *facts, const cli_subject *subject)
{
    const cb_fluid *fluid = &subject->inputs->fluid;
    const cb_design *design = subject->inputs->design;
    if (fluid->type == CB_WATER) {
        cli_fact_text(facts, "mixture", "fluid", "%s, no antifreeze", cb_fluid_name(fluid->type));
    } else {
        cli_fact_text(facts, "mixture", "fluid", "%s, %.1f %% by %s (%.1f %% by mass)",
                      cb_fluid_name(fluid->type), 100.0 * design->fluid.concentration,
                      design->fluid.by_volume ? "volume" : "mass", 100.0 * fluid->mass_fraction);
    }
    const double margin_k = design->limits.freeze_margin_k;
    char margin[CLI_LABEL_SIZE];
    cb_units_format(CB_TEMPERATURE_DIFFERENCE, facts->system, margin_k, 3, margin, sizeof margin);
    cli_fact_quantity(facts, "freeze_point", "freezes at", CB_TEMPERATURE, fluid->freeze_c);
    cli_fact_note(cli_fact_quantity(facts, "coldest_allowed", "coldest fluid allowed",
                                    CB_TEMPERATURE, fluid->freeze_c + margin_k),
                  "freeze point and a margin of %s", margin);
    add_volume(facts, "fluid_volume", "fluid in all", subject->bill.fluid_m3,
               "pipe, headers and unit");
    cb_fluid_properties room;
    if (fluid->type != CB_WATER && cb_fluid_at(fluid, 20.0, &room)) {
        add_antifreeze(facts, fluid->type,
                       subject->bill.fluid_m3 * room.density_kg_m3 * fluid->mass_fraction);
    }
}

static void add_flow(cli_facts *facts, const cli_subject *subject)
{
    const cb_design *design = subject->inputs->design;
    const double circuit_m3_s = design->pumps.flow_per_circuit_m3_s;
    const double total_m3_s = subject->bill.circuits * circuit_m3_s;
    const bool us = facts->system == CB_UNITS_US;
    const char *unit = us ? "gpm" : "L/s";
    const double scale = us ? gallon_per_minute_m3_s : litre_m3;
    cli_fact *flow = cli_fact_value(facts, "flow", "flow", total_m3_s, "m3 s-1", "%.3g %s",
                                    total_m3_s / scale, unit);
    cli_fact_note(flow, "%.3g %s in each circuit; %s", circuit_m3_s / scale, unit,
                  design->pumps.curve_count > 0 ? "wanted: what the pumps give stands below"
                                                : "given, not computed from a pump curve");
    const cli_capacity capacity = cli_capacity_at(design, subject->plant, 0.0);
    if (capacity.heating_w > 0.0) {
        const double per_w = total_m3_s / capacity.heating_w;
        cli_fact *ratio =
            us ? cli_fact_value(facts, "flow_per_capacity", "flow per ton", per_w, "m3 s-1 W-1",
                                "%.2f gpm/ton", per_w * CLI_TON_W / scale)
               : cli_fact_value(facts, "flow_per_capacity", "flow per kW", per_w, "m3 s-1 W-1",
                                "%.4f L/s/kW", 1e3 * per_w / scale);
        cli_fact_note(ratio, "3 gpm/ton = 0.054 L/s/kW: common practice, no source");
    }
    cli_fact *power = cli_fact_quantity(facts, "pump_power", "pumps, all together",
                                        CB_ELECTRIC_POWER, design->pumps.power_w);
    if (design->pumps.curve_count > 0) {
        cli_fact_note(power, "by their curve at that flow");
    }
}

/// Reynolds numbers between which the film goes from laminar to fully turbulent: as cb_nusselt.
static void transition(const cb_design_field *field, const cb_pipe *pipe, double *start,
                       double *end)
{
    *start = 2300.0;
    *end = 4000.0;
    if (field->layout != CB_STRAIGHT) {
        *start *= 1.0 + 8.6 * pow(pipe->inside_diameter_m / field->coil_diameter_m, 0.45);
        *end = 22000.0;
    }
}

static void add_film(cli_facts *facts, const cli_subject *subject, const char *key,
                     const char *label, double temperature_c)
{
    const cb_design *design = subject->inputs->design;
    const cb_pipe *pipe = &subject->inputs->pipe;
    cb_fluid_properties fluid;
    if (!cb_fluid_at(&subject->inputs->fluid, temperature_c, &fluid)) {
        char at[CLI_LABEL_SIZE];
        cb_units_format(CB_TEMPERATURE, facts->system, temperature_c, 3, at, sizeof at);
        cli_fact_text(facts, key, label, "no property data at %s", at);
        return;
    }
    const bool coil = design->field.layout != CB_STRAIGHT;
    const double reynolds =
        cb_reynolds(&fluid, design->pumps.flow_per_circuit_m3_s, pipe->inside_diameter_m);
    const double nusselt = cb_nusselt(
        reynolds, fluid.viscosity_pa_s * fluid.heat_capacity_j_kgk / fluid.conductivity_w_mk,
        pipe->inside_diameter_m, subject->bill.longest_circuit_m,
        coil ? design->field.coil_diameter_m : 0.0);
    double start;
    double end;
    transition(&design->field, pipe, &start, &end);
    const char *state = reynolds < start ? "laminar"
                        : reynolds < end ? "in transition"
                                         : "turbulent";
    cli_fact *fact =
        cli_fact_value(facts, key, label, reynolds, "1", "Re %.0f, %s", reynolds, state);
    char at[CLI_LABEL_SIZE];
    cb_units_format(CB_TEMPERATURE, facts->system, temperature_c, 3, at, sizeof at);
    const double film = cb_film_resistance_mk_w(nusselt, fluid.conductivity_w_mk);
    const double wall = cb_wall_resistance_mk_w(pipe, design->field.pipe.conductivity_w_mk);
    cli_fact_note(fact, "at %s; turbulence begins at %.0f; the film is %.0f %% of film and wall",
                  at, start, 100.0 * film / (film + wall));
}

void cli_explain_fluid(cli_facts *facts, const cli_subject *subject)
{
    const double coldest_c =
        subject->inputs->fluid.freeze_c + subject->inputs->design->limits.freeze_margin_k;
    facts->section = "fluid";
    add_mixture(facts, subject);
    add_flow(facts, subject);
    add_film(facts, subject, "film_at_0_degC", "film in each circuit", 0.0);
    add_film(facts, subject, "film_at_coldest_allowed", "film at coldest allowed", coldest_c);
}
