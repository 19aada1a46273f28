// SPDX-License-Identifier: MIT
/// Hourly heating and cooling loads of the house.
#ifndef COILBED_HOUSE_H
#define COILBED_HOUSE_H

#include "coilbed/weather.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Loads of every hour of a run. Heating and cooling are both >= 0 [W], hourly means.
typedef struct cb_house {
    long hours;
    double *heating_w; ///< [hours]
    double *cooling_w; ///< [hours]
} cb_house;

/// Computes the loads of all design->run.years.
///
/// Load line: heating = Q_design (T_balance - T) / (T_balance - T_design) for T below the balance
/// point, likewise cooling, not capped at the design load. T is the outdoor temperature behind a
/// first-order lag of the envelope's time constant (exact for an hour of constant outdoor air),
/// started periodic on the typical year. Common practice, no source.
/// Load file: hourly rows of heating and cooling load [0..10 MW]; the first line names the columns.
/// 8760 rows are a calendar year, 1 January first, turned to the run's start and repeated;
/// years * 8760 rows are the whole run, from its first hour (with one year: a calendar year). The
/// same checks as a weather file; the loads do not follow the shaped weather.
///
/// Errors: CB_IO, CB_BAD_INPUT (file, line, column), CB_NO_MEMORY. *out is owned by the caller.
cb_status cb_house_create(cb_house **out, const cb_design *design, const cb_run_weather *weather,
                          const cb_units *units, cb_error *error);
cb_house *cb_house_destroy(cb_house *house);

#ifdef __cplusplus
}
#endif
#endif
