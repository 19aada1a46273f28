// SPDX-License-Identifier: MIT
#include "cli/explain.h"
#include "cli/failure.h"
#include "cli/materials.h"
#include "cli/message.h"

#include <stdlib.h>

static void gather(cli_facts *facts, const cli_subject *subject)
{
    cli_explain_site(facts, subject);
    cli_explain_ground(facts, subject);
    cli_explain_field(facts, subject);
    cli_explain_fluid(facts, subject);
    cli_explain_piping(facts, subject);
    cli_explain_loads(facts, subject);
    cli_explain_assumptions(facts, subject);
    cli_explain_cautions(facts, subject);
    cli_caution_piping(facts, subject);
}

static int print_all(const cli_subject *subject, const cli_options *options)
{
    cli_facts facts = {.system = options->units};
    gather(&facts, subject);
    return cli_facts_tell(&facts, options, subject->inputs->design->path,
                          "a valid design. What it comes to, without simulation:");
}

static int explain(const cli_inputs *inputs, const cb_plant *plant, const cli_options *options)
{
    cb_network *network;
    cb_grid_size grid;
    cb_error error = {0};
    cb_status status =
        cb_network_of_design(&network, inputs->design, &inputs->pipe, &inputs->fluid, &error);
    if (status == CB_OK) {
        status = cb_engine_probe(&grid, inputs->design, inputs->run_weather, inputs->house, &error);
    }
    const cli_subject subject = {.inputs = inputs,
                                 .plant = plant,
                                 .network = network,
                                 .grid = &grid,
                                 .bill = inputs->bill,
                                 .loads = cli_loads_of(inputs)};
    const int result = status == CB_OK ? print_all(&subject, options) : cli_fail(options, &error);
    cb_network_destroy(network);
    return result;
}

static int explain_part(const cli_inputs *inputs, const cli_options *options)
{
    cb_plant *plant;
    cb_error error = {0};
    if (options->ground) {
        return cli_check_ground(inputs, options);
    }
    if (cb_plant_create(&plant, inputs->design, &error) != CB_OK) {
        return cli_fail(options, &error);
    }
    const int result = options->fluid    ? cli_check_fluid(inputs, plant, options)
                       : options->sizing ? cli_check_sizing(inputs, plant, options)
                                         : explain(inputs, plant, options);
    cb_plant_destroy(plant);
    return result;
}

static int print_owned(char *text)
{
    if (!text) {
        return cli_complain("out of memory");
    }
    fputs(text, stdout);
    free(text);
    return CLI_HELD;
}

static int check_run(const cli_options *options)
{
    if (options->schema || options->reference) {
        return print_owned(options->schema ? cb_design_json_schema() : cb_design_reference());
    }
    if (options->materials) {
        cli_materials_print(options);
        return CLI_HELD;
    }
    cli_inputs inputs = {0};
    cb_units *units;
    cb_error error = {0};
    int result;
    if (cb_units_create(&units, &error) != CB_OK ||
        cli_inputs_open(&inputs, options, units, &error) != CB_OK) {
        result = cli_fail(options, &error);
    } else {
        result = explain_part(&inputs, options);
    }
    cb_inputs_close(&inputs);
    cb_units_destroy(units);
    return result;
}

const cli_command cli_check = {
    .name = "check",
    .operand = "FILE",
    .summary = "explain a design without simulating it",
    .details =
        "Reads the design in FILE and its weather and prints what they come to: lengths,\n"
        "volumes, flows, Reynolds numbers, loads, every assumption with its source, and\n"
        "cautions. Nothing is simulated and nothing is written.\n"
        "\n"
        "With --ground the undisturbed ground is settled under the typical weather and\n"
        "stepped through the whole run, without the field (some seconds), and printed by\n"
        "depth: mean, amplitude, coldest day, lowest and highest daily mean; with frost\n"
        "depth, snow and the cover's properties. What it comes to without snow:\n"
        "  coilbed check --ground --set ground.surface.snow_kept='0 %' FILE\n"
        "\n"
        "With --sizing the house's design loads are set against the units, the air and the\n"
        "loop: how far the units are over or under size, what backup is needed, airflow,\n"
        "pipe per ton, for how many hours of the year the house asks for how much, and what the\n"
        "same loads would take by other means.\n"
        "\n"
        "With --fluid the mixture's density, heat capacity, conductivity, viscosity and\n"
        "freezing point are printed instead, and the concentration that the coldest fluid\n"
        "needs with the wanted margin, by mass and by volume.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_JSON | CLI_TAKES_SCHEMA |
             CLI_TAKES_GROUND | CLI_TAKES_SIZING | CLI_TAKES_FLUID,
    .run = check_run,
};
