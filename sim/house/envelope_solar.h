// SPDX-License-Identifier: MIT
/// Sun on tilted planes from the horizontal sum of the weather.
#ifndef HOUSE_ENVELOPE_SOLAR_H
#define HOUSE_ENVELOPE_SOLAR_H

#include "weather/sky.h"

/// Share of the horizontal sun that comes diffuse, by the clearness G / G0: hourly correlation of
/// Erbs, Klein & Duffie 1982, Solar Energy 28, 293-302 (coefficients from memory).
double cbx_diffuse_share(double clearness);

enum { CBX_SUN_POINTS = 12 }; ///< of the part of an hour in which the sun is up

/// The sun of one hour, split into beam and diffuse.
typedef struct cbx_sun_hour {
    cbx_direction sun[CBX_SUN_POINTS];
    double lit;          ///< share of the hour with the sun up
    double global_w_m2;  ///< horizontal
    double diffuse_w_m2; ///< horizontal
    double normal_w_m2;  ///< beam on a plane that faces the sun, while it is up
} cbx_sun_hour;

/// Splits an hour's mean horizontal sun. What the correlation calls beam but is more than the sun
/// has outside the air (a few minutes at the horizon) counts as diffuse.
/// @param day_of_year 0..364; @param hour its start, 0..23, local standard time
cbx_sun_hour cbx_sun_split(const cb_site *site, int day_of_year, int hour, double global_w_m2);

/// Normal of a plane. @param azimuth_deg from north by east
cbx_direction cbx_plane(double azimuth_deg, double tilt_deg);

/// Mean over the hour on a plane with this normal [W/m2]: beam by the true angle, sky and ground
/// isotropic (Liu & Jordan 1963, Solar Energy 7, 53-74). A level plane gets global_w_m2.
double cbx_sun_on(const cbx_sun_hour *hour, const cbx_direction *normal, double reflectance);

#endif
