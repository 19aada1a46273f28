// SPDX-License-Identifier: MIT
/// Cases for the commands that need several.
#ifndef CLI_CASES_H
#define CLI_CASES_H

#include "cli/options.h"
#include "cli/watch.h"

/// What all cases of a command share. cli_cases_close is needed in every case.
typedef struct cli_cases {
    const cli_options *options;
    cb_units *units;
    char *cache; ///< NULL: the environment names no place for one
    cli_progress progress;
    cb_watch watch;
} cli_cases;

cb_status cli_cases_open(cli_cases *cases, const cli_options *options, cb_error *error);
void cli_cases_close(cli_cases *cases);

/// Runs a design, or takes it from the cache, and says on standard error which and why (`what`).
cb_status cli_cases_run(cb_case **out, cli_cases *cases, const cb_case_source *source,
                        const char *what, cb_error *error);

/// Reports a failure, or that a signal stopped the command. Returns the exit status.
int cli_cases_fail(const cli_cases *cases, const cb_error *error);

#endif
