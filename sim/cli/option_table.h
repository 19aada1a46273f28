// SPDX-License-Identifier: MIT
/// One table of options per family of commands: read by getopt_long and shown by --help.
#ifndef CLI_OPTION_TABLE_H
#define CLI_OPTION_TABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

enum { CLI_NO_LETTER = 256 }; ///< codes from here on have no short form

typedef struct cli_option {
    const char *name;
    const char *argument; ///< as shown in help; NULL if it takes none
    const char *help;
    int code;       ///< the letter of the short form, or a number of CLI_NO_LETTER or more
    unsigned needs; ///< bits of which the command must take one; 0: all commands have the option
} cli_option;

/// A command's share of a table.
typedef struct cli_option_table {
    const char *command;      ///< as typed after coilbed
    const cli_option *option; ///< [count]
    size_t count;
    unsigned takes;
} cli_option_table;

/// Reads the options in argv[1 ..] (argv[0] is the command), handing each to take, which says what
/// is wrong and returns false to stop. *rest is the first operand's place in argv, which is
/// reordered. On failure says why on standard error and returns false.
bool cli_option_table_read(const cli_option_table *table, int argc, char **argv,
                           bool (*take)(void *context, int code, const char *argument),
                           void *context, int *rest);

/// Usage, details and the command's options, their names in a column this wide.
void cli_option_table_help(const cli_option_table *table, const char *operand, const char *details,
                           int width, FILE *stream);

#endif
