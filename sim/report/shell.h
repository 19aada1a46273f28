// SPDX-License-Identifier: MIT
/// What all pages share: a text with places left open, head and foot, and how a page is written.
#ifndef REPORT_SHELL_H
#define REPORT_SHELL_H

#include "findings/json_writer.h"
#include "report/run.h"

struct cbx_report_study;
struct cbx_report_several;
struct cbx_shell;

/// A page while it is written; of run, study and several the one that the page is about.
typedef struct cbx_fill {
    const struct cbx_shell *shell;
    const cb_design *design;
    const cbx_report_run *run;
    const struct cbx_report_study *study;
    const struct cbx_report_several *several;
    FILE *page;
    cb_status status; ///< of the first failure
    cb_error *error;
} cbx_fill;

/// A place in the text: {{name}}.
typedef struct cbx_place {
    const char *name;
    void (*fill)(cbx_fill *fill);
} cbx_place;

enum { CBX_MOST_SCRIPTS = 4 };

/// What one kind of page brings. Its data stand in a script element of their own, its scripts
/// between those that all pages have.
typedef struct cbx_shell {
    const char *text; ///< the page, {{head}} to {{foot}}
    const cbx_place *place;
    size_t place_count;
    const char *title, *kicker, *kind; ///< title may come from a file, the others not
    const char *source;                ///< what it was written from, for the foot
    const char *without_scripts;       ///< what does not work then
    cb_unit_system system;             ///< that the page opens with
    bool charts;                       ///< it uses the chart library
    const char *script[CBX_MOST_SCRIPTS];
} cbx_shell;

/// Where a page goes, and the files that it must not replace.
typedef struct cbx_page_order {
    const char *path;
    const char *const *input; ///< [input_count]
    size_t input_count;
} cbx_page_order;

/// Fills the text of fill->shell into the file. Errors: as cb_report_page for what cannot be
/// written, and what a place reports.
cb_status cbx_page_write(cbx_fill *fill, const cbx_page_order *order, cb_error *error);

/// JSON of a page's data, ready to stand inside a script element: no "<" in it. `put` writes into
/// the open object. Errors: CB_NO_MEMORY; those of put.
typedef cb_status cbx_put_data(cbx_json *json, const void *context, cb_error *error);
cb_status cbx_page_data(FILE *page, cbx_put_data *put, const void *context, cb_error *error);

#endif
