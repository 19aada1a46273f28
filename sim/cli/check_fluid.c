// SPDX-License-Identifier: MIT
/// `coilbed check --fluid`: the chosen mixture over temperature, and what its coldest needs.
#include "cli/explain.h"
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/terminal.h"

#include <math.h>

static const double pound_per_foot3_kg_m3 = 0.45359237 / (0.3048 * 0.3048 * 0.3048);
static const double btu_per_pound_j_kgk = 4186.8; // per degF; International Table, exact

// ---- facts -----------------------------------------------------------------------------------

static void add_share(cli_facts *facts, const char *key, const char *label, const cb_fluid *fluid)
{
    const double volume = cb_fluid_volume_fraction(fluid);
    if (isnan(volume)) {
        cli_fact_value(facts, key, label, fluid->mass_fraction, "1", "%.1f %% by mass",
                       100.0 * fluid->mass_fraction);
    } else {
        cli_fact_value(facts, key, label, fluid->mass_fraction, "1",
                       "%.1f %% by mass, %.1f %% by volume", 100.0 * fluid->mass_fraction,
                       100.0 * volume);
    }
}

static void add_mixture(cli_facts *facts, const cli_inputs *inputs)
{
    const cb_fluid *fluid = &inputs->fluid;
    double lowest, highest;
    cb_fluid_span(fluid->type, &lowest, &highest);
    facts->section = "fluid";
    cli_fact_note(cli_fact_text(facts, "name", "fluid", "%s", cb_fluid_name(fluid->type)), "%s",
                  fluid->type == CB_WATER
                      ? "IAPWS-95, R12-08 and R15-11 at 101.325 kPa"
                      : "polynomials of Melinder 2010; the published sources differ by 0.5 % in "
                        "density, 2 % in heat capacity, 3 % in conductivity (alcohols 6 %), 5 to "
                        "15 % in viscosity and 0.5 K in freezing point (ethanol 1 K)");
    if (fluid->type != CB_WATER) {
        add_share(facts, "concentration", "concentration", fluid);
        cli_fact_text(facts, "span", "data by mass", "%.1f to %.1f %%", 100.0 * lowest,
                      100.0 * highest);
    }
    cli_fact_quantity(facts, "freeze_point", "freezes at", CB_TEMPERATURE, fluid->freeze_c);
    cli_fact_quantity(facts, "minimum", "data from", CB_TEMPERATURE, fluid->minimum_c);
    cli_fact_note(cli_fact_quantity(facts, "maximum", "data to", CB_TEMPERATURE, fluid->maximum_c),
                  "outside these a run takes the values at the nearer end");
}

/// Coldest fluid of a loop at its limit: what leaves the units at full output.
static double coldest_leaving_c(const cli_inputs *inputs, const cb_plant *plant)
{
    const cb_design *design = inputs->design;
    const double entering_c = design->limits.entering_minimum_c;
    const cli_capacity at = cli_capacity_at(design, plant, entering_c);
    cb_fluid_properties fluid;
    cb_fluid_at(&inputs->fluid, entering_c, &fluid);
    const double flow_w_k = inputs->bill.circuits * design->pumps.flow_per_circuit_m3_s *
                            fluid.density_kg_m3 * fluid.heat_capacity_j_kgk;
    return entering_c - (at.heating_w - at.heating_power_w) / flow_w_k;
}

