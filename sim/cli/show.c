// SPDX-License-Identifier: MIT
#include "cli/show.h"

#include "cli/failure.h"
#include "cli/message.h"
#include "cli/terminal.h"
#include "coilbed/findings.h"

#include <errno.h>
#include <string.h>

typedef struct judged_run {
    cb_run_data *data;
    cb_design *design;
    cb_findings *findings;
} judged_run;

static void judged_run_free(judged_run *run)
{
    run->findings = cb_findings_destroy(run->findings);
    run->design = cb_design_destroy(run->design);
    run->data = cb_run_data_destroy(run->data);
}

static cb_status judge(judged_run *run, const char *path, const cb_units *units, cb_error *error)
{
    cb_status status = cb_record_read(&run->data, path, error);
    if (status == CB_OK) {
        status = cb_design_parse(&run->design, run->data->design_text, path, NULL, 0, units, error);
    }
    if (status == CB_OK) {
        status = cb_findings_create(&run->findings, run->data, run->design, error);
    }
    return status;
}

static void print_quality(const cb_quality *quality)
{
    fprintf(stderr,
            "%ld cells in %d slices, %ld steps, %ld right-hand sides, %ld linear set-ups, "
            "%ld Newton iterations\n"
            "%ld error-test failures, %ld Newton failures, %.3g s\n"
            "energy audit %.2g, surface heat mismatch %.2g of the heat exchanged\n"
            "a coarser grid moves the first year's coldest fluid by %.2g K\n"
            "spin-up %.0f years, last change %.2g K\n",
            quality->cells, quality->slices, quality->steps, quality->rhs_evaluations,
            quality->linear_setups, quality->newton_iterations, quality->error_test_failures,
            quality->newton_failures, quality->wall_seconds, quality->energy_audit_relative,
            quality->surface_heat_mismatch_relative, quality->estimated_discretisation_error_k,
            quality->spin_up_years, quality->spin_up_residual_k);
}

static int verdict(const cb_findings *findings)
{
    if (findings->verdict == CB_BROKEN) {
        return CLI_BROKEN;
    }
    return findings->complete ? CLI_HELD : CLI_UNSOLVED;
}

static bool print(const judged_run *run, const char *path, const cli_options *options, int status)
{
    if (!options->json) {
        return cb_findings_print(run->findings, run->data, run->design, options->units,
                                 cli_colour(stdout), stdout);
    }
    const cb_findings_caller caller = {path, status, cli_exit_meaning(status)};
    return cb_findings_json(run->findings, run->data, run->design, &caller, stdout);
}

int cli_show_findings(const char *path, const cli_options *options, const cb_units *units,
                      bool keep, int failed)
{
    judged_run run = {0};
    cb_error error = {0};
    cb_status status = judge(&run, path, units, &error);
    if (status == CB_OK && keep) {
        status = cb_record_write_findings(path, run.findings->finding, run.findings->count, &error);
    }
    int result = CLI_HELD;
    if (status != CB_OK) {
        result = cli_fail(options, &error);
    } else {
        result = failed ? failed : verdict(run.findings);
        if (!print(&run, path, options, result) && !cli_reader_gone()) {
            result = cli_complain("findings could not be written: %s", strerror(errno));
        }
        if (options->verbose) {
            print_quality(&run.data->quality);
        }
    }
    judged_run_free(&run);
    return failed ? failed : result;
}
