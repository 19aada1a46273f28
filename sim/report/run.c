// SPDX-License-Identifier: MIT
#include "report/run.h"

#include <string.h>

cb_status cbx_report_run_open(cbx_report_run *run, const char *path, const cb_units *units,
                              cb_error *error)
{
    *run = (cbx_report_run){.path = path};
    cb_status status = cb_record_read(&run->data, path, error);
    if (status == CB_OK) {
        status = cb_record_read_ground(&run->ground, path, error);
    }
    if (status == CB_OK) {
        status = cb_record_read_origin(&run->origin, path, error);
    }
    if (status == CB_OK) {
        status = cb_design_parse(&run->design, run->data->design_text, path, NULL, 0, units, error);
    }
    if (status == CB_OK) {
        status = cb_findings_create(&run->findings, run->data, run->design, error);
    }
    for (int system = CB_UNITS_US; status == CB_OK && system <= CB_UNITS_SI; system++) {
        status = cbx_case_create(&run->judged[system], run->data, run->design,
                                 (cb_unit_system)system, error);
    }
    return status;
}

void cbx_report_run_close(cbx_report_run *run)
{
    cbx_case_destroy(run->judged[CB_UNITS_US]);
    cbx_case_destroy(run->judged[CB_UNITS_SI]);
    cb_findings_destroy(run->findings);
    cb_design_destroy(run->design);
    cb_run_origin_destroy(run->origin);
    cb_run_ground_destroy(run->ground);
    cb_run_data_destroy(run->data);
    *run = (cbx_report_run){0};
}
