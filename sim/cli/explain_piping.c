// SPDX-License-Identifier: MIT
/// What the water meets on its way, and what the pumps make of it.
#include "cli/explain.h"

#include <math.h>

static const double litre_m3 = 1e-3;
static const double gallon_per_minute_m3_s = 3.785411784e-3 / 60.0;
static const double gravity_m_s2 = 9.80665;
static const double mild_c = 10.0;
/// Head per length of pipe above which pipe is usually made larger; common practice, from memory.
static const double most_gradient = 0.04;
/// Of the flow wanted, what pumps may lack before it is worth a word; own mark, no source.
static const double flow_mark = 0.98;

/// Coldest fluid allowed, or the end of its data.
static double coldest_c(const cli_subject *subject)
{
    const cb_fluid *fluid = &subject->inputs->fluid;
    return fmax(fluid->freeze_c + subject->inputs->design->limits.freeze_margin_k,
                fluid->minimum_c);
}

static double flow_shown(cb_unit_system system, double flow_m3_s)
{
    return flow_m3_s / (system == CB_UNITS_US ? gallon_per_minute_m3_s : litre_m3);
}

static const char *flow_unit(cb_unit_system system)
{
    return system == CB_UNITS_US ? "gpm" : "L/s";
}

static double length_shown(cb_unit_system system, double length_m)
{
    return length_m / (system == CB_UNITS_US ? CLI_FOOT_M : 1.0);
}

static const char *length_unit(cb_unit_system system)
{
    return system == CB_UNITS_US ? "ft" : "m";
}

static void note_parts(cli_fact *fact, const cli_facts *facts, const cb_network_report *report)
{
    const double scale = length_shown(facts->system, report->state.head_m) / report->state.drop_pa;
    cli_fact_note(fact, "circuits %.1f, headers %.1f, house pipe %.1f, units %.1f %s",
                  scale * report->circuits_pa, scale * report->headers_pa, scale * report->house_pa,
                  scale * report->units_pa, length_unit(facts->system));
}

static void add_flow(cli_facts *facts, const char *key, const char *label,
                     const cb_network_report *report)
{
    const cb_network_state *state = &report->state;
    const cb_unit_system system = facts->system;
    cli_fact *flow = cli_fact_value(
        facts, key, label, state->flow_m3_s, "m3 s-1", "%.3g %s, Re %.0f or more",
        flow_shown(system, state->flow_m3_s), flow_unit(system), state->least_reynolds);
    cli_fact_note(flow, "%.3g to %.3g %s in a circuit",
                  flow_shown(system, state->least_circuit_m3_s),
                  flow_shown(system, state->most_circuit_m3_s), flow_unit(system));
}

static void add_head(cli_facts *facts, const char *key, const char *label,
                     const cb_network_report *report)
{
    const cb_unit_system system = facts->system;
    cli_fact *head =
        cli_fact_value(facts, key, label, report->state.drop_pa, "Pa", "%.1f %s of fluid, %.1f kPa",
                       length_shown(system, report->state.head_m), length_unit(system),
                       1e-3 * report->state.drop_pa);
    note_parts(head, facts, report);
}

static void add_pumps(cli_facts *facts, const char *key, const char *label,
                      const cb_network_report *report)
{
    const cb_network_state *state = &report->state;
    cli_fact *fact = cli_fact_quantity(facts, key, label, CB_ELECTRIC_POWER, state->pump_power_w);
    if (state->pump_power_w > 0.0) {
        cli_fact_note(fact, "%.0f %% of it moves water; speed %.0f %%",
                      100.0 * report->hydraulic_w / state->pump_power_w, 100.0 * state->speed);
    }
}

/// The operating point at a temperature; `key` ends the keys.
static void add_at(cli_facts *facts, const cb_network_report *report, const char *key,
                   double temperature_c)
{
    char at[CLI_LABEL_SIZE], label[CLI_LABEL_SIZE + 16], whole_key[CLI_KEY_SIZE];
    cb_units_format(CB_TEMPERATURE, facts->system, temperature_c, 3, at, sizeof at);
    snprintf(whole_key, sizeof whole_key, "flow_%s", key);
    snprintf(label, sizeof label, "flow at %s", at);
    add_flow(facts, whole_key, label, report);
    snprintf(whole_key, sizeof whole_key, "head_%s", key);
    snprintf(label, sizeof label, "head at %s", at);
    add_head(facts, whole_key, label, report);
    snprintf(whole_key, sizeof whole_key, "power_%s", key);
    snprintf(label, sizeof label, "pumps at %s", at);
    add_pumps(facts, whole_key, label, report);
}

static void add_gradient(cli_facts *facts, const char *key, const char *label, double gradient,
                         double velocity_m_s)
{
    const bool us = facts->system == CB_UNITS_US;
    if (!(gradient > 0.0)) {
        cli_fact_text(facts, key, label, "none given: no drop is counted");
        return;
    }
    cli_fact *fact = cli_fact_value(facts, key, label, gradient, "1", "%.1f %s", 100.0 * gradient,
                                    us ? "ft per 100 ft" : "m per 100 m");
    cli_fact_note(fact,
                  "at most, at %.1f %s, with the coldest fluid allowed; 1 to 4 are usual: "
                  "common practice, from memory",
                  velocity_m_s / (us ? CLI_FOOT_M : 1.0), us ? "ft/s" : "m/s");
}

