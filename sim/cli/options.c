// SPDX-License-Identifier: MIT
#include "cli/options.h"

#include "cli/message.h"
#include "cli/option_table.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

enum {
    OPTION_SET = CLI_NO_LETTER,
    OPTION_JSON,
    OPTION_FORCE,
    OPTION_RESUME,
    OPTION_GROUND,
    OPTION_SIZING,
    OPTION_ENERGY,
    OPTION_FLUID,
    OPTION_SCHEMA,
    OPTION_REFERENCE,
    OPTION_MATERIALS,
    OPTION_CSV,
    OPTION_VARY,
    OPTION_BETWEEN,
    OPTION_HOLD,
    OPTION_MARGIN,
    OPTION_STEP,
    OPTION_MOST,
    OPTION_OF,
    OPTION_INTO
};

static const cli_option entries[] = {
    {"units", "us|si", "units of what is printed (default us)", 'u', CLI_TAKES_UNITS},
    {"set", "PATH=VALUE", "override one value of the design; may be repeated", OPTION_SET,
     CLI_TAKES_SET},
    {"output", "OUT.h5", "write the run to this file", 'o', CLI_TAKES_OUTPUT},
    {"output", "PAGE", "write the page to this file (default: OUT.html)", 'o', CLI_TAKES_PAGE},
    {"csv", "DIR", "write tables for spreadsheets into this folder", OPTION_CSV, CLI_TAKES_PAGE},
    {"output", "TABLE.h5", "write the table to this HDF5 file too", 'o', CLI_TAKES_TABLE},
    {"csv", "FILE", "write the table for spreadsheets to this file too", OPTION_CSV,
     CLI_TAKES_TABLE},
    {"vary", "PATH", "the value to find, e.g. field.length", OPTION_VARY, CLI_TAKES_SEARCH},
    {"between", "LOW..HIGH", "where to look for it, e.g. '100 ft..250 ft'", OPTION_BETWEEN,
     CLI_TAKES_SEARCH},
    {"hold", "FINDING", "the finding that must hold (default freeze_margin)", OPTION_HOLD,
     CLI_TAKES_SEARCH},
    {"margin", "VALUE", "by how much it must hold, e.g. '2 delta_degF' (default 0)", OPTION_MARGIN,
     CLI_TAKES_SEARCH},
    {"most", NULL, "find the largest value that holds, not the least", OPTION_MOST,
     CLI_TAKES_SEARCH},
    {"step", "VALUE", "how closely to find it (default a 50th of the range)", OPTION_STEP,
     CLI_TAKES_SEARCH},
    {"of", "NUMBER", "the headline number to look at (default freeze_margin)", OPTION_OF,
     CLI_TAKES_EFFECT},
    {"into", "RUN.h5", "keep it in this run of the same design, for its findings", OPTION_INTO,
     CLI_TAKES_EFFECT},
    {"step-factor", "NUMBER", "all steps times this (default 1)", OPTION_STEP, CLI_TAKES_EFFECT},
    {"force", NULL, "replace an output file that is not of coilbed", OPTION_FORCE,
     CLI_TAKES_OUTPUT | CLI_TAKES_TABLE},
    {"resume", NULL, "go on with an interrupted run from its last whole month", OPTION_RESUME,
     CLI_TAKES_OUTPUT},
    {"json", NULL, "print one JSON object, values in SI", OPTION_JSON, CLI_TAKES_JSON},
    {"ground", NULL, "settle the undisturbed ground and print it by depth instead", OPTION_GROUND,
     CLI_TAKES_GROUND},
    {"energy", NULL, "print where the electricity went, by month, and other means instead",
     OPTION_ENERGY, CLI_TAKES_ENERGY},
    {"sizing", NULL, "set the house's loads against units, air and loop instead", OPTION_SIZING,
     CLI_TAKES_SIZING},
    {"fluid", NULL, "print the fluid's properties and what its coldest needs instead", OPTION_FLUID,
     CLI_TAKES_FLUID},
    {"schema", NULL, "print the JSON Schema of the design file and stop", OPTION_SCHEMA,
     CLI_TAKES_SCHEMA},
    {"reference", NULL, "print every key of the design file as Markdown and stop", OPTION_REFERENCE,
     CLI_TAKES_SCHEMA},
    {"materials", NULL, "print the table of ground materials and stop", OPTION_MATERIALS,
     CLI_TAKES_SCHEMA},
    {"quiet", NULL, "print only what was asked for and what is wrong", 'q', CLI_TAKES_QUIET},
    {"verbose", NULL, "add how the numbers were obtained", 'v', CLI_TAKES_VERBOSE},
    {"help", NULL, "print this and stop", 'h', 0},
    {"version", NULL, "print the version and stop", 'V', 0},
};

static cli_option_table table_of(const cli_command *command)
{
    return (cli_option_table){.command = command->name,
                              .option = entries,
                              .count = sizeof entries / sizeof *entries,
                              .takes = command->takes};
}

bool cli_options_units(cli_options *options, const char *text)
{
    if (strcmp(text, "us") == 0) {
        options->units = CB_UNITS_US;
    } else if (strcmp(text, "si") == 0) {
        options->units = CB_UNITS_SI;
    } else {
        cli_complain("--units '%s': write us or si", text);
        return false;
    }
    return true;
}

bool cli_options_set(cli_options *options, const char *text)
{
    const char *equals = strchr(text, '=');
    if (!equals || equals == text) {
        cli_complain("--set '%s': write PATH=VALUE, e.g. --set 'field.depth=6 ft'", text);
        return false;
    }
    cb_override *larger = realloc(options->set, (options->set_count + 1) * sizeof *larger);
    if (!larger) {
        cli_complain("out of memory");
        return false;
    }
    options->set = larger;
    char *copy = strdup(text);
    if (!copy) {
        cli_complain("out of memory");
        return false;
    }
    copy[equals - text] = '\0';
    options->set[options->set_count++] =
        (cb_override){.path = copy, .value = copy + (equals - text) + 1};
    return true;
}

