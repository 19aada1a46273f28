// SPDX-License-Identifier: MIT
/// What the sources of a typical year (files, generator) share.
#ifndef WEATHER_SOURCE_H
#define WEATHER_SOURCE_H

#include "coilbed/weather.h"
#include "weather/csv.h"
#include "weather/limits.h"
#include "weather/table.h"

/// Physical limits of an hour's values; outside them a source is refused.
#define CBX_AIR_LOW_C (-90.0)
#define CBX_AIR_HIGH_C 60.0
#define CBX_SOLAR_HIGH_W_M2 1500.0
#define CBX_WIND_HIGH_M_S 75.0
#define CBX_LONGWAVE_LOW_W_M2 40.0   ///< of a body at -110 degC; no sky is colder
#define CBX_LONGWAVE_HIGH_W_M2 700.0 ///< of a body at 60 degC
#define CBX_RAIN_HIGH_KG_M2 500.0    ///< in an hour; records of one hour stay below (from memory)
#define CBX_SNOW_HIGH_M 20.0
#define CBX_DEW_EXCESS_K 0.5 ///< rounding of two readings; more is a mistake

/// One hour as sources give it, before the sky's longwave is computed.
typedef struct cbx_raw_hour {
    double air_c, dew_c, solar_w_m2, wind_m_s;
    double cloud; ///< fraction 0..1
} cbx_raw_hour;

/// Refuses a dew point above the air temperature; index is the field to point at.
cb_status cbx_check_dew(const cbx_csv *csv, int index, double air_c, double dew_c, cb_error *error);

/// Fills the weather's hour from the raw one.
void cbx_finish_hour(cb_weather *weather, int hour, const cbx_raw_hour *raw);

/// Cloud fraction 1 - s of Crawford & Duchon 1999, s the day's solar over its clear-sky solar,
/// linear between noons; days of no sun take the last day's value. For files without clouds.
void cbx_cloud_from_solar(const cb_site *site, cbx_raw_hour raw[CB_YEAR_HOURS]);

/// Name of a path without its folders.
const char *cbx_file_name(const char *path);

/// The place in the head of an open file, from its first line on.
/// Errors: CB_BAD_INPUT with the place of what is missing or impossible.
cb_status cbx_tmy3_place(cbx_file_place *place, cbx_csv *csv, cb_error *error);
cb_status cbx_nsrdb_place(cbx_file_place *place, cbx_csv *csv, cb_error *error);
cb_status cbx_pvgis_place(cbx_file_place *place, cbx_csv *csv, cb_error *error);

cb_status cbx_read_tmy3(cb_weather *weather, const cb_design *design, cb_error *error);
cb_status cbx_read_nsrdb(cb_weather *weather, const cb_design *design, cb_error *error);
cb_status cbx_read_pvgis(cb_weather *weather, const cb_design *design, cb_error *error);
cb_status cbx_read_columns(cb_weather *weather, const cb_design *design, const cb_units *units,
                           cb_error *error);
cb_status cbx_generate(cb_weather *weather, const cb_design *design, cb_error *error);

#endif
