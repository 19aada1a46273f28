// SPDX-License-Identifier: MIT
#include "weather/source.h"

#include <math.h>

cb_status cb_weather_file_site(cb_site *site, cb_weather_format format, const char *path,
                               cb_error *error)
{
    if (!site || !path) {
        return cb_fail(error, CB_BAD_CALL, "cb_weather_file_site: site or path is NULL");
    }
    cb_status (*const read)(cbx_file_place *, cbx_csv *, cb_error *) =
        format == CB_WEATHER_TMY3    ? cbx_tmy3_place
        : format == CB_WEATHER_NSRDB ? cbx_nsrdb_place
        : format == CB_WEATHER_PVGIS ? cbx_pvgis_place
                                     : NULL;
    if (!read) {
        return cb_fail(error, CB_BAD_CALL, "only TMY3, NSRDB and PVGIS files say their place");
    }
    cbx_csv csv;
    cbx_file_place place;
    cb_status status = cbx_csv_open(&csv, path, error);
    if (status == CB_OK) {
        status = read(&place, &csv, error);
    }
    if (status == CB_OK) {
        *site = (cb_site){.latitude_deg = place.latitude_deg,
                          .longitude_deg = place.longitude_deg,
                          .elevation_m = place.elevation_m,
                          .time_zone_h = isnan(place.time_zone_h) ? round(place.longitude_deg / 15)
                                                                  : place.time_zone_h};
    }
    cbx_csv_close(&csv);
    return status;
}
