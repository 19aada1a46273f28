// SPDX-License-Identifier: MIT
/// The hot water tank, its element and what the units' desuperheaters give it.
#ifndef PLANT_HOT_WATER_H
#define PLANT_HOT_WATER_H

#include "coilbed/plant.h"
#include "plant/dual.h"

typedef struct cbx_desuperheater {
    double heat_w, rated_c, hot_gas_c, limit_c, most_share; ///< heat_w 0: the unit has none
} cbx_desuperheater;

typedef struct cbx_hot_water {
    bool given;
    double capacity_j_k, loss_w_k, room_c;
    double draw_m3_s[CB_DAY_HOURS], draw_c;
    double element_w, set_point_c, band_k;
    cbx_desuperheater of_unit[CB_MAX_UNITS];
} cbx_hot_water;

/// Errors: CB_BAD_INPUT with the place.
cb_status cbx_hot_water_prepare(cbx_hot_water *water, const cb_design *design, cb_error *error);

/// Share of its heat that a unit gives the tank while it runs, 0..most_share. full_heat_w: what it
/// gives off at full load.
cbx_dual cbx_desuperheater_share(const cbx_desuperheater *from, double tank_c,
                                 cbx_dual full_heat_w);

/// Fills the tank's part of the rates; desuperheater_w: of all units.
void cbx_hot_water_at(const cbx_hot_water *water, const cb_plant_point *point,
                      cbx_dual desuperheater_w, cb_plant_rates *out);

#endif
