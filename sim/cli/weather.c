// SPDX-License-Identifier: MIT
#include "cli/weather.h"

#include "cli/message.h"
#include "coilbed/version.h"

#include <string.h>

enum { SUBCOMMANDS = 5 };
static const cli_weather_command *const subcommand[SUBCOMMANDS] = {
    &cli_weather_check, &cli_weather_describe, &cli_weather_convert, &cli_weather_generate,
    &cli_weather_shape};

static void print_help(FILE *stream)
{
    fputs("usage: coilbed weather SUBCOMMAND [options] FILE\n\n"
          "Looks at weather, turns it into a plain hourly CSV, makes a year from monthly\n"
          "normals, and shows what a run makes of it.\n\n"
          "Subcommands:\n",
          stream);
    for (int i = 0; i < SUBCOMMANDS; i++) {
        fprintf(stream, "  %-9s %-14s %s\n", subcommand[i]->name, subcommand[i]->operand,
                subcommand[i]->summary);
    }
    fputs("\n  --help: of one subcommand, with an example\n", stream);
    cli_exit_statuses(stream);
}

static int run(const cli_weather_command *command, int argc, char **argv)
{
    cli_weather_options options;
    int result = CLI_FAILED;
    if (cli_weather_options_read(&options, command, argc, argv)) {
        result = CLI_HELD;
        if (options.common.help) {
            cli_weather_command_help(command, stdout);
            cli_exit_statuses(stdout);
        } else if (options.common.version) {
            puts("coilbed " CB_VERSION);
        } else {
            result = command->run(&options);
        }
    }
    cli_weather_options_free(&options);
    return result;
}

static int weather_dispatch(int argc, char **argv)
{
    if (argc < 2) {
        print_help(stderr);
        return CLI_FAILED;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        print_help(stdout);
        return CLI_HELD;
    }
    if (strcmp(argv[1], "--version") == 0 || strcmp(argv[1], "-V") == 0) {
        puts("coilbed " CB_VERSION);
        return CLI_HELD;
    }
    for (int i = 0; i < SUBCOMMANDS; i++) {
        if (strcmp(subcommand[i]->name, argv[1]) == 0) {
            return run(subcommand[i], argc - 1, argv + 1);
        }
    }
    return cli_complain("weather: '%s' is not a subcommand; expected check, describe, convert, "
                        "generate or shape; see coilbed weather --help",
                        argv[1]);
}

const cli_command cli_weather = {
    .name = "weather",
    .operand = "...",
    .summary = "check, describe, convert, generate and shape weather",
    .dispatch = weather_dispatch,
};
