// SPDX-License-Identifier: MIT
/// Calendar months of a run.
#ifndef FINDINGS_MONTHS_H
#define FINDINGS_MONTHS_H

#include "coilbed/record.h"

/// What a month came to.
typedef struct cbx_month {
    int run_year, month;
    long hours;
    double heating_compressor_j, cooling_compressor_j, fan_j, pump_j, backup_j, element_j;
    double heating_load_j, cooling_load_j;
    double from_ground_j, to_ground_j; ///< both positive
} cbx_month;

/// Calls visit for every calendar month of the run, in order. A month that the run's end or its
/// year cuts comes in parts.
typedef void cbx_month_visit(void *context, const cbx_month *month);
void cbx_months(const cb_run_data *data, const cb_design_run *run, cbx_month_visit *visit,
                void *context);

#endif
