// SPDX-License-Identifier: MIT
#include "study/study_output.h"

#include "design/memory.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// ---- putting together ------------------------------------------------------------------------

void *cbx_output_room(cbx_study_output *o, size_t count, size_t size)
{
    void *room = cbx_allocate(o->memory, (count ? count : 1) * size);
    o->failed = o->failed || !room;
    return room;
}

static const char *copy(cbx_study_output *o, const char *text)
{
    const char *own = cbx_copy(o->memory, text);
    o->failed = o->failed || !own;
    return own;
}

int cbx_output_axis(cbx_study_output *o, const cb_dataset_axis *axis)
{
    if (o->dataset.axis_count == CBX_MOST_AXES) {
        o->failed = true;
        return 0;
    }
    o->axis[o->dataset.axis_count] = *axis;
    return (int)o->dataset.axis_count++;
}

void cbx_output_variable(cbx_study_output *o, const cb_dataset_variable *variable)
{
    if (o->dataset.variable_count == CBX_MOST_VARIABLES) {
        o->failed = true;
        return;
    }
    o->variable[o->dataset.variable_count++] = *variable;
}

static void note(cbx_study_output *o, const char *name, const char *text)
{
    o->note[o->dataset.note_count++] = (cb_dataset_note){name, text};
}

static void note_count(cbx_study_output *o, const char *name, size_t value)
{
    char text[32];
    snprintf(text, sizeof text, "%zu", value);
    note(o, name, copy(o, text));
}

static cb_dataset_variable of_cases(const cbx_study_output *o, const char *name,
                                    const char *long_name)
{
    cb_dataset_variable made = {
        .group = "", .name = name, .rank = o->case_rank, .long_name = long_name};
    memcpy(made.axis, o->case_axis, sizeof made.axis);
    return made;
}

// ---- what varies -----------------------------------------------------------------------------

static void add_grid(cbx_study_output *o)
{
    for (size_t f = 0; f < o->study->factor_count; f++) {
        const cb_factor *factor = &o->study->factor[f];
        o->case_axis[o->case_rank++] =
            cbx_output_axis(o, &(cb_dataset_axis){.group = "",
                                                  .name = factor->name,
                                                  .length = factor->level_count,
                                                  .number = factor->value,
                                                  .text = factor->value ? NULL : factor->level,
                                                  .units = factor->units,
                                                  .long_name = factor->path});
    }
}

static void add_sampled_factor(cbx_study_output *o, size_t f)
{
    const cb_factor *factor = &o->study->factor[f];
    const size_t count = o->study->case_count;
    double *number = factor->units ? cbx_output_room(o, count, sizeof *number) : NULL;
    const char **text = factor->units ? NULL : cbx_output_room(o, count, sizeof *text);
    if (o->failed) {
        return;
    }
    cb_study_point point;
    for (size_t i = 0; i < count; i++) {
        cb_study_point_of(o->study, i, &point);
        if (number) {
            number[i] = point.value[f];
        } else {
            text[i] = factor->level[point.level[f]];
        }
    }
    cb_dataset_variable variable = of_cases(o, factor->name, factor->path);
    variable.number = number;
    variable.text = text;
    variable.units = factor->units;
    cbx_output_variable(o, &variable);
}

// Which block of the Saltelli scheme a case belongs to.
static void add_blocks(cbx_study_output *o)
{
    const size_t rows = (size_t)o->study->samples, count = o->study->case_count;
    const char **text = cbx_output_room(o, count, sizeof *text);
    for (size_t i = 0; !o->failed && i < count; i++) {
        const size_t block = i / rows;
        text[i] = block == 0 ? "A" : block == 1 ? "B" : o->study->factor[block - 2].path;
    }
    cb_dataset_variable variable =
        of_cases(o, "block", "A and B are independent; the others are A with this one value of B");
    variable.text = text;
    cbx_output_variable(o, &variable);
}

