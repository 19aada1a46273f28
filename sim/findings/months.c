// SPDX-License-Identifier: MIT
#include "findings/months.h"

static const double HOUR_S = 3600.0;

static void add_hour(cbx_month *month, const cb_run_data *data, long h)
{
    const double warm_w = data->heating_output_w[h], cool_w = data->cooling_output_w[h];
    const double share = warm_w + cool_w > 0.0 ? warm_w / (warm_w + cool_w) : 0.0;
    const double compressor_j = data->compressor_power_w[h] * HOUR_S;
    const double ground_j = data->heat_from_ground_w[h] * HOUR_S;
    month->hours++;
    month->heating_compressor_j += share * compressor_j;
    month->cooling_compressor_j += (1.0 - share) * compressor_j;
    month->fan_j += data->fan_power_w[h] * HOUR_S;
    month->pump_j += data->pump_power_w[h] * HOUR_S;
    month->backup_j += data->backup_power_w[h] * HOUR_S;
    month->element_j += data->element_power_w[h] * HOUR_S;
    month->heating_load_j += data->heating_load_w[h] * HOUR_S;
    month->cooling_load_j += data->cooling_load_w[h] * HOUR_S;
    month->from_ground_j += ground_j > 0.0 ? ground_j : 0.0;
    month->to_ground_j += ground_j < 0.0 ? -ground_j : 0.0;
}

void cbx_months(const cb_run_data *data, const cb_design_run *run, cbx_month_visit *visit,
                void *context)
{
    cbx_month month = {0};
    for (long h = 0; h < data->hours; h++) {
        const cb_moment at = cb_run_moment(run, h);
        if (at.month != month.month || at.run_year != month.run_year) {
            if (month.hours > 0) {
                visit(context, &month);
            }
            month = (cbx_month){.run_year = at.run_year, .month = at.month};
        }
        add_hour(&month, data, h);
    }
    if (month.hours > 0) {
        visit(context, &month);
    }
}
