// SPDX-License-Identifier: MIT
/// The end of a command that could not do what it was asked.
#ifndef CLI_FAILURE_H
#define CLI_FAILURE_H

#include "cli/options.h"

/// Reports the error and, with --json, prints it as the one JSON object on standard output. Returns
/// the exit status that the error leads to.
int cli_fail(const cli_options *options, const cb_error *error);

/// As cli_fail, with an exit status of its own (a run stopped by a signal).
int cli_fail_with(const cli_options *options, const cb_error *error, int status);

#endif
