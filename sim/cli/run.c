// SPDX-License-Identifier: MIT
#include "cli/failure.h"
#include "cli/inputs.h"
#include "cli/message.h"
#include "cli/output.h"
#include "cli/resume.h"
#include "cli/show.h"
#include "cli/terminal.h"
#include "coilbed/record.h"

#include <signal.h>
#include <stdlib.h>

enum { DAY_HOURS = 24 };

static volatile sig_atomic_t stop_signal;

static void note_signal(int number)
{
    stop_signal = number;
}

/// The first signal ends the run in good order; SA_RESETHAND lets the second end it at once.
static void catch_signals(void)
{
    struct sigaction action = {.sa_handler = note_signal, .sa_flags = (int)SA_RESETHAND};
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
}

/// The record's sink with the progress line and the stop signal around it.
typedef struct watched_sink {
    cb_sink record;
    cli_progress *progress;
    long hours_done;
    bool resumable; ///< a month's end is in the file
} watched_sink;

static cb_status watched_hour(void *context, const cb_hour *hour, cb_error *error)
{
    watched_sink *sink = context;
    const cb_status status =
        sink->record.hour ? sink->record.hour(sink->record.context, hour, error) : CB_OK;
    if (status == CB_OK) {
        sink->hours_done = hour->run_hour + 1;
        if (sink->hours_done % DAY_HOURS == 0) {
            cli_progress_hours(sink->progress, sink->hours_done);
        }
    }
    return status;
}

static cb_status watched_day(void *context, const cb_day *day, cb_error *error)
{
    const watched_sink *sink = context;
    return sink->record.day ? sink->record.day(sink->record.context, day, error) : CB_OK;
}

static cb_status watched_month(void *context, const cb_checkpoint *checkpoint, cb_error *error)
{
    watched_sink *sink = context;
    const cb_status status =
        sink->record.month ? sink->record.month(sink->record.context, checkpoint, error) : CB_OK;
    sink->resumable = sink->resumable || status == CB_OK;
    return status;
}

static bool stop_asked(void *context)
{
    (void)context;
    return stop_signal != 0;
}

/// What became of a run.
typedef struct outcome {
    cb_status status;   ///< of the run; CB_OK: it came to its end
    cb_error error;     ///< explains a status other than CB_OK
    bool written;       ///< the file exists and was closed in good order
    long hours_written; ///< hours handed to the record, now or before
    bool resumable;     ///< a later run can go on from the file
} outcome;

/// The file of a run, and where the run begins in it.
typedef struct target {
    const char *path;
    bool resume;
    cb_record *record;
    cb_checkpoint from; ///< if resume
} target;

/// Runs the engine into the record and closes it, whatever happened in between.
static void simulate_into(const target *to, cb_engine *engine, cli_progress *progress,
                          outcome *result)
{
    cb_record *record = to->record;
    watched_sink watched = {.record = cb_record_sink(record),
                            .progress = progress,
                            .hours_done = to->from.hours_done,
                            .resumable = to->resume};
    const cb_sink sink = {.context = &watched,
                          .hour = watched_hour,
                          .day = watched_day,
                          .month = watched_month,
                          .stop = stop_asked};
    cb_quality quality = {0};
    result->status =
        cb_engine_run(engine, &sink, to->resume ? &to->from : NULL, &quality, &result->error);
    result->hours_written = watched.hours_done;
    result->resumable = watched.resumable;

    cb_error finish_error = {0};
    const cb_status finish =
        cb_record_finish(record, &quality, result->status == CB_OK, &finish_error);
    cb_record_close(record);
    result->written = finish == CB_OK;
    if (finish != CB_OK && (result->status == CB_OK || result->status == CB_STOPPED)) {
        result->status = finish;
        result->error = finish_error;
    }
}

