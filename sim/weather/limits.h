// SPDX-License-Identifier: MIT
/// What a whole file must keep to, and cautions in the description of the weather.
#ifndef WEATHER_LIMITS_H
#define WEATHER_LIMITS_H

#include "coilbed/weather.h"
#include "weather/csv.h"

/// Adds to the end of the weather's description.
void cbx_describe(cb_weather *weather, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/// Where a file says it was taken; NaN for what it does not say.
typedef struct cbx_file_place {
    double latitude_deg, longitude_deg;
    double elevation_m;
    double time_zone_h; ///< local standard time minus UTC
} cbx_file_place;

/// Adds a caution if the file's place or zone is not the site's (by more than half a degree or half
/// an hour).
void cbx_note_place(cb_weather *weather, const cb_site *site, const cbx_file_place *place);

/// Hours by which the sun of all years runs late (positive) or early against the site's: the phase
/// of the mean day, -12..12. False if the sun shows no day.
bool cbx_sun_late_h(const cb_weather *weather, const cb_site *site, double *late_h);

/// Refuses a sun that is more than 2.5 h off, with the zone that would fit, and adds a caution from
/// 0.75 h on; refuses a year whose sun adds up to more than reaches the top of the air, or to under
/// 3 % of it. @param turned  the hours were turned to the site's clock by the zone the file states
cb_status cbx_check_sun(cb_weather *weather, const cb_site *site, const cbx_csv *csv, bool turned,
                        cb_error *error);

/// Refuses an hour whose rows add up to more precipitation than an hour can bring, and describes
/// how much there is in a mean year.
cb_status cbx_check_rain(cb_weather *weather, const cbx_csv *csv, cb_error *error);

#endif
