// SPDX-License-Identifier: MIT
// The page of a study.
#include "report/assets.h"
#include "report/fill.h"
#include "report/study.h"

static void fill_data(cbx_fill *fill)
{
    fill->status = cbx_page_data(fill->page, cbx_data_study, fill->study, fill->error);
}

static const cbx_place place[] = {
    {"data", fill_data},
    {"summary", cbx_fill_study_summary},
    {"key_numbers", cbx_fill_study_cards},
    {"varied", cbx_fill_study_varied},
    {"failed", cbx_fill_study_failed},
    {"cautions", cbx_fill_cautions},
    {"quantiles", cbx_fill_study_quantiles},
    {"chances", cbx_fill_study_chances},
    {"origin", cbx_fill_study_origin},
    {"study_text", cbx_fill_study_text},
    {"design", cbx_fill_study_design},
};

cb_status cbx_report_study_page(const char *path, const char *page_path, cb_unit_system system,
                                const cb_units *units, cb_error *error)
{
    cbx_report_study study;
    cb_status status = cbx_report_study_open(&study, path, units, error);
    if (status == CB_OK) {
        const cbx_shell shell = {
            .text = study.grid ? cbx_grid_text() : cbx_samples_text(),
            .place = place,
            .place_count = sizeof place / sizeof *place,
            .title = cbx_report_name(study.design),
            .kicker = "Study of a buried ground loop",
            .kind = "ground loop study",
            .source = "a study’s file",
            .without_scripts = "the figures, the table of all cases and the unit switch do not "
                               "work. The text and the other tables are complete.",
            .system = system,
            .script = {cbx_study_script()},
        };
        cbx_fill fill = {.shell = &shell, .study = &study, .design = study.design};
        status = cbx_page_write(&fill, &(cbx_page_order){page_path, &path, 1}, error);
    }
    cbx_report_study_close(&study);
    return status;
}