static void add_gradients(cli_facts *facts, const cb_network_report *report)
{
    add_gradient(facts, "circuit_gradient", "circuits, straight pipe", report->circuit_gradient,
                 report->circuit_velocity_m_s);
    add_gradient(facts, "header_gradient", "headers", report->header_gradient,
                 report->header_velocity_m_s);
    add_gradient(facts, "house_gradient", "house pipe", report->house_gradient,
                 report->house_velocity_m_s);
    if (!(report->units_pa > 0.0)) {
        cli_fact_text(facts, "unit_drop", "units", "none given: no drop is counted");
    }
}

static void add_purge_of(cli_facts *facts, const char *key, const cb_header_size *size,
                         const char *where)
{
    cb_pipe pipe;
    if (cb_pipe_find(&pipe, size->nominal, size->sdr, NULL) != CB_OK) {
        return; // the network has refused it
    }
    const double flow_m3_s = cb_purge_flow_m3_s(pipe.inside_diameter_m);
    char label[CLI_LABEL_SIZE];
    snprintf(label, sizeof label, "flush %s", size->nominal);
    cli_fact *fact = cli_fact_value(facts, key, label, flow_m3_s, "m3 s-1", "%.3g %s",
                                    flow_shown(facts->system, flow_m3_s), flow_unit(facts->system));
    cli_fact_note(fact, "%s; 2 ft/s = 0.61 m/s carries air out: common practice, no source", where);
}

/// Every size, then all circuits flushed together and the head that takes.
static void add_purge(cli_facts *facts, const cli_subject *subject)
{
    const cb_design *design = subject->inputs->design;
    const cb_design_piping *piping = &design->piping;
    const cb_header_size circuit = {.nominal = design->field.pipe.nominal,
                                    .sdr = design->field.pipe.sdr};
    const cb_header_size house = {.nominal = piping->house_nominal, .sdr = piping->house_sdr};
    add_purge_of(facts, "purge_circuit", &circuit, "each circuit");
    for (int k = 0; k < piping->header_size_count; k++) {
        char key[CLI_KEY_SIZE];
        snprintf(key, sizeof key, "purge_header_%d", k + 1);
        add_purge_of(facts, key, &piping->header_size[k], "header");
    }
    if (piping->has_house) {
        add_purge_of(facts, "purge_house", &house, "house pipe");
    }
    const double flow_m3_s =
        subject->bill.circuits * cb_purge_flow_m3_s(subject->inputs->pipe.inside_diameter_m);
    const double drop_pa = cb_network_drop_pa(subject->network, mild_c, flow_m3_s, false);
    cb_fluid_properties fluid;
    cb_fluid_at(&subject->inputs->fluid, mild_c, &fluid);
    const double head_m = drop_pa / (fluid.density_kg_m3 * gravity_m_s2);
    cli_fact *all =
        cli_fact_value(facts, "purge_all", "flush all at once", flow_m3_s, "m3 s-1", "%.3g %s",
                       flow_shown(facts->system, flow_m3_s), flow_unit(facts->system));
    cli_fact_note(all,
                  "against %.0f %s round the field, past the units, with this fluid at 50 degF "
                  "= 10 degC",
                  length_shown(facts->system, head_m), length_unit(facts->system));
}

void cli_explain_piping(cli_facts *facts, const cli_subject *subject)
{
    cb_network_report cold, mild;
    facts->section = "hydraulics";
    if (cb_network_solve(subject->network, coldest_c(subject), &cold, NULL, NULL) != CB_OK ||
        cb_network_solve(subject->network, mild_c, &mild, NULL, NULL) != CB_OK) {
        facts->failed = true;
        return;
    }
    add_at(facts, &cold, "at_coldest_allowed", coldest_c(subject));
    add_at(facts, &mild, "at_10_degC", mild_c);
    add_gradients(facts, &cold);
    add_purge(facts, subject);
}

// ---- cautions --------------------------------------------------------------------------------

static void caution_flow(cli_facts *facts, const cb_network_report *report)
{
    const double share = report->state.flow_m3_s / report->wanted_m3_s;
    if (share < flow_mark) {
        cli_fact_text(facts, "pump_short", "",
                      "With the coldest fluid allowed the pumps give %.3g %s, %.0f %% of the flow "
                      "wanted.",
                      flow_shown(facts->system, report->state.flow_m3_s), flow_unit(facts->system),
                      100.0 * share);
    }
    if (report->beyond_curve) {
        cli_fact_text(facts, "pump_curve", "",
                      "With the coldest fluid allowed the pumps run where their curve has no "
                      "points.");
    }
    const double spread = report->state.most_circuit_m3_s / report->state.least_circuit_m3_s;
    if (spread > 1.2) {
        cli_fact_text(facts, "circuit_spread", "",
                      "The circuit with most flow takes %.2f times that with least: larger headers "
                      "or a reverse return would even it out.",
                      spread);
    }
}

void cli_caution_piping(cli_facts *facts, const cli_subject *subject)
{
    cb_network_report report;
    if (cb_network_solve(subject->network, coldest_c(subject), &report, NULL, NULL) != CB_OK) {
        facts->failed = true;
        return;
    }
    caution_flow(facts, &report);
    const double gradient = fmax(report.header_gradient, report.house_gradient);
    if (gradient > most_gradient) {
        cli_fact_text(facts, "header_gradient", "",
                      "Headers or house pipe lose %.1f ft per 100 ft (m per 100 m) with the "
                      "coldest fluid allowed; more than 4 is usually avoided by larger pipe.",
                      100.0 * gradient);
    }
    if (report.hydraulic_w > report.state.pump_power_w) {
        cli_fact_text(facts, "pump_power", "",
                      "Moving that flow round the loop takes %.0f W, more than the %.0f W the "
                      "pumps are said to draw.",
                      report.hydraulic_w, report.state.pump_power_w);
    }
}
