// SPDX-License-Identifier: MIT
#include "cli/vary.h"

#include "base/clock.h"
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/output.h"
#include "cli/terminal.h"
#include "cli/watch.h"
#include "coilbed/dataset.h"
#include "coilbed/version.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool stop_asked(void *context)
{
    (void)context;
    return cli_signal_caught() != 0;
}

// ---- progress --------------------------------------------------------------------------------

typedef struct progress {
    bool quiet, terminal, begun;
    double start_s;
    size_t before, shown; ///< cases done when this process began; when a line was last printed
} progress;

static void show(void *context, size_t done, size_t failed, size_t wanted)
{
    enum { PLAIN_LINES = 10 };
    progress *p = context;
    if (!p->begun) {
        p->begun = true;
        p->start_s = cbx_clock_s();
        p->before = p->shown = done;
    }
    if (wanted == 0) { // a share of a study with fewer cases than shares
        return;
    }
    // Without a terminal, one line for each tenth.
    const bool tenth = done * PLAIN_LINES / wanted > p->shown * PLAIN_LINES / wanted;
    if (p->quiet || (!p->terminal && !tenth)) {
        return;
    }
    p->shown = done;
    char left[32] = "", failures[48] = "";
    if (done > p->before && done < wanted) {
        const double each = (cbx_clock_s() - p->start_s) / (double)(done - p->before);
        char text[32];
        snprintf(left, sizeof left, ", %s left",
                 cli_duration(each * (double)(wanted - done), text, sizeof text));
    }
    if (failed > 0) {
        snprintf(failures, sizeof failures, ", %zu failed", failed);
    }
    fprintf(stderr, "%s%zu of %zu cases done%s%s%s", p->terminal ? "\r\033[K" : "", done, wanted,
            failures, left, p->terminal ? "" : "\n");
}

static void end_progress(const progress *p)
{
    if (p->terminal && p->begun && !p->quiet) {
        fputs("\r\033[K", stderr);
    }
}

// ---- output ----------------------------------------------------------------------------------

static bool is_study(const char *path)
{
    char *scheme = NULL;
    const bool ok = cb_dataset_read_note(&scheme, path, "scheme", NULL) == CB_OK;
    free(scheme);
    return ok;
}

static bool same_file(const char *a, const char *b)
{
    struct stat first, second;
    return stat(a, &first) == 0 && stat(b, &second) == 0 && first.st_dev == second.st_dev &&
           first.st_ino == second.st_ino;
}

// An earlier study may be replaced, anything else only with --force and inputs never.
static cb_status allow_output(const char *path, const cb_study *study, bool force, cb_error *error)
{
    if (same_file(path, study->path)) {
        return cb_fail(error, CB_IO, "%s is the study itself; name another file with -o", path);
    }
    return cli_output_allowed(path, study->design, force || is_study(path), error);
}

// ---- the command -----------------------------------------------------------------------------

/// What became of the cases that were this process's to run.
typedef struct tally {
    size_t own, bad, lost; ///< bad: failed or lost
    size_t first;          ///< of the bad ones
} tally;

static tally count_cases(const cli_vary_options *options, const cb_study *study,
                         const cb_study_result *results)
{
    tally of = {0};
    for (size_t i = study->case_count; i-- > 0;) {
        if (options->shares > 0 && i % (size_t)options->shares != (size_t)options->share - 1) {
            continue;
        }
        of.own++;
        const cb_study_state state = results[i].state;
        if (state == CB_STUDY_FAILED || state == CB_STUDY_LOST) {
            of.bad++;
            of.lost += state == CB_STUDY_LOST;
            of.first = i;
        }
    }
    return of;
}

static bool print_study(const cli_vary_options *options, const cb_study *study,
                        const cb_study_result *results, const cli_vary_outcome *outcome)
{
    if (options->common.json) {
        return cli_vary_json(study, results, outcome, stdout);
    }
    const bool printed = cli_vary_print(study, results, options->common.units, stdout);
    if (printed && !options->common.quiet) {
        printf("\nThe study is in %s.\n", outcome->path);
    }
    return printed;
}

