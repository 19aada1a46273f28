// SPDX-License-Identifier: MIT
#include "cli/message.h"
#include "cli/options.h"
#include "cli/terminal.h"
#include "coilbed/version.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

enum { COMMAND_COUNT = 10 };
static const cli_command *const commands[COMMAND_COUNT] = {
    &cli_new,     &cli_check, &cli_run,  &cli_findings,    &cli_report_page,
    &cli_compare, &cli_vary,  &cli_size, &cli_sensitivity, &cli_weather};

static void print_help(FILE *stream)
{
    fputs("usage: coilbed COMMAND [options] FILE\n\n"
          "Simulates a buried-coil ground loop hour by hour for decades and says whether its\n"
          "water stays above the freeze point through a hard winter and after many years.\n\n"
          "Commands:\n",
          stream);
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        fprintf(stream, "  %-11s %-7s %s\n", commands[i]->name, commands[i]->operand,
                commands[i]->summary);
    }
    fputs("\n  --help, --version: of the program or of one command\n", stream);
    cli_exit_statuses(stream);
}

static const cli_command *find_command(const char *name)
{
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        if (strcmp(commands[i]->name, name) == 0) {
            return commands[i];
        }
    }
    return NULL;
}

static int run_command(const cli_command *command, int argc, char **argv)
{
    cli_options options;
    int result = CLI_FAILED;
    if (cli_options_read(&options, command, argc, argv)) {
        result = CLI_HELD;
        if (options.help) {
            cli_command_help(command, stdout);
            cli_exit_statuses(stdout);
        } else if (options.version) {
            puts("coilbed " CB_VERSION);
        } else {
            result = command->run(&options);
        }
    }
    cli_options_free(&options);
    return result;
}

static int dispatch(int argc, char **argv)
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
    const cli_command *command = find_command(argv[1]);
    if (!command) {
        return cli_complain("'%s' is not a command; see coilbed --help", argv[1]);
    }
    return command->dispatch ? command->dispatch(argc - 1, argv + 1)
                             : run_command(command, argc - 1, argv + 1);
}

int main(int argc, char **argv)
{
    // A reader that goes away must not kill a run half-way.
    const struct sigaction ignore = {.sa_handler = SIG_IGN};
    sigaction(SIGPIPE, &ignore, NULL);
    const int result = dispatch(argc, argv);
    errno = 0;
    const bool unwritten = fflush(stdout) != 0 || ferror(stdout);
    const int cause = errno;
    if (unwritten && !cli_reader_gone() && (result == CLI_HELD || result == CLI_BROKEN)) {
        return cli_complain("standard output could not be written: %s",
                            cause != 0 ? strerror(cause) : "write error");
    }
    return result;
}
