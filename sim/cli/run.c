// SPDX-License-Identifier: MIT
#include "cli/failure.h"
#include "cli/inputs.h"
#include "cli/message.h"
#include "cli/output.h"
#include "cli/resume.h"
#include "cli/show.h"
#include "cli/watch.h"

#include <stdlib.h>

enum { DAY_HOURS = 24 };

/// What became of a run.
typedef struct outcome {
    cb_status status; ///< of the run; CB_OK: it came to its end
    cb_error error;   ///< explains a status other than CB_OK
    cb_simulated file;
} outcome;

static void explain_stop(outcome *result)
{
    if (result->status == CB_STOPPED && cli_signal_caught() != 0 && result->file.written) {
        cb_fail(&result->error, CB_STOPPED, "stopped after %ld simulated days",
                result->file.hours_written / DAY_HOURS);
    }
}

static int failed_status(const outcome *result)
{
    if (result->status == CB_OK) {
        return CLI_HELD;
    }
    return result->status == CB_STOPPED && cli_signal_caught() != 0
               ? CLI_SIGNAL + cli_signal_caught()
               : cli_exit_status(result->status);
}

static int conclude(const outcome *result, const char *path, const cli_options *options,
                    const cb_units *units)
{
    int status = failed_status(result);
    const bool judged = result->file.written && result->file.hours_written >= DAY_HOURS;
    if (status != CLI_HELD && judged) {
        cli_report(&result->error); // standard output is for the findings
    } else if (status != CLI_HELD) {
        cli_fail_with(options, &result->error, status);
    }
    if (judged) {
        status = cli_show_findings(path, options, units, true, status);
    }
    if (result->file.written && !options->quiet) {
        fprintf(options->json ? stderr : stdout, "\nThe run is in %s%s.\n", path,
                result->status == CB_OK ? "" : ", marked incomplete");
    }
    if (result->file.resumable && result->status == CB_STOPPED && !options->quiet) {
        cli_tell_resume(options, path, options->json ? stderr : stdout);
    }
    return status;
}

static int run_to(const char *path, const cli_inputs *inputs, const cli_options *options,
                  const cb_units *units)
{
    cb_error error = {0};
    if ((options->resume && cli_resume_allowed(path, &error) != CB_OK) ||
        cli_output_allowed(path, inputs->design, options->force, &error) != CB_OK) {
        return cli_fail(options, &error);
    }
    cli_progress progress = {.quiet = options->quiet};
    const cb_watch watch = cli_watch_on(&progress);
    const cb_simulation what = {.inputs = inputs,
                                .path = path,
                                .resume = options->resume,
                                .libraries = COILBED_LIBRARIES,
                                .watch = &watch};
    outcome result = {0};
    cli_catch_signals();
    result.status = cb_simulate(&what, &result.file, &result.error);
    cli_progress_end(&progress);
    explain_stop(&result);
    return conclude(&result, path, options, units);
}

static int run_run(const cli_options *options)
{
    cli_inputs inputs = {0};
    cb_units *units;
    cb_error error = {0};
    char *path = NULL;
    cb_status status = cb_units_create(&units, &error);
    if (status == CB_OK) {
        status = cli_inputs_open(&inputs, options, units, &error);
    }
    if (status == CB_OK) {
        path = cli_output_path(options, ".h5");
        if (!path) {
            cb_fail(&error, CB_NO_MEMORY, "out of memory");
        }
    }
    const int result = path ? run_to(path, &inputs, options, units) : cli_fail(options, &error);
    free(path);
    cb_inputs_close(&inputs);
    cb_units_destroy(units);
    return result;
}

const cli_command cli_run = {
    .name = "run",
    .operand = "FILE",
    .summary = "simulate a design and judge it",
    .details = "Simulates the design in FILE, writes every hour to an HDF5 file and prints the\n"
               "findings. Without -o the file is named after the design, with .h5, in the\n"
               "current folder. An earlier run of that name is replaced; any other file only\n"
               "with --force, and an input of the run never. Ctrl-C closes the file in good\n"
               "order, marked incomplete, and judges what there is; while the ground settles, at\n"
               "the start, nothing is written yet and an earlier run stays as it was. A second\n"
               "Ctrl-C ends at once. Progress goes to standard error.\n"
               "\n"
               "With --resume an interrupted run goes on from its last whole month and ends in\n"
               "the same values as one that was never interrupted. It needs the same design,\n"
               "--set options, weather and version of coilbed; anything else is refused.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_OUTPUT | CLI_TAKES_JSON | CLI_TAKES_QUIET |
             CLI_TAKES_VERBOSE,
    .run = run_run,
};
