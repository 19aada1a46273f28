// SPDX-License-Identifier: MIT
/// What the page's figures are drawn from, as members of one JSON object.
#ifndef REPORT_DATA_H
#define REPORT_DATA_H

#include "report/pack.h"
#include "report/run.h"

/// The whole object, ready to stand inside a script element: no "<" in it. Errors: CB_NO_MEMORY;
/// those of reading sections.
cb_status cbx_report_data(const cbx_report_run *run, FILE *page, cb_error *error);

// ---- its parts -------------------------------------------------------------------------------

bool cbx_data_series(cbx_json *json, const cbx_report_run *run);
bool cbx_data_week(cbx_json *json, const cbx_report_run *run);
void cbx_data_years(cbx_json *json, const cbx_report_run *run);
void cbx_data_limits(cbx_json *json, const cbx_report_run *run);
void cbx_data_layout(cbx_json *json, const cbx_report_run *run);
cb_status cbx_data_ground(cbx_json *json, const cbx_report_run *run, cb_error *error);

#endif
