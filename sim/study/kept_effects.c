// SPDX-License-Identifier: MIT
#include "study/kept_effects.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *number_of(const cb_sensitivity *got)
{
    return cb_headline_row_of(got->number)->name;
}

static cb_status check_design(const char *run, const cb_run_data *data, const cb_design *design,
                              cb_error *error)
{
    char *text = cb_design_echo(design);
    cb_status status = CB_OK;
    if (!text) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the design's text");
    } else if (!data->complete) {
        status = cb_fail_at(error, CB_BAD_INPUT, run, 0, 0,
                            "the run was cut short; bring it to its end with --resume first");
    } else if (strcmp(text, data->design_text) != 0) {
        status = cb_fail_at(error, CB_BAD_INPUT, run, 0, 0,
                            "this is a run of another design; give the design and the --set "
                            "options that it was made from");
    }
    free(text);
    return status;
}

cb_status cbx_check_run_of(const char *run, const cb_sensitivity *got, const cb_design *design,
                           cb_error *error)
{
    const char *number = number_of(got);
    if (strcmp(number, "freeze_margin") != 0 && strcmp(number, "worst_margin") != 0) {
        return cb_fail(error, CB_BAD_INPUT,
                       "--of %s: with --into take freeze_margin or worst_margin, which the "
                       "findings of a run speak of",
                       number);
    }
    cb_run_data *data = NULL;
    cb_status status = cb_record_read(&data, run, error);
    if (status == CB_OK) {
        status = check_design(run, data, design, error);
    }
    cb_run_data_destroy(data);
    return status;
}

cb_status cbx_check_same_run(const char *run, const cb_sensitivity *got, const cb_units *units,
                             cb_error *error)
{
    static const double same_k = 1e-6; // far below the noise; the same run comes to the same bits
    cb_case *found = NULL;
    cb_status status = cb_case_of_run(&found, run, units, error);
    if (status != CB_OK) {
        return status;
    }
    const double before = cb_headline_value(&found->headline, got->number);
    if (!(fabs(before - got->base) <= same_k)) {
        status = cb_fail_at(error, CB_BAD_INPUT, run, 0, 0,
                            "%s is %.6g K in this run and %.6g K when its design is run now: its "
                            "weather, its loads or coilbed have changed; run it again",
                            number_of(got), before, got->base);
    }
    cb_case_destroy(found);
    return status;
}

cb_status cbx_keep_effects(const char *run, const cb_sensitivity *got, cb_error *error)
{
    cb_run_effects kept = {.count = got->count};
    snprintf(kept.number, sizeof kept.number, "%s", number_of(got));
    for (int i = 0; i < got->count; i++) {
        const cb_effect *from = &got->effect[i];
        cb_run_effect *to = &kept.effect[i];
        *to = (cb_run_effect){.kind = from->kind,
                              .value = from->value,
                              .step = from->step,
                              .spread = from->spread,
                              .slope = from->slope,
                              .bend = from->bend,
                              .blur = from->blur};
        memcpy(to->path, from->path, sizeof to->path);
    }
    return cb_record_write_effects(run, &kept, error);
}
