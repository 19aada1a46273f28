// SPDX-License-Identifier: MIT
// Weather and loads as continuous functions of time: piecewise linear through hour middles, so the
// integrator meets no jump. A series' total is kept; one hour's mean becomes (a + 6 b + c) / 8 of
// itself and its neighbours.
#ifndef COILBED_ENGINE_FORCING_H
#define COILBED_ENGINE_FORCING_H

#include "coilbed/plant.h"
#include "engine/undisturbed.h"

typedef struct cbx_forcing_point {
    cb_surface_exchange surface;
    double dryness; // of the root zone
    double heating_w, cooling_w;
    double outdoor_c;
    double draw_m3_s, mains_c;           // hot water
    double heating_air_c, cooling_air_c; // that the house asks for; NaN: it names none
} cbx_forcing_point;

typedef struct cbx_forcing {
    const cb_run_weather *weather;
    const cb_house *house;         // NULL: no loads
    const cbx_undisturbed *ground; // owned by the engine; set before the first use
    const cb_plant *plant;         // for the hot water drawn; NULL: none
    const cb_design *design;       // for the house's set points; set with the plant
    int mains_row;                 // cell of the undisturbed ground in which the water main lies
    long cached_hour;              // of `before`; `after` is the next hour
    cbx_forcing_point before, after;
} cbx_forcing;

void cbx_forcing_start(cbx_forcing *forcing, const cb_run_weather *weather, const cb_house *house);

// A water main lies below the frost; common practice, no source. Its water is as cold as the ground
// there, that of the typical year.
#define CBX_MAINS_DEPTH_M 1.5

// At `time_s` since the run's start; any time is valid.
cbx_forcing_point cbx_forcing_at(cbx_forcing *forcing, double time_s);

#endif
