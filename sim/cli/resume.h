// SPDX-License-Identifier: MIT
/// Going on with an interrupted run.
#ifndef CLI_RESUME_H
#define CLI_RESUME_H

#include "cli/options.h"

/// CB_IO, saying how a run is begun, unless there is something at `path`.
cb_status cli_resume_allowed(const char *path, cb_error *error);

/// Prints the command that goes on with the run in `path`, as one line for a shell.
void cli_tell_resume(const cli_options *options, const char *path, FILE *stream);

#endif
