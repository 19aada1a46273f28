// SPDX-License-Identifier: MIT
/// All that a report draws on, read once.
#ifndef REPORT_RUN_H
#define REPORT_RUN_H

#include "findings/judge.h"
#include "findings/months.h"

typedef struct cbx_report_run {
    const char *path;
    cb_run_data *data;
    cb_run_ground *ground;
    cb_run_origin *origin;
    cb_design *design;
    cb_findings *findings;
    cbx_case *judged[2]; ///< by cb_unit_system: the same findings, sentences in those units
} cbx_report_run;

/// cbx_report_run_close is needed in every case.
cb_status cbx_report_run_open(cbx_report_run *run, const char *path, const cb_units *units,
                              cb_error *error);
void cbx_report_run_close(cbx_report_run *run);

static inline const cbx_summary *cbx_report_summary(const cbx_report_run *run)
{
    return run->judged[CB_UNITS_SI]->summary;
}

/// The design's name, or words that stand for one.
static inline const char *cbx_report_name(const cb_design *design)
{
    return design->name && *design->name ? design->name : "Unnamed design";
}

bool cbx_report_same_file(const char *a, const char *b);

/// True unless there is a file at `path` that begins otherwise: one that was not written here.
bool cbx_report_file_begins(const char *path, const char *with);

/// A stream that becomes the file at `path` only when it is whole.
typedef struct cbx_report_file {
    FILE *stream;
    const char *path;
    char *temporary;
} cbx_report_file;
cb_status cbx_report_file_open(cbx_report_file *file, const char *path, cb_error *error);
/// Puts the file in its place if `good` and everything was written, else removes it.
cb_status cbx_report_file_close(cbx_report_file *file, bool good, cb_error *error);

#endif
