// SPDX-License-Identifier: MIT
/// A house by its envelope: the network of ISO 13790 and what drives it, hour by hour.
#ifndef HOUSE_ENVELOPE_H
#define HOUSE_ENVELOPE_H

#include "coilbed/house.h"
#include "house/envelope_solar.h"
#include "house/five_resistance.h"

/// Density times heat capacity of air, ISO 13790 (from memory).
#define CBX_AIR_J_M3K 1200.0
/// A window that lies flatter than this is in the roof, else in a wall.
#define CBX_ROOF_TILT_DEG 60.0

enum { CBX_WALL_SIDES = 4 }; ///< north, east, south, west: a quarter of the walls each

/// Soil under the slab as one temperature: mean + swing cos(2 pi (hour of run - warmest) / year).
typedef struct cbx_floor {
    double h_w_k; ///< H_g
    double mean_c, swing_k, warmest_h;
} cbx_floor;

typedef struct cbx_envelope {
    const cb_design *design;
    const cb_envelope *given;
    cbx_network network;
    cbx_floor floor;
    double walls_w_k, roof_w_k, doors_w_k, windows_w_k; ///< openings taken out of walls and roof
    double leak_l_s;    ///< of the leakage area, per root of (stack dT + wind U2)
    double stack, wind; ///< C_s, C_w
    double volume_m3;
    cbx_direction window[CB_MAX_WINDOWS], wall[CBX_WALL_SIDES];
} cbx_envelope;

/// The weather and the clock of one hour.
typedef struct cbx_outdoors {
    cb_weather_hour weather;
    long run_hour; ///< for the soil's year
    int day_of_year, hour;
} cbx_outdoors;

/// Prepares all but the soil's year. Errors: CB_BAD_INPUT at the value's place.
cb_status cbx_envelope_prepare(cbx_envelope *envelope, const cb_design *design, cb_error *error);
/// Fits the soil's year to the typical weather.
void cbx_envelope_season(cbx_envelope *envelope, const cb_run_weather *weather);

/// Outdoor air that leaks in [m3/s] at these set points.
double cbx_envelope_leakage_m3_s(const cbx_envelope *envelope, const cb_weather_hour *weather,
                                 double heating_set_c, double cooling_set_c);
cbx_drive cbx_envelope_drive(const cbx_envelope *envelope, const cbx_outdoors *outdoors);
cb_house_losses cbx_envelope_losses(const cbx_envelope *envelope);

/// Refuses what no house can be: ranges, openings larger than their part, crossed set points.
/// Errors: CB_BAD_INPUT at the value's place.
cb_status cbx_envelope_check(const cb_design *design, cb_error *error);

/// Fills the loads of the whole run; the arrays are there already.
cb_status cbx_envelope_loads(cb_house *house, const cb_design *design,
                             const cb_run_weather *weather, cb_error *error);

#endif
