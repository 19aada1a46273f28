// SPDX-License-Identifier: MIT
// The pages' texts are files of their own; this fills the places they leave open.
#include "report/shell.h"

#include "coilbed/version.h"
#include "report/assets.h"
#include "report/html.h"

#include <stdlib.h>
#include <string.h>

// ---- places that every page has --------------------------------------------------------------

static void fill_title(cbx_fill *fill)
{
    cbx_html_text(fill->page, fill->shell->title);
}

/// A name that fills the screen is kept in a box that scrolls, by keys too.
static void fill_title_attributes(cbx_fill *fill)
{
    enum { LONG_NAME = 80 };
    if (strlen(fill->shell->title) > LONG_NAME) {
        fputs("class=\"long\" tabindex=\"0\"", fill->page);
    }
}

static void fill_kicker(cbx_fill *fill)
{
    fputs(fill->shell->kicker, fill->page);
}

static void fill_kind(cbx_fill *fill)
{
    fputs(fill->shell->kind, fill->page);
}

static void fill_source(cbx_fill *fill)
{
    fputs(fill->shell->source, fill->page);
}

static void fill_without_scripts(cbx_fill *fill)
{
    fputs(fill->shell->without_scripts, fill->page);
}

static void fill_units(cbx_fill *fill)
{
    fputs(fill->shell->system == CB_UNITS_US ? "us" : "si", fill->page);
}

static void fill_version(cbx_fill *fill)
{
    fputs(CB_VERSION, fill->page);
}

static void fill_style(cbx_fill *fill)
{
    if (fill->shell->charts) {
        fputs(cbx_dygraphs_style(), fill->page);
    }
    fputs(cbx_page_style(), fill->page);
}

static void fill_chart_script(cbx_fill *fill)
{
    if (fill->shell->charts) {
        fputs(cbx_dygraphs_script(), fill->page);
    }
}

static void fill_script(cbx_fill *fill)
{
    fputs(cbx_page_script(), fill->page);
    for (int i = 0; i < CBX_MOST_SCRIPTS && fill->shell->script[i]; i++) {
        fputs(fill->shell->script[i], fill->page);
    }
    fputs(cbx_start_script(), fill->page);
}

static const cbx_place common[] = {
    {"title", fill_title},   {"title_attributes", fill_title_attributes},
    {"kicker", fill_kicker}, {"kind", fill_kind},
    {"source", fill_source}, {"without_scripts", fill_without_scripts},
    {"units", fill_units},   {"version", fill_version},
    {"style", fill_style},   {"chart_script", fill_chart_script},
    {"script", fill_script},
};

/// Parts that several pages have, with places of their own.
static const struct {
    const char *name;
    const char *(*text)(void);
} part[] = {
    {"head", cbx_head_text},
    {"foot", cbx_foot_text},
    {"caution", cbx_caution_text},
    {"move_buttons", cbx_move_buttons_text},
    {"study_answer", cbx_study_answer_text},
    {"study_rest", cbx_study_rest_text},
};

// ---- filling ---------------------------------------------------------------------------------

static bool is_name(const char *known, const char *name, size_t length)
{
    return strlen(known) == length && strncmp(known, name, length) == 0;
}

static const cbx_place *find(const cbx_place *place, size_t count, const char *name, size_t length)
{
    for (size_t i = 0; i < count; i++) {
        if (is_name(place[i].name, name, length)) {
            return &place[i];
        }
    }
    return NULL;
}

static const char *find_part(const char *name, size_t length)
{
    for (size_t i = 0; i < sizeof part / sizeof *part; i++) {
        if (is_name(part[i].name, name, length)) {
            return part[i].text();
        }
    }
    return NULL;
}

static void fill_text(cbx_fill *fill, const char *text);

static void fill_place(cbx_fill *fill, const char *name, size_t length) // NOLINT(misc-no-recursion)
{
    const char *text = find_part(name, length);
    const cbx_place *place = find(common, sizeof common / sizeof *common, name, length);
    if (!place) {
        place = find(fill->shell->place, fill->shell->place_count, name, length);
    }
    if (text) {
        fill_text(fill, text);
    } else if (place) {
        place->fill(fill);
    } else {
        fill->status = cb_fail(fill->error, CB_BAD_CALL, "the page has no place named %.*s",
                               (int)length, name);
    }
}

// No part holds itself.
static void fill_text(cbx_fill *fill, const char *text) // NOLINT(misc-no-recursion)
{
    for (const char *open = strstr(text, "{{"); open && fill->status == CB_OK;
         open = strstr(text, "{{")) {
        const char *close = strstr(open, "}}");
        fwrite(text, 1, (size_t)(open - text), fill->page);
        fill_place(fill, open + 2, (size_t)(close - open) - 2);
        text = close + 2;
    }
    fputs(text, fill->page);
}

// ---- the file --------------------------------------------------------------------------------

/// A mistyped name must not cost anybody a design or a run.
static cb_status may_replace(const cbx_page_order *order, cb_error *error)
{
    for (size_t i = 0; i < order->input_count; i++) {
        if (cbx_report_same_file(order->path, order->input[i])) {
            return cb_fail(error, CB_IO, "%s is what the page is made from; name another file",
                           order->path);
        }
    }
    if (!cbx_report_file_begins(order->path, "<!doctype html>")) {
        return cb_fail(error, CB_IO, "%s exists and is no page; name another file", order->path);
    }
    return CB_OK;
}

cb_status cbx_page_write(cbx_fill *fill, const cbx_page_order *order, cb_error *error)
{
    cbx_report_file file = {0};
    cb_status status = may_replace(order, error);
    if (status == CB_OK) {
        status = cbx_report_file_open(&file, order->path, error);
    }
    if (status == CB_OK) {
        fill->page = file.stream;
        fill->error = error;
        fill_text(fill, fill->shell->text);
        status = fill->status;
    }
    const cb_status closed =
        cbx_report_file_close(&file, status == CB_OK, status == CB_OK ? error : NULL);
    return status == CB_OK ? closed : status;
}

// ---- data ------------------------------------------------------------------------------------

cb_status cbx_page_data(FILE *page, cbx_put_data *put, const void *context, cb_error *error)
{
    char *text = NULL;
    size_t size = 0;
    cbx_json json = {.stream = open_memstream(&text, &size)};
    if (!json.stream) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the page's figures");
    }
    cbx_json_open(&json, NULL, '{');
    cb_status status = put(&json, context, error);
    cbx_json_close(&json, '}');
    const bool failed = ferror(json.stream) != 0;
    if ((fclose(json.stream) != 0 || failed) && status == CB_OK) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the page's figures");
    }
    // In JSON "<" stands only within strings; written as an escape it cannot end the script.
    for (size_t i = 0; status == CB_OK && i < size; i++) {
        if (text[i] == '<') {
            fputs("\\u003c", page);
        } else {
            fputc(text[i], page);
        }
    }
    free(text);
    return status;
}