static void add_samples(cbx_study_output *o)
{
    const size_t count = o->study->case_count;
    int *number = cbx_output_room(o, count, sizeof *number);
    for (size_t i = 0; !o->failed && i < count; i++) {
        number[i] = (int)i;
    }
    o->case_rank = 1;
    o->case_axis[0] = cbx_output_axis(o, &(cb_dataset_axis){.group = "",
                                                            .name = "sample",
                                                            .length = count,
                                                            .integer = number,
                                                            .long_name = "number of the case"});
    for (size_t f = 0; f < o->study->factor_count; f++) {
        add_sampled_factor(o, f);
    }
    if (o->study->indices) {
        add_blocks(o);
    }
}

// ---- what came of it -------------------------------------------------------------------------

static void add_headline(cbx_study_output *o, int index)
{
    const cb_headline_row *row = cb_headline_row_of(index);
    double *number = cbx_output_room(o, o->study->case_count, sizeof *number);
    for (size_t i = 0; !o->failed && i < o->study->case_count; i++) {
        number[i] = cb_headline_value(&o->results[i].headline, index);
    }
    cb_dataset_variable variable = of_cases(o, row->name, row->meaning);
    variable.number = number;
    variable.units = row->unit;
    cbx_output_variable(o, &variable);
}

static const cb_study_finding *finding_of(const cb_study_result *result, const char *code)
{
    for (int i = 0; i < result->finding_count; i++) {
        if (strcmp(result->finding[i].code, code) == 0) {
            return &result->finding[i];
        }
    }
    return NULL;
}

static const char *margin_unit(cb_kind kind)
{
#define AS_SI(name, title, si, us, us_example, si_example) [name] = (si),
    static const char *const unit[CB_KIND_COUNT] = {CB_KIND_LIST(AS_SI)};
#undef AS_SI
    return kind == CB_TEMPERATURE ? "K" : unit[kind];
}

static void add_finding(cbx_study_output *o, const cb_study_finding *like)
{
    const size_t count = o->study->case_count;
    double *margin = cbx_output_room(o, count, sizeof *margin);
    int *severity = cbx_output_room(o, count, sizeof *severity);
    for (size_t i = 0; !o->failed && i < count; i++) {
        const cb_study_finding *finding = finding_of(&o->results[i], like->code);
        margin[i] = finding ? finding->margin : NAN;
        severity[i] = finding ? finding->severity : -1;
    }
    char name[64];
    snprintf(name, sizeof name, "margin_%.40s", like->code);
    cb_dataset_variable variable =
        of_cases(o, copy(o, name), "distance to the limit, positive if held");
    variable.number = margin;
    variable.units = margin_unit(like->kind);
    cbx_output_variable(o, &variable);
    snprintf(name, sizeof name, "severity_%.40s", like->code);
    variable = of_cases(o, copy(o, name), "0 clear, 1 close, 2 broken, -1 not judged");
    variable.integer = severity;
    cbx_output_variable(o, &variable);
}

static int by_code(const void *left, const void *right)
{
    return strcmp(((const cb_study_finding *)left)->code, ((const cb_study_finding *)right)->code);
}

static void add_findings(cbx_study_output *o)
{
    cb_study_finding known[CB_MAX_STUDY_FINDINGS];
    size_t count = 0;
    for (size_t i = 0; i < o->study->case_count; i++) {
        for (int f = 0; f < o->results[i].finding_count; f++) {
            bool is_new = true;
            for (size_t k = 0; is_new && k < count; k++) {
                is_new = strcmp(known[k].code, o->results[i].finding[f].code) != 0;
            }
            if (is_new && count < CB_MAX_STUDY_FINDINGS) {
                known[count++] = o->results[i].finding[f];
            }
        }
    }
    qsort(known, count, sizeof *known, by_code);
    for (size_t k = 0; k < count; k++) {
        add_finding(o, &known[k]);
    }
}

