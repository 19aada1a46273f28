// SPDX-License-Identifier: MIT
/// A hard-working January for pipe in the ground: hourly surface, soil and heat, of the invented
/// starter design's site and its typical year.
#ifndef COILBED_VALIDATION_WINTER_MONTH_H
#define COILBED_VALIDATION_WINTER_MONTH_H

#include "engine/undisturbed.h"

enum { WINTER_HOURS = 31 * 24 };
static const double winter_bottom_m = 12.0;

typedef struct winter_month {
    cb_design *design; ///< starter: its layers are the ground
    int soils;
    cb_soil soil[CB_MAX_LAYERS];
    cb_soil_curve *curve[CB_MAX_LAYERS];
    double soil_bottom_m[CB_MAX_LAYERS];
    cb_section *column;
    cbx_undisturbed *ground;
    long first_hour; ///< of the month, in hours since the run's start
    /// Share of the peak heat taken, by hour, from the hour before the month on.
    double share[WINTER_HOURS + 2];
} winter_month;

/// NULL, with a message, if it cannot be made.
winter_month *winter_month_create(cb_error *error);
winter_month *winter_month_destroy(winter_month *month);

/// Undisturbed ground at the month's beginning.
double winter_month_profile_c(const winter_month *month, double z_m);
/// Linear through hour middles; time 0 is the month's beginning.
cb_surface_exchange winter_month_surface(const winter_month *month, double time_s);
double winter_month_share(const winter_month *month, double time_s);

#endif
