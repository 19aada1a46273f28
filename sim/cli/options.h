// SPDX-License-Identifier: MIT
/// Commands and the options they share.
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include "coilbed/design.h"

#include <stdbool.h>
#include <stdio.h>

/// Which options a command takes; --help and --version are taken by all.
enum {
    CLI_TAKES_UNITS = 1 << 0,
    CLI_TAKES_SET = 1 << 1,
    CLI_TAKES_JSON = 1 << 2,
    CLI_TAKES_QUIET = 1 << 3,
    CLI_TAKES_VERBOSE = 1 << 4,
    CLI_TAKES_OUTPUT = 1 << 5, ///< -o, --force and --resume
    CLI_TAKES_SCHEMA = 1 << 6, ///< --schema, --reference and --materials, which need no operand
    CLI_TAKES_GROUND = 1 << 7,
    CLI_TAKES_SIZING = 1 << 8,
    CLI_TAKES_PAGE = 1 << 9, ///< -o for a page, and --csv
    CLI_TAKES_FLUID = 1 << 10,
    CLI_TAKES_MANY = 1 << 11,   ///< two operands or more
    CLI_TAKES_TABLE = 1 << 12,  ///< -o for a table, --csv for a file, and --force
    CLI_TAKES_SEARCH = 1 << 13, ///< --vary and what goes with it
    CLI_TAKES_EFFECT = 1 << 14, ///< --of, --into and --step-factor
    CLI_TAKES_ENERGY = 1 << 15,
    CLI_TAKES_SEVERAL = 1 << 16 ///< one operand or more
};

typedef struct cli_options {
    cb_unit_system units;
    bool json, quiet, verbose, force, resume, ground, sizing, fluid, energy, schema, reference,
        materials, help, version;
    const char *output;    ///< of -o; NULL if not given
    const char *csv;       ///< of --csv; NULL if not given
    const char *operand;   ///< the one file, or the first; NULL only where none is needed
    char *const *operands; ///< [operand_count] all of them, in argv
    size_t operand_count;
    const char *vary, *between, *hold, *margin, *step; ///< of `size`; NULL if not given
    bool most;
    const char *of, *into; ///< of `sensitivity`; NULL if not given
    cb_override *set;      ///< [set_count], owned; the strings in it too
    size_t set_count;
} cli_options;

typedef struct cli_command {
    const char *name;
    const char *csv;     ///< of --csv; NULL if not given
    const char *operand; ///< as shown in the usage line
    const char *summary; ///< one line of `coilbed --help`
    const char *details; ///< paragraphs of `coilbed COMMAND --help`
    unsigned takes;      ///< CLI_TAKES_...
    int (*run)(const cli_options *options);
    /// Instead of run, for a command with subcommands: argv[0] is its name.
    int (*dispatch)(int argc, char **argv);
} cli_command;

extern const cli_command cli_new, cli_check, cli_run, cli_findings, cli_report_page, cli_weather,
    cli_vary, cli_compare, cli_size, cli_sensitivity;

/// Reads argv[1 ..] of a command (argv[0] is its name). On failure says why on standard error and
/// returns false; cli_options_free is needed in both cases.
bool cli_options_read(cli_options *options, const cli_command *command, int argc, char **argv);
void cli_options_free(cli_options *options);

/// Take the argument of --units and of --set. On failure say why and return false.
bool cli_options_units(cli_options *options, const char *text);
bool cli_options_set(cli_options *options, const char *text);

/// Usage, details, the command's options and the exit statuses.
void cli_command_help(const cli_command *command, FILE *stream);

#endif
