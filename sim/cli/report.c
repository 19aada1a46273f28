// SPDX-License-Identifier: MIT
#include "coilbed/report.h"

#include "cli/failure.h"
#include "cli/message.h"

#include <stdlib.h>
#include <string.h>

static const char ending[] = ".html";

/// Where the page goes: that of -o, else the run's file name with .html, in the current folder.
/// Owned by the caller; NULL without memory.
static char *page_path(const cli_options *options)
{
    if (options->output) {
        return strdup(options->output);
    }
    const char *slash = strrchr(options->operand, '/');
    const char *name = slash ? slash + 1 : options->operand;
    const char *dot = strrchr(name, '.');
    const size_t stem = dot && dot > name ? (size_t)(dot - name) : strlen(name);
    const size_t size = stem + sizeof ending;
    char *path = malloc(size);
    if (path) {
        snprintf(path, size, "%.*s%s", (int)stem, name, ending);
    }
    return path;
}

static cb_status write_page(const cli_options *options, const cb_units *units, cb_error *error)
{
    char *path = page_path(options);
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