static void add_need(cli_facts *facts, const cli_inputs *inputs, const cb_plant *plant)
{
    const cb_design_limits *limits = &inputs->design->limits;
    const double coldest_c = coldest_leaving_c(inputs, plant);
    const double wanted_c = coldest_c - limits->freeze_margin_k;
    char margin[CLI_LABEL_SIZE];
    cb_units_format(CB_TEMPERATURE_DIFFERENCE, facts->system, limits->freeze_margin_k, 3, margin,
                    sizeof margin);
    facts->section = "need";
    cli_fact_quantity(facts, "entering", "entering water limit", CB_TEMPERATURE,
                      limits->entering_minimum_c);
    cli_fact_note(
        cli_fact_quantity(facts, "leaving", "leaving the units", CB_TEMPERATURE, coldest_c),
        "all units at full output, at the flow wanted");
    cli_fact_note(
        cli_fact_quantity(facts, "freeze_wanted", "must freeze below", CB_TEMPERATURE, wanted_c),
        "leaving water less the margin of %s", margin);
    cb_fluid needed;
    if (cb_fluid_for_freezing(&needed, inputs->fluid.type, wanted_c)) {
        add_share(facts, "needed", "which takes", &needed);
        cli_fact_text(facts, "enough", "this mixture", "%s",
                      inputs->fluid.freeze_c <= wanted_c + 1e-9 ? "is strong enough"
                                                                : "is too weak for that");
    } else {
        char freezes[CLI_LABEL_SIZE];
        cb_units_format(CB_TEMPERATURE, facts->system, needed.freeze_c, 3, freezes, sizeof freezes);
        cli_fact_text(facts, "needed", "which takes", "another fluid: %s freezes at %s%s",
                      cb_fluid_name(needed.type), freezes,
                      needed.type == CB_WATER ? "" : " at its strongest");
    }
}

static void add_hazards(cli_facts *facts, cb_fluid_type type)
{
    facts->section = "handling";
    cli_fact_text(facts, "hazard", "", "%s", cb_fluid_hazard(type));
    cli_fact_text(facts, "freezing", "", "%s", cb_fluid_freezing(type));
}

// ---- tables ----------------------------------------------------------------------------------

enum { MOST_ROWS = 40 };

typedef struct steps {
    int count;
    double value[MOST_ROWS];
} steps;

/// The ends of the data and round temperatures between them.
static steps temperatures(const cb_fluid *fluid, cb_unit_system system)
{
    const bool us = system == CB_UNITS_US;
    const double round_k = us ? 10.0 / 1.8 : 5.0, zero_c = us ? -32.0 / 1.8 : 0.0;
    steps s = {.count = 1, .value = {fluid->minimum_c}};
    const int first = (int)floor((fluid->minimum_c - zero_c) / round_k) + 1;
    for (int n = first; zero_c + n * round_k < fluid->maximum_c && s.count + 1 < MOST_ROWS; n++) {
        s.value[s.count++] = zero_c + n * round_k;
    }
    s.value[s.count++] = fluid->maximum_c;
    return s;
}

/// Coldest fluids a loop may be meant for.
static steps coldest(cb_unit_system system)
{
    static const double fahrenheit[] = {40, 35, 30, 25, 20, 15, 10};
    static const double celsius[] = {5, 2.5, 0, -2.5, -5, -7.5, -10, -12.5};
    const bool us = system == CB_UNITS_US;
    steps s = {.count =
                   us ? sizeof fahrenheit / sizeof *fahrenheit : sizeof celsius / sizeof *celsius};
    for (int n = 0; n < s.count; n++) {
        s.value[n] = us ? (fahrenheit[n] - 32.0) / 1.8 : celsius[n];
    }
    return s;
}

static void print_properties(const cb_fluid *fluid, cb_unit_system system)
{
    const bool us = system == CB_UNITS_US;
    const steps s = temperatures(fluid, system);
    printf("\nProperties\n  %8s %10s %14s %16s %10s\n", "", "density", "heat capacity",
           "conductivity", "viscosity");
    printf("  %8s %10s %14s %16s %10s\n", cb_units_label(CB_TEMPERATURE, system),
           us ? "lb/ft3" : "kg/m3", us ? "BTU/lb/degF" : "kJ/kg/K",
           cb_units_label(CB_CONDUCTIVITY, system), us ? "cP" : "mPa s");
    for (int n = 0; n < s.count; n++) {
        cb_fluid_properties at;
        cb_fluid_at(fluid, s.value[n], &at);
        printf("  %8.1f %10.*f %14.3f %16.4f %10.2f\n",
               cb_units_value(CB_TEMPERATURE, system, s.value[n]), us ? 2 : 1,
               at.density_kg_m3 / (us ? pound_per_foot3_kg_m3 : 1.0),
               at.heat_capacity_j_kgk / (us ? btu_per_pound_j_kgk : 1000.0),
               cb_units_value(CB_CONDUCTIVITY, system, at.conductivity_w_mk),
               1000.0 * at.viscosity_pa_s);
    }
}

