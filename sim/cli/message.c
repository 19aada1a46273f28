// SPDX-License-Identifier: MIT
#include "cli/message.h"

#include <stdarg.h>
#include <stdio.h>

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
