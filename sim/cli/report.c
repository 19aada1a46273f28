// SPDX-License-Identifier: MIT
#include "coilbed/report.h"

#include "cli/failure.h"
#include "cli/message.h"
#include "cli/output.h"

#include <stdlib.h>

static cb_status write_page(const cli_options *options, const cb_units *units, cb_error *error)
{
    char *path = cli_output_path(options, ".html");
    if (!path) {
        return cb_fail(error, CB_NO_MEMORY, "out of memory");
    }
    const cb_status status = cb_report_page(options->operand, path, options->units, units, error);
    if (status == CB_OK && !options->quiet) {
        printf("The page is in %s.\n", path);
    }
    free(path);
    return status;
}

static int report_run(const cli_options *options)
{
    cb_units *units = NULL;
    cb_error error = {0};
    cb_status status = cb_units_create(&units, &error);
    if (status == CB_OK && options->csv) {
        status = cb_report_csv(options->operand, options->csv, units, &error);
        if (status == CB_OK && !options->quiet) {
            printf("hourly.csv, monthly.csv, annual.csv and findings.csv are in %s.\n",
                   options->csv);
        }
    }
    if (status == CB_OK && (!options->csv || options->output)) {
        status = write_page(options, units, &error);
    }
    cb_units_destroy(units);
    return status == CB_OK ? CLI_HELD : cli_fail(options, &error);
}

const cli_command cli_report_page = {
    .name = "report",
    .operand = "OUT.h5",
    .summary = "one page about a run, for a browser",
    .details =
        "Writes the run in OUT.h5 as one HTML page that needs no other file and no network:\n"
        "the answer, charts that zoom, the ground through the year, the layout to scale,\n"
        "and everything assumed. --units is what it opens with; the page can switch. With\n"
        "--csv the run's tables are written for spreadsheets, and the page only if -o names\n"
        "it. The exit status says whether that was done, not whether the limits held.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_QUIET | CLI_TAKES_PAGE,
    .run = report_run,
};
