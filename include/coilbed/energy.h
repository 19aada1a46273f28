// SPDX-License-Identifier: MIT
/// Where a run's electricity went, month by month, and what the same loads would take by other
/// means.
#ifndef COILBED_ENERGY_H
#define COILBED_ENERGY_H

#include "coilbed/house.h"
#include "coilbed/record.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Electricity by use [J].
typedef struct cb_energy_use {
    double heating_compressor_j, cooling_compressor_j;
    double fan_j;  ///< of the units; 0 where a unit's is not told from its compressor's
    double pump_j; ///< circulators of the loop
    double backup_j;
    double element_j; ///< of the hot water tank
} cb_energy_use;

double cb_energy_use_sum(const cb_energy_use *use);

typedef struct cb_energy_month {
    int month; ///< 1..12
    cb_energy_use use;
    double heating_load_j, cooling_load_j;
    double from_ground_j; ///< less what was given to it
} cb_energy_month;

/// A mean over the run's whole years; over all there is, as if it were one, without a whole year.
typedef struct cb_energy_sheet {
    double years;
    bool whole;                ///< there is a whole year
    cb_energy_month month[12]; ///< from the run's first
    cb_energy_use year;
    double heating_cop; ///< heat into house and tank over compressors, fans and circulators
    double cooling_cop;
    double whole_cop;   ///< all heat and cold delivered, backup's too, over all electricity but the
                        ///< element's; NaN without any, as the two before it
    double air_rated_w; ///< of the air-source unit set against it: the run's largest heating hour
    cb_alternatives others; ///< a year of each; usual machines (cb_alternatives_usual)
    double air_source_j;    ///< its electricity for heat, backup and cold
    double saved_share;     ///< of that, by the loop; NaN where nothing is asked for
} cb_energy_sheet;

/// Errors: CB_BAD_INPUT if the run holds less than a day, CB_BAD_CALL for missing series or places,
/// CB_NO_MEMORY.
cb_status cb_energy_sheet_of(cb_energy_sheet *out, const cb_run_data *data, const cb_design *design,
                             cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