static int conclude(const cli_vary_options *options, const cb_study *study,
                    const cb_study_result *results, const char *path)
{
    const tally of = count_cases(options, study, results);
    const cli_vary_outcome outcome = {path, of.bad, of.bad > 0 ? CLI_UNSOLVED : CLI_HELD};
    if (options->shares == 0 && !print_study(options, study, results, &outcome)) {
        return cli_complain("out of memory");
    }
    if (of.bad > 0) {
        fprintf(stderr, "coilbed: %zu of %zu cases failed; the first is case %zu: %s\n", of.bad,
                of.own, of.first, results[of.first].message);
    }
    if (of.lost > 0) {
        fprintf(stderr, "coilbed: --resume runs again what was killed (%zu)\n", of.lost);
    }
    return outcome.status;
}

static void tell_plan(const cb_study *study)
{
    fputs(study->notices, stderr);
    if (study->indices) {
        fprintf(stderr,
                "%zu cases: %d samples, times the %zu values that vary and 2 more, for Sobol "
                "indices\n",
                study->case_count, study->samples, study->factor_count);
    }
}

static int run_study(const cli_vary_options *options, const cb_study *study, const char *path,
                     const cb_units *units)
{
    progress p = {.quiet = options->common.quiet, .terminal = isatty(STDERR_FILENO) == 1};
    const cb_study_watch watch = {.context = &p, .progress = show, .stop = stop_asked};
    const cb_study_job job = {.study = study,
                              .output = path,
                              .jobs = options->jobs,
                              .share = options->share,
                              .shares = options->shares,
                              .resume = options->common.resume,
                              .replace = options->common.force,
                              .gather = options->gather,
                              .libraries = COILBED_LIBRARIES,
                              .watch = &watch};
    cb_study_result *results = NULL;
    cb_error error = {0};
    cli_catch_signals();
    const cb_status status = cb_study_run(&results, &job, units, &error);
    end_progress(&p);
    if (status == CB_STOPPED) {
        fprintf(stderr,
                "coilbed: stopped; the cases that are done are kept: go on with --resume\n");
        return CLI_SIGNAL + cli_signal_caught();
    }
    if (status != CB_OK) {
        return cli_fail(&options->common, &error);
    }
    const int result = conclude(options, study, results, path);
    free(results);
    return result;
}

static int run_vary(const cli_vary_options *options)
{
    cb_units *units = NULL;
    cb_study *study = NULL;
    cb_error error = {0};
    const cb_study_order order = {.path = options->common.operand,
                                  .set = options->common.set,
                                  .set_count = options->common.set_count,
                                  .most_cases = options->most_cases};
    char *path = cli_output_path(&options->common, ".h5");
    if (!path) {
        return cli_complain("out of memory");
    }
    cb_status status = cb_units_create(&units, &error);
    if (status == CB_OK) {
        status = cb_study_read(&study, &order, units, &error);
    }
    if (status == CB_OK) {
        status = allow_output(path, study, options->common.force, &error);
    }
    int result = CLI_HELD;
    if (status == CB_OK) {
        if (!options->common.quiet) {
            tell_plan(study);
        }
        result = run_study(options, study, path, units);
    } else {
        result = cli_fail(&options->common, &error);
    }
    cb_study_destroy(study);
    cb_units_destroy(units);
    free(path);
    return result;
}

static int dispatch(int argc, char **argv)
{
    cli_vary_options options;
    int result = CLI_FAILED;
    if (cli_vary_options_read(&options, argc, argv)) {
        result = CLI_HELD;
        if (options.common.help) {
            cli_vary_help(stdout);
            cli_exit_statuses(stdout);
        } else if (options.common.version) {
            puts("coilbed " CB_VERSION);
        } else {
            result = run_vary(&options);
        }
    }
    cli_vary_options_free(&options);
    return result;
}

const cli_command cli_vary = {
    .name = "vary",
    .operand = "STUDY",
    .summary = "run a design many times, some of its values varied",
    .dispatch = dispatch,
};
