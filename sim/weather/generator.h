// SPDX-License-Identifier: MIT
/// The generator's parts: departures of temperature, the clearness of each day, precipitation.
#ifndef WEATHER_GENERATOR_H
#define WEATHER_GENERATOR_H

#include "coilbed/weather.h"
#include "weather/random.h"

typedef struct cbx_days {
    double departure_k[CB_YEAR_DAYS]; ///< of the daily mean temperature from its month's course
    double clearness[CB_YEAR_DAYS];   ///< share of the clear-sky solar that arrives, 0..1
} cbx_days;

/// Departures have the normals' standard deviation and mean 0 in every month; clearness gives the
/// normals' solar in every month. Errors: CB_BAD_INPUT if a month's solar cannot be had under the
/// site's sun.
cb_status cbx_generate_days(cbx_days *days, const cb_design *design, cbx_random *random,
                            cb_error *error);

/// Rain and melted snow of each hour [kg/m2]. The cloudiest days of each month are wet, the
/// cloudier the wetter; the months' totals are the given ones to rounding. Months of NaN (all or
/// none) give hours of NaN.
void cbx_generate_precipitation(const cbx_days *days, const double month_kg_m2[CB_MONTHS],
                                cbx_random *random, double hour[CB_YEAR_HOURS]);

#endif
