// SPDX-License-Identifier: MIT
/// Heat pumps, circulators and electric backup: what a load does to the loop.
#ifndef COILBED_PLANT_H
#define COILBED_PLANT_H

#include "coilbed/design.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Prepared performance curves of all units; immutable, shareable.
typedef struct cb_plant cb_plant;

/// Hourly-mean rates at one moment [W], all >= 0 unless said otherwise.
typedef struct cb_plant_rates {
    double heating_output_w; ///< by compressors
    double cooling_output_w;
    double compressor_power_w;
    double pump_power_w;
    double backup_power_w; ///< electric = heat delivered
    double unmet_load_w;   ///< heating or cooling asked for and not delivered
    double heat_to_loop_w; ///< negative in heating; pump heat included
    double pump_fraction;  ///< share of the hour the circulators run, 0..1
    double loop_rise_k;    ///< leaving minus entering water while running; negative in heating
    // Derivatives with respect to entering water temperature, for the Jacobian.
    double heat_to_loop_slope_w_k;
    double pump_fraction_slope_1_k;
    double loop_rise_slope;
} cb_plant_rates;

/// Monotone cubic (Fritsch & Carlson 1980) interpolation of each table over entering water.
/// @param heat_capacity_flow_w_k  density x heat capacity x flow of the whole field while running
/// Errors: CB_NO_MEMORY; CB_BAD_INPUT with the table's place when it is not monotone.
cb_status cb_plant_create(cb_plant **out, const cb_design *design, double heat_capacity_flow_w_k,
                          cb_error *error);
cb_plant *cb_plant_destroy(cb_plant *plant);

/// What the plant does at this load and entering water temperature. Continuous and piecewise
/// smooth in all three arguments. Units are dispatched in the order of the design: the first
/// carries what it can, the next the rest; then backup stages. Beyond its table by more than its
/// margin, or past a lockout, a unit's share fades to nothing over half a kelvin.
void cb_plant_evaluate(const cb_plant *plant, double heating_load_w, double cooling_load_w,
                       double entering_c, cb_plant_rates *out);

/// Capacity and power of unit `unit` at full load [W]; 0 where it has no such mode.
void cb_plant_unit_at(const cb_plant *plant, int unit, bool cooling, double entering_c,
                      double *capacity_w, double *power_w);

#ifdef __cplusplus
}
#endif
#endif
