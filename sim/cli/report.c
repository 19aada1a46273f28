// SPDX-License-Identifier: MIT
#include "coilbed/report.h"
#include "coilbed/compare.h"

#include "cli/failure.h"
#include "cli/message.h"
#include "cli/output.h"
#include "report/study.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static cb_status write_tables(const cli_options *options, const cb_units *units, cb_error *error)
{
    if (options->operand_count > 1) {
        return cb_fail(error, CB_IO,
                       "--csv writes the tables of one run, here are %zu; coilbed compare --csv "
                       "puts runs side by side in a table",
                       options->operand_count);
    }
    const cb_status status = cb_report_csv(options->operand, options->csv, units, error);
    if (status == CB_OK && !options->quiet) {
        printf("%s in %s.\n",
               cbx_report_study_is(options->operand)
                   ? "cases.csv is"
                   : "hourly.csv, monthly.csv, annual.csv and findings.csv are",
               options->csv);
    }
    return status;
}

static cb_status write_page(const cli_options *options, const cb_units *units, cb_error *error)
{
    char *path = cli_output_path(options, ".html");
    if (!path) {
        return cb_fail(error, CB_NO_MEMORY, "out of memory");
    }
    const cb_status status =
        options->operand_count > 1
            ? cb_report_runs_page((const char *const *)options->operands, options->operand_count,
                                  path, options->units, units, error)
            : cb_report_page(options->operand, path, options->units, units, error);
    if (status == CB_OK && !options->quiet) {
        printf("The page is in %s.\n", path);
    }
    free(path);
    return status;
}

/// A study that was stopped has its cases in a journal beside the file that it has not yet written.
static bool is_unfinished(const char *path)
{
    char journal[CB_PATH_SIZE];
    snprintf(journal, sizeof journal, "%s.cases", path);
    return access(path, F_OK) != 0 && access(journal, F_OK) == 0;
}

/// Of several runs none gives the page its name.
static cb_status check_operands(const cli_options *options, cb_error *error)
{
    if (options->operand_count > CB_MAX_COMPARED) {
        return cb_fail(error, CB_IO, "%zu are too many for one page; at most %d fit",
                       options->operand_count, CB_MAX_COMPARED);
    }
    for (size_t i = 0; i < options->operand_count; i++) {
        if (is_unfinished(options->operands[i])) {
            return cb_fail(error, CB_IO,
                           "%s is not written yet: its study was stopped or still runs; coilbed "
                           "vary --resume finishes it",
                           options->operands[i]);
        }
    }
    return options->operand_count > 1 && !options->output && !options->csv
               ? cb_fail(error, CB_IO, "name the page of these runs with -o, as in -o page.html")
               : CB_OK;
}

static int report_run(const cli_options *options)
{
    cb_units *units = NULL;
    cb_error error = {0};
    cb_status status = check_operands(options, &error);
    if (status == CB_OK) {
        status = cb_units_create(&units, &error);
    }
    if (status == CB_OK && options->csv) {
        status = write_tables(options, units, &error);
    }
    if (status == CB_OK && (!options->csv || options->output)) {
        status = write_page(options, units, &error);
    }
    cb_units_destroy(units);
    return status == CB_OK ? CLI_HELD : cli_fail(options, &error);
}

const cli_command cli_report_page = {
    .name = "report",
    .operand = "RUN ...",
    .summary = "a page about a run, runs or a study",
    .details =
        "Writes a run (the file that coilbed run made) as one HTML page that needs no other\n"
        "file and no network: the answer, charts that zoom, the ground through the year, the\n"
        "layout to scale, and everything assumed. --units is what it opens with; the page\n"
        "can switch.\n"
        "\n"
        "Of several runs the page shows what differs from the first, their water in one\n"
        "chart, and each run's own answer. Of a study (the file that coilbed vary wrote) it\n"
        "shows the grid, or how the samples spread and what matters most, and every case.\n"
        "\n"
        "With --csv the tables of one run or study are written for spreadsheets, and the page\n"
        "only if -o names it. The exit status says whether that was done, not whether\n"
        "limits held.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_QUIET | CLI_TAKES_PAGE | CLI_TAKES_SEVERAL,
    .run = report_run,
};
