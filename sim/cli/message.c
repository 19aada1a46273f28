// SPDX-License-Identifier: MIT
#include "cli/message.h"

#include <signal.h>
#include <stdarg.h>

int cli_exit_status(cb_status status)
{
    switch (status) {
        case CB_OK:
            return CLI_HELD;
        case CB_BAD_INPUT:
            return CLI_INVALID;
        case CB_NUMERICS:
            return CLI_UNSOLVED;
        case CB_IO:
        case CB_NO_MEMORY:
        case CB_STOPPED:
        case CB_BAD_CALL:
            break;
    }
    return CLI_FAILED;
}

static const struct {
    int status;
    const char *meaning;
} exit_row[] = {
    {CLI_HELD, "done; if a run was judged, all its limits held"},
    {CLI_FAILED, "wrong usage, or a file could not be read or written"},
    {CLI_INVALID, "the design or the weather is invalid"},
    {CLI_BROKEN, "the run finished and a limit was broken"},
    {CLI_UNSOLVED, "the numerics failed, or the run is not whole; what was computed is kept"},
    {CLI_SIGNAL + SIGINT, "stopped by Ctrl-C; a file begun is readable and marked incomplete"},
    {CLI_SIGNAL + SIGTERM, "told to end; a file begun is readable and marked incomplete"},
};
enum { EXIT_ROWS = sizeof exit_row / sizeof *exit_row };

const char *cli_exit_meaning(int status)
{
    for (size_t i = 0; i < EXIT_ROWS; i++) {
        if (exit_row[i].status == status) {
            return exit_row[i].meaning;
        }
    }
    return "unknown";
}

void cli_exit_statuses(FILE *stream)
{
    fputs("\nExit status:\n", stream);
    for (size_t i = 0; i < EXIT_ROWS; i++) {
        fprintf(stream, "  %-4d %s\n", exit_row[i].status, exit_row[i].meaning);
    }
}

int cli_report(const cb_error *error)
{
    const char *message = error->message[0] ? error->message : cb_status_text(error->status);
    if (!error->file[0]) {
        fprintf(stderr, "coilbed: %s\n", message);
    } else if (error->line <= 0) {
        fprintf(stderr, "%s: %s\n", error->file, message);
    } else if (error->column <= 0) {
        fprintf(stderr, "%s:%d: %s\n", error->file, error->line, message);
    } else {
        fprintf(stderr, "%s:%d:%d: %s\n", error->file, error->line, error->column, message);
    }
    return cli_exit_status(error->status);
}

int cli_complain(const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    fputs("coilbed: ", stderr);
    vfprintf(stderr, format, arguments);
    fputc('\n', stderr);
    va_end(arguments);
    return CLI_FAILED;
}
