// SPDX-License-Identifier: MIT
// What is integrated beside the states, for hourly means and the energy audit.
#ifndef COILBED_ENGINE_MEANS_H
#define COILBED_ENGINE_MEANS_H

#include "coilbed/engine.h"
#include "engine/system.h"

#define CBX_MEAN_LIST(X)                                                                           \
    X(SURFACE_HEAT) /* into the soil, of the finished solution [W] */                              \
    X(GROSS_HEAT)   /* through surface, bottom and plant, each without sign [W] */                 \
    X(FROM_GROUND)  /* from soil into the fluid [W] */                                             \
    X(ENTERING)     /* [degC], as the next three */                                                \
    X(LEAVING)                                                                                     \
    X(COLDEST)                                                                                     \
    X(HOTTEST)                                                                                     \
    X(FLUID) /* mean over the length of all pipe */                                                \
    X(FLOW)  /* of the whole field, share of the hour included [m3/s] */                           \
    X(PUMP_FRACTION)                                                                               \
    X(HEATING) /* [W], as the rest */                                                              \
    X(COOLING)                                                                                     \
    X(COMPRESSOR)                                                                                  \
    X(FAN)                                                                                         \
    X(PUMP)                                                                                        \
    X(BACKUP)                                                                                      \
    X(UNMET)                                                                                       \
    X(DESUPERHEATER)                                                                               \
    X(ELEMENT)                                                                                     \
    X(HOT_WATER)                                                                                   \
    X(TANK_LOSS)                                                                                   \
    X(TANK_HEAT)                                                                                   \
    X(HOT_WATER_UNMET)                                                                             \
    X(TANK) /* [degC] */                                                                           \
    X(HEATING_LOAD)                                                                                \
    X(COOLING_LOAD)

#define CBX_AS_ENUM(name) CBX_MEAN_##name,
enum { CBX_MEAN_LIST(CBX_AS_ENUM) CBX_MEAN_COUNT };
#undef CBX_AS_ENUM

// Workspace of the integrands.
typedef struct cbx_means {
    cbx_system *system;
    cbx_piece *piece; // [slices * run_count]
} cbx_means;

// A cbx_integrands function; context is a cbx_means.
void cbx_means_at(void *context, double time_s, const double *y, double *integrand);

// The hour's record from its means [CBX_MEAN_COUNT]; loads and weather are filled in too.
void cbx_means_to_hour(const cbx_system *system, const cb_fluid *fluid, double inside_diameter_m,
                       long run_hour, const double *mean, cb_hour *hour);

#endif