static void add_status(cbx_study_output *o)
{
    static const char *const word[] = {"missing", "ok", "failed", "lost"};
    const size_t count = o->study->case_count;
    const char **status = cbx_output_room(o, count, sizeof *status);
    const char **message = cbx_output_room(o, count, sizeof *message);
    for (size_t i = 0; !o->failed && i < count; i++) {
        status[i] = word[o->results[i].state];
        message[i] = o->results[i].message;
    }
    cb_dataset_variable variable =
        of_cases(o, "status", "ok, failed (the message says why) or lost (its process ended)");
    variable.text = status;
    cbx_output_variable(o, &variable);
    variable = of_cases(o, "message", "what went wrong");
    variable.text = message;
    cbx_output_variable(o, &variable);
}

static void add_run_files(cbx_study_output *o)
{
    const size_t count = o->study->case_count;
    const char **file = cbx_output_room(o, count, sizeof *file);
    for (size_t i = 0; !o->failed && i < count; i++) {
        char name[40];
        snprintf(name, sizeof name, "case-%06zu.h5", i);
        file[i] = copy(o, name);
    }
    cb_dataset_variable variable = of_cases(
        o, "run_file", "the case's run, in the folder beside this file that ends in .runs");
    variable.text = file;
    cbx_output_variable(o, &variable);
}

// ---- about the whole -------------------------------------------------------------------------

static void add_text(cbx_study_output *o, const char *name, const char *long_name, const char *text)
{
    const char **place = cbx_output_room(o, 1, sizeof *place);
    if (place) {
        place[0] = copy(o, text ? text : "");
        cbx_output_variable(o,
                            &(cb_dataset_variable){
                                .group = "", .name = name, .long_name = long_name, .text = place});
    }
}

static void add_notes(cbx_study_output *o)
{
    static const char *const scheme[] = {"factorial", "latin_hypercube", "sobol"};
    const cb_study *study = o->study;
    size_t failed = 0;
    for (size_t i = 0; i < study->case_count; i++) {
        failed += o->results[i].state != CB_STUDY_OK;
    }
    note(o, "title", "Study of a buried ground loop");
    note(o, "scheme", scheme[study->scheme]);
    note_count(o, "cases", study->case_count);
    note_count(o, "failed_cases", failed);
    if (study->scheme != CB_FACTORIAL) {
        note_count(o, "samples", (size_t)study->samples);
        note_count(o, "seed", study->seed);
    }
    if (study->notices[0]) {
        note(o, "notices", study->notices);
    }
    char *design = cb_design_echo(study->design);
    add_text(o, "study_text", "the study file", study->text);
    add_text(o, "design_text", "the design with nothing varied, every value in SI", design);
    o->failed = o->failed || !design;
    free(design);
}

static cb_status fill(cbx_study_output *o, cb_error *error)
{
    if (o->study->scheme == CB_FACTORIAL) {
        add_grid(o);
    } else {
        add_samples(o);
    }
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        add_headline(o, i);
    }
    add_findings(o);
    add_status(o);
    if (o->study->keep_runs) {
        add_run_files(o);
    }
    add_notes(o);
    cb_status status = CB_OK;
    if (o->study->scheme != CB_FACTORIAL) {
        status = cbx_output_statistics(o, error);
    }
    return status == CB_OK && o->failed
               ? cb_fail(error, CB_NO_MEMORY, "no memory for the study's file")
               : status;
}

cb_status cbx_study_write(const char *path, const cb_study *study, const cb_study_result *results,
                          cb_error *error)
{
    cbx_study_output *o = calloc(1, sizeof *o);
    struct cb_design_memory *memory = cbx_memory_create();
    cb_status status = CB_OK;
    if (!o || !memory) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the study's file");
    } else {
        o->study = study;
        o->results = results;
        o->memory = memory;
        o->dataset = (cb_dataset){.axis = o->axis, .variable = o->variable, .note = o->note};
        status = fill(o, error);
    }
    if (status == CB_OK) {
        status = cb_dataset_write(path, &o->dataset, error);
    }
    cbx_memory_destroy(memory);
    free(o);
    return status;
}
