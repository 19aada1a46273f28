// SPDX-License-Identifier: MIT
// The page's text is a file of its own; this fills the places it leaves open.
#include "coilbed/report.h"
#include "coilbed/version.h"
#include "report/assets.h"
#include "report/data.h"
#include "report/fill.h"
#include "report/html.h"

#include <string.h>

static const char *name_of(const cbx_fill *fill)
{
    const char *name = fill->run->design->name;
    return name && *name ? name : "Unnamed design";
}

static void fill_title(cbx_fill *fill)
{
    cbx_html_text(fill->page, name_of(fill));
}

/// A name that fills the screen is kept in a box that scrolls, by keys too.
static void fill_title_attributes(cbx_fill *fill)
{
    enum { LONG_NAME = 80 };
    if (strlen(name_of(fill)) > LONG_NAME) {
        fputs("class=\"long\" tabindex=\"0\"", fill->page);
    }
}

static void fill_units(cbx_fill *fill)
{
    fputs(fill->run->system == CB_UNITS_US ? "us" : "si", fill->page);
}

static void fill_version(cbx_fill *fill)
{
    fputs(CB_VERSION, fill->page);
}

static void fill_style(cbx_fill *fill)
{
    fputs(cbx_dygraphs_style(), fill->page);
    fputs(cbx_page_style(), fill->page);
}

static void fill_chart_script(cbx_fill *fill)
{
    fputs(cbx_dygraphs_script(), fill->page);
}

static void fill_script(cbx_fill *fill)
{
    fputs(cbx_page_script(), fill->page);
    fputs(cbx_figures_script(), fill->page);
    fputs(cbx_ground_script(), fill->page);
    fputs(cbx_start_script(), fill->page);
}

static void fill_notice(cbx_fill *fill)
{
    cbx_html_text(fill->page, cbx_dygraphs_notice());
}

static void fill_data(cbx_fill *fill)
{
    fill->status = cbx_report_data(fill->run, fill->page, fill->error);
}

static const struct {
    const char *name;
    void (*fill)(cbx_fill *fill);
} place[] = {
    {"title", fill_title},
    {"title_attributes", fill_title_attributes},
    {"units", fill_units},
    {"version", fill_version},
    {"style", fill_style},
    {"chart_script", fill_chart_script},
    {"script", fill_script},
    {"notice", fill_notice},
    {"data", fill_data},
    {"verdict", cbx_fill_verdict},
    {"key_numbers", cbx_fill_key_numbers},
    {"drift", cbx_fill_drift},
    {"findings", cbx_fill_findings},
    {"help", cbx_fill_help},
    {"cautions", cbx_fill_cautions},
    {"years", cbx_fill_years},
    {"energy", cbx_fill_energy},
    {"cops", cbx_fill_cops},
    {"months", cbx_fill_months},
    {"weather", cbx_fill_weather},
    {"assumptions", cbx_fill_assumptions},
    {"design", cbx_fill_design},
    {"quality", cbx_fill_quality},
    {"origin", cbx_fill_origin},
};

static void fill_place(cbx_fill *fill, const char *name, size_t length)
{
    for (size_t i = 0; i < sizeof place / sizeof *place; i++) {
        if (strlen(place[i].name) == length && strncmp(place[i].name, name, length) == 0) {
            place[i].fill(fill);
            return;
        }
    }
    fill->status =
        cb_fail(fill->error, CB_BAD_CALL, "the page has no place named %.*s", (int)length, name);
}

static void fill_page(cbx_fill *fill)
{
    const char *at = cbx_page_text();
    for (const char *open = strstr(at, "{{"); open && fill->status == CB_OK;
         open = strstr(at, "{{")) {
        const char *close = strstr(open, "}}");
        fwrite(at, 1, (size_t)(open - at), fill->page);
        fill_place(fill, open + 2, (size_t)(close - open) - 2);
        at = close + 2;
    }
    fputs(at, fill->page);
}

/// A mistyped name must not cost anybody a design or a run.
static cb_status may_replace(const char *page_path, const char *run_path, cb_error *error)
{
    if (cbx_report_same_file(page_path, run_path)) {
        return cb_fail(error, CB_IO, "%s is the run itself; name another file for the page",
                       page_path);
    }
    if (!cbx_report_file_begins(page_path, "<!doctype html>")) {
        return cb_fail(error, CB_IO, "%s exists and is no page; name another file", page_path);
    }
    return CB_OK;
}

cb_status cb_report_page(const char *run_path, const char *page_path, cb_unit_system system,
                         const cb_units *units, cb_error *error)
{
    if (!run_path || !page_path || !units) {
        return cb_fail(error, CB_BAD_CALL, "cb_report_page needs a run, a page and units");
    }
    cbx_report_run run;
    cbx_report_file file = {0};
    cb_status status = cbx_report_run_open(&run, run_path, units, error);
    if (status == CB_OK) {
        run.system = system;
        status = may_replace(page_path, run_path, error);
    }
    if (status == CB_OK) {
        status = cbx_report_file_open(&file, page_path, error);
    }
    if (status == CB_OK) {
        cbx_fill fill = {.run = &run, .page = file.stream, .error = error};
        fill_page(&fill);
        status = fill.status;
    }
    const cb_status closed =
        cbx_report_file_close(&file, status == CB_OK, status == CB_OK ? error : NULL);
    cbx_report_run_close(&run);
    return status == CB_OK ? closed : status;
}