/// Options that are kept as they were given.
static const struct {
    int code;
    size_t offset;
    const char *complaint;
} kept[] = {
    {'o', offsetof(cli_options, output), "-o: the name of the file is empty"},
    {OPTION_CSV, offsetof(cli_options, csv), "--csv: the name is empty"},
    {OPTION_VARY, offsetof(cli_options, vary), "--vary: the path is empty"},
    {OPTION_BETWEEN, offsetof(cli_options, between), "--between: the range is empty"},
    {OPTION_HOLD, offsetof(cli_options, hold), "--hold: the finding's name is empty"},
    {OPTION_MARGIN, offsetof(cli_options, margin), "--margin: the value is empty"},
    {OPTION_STEP, offsetof(cli_options, step), "the step is empty"},
    {OPTION_INTO, offsetof(cli_options, into), "--into: the name of the file is empty"},
    {OPTION_OF, offsetof(cli_options, of), "--of: the number's name is empty"},
};

/// True if the option is one of those; *good: and it was not empty.
static bool keep_text(cli_options *options, int code, const char *argument, bool *good)
{
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++) {
        if (kept[i].code == code) {
            *good = *argument != '\0';
            if (!*good) {
                cli_complain("%s", kept[i].complaint);
            }
            *(const char **)((char *)options + kept[i].offset) = argument;
            return true;
        }
    }
    return false;
}

static bool read_one(void *context, int code, const char *argument)
{
    cli_options *options = context;
    bool good;
    if (keep_text(options, code, argument, &good)) {
        return good;
    }
    switch (code) {
        case 'u':
            return cli_options_units(options, argument);
        case OPTION_SET:
            return cli_options_set(options, argument);
        case OPTION_FORCE:
            options->force = true;
            break;
        case OPTION_RESUME:
            options->resume = true;
            break;
        case OPTION_MOST:
            options->most = true;
            break;
        case OPTION_JSON:
            options->json = true;
            break;
        case OPTION_GROUND:
            options->ground = true;
            break;
        case OPTION_ENERGY:
            options->energy = true;
            break;
        case OPTION_SIZING:
            options->sizing = true;
            break;
        case OPTION_FLUID:
            options->fluid = true;
            break;
        case OPTION_SCHEMA:
            options->schema = true;
            break;
        case OPTION_REFERENCE:
            options->reference = true;
            break;
        case OPTION_MATERIALS:
            options->materials = true;
            break;
        case 'q':
            options->quiet = true;
            break;
        case 'v':
            options->verbose = true;
            break;
        case 'h':
            options->help = true;
            break;
        default: // 'V', the only one left
            options->version = true;
            break;
    }
    return true;
}

static bool are_at_odds(const cli_options *options, const cli_command *command)
{
    if (options->resume && options->force) {
        cli_complain("%s: --resume goes on with a run and --force replaces it; give one of them",
                     command->name);
        return true;
    }
    if (options->ground + options->fluid + options->sizing > 1) {
        cli_complain("%s: --ground, --fluid and --sizing each print a page of their own; give one",
                     command->name);
        return true;
    }
    return false;
}

static bool count_operands(const cli_options *options, const cli_command *command)
{
    const bool many = (command->takes & CLI_TAKES_MANY) != 0;
    const bool none_needed = options->schema || options->reference || options->materials;
    const bool several = many || (command->takes & CLI_TAKES_SEVERAL) != 0;
    if (!several && options->operand_count > 1) {
        cli_complain("%s: one %s at a time, '%s' is too much", command->name, command->operand,
                     options->operands[1]);
        return false;
    }
    if (!none_needed && options->operand_count < (many ? 2u : 1u)) {
        cli_complain("%s: %s is missing; usage: coilbed %s [options] %s", command->name,
                     many && options->operand_count == 1 ? "something to compare with"
                                                         : command->operand,
                     command->name, command->operand);
        return false;
    }
    return true;
}

static bool read_operands(cli_options *options, const cli_command *command, int argc, char **argv,
                          int rest)
{
    if (options->help || options->version) {
        return true;
    }
    options->operands = argv + rest;
    options->operand_count = rest < argc ? (size_t)(argc - rest) : 0;
    if (are_at_odds(options, command) || !count_operands(options, command)) {
        return false;
    }
    for (size_t i = 0; i < options->operand_count; i++) {
        if (!*options->operands[i]) {
            cli_complain("%s: the name of %s is empty", command->name, command->operand);
            return false;
        }
    }
    options->operand = options->operand_count > 0 ? options->operands[0] : NULL;
    return true;
}

bool cli_options_read(cli_options *options, const cli_command *command, int argc, char **argv)
{
    const cli_option_table table = table_of(command);
    int rest = 0;
    *options = (cli_options){.units = CB_UNITS_US};
    return cli_option_table_read(&table, argc, argv, read_one, options, &rest) &&
           read_operands(options, command, argc, argv, rest);
}

void cli_options_free(cli_options *options)
{
    for (size_t i = 0; i < options->set_count; i++) {
        free((char *)options->set[i].path); // path and value are one allocation
    }
    free(options->set);
    options->set = NULL;
    options->set_count = 0;
}

void cli_command_help(const cli_command *command, FILE *stream)
{
    const cli_option_table table = table_of(command);
    cli_option_table_help(&table, command->operand, command->details, 18, stream);
}
