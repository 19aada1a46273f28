// SPDX-License-Identifier: MIT
#include "report/run.h"

#include <string.h>

static const double HOUR_S = 3600.0;

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

static void add_hour(cbx_month *month, const cb_run_data *data, long h)
{
    const double warm_w = data->heating_output_w[h], cool_w = data->cooling_output_w[h];
    const double share = warm_w + cool_w > 0.0 ? warm_w / (warm_w + cool_w) : 0.0;
    const double compressor_j = data->compressor_power_w[h] * HOUR_S;
    const double ground_j = data->heat_from_ground_w[h] * HOUR_S;
    month->hours++;
    month->heating_compressor_j += share * compressor_j;
    month->cooling_compressor_j += (1.0 - share) * compressor_j;
    month->pump_j += data->pump_power_w[h] * HOUR_S;
    month->backup_j += data->backup_power_w[h] * HOUR_S;
    month->heating_load_j += data->heating_load_w[h] * HOUR_S;
    month->cooling_load_j += data->cooling_load_w[h] * HOUR_S;
    month->from_ground_j += ground_j > 0.0 ? ground_j : 0.0;
    month->to_ground_j += ground_j < 0.0 ? -ground_j : 0.0;
}

void cbx_report_months(const cbx_report_run *run, cbx_month_visit *visit, void *context)
{
    cbx_month month = {0};
    for (long h = 0; h < run->data->hours; h++) {
        const cb_moment at = cb_run_moment(&run->design->run, h);
        if (at.month != month.month || at.run_year != month.run_year) {
            if (month.hours > 0) {
                visit(context, &month);
            }
            month = (cbx_month){.run_year = at.run_year, .month = at.month};
        }
        add_hour(&month, run->data, h);
    }
    if (month.hours > 0) {
        visit(context, &month);
    }
}
