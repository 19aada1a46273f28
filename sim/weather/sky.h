// SPDX-License-Identifier: MIT
#ifndef WEATHER_SKY_H
#define WEATHER_SKY_H

#include "coilbed/design.h"

/// Solar constant of FAO-56 eq. 28, 0.0820 MJ m-2 min-1.
#define CBX_SOLAR_CONSTANT_W_M2 (0.0820e6 / 60.0)

/// Share of the extraterrestrial radiation that reaches the ground under a clear sky (FAO-56
/// eq. 37).
double cbx_clear_sky_share(const cb_site *site);

/// Hour angle of sunset [rad], 0 (polar night) .. pi (polar day); FAO-56 eq. 25.
/// @param day_of_year 0..364
double cbx_sunset_angle_rad(double latitude_deg, int day_of_year);

/// A direction as a unit vector.
typedef struct cbx_direction {
    double east, north, up;
} cbx_direction;

/// Towards the sun's centre, without refraction; the sun is down where `up` is negative.
/// @param day_of_year 0..364; @param hour local standard time, 0..24, with its fraction
cbx_direction cbx_sun_direction(const cb_site *site, int day_of_year, double hour);

/// Dew point [degC] of air at a relative humidity (0..1]; inverse of cb_saturation_kpa.
double cbx_dew_point_c(double air_temperature_c, double relative_humidity);

#endif