static cb_status open_record(target *to, const cli_inputs *inputs, const cb_engine *engine,
                             cb_error *error)
{
    const cb_record_header header = {.design = inputs->design,
                                     .weather = inputs->weather,
                                     .run_weather = inputs->run_weather,
                                     .sections = cb_engine_sections(engine),
                                     .undisturbed_c = cb_engine_undisturbed_c(engine),
                                     .ground = cb_engine_ground_summary(engine),
                                     .freeze_c = inputs->fluid.freeze_c,
                                     .libraries = COILBED_LIBRARIES};
    return to->resume ? cb_record_resume(&to->record, to->path, &header, &to->from, error)
                      : cb_record_create(&to->record, to->path, &header, error);
}

static void simulate(const cli_inputs *inputs, target *to, cli_progress *progress, outcome *result)
{
    cb_engine *engine;
    cli_progress_stage(progress, "settling the undisturbed ground");
    result->status = cb_engine_create(&engine, inputs->design, inputs->run_weather, inputs->house,
                                      &result->error);
    if (result->status == CB_OK && stop_signal != 0) {
        result->status =
            cb_fail(&result->error, CB_STOPPED,
                    "stopped while the ground settled, before the first hour; nothing was written");
    }
    if (result->status == CB_OK) {
        result->status = open_record(to, inputs, engine, &result->error);
    }
    if (result->status == CB_OK) {
        if (to->resume) {
            cli_progress_resume(progress, to->from.hours_done);
        }
        simulate_into(to, engine, progress, result);
    }
    cb_engine_destroy(engine);
    cli_progress_end(progress);
}

static void explain_stop(outcome *result)
{
    if (result->status == CB_STOPPED && stop_signal != 0 && result->written) {
        cb_fail(&result->error, CB_STOPPED, "stopped after %ld simulated days",
                result->hours_written / DAY_HOURS);
    }
}

static int failed_status(const outcome *result)
{
    if (result->status == CB_OK) {
        return CLI_HELD;
    }
    return result->status == CB_STOPPED && stop_signal != 0 ? CLI_SIGNAL + (int)stop_signal
                                                            : cli_exit_status(result->status);
}

static int conclude(const outcome *result, const char *path, const cli_options *options,
                    const cb_units *units)
{
    int status = failed_status(result);
    const bool judged = result->written && result->hours_written >= DAY_HOURS;
    if (status != CLI_HELD && judged) {
        cli_report(&result->error); // standard output is for the findings
    } else if (status != CLI_HELD) {
        cli_fail_with(options, &result->error, status);
    }
    if (judged) {
        status = cli_show_findings(path, options, units, true, status);
    }
    if (result->written && !options->quiet) {
        fprintf(options->json ? stderr : stdout, "\nThe run is in %s%s.\n", path,
                result->status == CB_OK ? "" : ", marked incomplete");
    }
    if (result->resumable && result->status == CB_STOPPED && !options->quiet) {
        cli_tell_resume(options, path, options->json ? stderr : stdout);
    }
    return status;
}

static int run_to(const char *path, const cli_inputs *inputs, const cli_options *options)
{
    cb_error error = {0};
    if ((options->resume && cli_resume_allowed(path, &error) != CB_OK) ||
        cli_output_allowed(path, inputs->design, options->force, &error) != CB_OK) {
        return cli_fail(options, &error);
    }
    target to = {.path = path, .resume = options->resume};
    cli_progress progress;
    outcome result = {0};
    catch_signals();
    cli_progress_start(&progress, &inputs->design->run, options->quiet);
    simulate(inputs, &to, &progress, &result);
    explain_stop(&result);
    return conclude(&result, path, options, inputs->units);
}

static int run_run(const cli_options *options)
{
    cli_inputs inputs;
    cb_error error = {0};
    char *path = NULL;
    if (cli_inputs_open(&inputs, options, &error) == CB_OK) {
        path = cli_output_path(options, ".h5");
        if (!path) {
            cb_fail(&error, CB_NO_MEMORY, "out of memory");
        }
    }
    const int result = path ? run_to(path, &inputs, options) : cli_fail(options, &error);
    free(path);
    cli_inputs_close(&inputs);
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
