// SPDX-License-Identifier: MIT
// The page of one run.
#include "coilbed/report.h"

#include "report/assets.h"
#include "report/data.h"
#include "report/fill.h"
#include "report/html.h"
#include "report/study.h"

static void fill_notice(cbx_fill *fill)
{
    cbx_html_text(fill->page, cbx_dygraphs_notice());
}

static void fill_data(cbx_fill *fill)
{
    fill->status = cbx_report_data(fill->run, fill->page, fill->error);
}

static const cbx_place place[] = {
    {"notice", fill_notice},       {"data", fill_data},
    {"verdict", cbx_fill_verdict}, {"key_numbers", cbx_fill_key_numbers},
    {"drift", cbx_fill_drift},     {"findings", cbx_fill_findings},
    {"help", cbx_fill_help},       {"cautions", cbx_fill_cautions},
    {"years", cbx_fill_years},     {"energy", cbx_fill_energy},
    {"cops", cbx_fill_cops},       {"months", cbx_fill_months},
    {"weather", cbx_fill_weather}, {"assumptions", cbx_fill_assumptions},
    {"design", cbx_fill_design},   {"quality", cbx_fill_quality},
    {"origin", cbx_fill_origin},
};

static cb_status write_run(const char *run_path, const char *page_path, cb_unit_system system,
                           const cb_units *units, cb_error *error)
{
    cbx_report_run run;
    cb_status status = cbx_report_run_open(&run, run_path, units, error);
    if (status == CB_OK) {
        const cbx_shell shell = {
            .text = cbx_run_text(),
            .place = place,
            .place_count = sizeof place / sizeof *place,
            .title = cbx_report_name(run.design),
            .kicker = "Buried ground loop, hour by hour",
            .kind = "ground loop report",
            .source = "one run’s file",
            .without_scripts = "the figures and the unit switch do not work. The text and the "
                               "tables below are complete.",
            .system = system,
            .charts = true,
            .script = {cbx_figures_script(), cbx_ground_script()},
        };
        cbx_fill fill = {.shell = &shell, .run = &run, .design = run.design};
        status = cbx_page_write(&fill, &(cbx_page_order){page_path, &run_path, 1}, error);
    }
    cbx_report_run_close(&run);
    return status;
}

cb_status cb_report_page(const char *run_path, const char *page_path, cb_unit_system system,
                         const cb_units *units, cb_error *error)
{
    if (!run_path || !page_path || !units) {
        return cb_fail(error, CB_BAD_CALL, "cb_report_page needs a run, a page and units");
    }
    if (cbx_report_study_is(run_path)) {
        return cbx_report_study_page(run_path, page_path, system, units, error);
    }
    return write_run(run_path, page_path, system, units, error);
}
