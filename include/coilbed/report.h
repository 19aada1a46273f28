// SPDX-License-Identifier: MIT
/// Runs and studies for people: one self-contained page, or a run's tables for a spreadsheet.
#ifndef COILBED_REPORT_H
#define COILBED_REPORT_H

#include "coilbed/findings.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Writes a run, whole or cut short, or the file of a study (see study.h), as one HTML page that
/// needs nothing but a browser: no other file, no network. Both unit systems are in it; `system` is
/// the one it opens with.
///
/// Hourly water temperatures are kept in full up to twelve years; of longer runs the weeks around
/// each year's extremes are, and of every other bucket of hours the least and the greatest.
/// Errors: those of cb_record_read for the run, of cb_design_parse for the design stored with it,
/// of cb_findings_create; CB_IO with the system's reason if the page cannot be written, or if
/// there is a file at page_path that is no page. The page appears whole or not at all: an earlier
/// one of that name stays as it was on any error.
cb_status cb_report_page(const char *run_path, const char *page_path, cb_unit_system system,
                         const cb_units *units, cb_error *error);

/// Writes several runs as one page: what differs first, then each run's own answer. The first is
/// what the others are held against.
/// @param run_path  [count] 1 .. CB_MAX_COMPARED of compare.h
/// Errors: as cb_report_page; CB_BAD_INPUT for a study among them.
cb_status cb_report_runs_page(const char *const *run_path, size_t count, const char *page_path,
                              cb_unit_system system, const cb_units *units, cb_error *error);

/// Writes hourly.csv, monthly.csv, annual.csv and findings.csv (RFC 4180, values in SI, units in
/// the column names) into a folder, made if there is none; of a study cases.csv, a row for each
/// case. Files of those names are replaced. Errors: as cb_report_page.
cb_status cb_report_csv(const char *path, const char *folder, const cb_units *units,
                        cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
