// SPDX-License-Identifier: MIT
#include "cli/option_table.h"

#include "cli/message.h"

#include <getopt.h>

enum { MOST_OPTIONS = 40, LETTERS = 2 * MOST_OPTIONS + 2, NAME_SIZE = 64 };

static bool taken(const cli_option *option, const cli_option_table *table)
{
    return option->needs == 0 || (option->needs & table->takes) != 0;
}

/// Fills both forms that getopt_long wants with the options this command takes.
static void fill_forms(const cli_option_table *table, struct option *longs, char *letters)
{
    *letters++ = ':'; // a missing argument is told from an unknown option
    for (size_t i = 0; i < table->count && i < MOST_OPTIONS; i++) {
        const cli_option *option = &table->option[i];
        if (!taken(option, table)) {
            continue;
        }
        const bool argument = option->argument != NULL;
        *longs++ = (struct option){.name = option->name,
                                   .has_arg = argument ? required_argument : no_argument,
                                   .val = option->code};
        if (option->code < CLI_NO_LETTER) {
            *letters++ = (char)option->code;
            if (argument) {
                *letters++ = ':';
            }
        }
    }
    *longs = (struct option){0};
    *letters = '\0';
}

/// getopt_long refused something: a letter is in optopt, a long option in the argument itself.
static void complain(const cli_option_table *table, bool no_value, char **argv)
{
    char letter[] = {'-', (char)optopt, '\0'};
    const bool is_letter = optopt > 0 && optopt < CLI_NO_LETTER && argv[optind - 1][1] != '-';
    cli_complain("%s: %s%s%s; see coilbed %s --help", table->command,
                 no_value ? "option " : "there is no option ",
                 is_letter ? letter : argv[optind - 1], no_value ? " needs a value" : " here",
                 table->command);
}

bool cli_option_table_read(const cli_option_table *table, int argc, char **argv,
                           bool (*take)(void *context, int code, const char *argument),
                           void *context, int *rest)
{
    struct option longs[MOST_OPTIONS + 1];
    char letters[LETTERS];
    fill_forms(table, longs, letters);
    opterr = 0;
    for (;;) {
        // The one thread of the program calls this, before anything else runs.
        // NOLINTNEXTLINE(concurrency-mt-unsafe)
        const int code = getopt_long(argc, argv, letters, longs, NULL);
        if (code == -1) {
            *rest = optind;
            return true;
        }
        if (code == '?' || code == ':') {
            complain(table, code == ':', argv);
            return false;
        }
        if (!take(context, code, optarg)) {
            return false;
        }
    }
}

void cli_option_table_help(const cli_option_table *table, const char *operand, const char *details,
                           int width, FILE *stream)
{
    fprintf(stream, "usage: coilbed %s [options] %s\n\n%s\nOptions:\n", table->command, operand,
            details);
    for (size_t i = 0; i < table->count; i++) {
        const cli_option *option = &table->option[i];
        if (!taken(option, table)) {
            continue;
        }
        char name[NAME_SIZE];
        snprintf(name, sizeof name, "--%s%s%s", option->name, option->argument ? " " : "",
                 option->argument ? option->argument : "");
        if (option->code < CLI_NO_LETTER) {
            fprintf(stream, "  -%c, %-*s %s\n", (char)option->code, width, name, option->help);
        } else {
            fprintf(stream, "      %-*s %s\n", width, name, option->help);
        }
    }
}
