// SPDX-License-Identifier: MIT
// Runs are read one after the other, and each leaves its parts of the page: of many long runs only
// one is in memory.
#include "report/several.h"

#include "coilbed/report.h"
#include "report/assets.h"
#include "report/fill.h"
#include "report/html.h"
#include "report/study.h"

#include <stdlib.h>
#include <string.h>

// ---- places ----------------------------------------------------------------------------------

static void fill_verdicts(cbx_fill *fill)
{
    fputs(fill->several->verdicts.text, fill->page);
}

static void fill_answers(cbx_fill *fill)
{
    fputs(fill->several->answers.text, fill->page);
}

static void fill_origins(cbx_fill *fill)
{
    cbx_table_open(fill->page, "Where the runs come from",
                   "Run|File|Computed by|Weather|SHA-256 of the design|SHA-256 of the weather");
    fputs(fill->several->origins.text, fill->page);
    cbx_table_close(fill->page);
}

static void fill_links(cbx_fill *fill)
{
    for (size_t i = 0; i < fill->several->these.count; i++) {
        fprintf(fill->page, "<li><a href=\"#run-%c\">Run %c</a></li>\n", cbx_letter(i),
                cbx_letter(i));
    }
}

static cb_status put_data(cbx_json *json, const void *context, cb_error *error)
{
    const cbx_report_several *several = context;
    (void)error;
    cbx_json_number(json, "start_month", several->run[0].start_month);
    cbx_json_number(json, "start_day", several->run[0].start_day);
    cbx_json_begin(json, "runs");
    fputs(several->series.text, json->stream);
    return CB_OK;
}

static void fill_data(cbx_fill *fill)
{
    fill->status = cbx_page_data(fill->page, put_data, fill->several, fill->error);
}

static const cbx_place place[] = {
    {"data", fill_data},
    {"summary", cbx_fill_several_summary},
    {"verdicts", fill_verdicts},
    {"designs", cbx_fill_several_designs},
    {"table", cbx_fill_several_table},
    {"findings", cbx_fill_several_findings},
    {"answers", fill_answers},
    {"cautions", cbx_fill_cautions},
    {"origins", fill_origins},
    {"links", fill_links},
};

// ---- reading ---------------------------------------------------------------------------------

static bool open_part(cbx_part_text *part)
{
    part->stream = open_memstream(&part->text, &part->size);
    return part->stream != NULL;
}

static bool close_part(cbx_part_text *part)
{
    const bool whole = part->stream && !ferror(part->stream);
    const bool closed = part->stream && fclose(part->stream) == 0;
    part->stream = NULL;
    return whole && closed && part->text;
}

static cb_status add_parts(cbx_report_several *several, const cbx_report_run *run, size_t index,
                           cbx_json *json, cb_error *error)
{
    cbx_fill fill = {.run = run, .design = run->design, .several = several, .error = error};
    fill.page = several->verdicts.stream;
    cbx_several_verdict(&fill, index);
    fill.page = several->answers.stream;
    cbx_several_answer(&fill, index);
    fill.page = several->origins.stream;
    cbx_several_origin(&fill, index);
    several->run[index] = run->design->run;
    several->weather[index] = strdup(run->origin->weather_sha256);
    if (!several->weather[index] || !cbx_data_several(json, run, index)) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the page's series");
    }
    return fill.status;
}

static cb_status add_run(cbx_report_several *several, size_t index, const cb_units *units,
                         cbx_json *json, cb_error *error)
{
    const char *path = several->these.label[index];
    if (cbx_report_study_is(path)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "%s is a study; it has a page of its own, made from it alone", path);
    }
    cbx_report_run run;
    cb_status status = cbx_report_run_open(&run, path, units, error);
    if (status == CB_OK) {
        status = cb_case_of_run(&several->got[index], path, units, error);
    }
    if (status == CB_OK) {
        status = cbx_design_values_create(&several->values[index], run.design,
                                          run.data->design_text, units, error);
    }
    if (status == CB_OK) {
        status = add_parts(several, &run, index, json, error);
    }
    cbx_report_run_close(&run);
    return status;
}

static cb_status read_all(cbx_report_several *several, const cb_units *units, cb_error *error)
{
    cbx_part_text *const part[] = {&several->verdicts, &several->answers, &several->origins,
                                   &several->series};
    enum { PARTS = sizeof part / sizeof *part };
    cb_status status = CB_OK;
    for (int i = 0; i < PARTS; i++) {
        if (!open_part(part[i])) {
            status = CB_NO_MEMORY;
        }
    }
    cbx_json json = {.stream = several->series.stream};
    if (status == CB_OK) {
        cbx_json_open(&json, NULL, '[');
    }
    for (size_t i = 0; status == CB_OK && i < several->these.count; i++) {
        status = add_run(several, i, units, &json, error);
    }
    if (status == CB_OK) {
        cbx_json_close(&json, ']');
    }
    bool closed = true;
    for (int i = 0; i < PARTS; i++) {
        closed = close_part(part[i]) && closed;
    }
    return closed || (status != CB_OK && status != CB_NO_MEMORY)
               ? status
               : cb_fail(error, CB_NO_MEMORY, "no memory for the page");
}

static void close_all(cbx_report_several *several)
{
    for (size_t i = 0; i < CB_MAX_COMPARED; i++) {
        cb_case_destroy(several->got[i]);
        cbx_design_values_destroy(several->values[i]);
        free(several->weather[i]);
    }
    free(several->verdicts.text);
    free(several->answers.text);
    free(several->origins.text);
    free(several->series.text);
}

// ---- the page --------------------------------------------------------------------------------

static cb_status write_page(cbx_report_several *several, const char *page_path,
                            cb_unit_system system, const cb_units *units, cb_error *error)
{
    cb_status status = read_all(several, units, error);
    if (status != CB_OK) {
        return status;
    }
    char title[60];
    snprintf(title, sizeof title, "%zu runs side by side", several->these.count);
    const cbx_shell shell = {
        .text = cbx_several_text(),
        .place = place,
        .place_count = sizeof place / sizeof *place,
        .title = title,
        .kicker = "Buried ground loops compared",
        .kind = "ground loops compared",
        .source = "the files of these runs",
        .without_scripts = "the figures and the unit switch do not work. The text and the tables "
                           "are complete.",
        .system = system,
        .script = {cbx_several_script()},
    };
    cbx_fill fill = {.shell = &shell, .several = several};
    return cbx_page_write(
        &fill, &(cbx_page_order){page_path, several->these.label, several->these.count}, error);
}

cb_status cb_report_runs_page(const char *const *run_path, size_t count, const char *page_path,
                              cb_unit_system system, const cb_units *units, cb_error *error)
{
    if (!run_path || count < 1 || count > CB_MAX_COMPARED || !page_path || !units) {
        return cb_fail(error, CB_BAD_CALL,
                       "cb_report_runs_page needs 1 to %d runs, a page and units", CB_MAX_COMPARED);
    }
    cbx_report_several *several = calloc(1, sizeof *several);
    if (!several) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the page");
    }
    several->these = (cb_comparison){
        .count = count, .label = run_path, .got = (const cb_case *const *)several->got};
    const cb_status status = write_page(several, page_path, system, units, error);
    close_all(several);
    free(several);
    return status;
}
