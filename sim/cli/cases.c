// SPDX-License-Identifier: MIT
#include "cli/cases.h"

#include "cli/failure.h"
#include "cli/message.h"

#include <stdlib.h>

cb_status cli_cases_open(cli_cases *cases, const cli_options *options, cb_error *error)
{
    *cases = (cli_cases){.options = options, .progress = {.quiet = options->quiet}};
    cli_catch_signals();
    cases->cache = cb_case_usual_cache();
    return cb_units_create(&cases->units, error);
}

void cli_cases_close(cli_cases *cases)
{
    free(cases->cache);
    cb_units_destroy(cases->units);
}

cb_status cli_cases_run(cb_case **out, cli_cases *cases, const cb_case_source *source,
                        const char *what, cb_error *error)
{
    cases->watch = cli_watch_on(&cases->progress);
    const cb_case_order order = {.source = *source,
                                 .cache = cases->cache,
                                 .libraries = COILBED_LIBRARIES,
                                 .watch = &cases->watch};
    if (!cases->options->quiet) {
        fprintf(stderr, "%s\n", what);
    }
    const cb_status status = cb_case_run(out, &order, cases->units, error);
    cli_progress_end(&cases->progress);
    return status;
}

int cli_cases_fail(const cli_cases *cases, const cb_error *error)
{
    if (error->status == CB_STOPPED && cli_signal_caught() != 0) {
        cli_complain("stopped; what was finished is kept and will not be run again");
        return CLI_SIGNAL + cli_signal_caught();
    }
    return cli_fail(cases->options, error);
}