static void print_needs(cb_fluid_type type, double margin_k, cb_unit_system system)
{
    const char *degree = cb_units_label(CB_TEMPERATURE, system);
    const steps s = coldest(system);
    printf("\nNeeded with the margin of this design\n  %16s %16s %10s %10s\n", "coldest fluid",
           "freezes below", "by mass", "by volume");
    printf("  %16s %16s %10s %10s\n", degree, degree, "%", "%");
    for (int n = 0; n < s.count; n++) {
        const double wanted_c = s.value[n] - margin_k;
        cb_fluid needed;
        printf("  %16.1f %16.1f", cb_units_value(CB_TEMPERATURE, system, s.value[n]),
               cb_units_value(CB_TEMPERATURE, system, wanted_c));
        if (!cb_fluid_for_freezing(&needed, type, wanted_c)) {
            printf(" %10s\n", "no data");
            continue;
        }
        printf(" %10.1f", 100.0 * needed.mass_fraction);
        const double volume = cb_fluid_volume_fraction(&needed);
        if (isnan(volume)) {
            printf(" %10s\n", "-");
        } else {
            printf(" %10.1f\n", 100.0 * volume);
        }
    }
}

static void json_properties(cbx_json *json, const cb_fluid *fluid)
{
    const steps s = temperatures(fluid, CB_UNITS_SI);
    cbx_json_open(json, "properties", '[');
    for (int n = 0; n < s.count; n++) {
        cb_fluid_properties at;
        cb_fluid_at(fluid, s.value[n], &at);
        cbx_json_open(json, NULL, '{');
        cbx_json_number(json, "temperature_c", s.value[n]);
        cbx_json_number(json, "density_kg_m3", at.density_kg_m3);
        cbx_json_number(json, "heat_capacity_j_kgk", at.heat_capacity_j_kgk);
        cbx_json_number(json, "conductivity_w_mk", at.conductivity_w_mk);
        cbx_json_number(json, "viscosity_pa_s", at.viscosity_pa_s);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, ']');
}

static void json_needs(cbx_json *json, cb_fluid_type type, double margin_k)
{
    const steps s = coldest(CB_UNITS_SI);
    cbx_json_open(json, "needed", '[');
    for (int n = 0; n < s.count; n++) {
        cb_fluid needed;
        if (cb_fluid_for_freezing(&needed, type, s.value[n] - margin_k)) {
            cbx_json_open(json, NULL, '{');
            cbx_json_number(json, "coldest_c", s.value[n]);
            cbx_json_number(json, "freeze_c", s.value[n] - margin_k);
            cbx_json_number(json, "mass_fraction", needed.mass_fraction);
            cbx_json_number(json, "volume_fraction", cb_fluid_volume_fraction(&needed));
            cbx_json_close(json, '}');
        }
    }
    cbx_json_close(json, ']');
}

// ---- whole -----------------------------------------------------------------------------------

static void print_fluid(const cli_facts *facts, const cli_inputs *inputs,
                        const cli_options *options)
{
    const cb_design *design = inputs->design;
    const double margin_k = design->limits.freeze_margin_k;
    if (options->json) {
        cbx_json json = {.stream = stdout};
        cli_facts_json_head(&json, design->path);
        cli_facts_json_sections(facts, &json);
        json_properties(&json, &inputs->fluid);
        json_needs(&json, inputs->fluid.type, margin_k);
        cbx_json_close(&json, '}');
        putchar('\n');
    } else {
        printf("%s: its fluid.\n\n", design->path);
        cli_facts_print(facts, cli_width(), stdout);
        print_properties(&inputs->fluid, options->units);
        print_needs(inputs->fluid.type, margin_k, options->units);
    }
}

int cli_check_fluid(const cli_inputs *inputs, const cb_plant *plant, const cli_options *options)
{
    cli_facts facts = {.system = options->units};
    add_mixture(&facts, inputs);
    add_need(&facts, inputs, plant);
    add_hazards(&facts, inputs->fluid.type);
    int result = CLI_HELD;
    if (facts.failed) {
        cb_error error = {0};
        cb_fail(&error, CB_NO_MEMORY, "out of memory");
        result = cli_fail(options, &error);
    } else {
        print_fluid(&facts, inputs, options);
    }
    cli_facts_free(&facts);
    return result;
}
