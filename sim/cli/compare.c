// SPDX-License-Identifier: MIT
#include "coilbed/compare.h"

#include "cli/cases.h"
#include "cli/message.h"
#include "cli/output.h"

#include <errno.h>
#include <string.h>

static const char csv_head[] = "quantity,\"unit\"";

/// A run's file is HDF5, a design is text.
static bool is_hdf5(const char *path)
{
    static const unsigned char signature[] = {0x89, 'H', 'D', 'F', '\r', '\n', 0x1a, '\n'};
    unsigned char head[sizeof signature] = {0};
    FILE *file = fopen(path, "rb");
    if (!file) {
        return false;
    }
    const size_t got = fread(head, 1, sizeof head, file);
    fclose(file);
    return got == sizeof head && memcmp(head, signature, sizeof head) == 0;
}

static cb_status check_outputs(const cli_options *options, cb_error *error)
{
    if (options->operand_count > CB_MAX_COMPARED) {
        return cb_fail(error, CB_IO, "%zu are too many to compare; at most %d fit",
                       options->operand_count, CB_MAX_COMPARED);
    }
    cb_status status = CB_OK;
    if (options->output) {
        status = cli_table_allowed(options->output, NULL, options, error);
    }
    if (status == CB_OK && options->csv) {
        status = cli_table_allowed(options->csv, csv_head, options, error);
    }
    for (size_t i = 0; status == CB_OK && options->set_count > 0 && i < options->operand_count;
         i++) {
        if (is_hdf5(options->operands[i])) {
            return cb_fail(error, CB_IO, "%s is a finished run, which --set cannot change",
                           options->operands[i]);
        }
    }
    return status;
}

static cb_status get_case(cb_case **out, cli_cases *cases, const char *path, cb_error *error)
{
    if (is_hdf5(path)) {
        return cb_case_of_run(out, path, cases->units, error);
    }
    const cb_case_source source = {
        .path = path, .set = cases->options->set, .set_count = cases->options->set_count};
    return cli_cases_run(out, cases, &source, path, error);
}

static cb_status tell(const cli_options *options, const cb_comparison *these, cb_error *error)
{
    const cb_compare_page page = {
        .system = options->units, .colour = cli_colour(stdout), .width = cli_width()};
    const bool printed =
        options->json ? cb_compare_json(these, stdout) : cb_compare_print(these, &page, stdout);
    if (!printed && !cli_reader_gone()) {
        return cb_fail(error, CB_IO, "the comparison could not be written: %s", strerror(errno));
    }
    cb_status status = CB_OK;
    if (options->csv) {
        status = cb_compare_csv(these, options->csv, error);
    }
    if (status == CB_OK && options->output) {
        status = cb_compare_hdf5(these, options->output, error);
    }
    return status;
}

static int compare_run(const cli_options *options)
{
    cb_case *got[CB_MAX_COMPARED] = {NULL};
    cli_cases cases;
    cb_error error = {0};
    cb_status status = cli_cases_open(&cases, options, &error);
    if (status == CB_OK) {
        status = check_outputs(options, &error);
    }
    for (size_t i = 0; status == CB_OK && i < options->operand_count; i++) {
        status = get_case(&got[i], &cases, options->operands[i], &error);
    }
    if (status == CB_OK) {
        const cb_comparison these = {.count = options->operand_count,
                                     .label = (const char *const *)options->operands,
                                     .got = (const cb_case *const *)got};
        status = tell(options, &these, &error);
    }
    const int result = status == CB_OK ? CLI_HELD : cli_cases_fail(&cases, &error);
    for (size_t i = 0; i < CB_MAX_COMPARED; i++) {
        cb_case_destroy(got[i]);
    }
    cli_cases_close(&cases);
    return result;
}

const cli_command cli_compare = {
    .name = "compare",
    .operand = "A B ...",
    .summary = "designs or finished runs side by side",
    .details =
        "Puts designs and finished runs (HDF5 files of coilbed run), in any mixture, side by\n"
        "side: verdict, coldest and hottest water, drift, energies, pipe, trench, digging and\n"
        "every finding with its margin. The others are held against the first; what differs\n"
        "carries a star. --set changes all designs alike, to ask how each of them takes it.\n"
        "\n"
        "Designs are run as needed. Their numbers are kept under a hash of everything that\n"
        "went into them, in $COILBED_CACHE (else $XDG_CACHE_HOME/coilbed, else\n"
        "~/.cache/coilbed), so that the same case is never run twice. The exit status says\n"
        "whether the comparison was made, not whether the limits held.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_JSON | CLI_TAKES_QUIET | CLI_TAKES_MANY |
             CLI_TAKES_TABLE,
    .run = compare_run,
};
