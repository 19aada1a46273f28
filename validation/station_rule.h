// SPDX-License-Identifier: MIT
// The one rule by which a station gets its soil, its water and its cover: from its climate alone,
// the same for every station, so that a station's score says how well an unknown yard is met.
#ifndef VALIDATION_STATION_RULE_H
#define VALIDATION_STATION_RULE_H

#include "coilbed/design.h"
#include "station_weather.h"

#include <stdio.h>

enum { STATION_MOST_LAYERS = 4 };

typedef struct station_climate {
    bool bare_plot; // a thermometer lies on the ground beside the probes
    double mean_air_c;
    double precipitation_mm;         // a year; NaN: not measured
    double reference_evaporation_mm; // a year, FAO-56 eq. 6
    double solar_mj_m2_day;          // mean
    double latitude_deg;
} station_climate;

typedef struct station_ground {
    int layers;
    cb_soil soil[STATION_MOST_LAYERS];    // from the top; not yet resolved
    double bottom_m[STATION_MOST_LAYERS]; // the last runs on down
    cb_surface surface;
} station_ground;

station_climate station_climate_of(const station_weather *weather, bool bare_plot);

// Ground and cover of a station whose weather drives the surface.
station_ground station_rule(const station_climate *climate);

// Soil between two probes whose temperatures are given.
station_ground station_rule_driven(void);

void station_rule_explain(FILE *out);

#endif
