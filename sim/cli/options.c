// SPDX-License-Identifier: MIT
#include "cli/options.h"

#include "cli/message.h"

#include <getopt.h>
#include <stdlib.h>
#include <string.h>

enum {
    OPTION_SET = 256,
    OPTION_JSON,
    OPTION_FORCE,
    OPTION_RESUME,
    OPTION_GROUND,
    OPTION_SCHEMA,
    OPTION_REFERENCE,
    OPTION_MATERIALS,
    LETTERS = 64
};

typedef struct option_entry {
    const char *name;
    const char *argument; ///< as shown in help; NULL if it takes none
    const char *help;
    int letter;     ///< short form, or one of OPTION_... where there is none
    unsigned needs; ///< CLI_TAKES_... the command must have; 0: all commands
} option_entry;

static const option_entry entries[] = {
    {"units", "us|si", "units of what is printed (default us)", 'u', CLI_TAKES_UNITS},
    {"set", "PATH=VALUE", "override one value of the design; may be repeated", OPTION_SET,
     CLI_TAKES_SET},
    {"output", "OUT.h5", "write the run to this file", 'o', CLI_TAKES_OUTPUT},
    {"force", NULL, "replace an output file that is not a run of coilbed", OPTION_FORCE,
     CLI_TAKES_OUTPUT},
    {"resume", NULL, "go on with an interrupted run from its last whole month", OPTION_RESUME,
     CLI_TAKES_OUTPUT},
    {"json", NULL, "print one JSON object, values in SI", OPTION_JSON, CLI_TAKES_JSON},
    {"ground", NULL, "settle the undisturbed ground and print it by depth instead", OPTION_GROUND,
     CLI_TAKES_GROUND},
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
enum { ENTRY_COUNT = sizeof entries / sizeof *entries };

static bool taken(const option_entry *entry, const cli_command *command)
{
    return entry->needs == 0 || (entry->needs & command->takes) != 0;
}

/// Fills both forms that getopt_long wants with the options this command takes.
static void getopt_tables(const cli_command *command, struct option *longs, char *letters)
{
    *letters++ = ':'; // a missing argument is told from an unknown option
    for (size_t i = 0; i < ENTRY_COUNT; i++) {
        if (!taken(&entries[i], command)) {
            continue;
        }
        const bool argument = entries[i].argument != NULL;
        *longs++ = (struct option){.name = entries[i].name,
                                   .has_arg = argument ? required_argument : no_argument,
                                   .val = entries[i].letter};
        if (entries[i].letter < OPTION_SET) {
            *letters++ = (char)entries[i].letter;
            if (argument) {
                *letters++ = ':';
            }
        }
    }
    *longs = (struct option){0};
    *letters = '\0';
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

static bool read_one(cli_options *options, int letter)
{
    switch (letter) {
        case 'u':
            return cli_options_units(options, optarg);
        case OPTION_SET:
            return cli_options_set(options, optarg);
        case 'o':
            if (!*optarg) {
                cli_complain("-o: the name of OUT.h5 is empty");
                return false;
            }
            options->output = optarg;
            break;
        case OPTION_FORCE:
            options->force = true;
            break;
        case OPTION_RESUME:
            options->resume = true;
            break;
        case OPTION_JSON:
            options->json = true;
            break;
        case OPTION_GROUND:
            options->ground = true;
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

/// getopt_long refused something: a letter is in optopt, a long option in the argument itself.
static bool refuse(const cli_command *command, int reason, char **argv)
{
    char letter[] = {'-', (char)optopt, '\0'};
    const bool is_letter = optopt > 0 && optopt < OPTION_SET && argv[optind - 1][1] != '-';
    const char *option = is_letter ? letter : argv[optind - 1];
    if (reason == ':') {
        cli_complain("%s: option %s needs a value; see coilbed %s --help", command->name, option,
                     command->name);
    } else {
        cli_complain("%s: there is no option %s here; see coilbed %s --help", command->name, option,
                     command->name);
    }
    return false;
}

static bool read_operand(cli_options *options, const cli_command *command, int argc, char **argv)
{
    if (options->help || options->version) {
        return true;
    }
    if (argc - optind > 1) {
        cli_complain("%s: one %s at a time, '%s' is too much", command->name, command->operand,
                     argv[optind + 1]);
        return false;
    }
    if (options->resume && options->force) {
        cli_complain("%s: --resume goes on with a run and --force replaces it; give one of them",
                     command->name);
        return false;
    }
    options->operand = optind < argc ? argv[optind] : NULL;
    if (options->operand && !*options->operand) {
        cli_complain("%s: the name of %s is empty", command->name, command->operand);
        return false;
    }
    if (!options->operand && !options->schema && !options->reference && !options->materials) {
        cli_complain("%s: %s is missing; usage: coilbed %s [options] %s", command->name,
                     command->operand, command->name, command->operand);
        return false;
    }
    return true;
}

bool cli_options_read(cli_options *options, const cli_command *command, int argc, char **argv)
{
    struct option longs[ENTRY_COUNT + 1];
    char letters[LETTERS];
    *options = (cli_options){.units = CB_UNITS_US};
    getopt_tables(command, longs, letters);
    opterr = 0;
    for (;;) {
        // The one thread of the program calls this, before anything else runs.
        // NOLINTNEXTLINE(concurrency-mt-unsafe)
        const int letter = getopt_long(argc, argv, letters, longs, NULL);
        if (letter == -1) {
            return read_operand(options, command, argc, argv);
        }
        if (letter == '?' || letter == ':') {
            return refuse(command, letter, argv);
        }
        if (!read_one(options, letter)) {
            return false;
        }
    }
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
    fprintf(stream, "usage: coilbed %s [options] %s\n\n%s\nOptions:\n", command->name,
            command->operand, command->details);
    for (size_t i = 0; i < ENTRY_COUNT; i++) {
        if (!taken(&entries[i], command)) {
            continue;
        }
        char name[LETTERS];
        snprintf(name, sizeof name, "--%s%s%s", entries[i].name, entries[i].argument ? " " : "",
                 entries[i].argument ? entries[i].argument : "");
        if (entries[i].letter < OPTION_SET) {
            fprintf(stream, "  -%c, %-18s %s\n", (char)entries[i].letter, name, entries[i].help);
        } else {
            fprintf(stream, "      %-18s %s\n", name, entries[i].help);
        }
    }
}
