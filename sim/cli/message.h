// SPDX-License-Identifier: MIT
/// Messages to standard error, and what a failure means for the exit status.
#ifndef CLI_MESSAGE_H
#define CLI_MESSAGE_H

#include "coilbed/status.h"

#include <stdio.h>

/// Exit statuses of the program. A run stopped by a signal ends with 128 + its number.
enum {
    CLI_HELD = 0,     ///< done; all limits held
    CLI_FAILED = 1,   ///< usage, input or output
    CLI_INVALID = 2,  ///< the design or weather is invalid
    CLI_BROKEN = 3,   ///< the run finished and a limit was broken
    CLI_UNSOLVED = 4, ///< the numerics failed, or the run is not whole
    CLI_SIGNAL = 128
};

/// Exit status that a library failure leads to.
int cli_exit_status(cb_status status);

/// What an exit status says, in a few words; never NULL.
const char *cli_exit_meaning(int status);

/// All of them, for the help of the program and its commands.
void cli_exit_statuses(FILE *stream);

/// Prints "file:line:column: message" and returns the exit status of the error.
int cli_report(const cb_error *error);

/// Prints "coilbed: message" and returns CLI_FAILED.
int cli_complain(const char *format, ...) __attribute__((format(printf, 1, 2)));

#endif
