// SPDX-License-Identifier: MIT
/// The hours of a run boiled down to run years.
#ifndef FINDINGS_SUMMARY_H
#define FINDINGS_SUMMARY_H

#include "coilbed/record.h"

enum { CBX_MOST_YEARS = 100 }; // cb_design_run.years

/// An extreme of hourly values and the hour it fell in; NaN and -1 if no hour counts.
typedef struct cbx_extreme {
    double value;
    long run_hour;
} cbx_extreme;

/// Energies of a mode, and the hours in which its load was not met.
typedef struct cbx_mode {
    double load_j, output_j;
    double compressor_j, fan_j, pump_j; ///< shared between the modes by each hour's output
    double into_tank_j;                 ///< by the units' desuperheaters, shared alike
    double unmet_j;
    long unmet_hours;
} cbx_mode;

typedef struct cbx_period {
    long hours;
    cbx_extreme entering_low, entering_high; ///< while the pump runs
    cbx_extreme coldest, hottest;            ///< fluid anywhere, at any time
    cbx_extreme coldest_running;             ///< fluid anywhere, while the pump runs
    cbx_extreme backup;                      ///< largest backup power
    cbx_extreme shortfall;                   ///< largest unmet load
    cbx_mode heating, cooling;
    double idle_pump_j; ///< pump energy of hours without any output, before it is shared
    double backup_j;
    long backup_hours;
    double element_j, hot_water_j, hot_water_unmet_j;
} cbx_period;

typedef struct cbx_summary {
    int years;        ///< begun
    int whole_years;  ///< finished
    cbx_period *year; ///< [years]
    bool *ordinary;   ///< [years] finished, without a hard winter or hot summer of its own
    bool hard_winter[CBX_MOST_YEARS], hot_summer[CBX_MOST_YEARS]; ///< has one, finished or not
    cbx_period run;
} cbx_summary;

/// Share of an hour the pump must run for its entering water to count.
extern const double cbx_pump_runs;

/// Errors: CB_BAD_CALL for missing series, CB_BAD_INPUT for less than a day, more than
/// CBX_MOST_YEARS or values that are not numbers (with the series and the hour), CB_NO_MEMORY.
cb_status cbx_summary_create(cbx_summary **out, const cb_run_data *data, const cb_design *design,
                             cb_error *error);
cbx_summary *cbx_summary_destroy(cbx_summary *summary);

/// Number of years an average is taken over: whole years if there are any, else the run as it is.
double cbx_summary_average_years(const cbx_summary *summary);

/// Sums over the years of the average (not divided). Extremes are those of the whole run.
cbx_period cbx_summary_total(const cbx_summary *summary);

/// Heat or cold delivered over the electricity of compressors, fans and pumps; NaN without any.
/// Heating counts what goes into the hot water; in cooling that is a gift and does not count.
double cbx_heating_performance(const cbx_period *period);
double cbx_cooling_performance(const cbx_period *period);

#endif
