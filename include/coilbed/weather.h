// SPDX-License-Identifier: MIT
/// Hourly weather: read or generated, checked, and shaped into the winters and summers a run must
/// survive.
#ifndef COILBED_WEATHER_H
#define COILBED_WEATHER_H

#include "coilbed/design.h"

#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CB_YEAR_HOURS = 8760, CB_YEAR_DAYS = 365 };

/// One hour's means (the hour that starts at the index's time, local standard time).
typedef struct cb_weather_hour {
    double air_temperature_c;
    double dew_point_c;
    double solar_w_m2;          ///< global horizontal
    double wind_m_s;            ///< at 10 m
    double longwave_w_m2;       ///< from the sky, computed when the source has none
    double precipitation_kg_m2; ///< rain and melted snow that fall in the hour (= mm); NaN if the
                                ///< source has none
    double snow_depth_m;        ///< measured depth on the ground; NaN if the source has none
} cb_weather_hour;

/// A gap-free typical year, or several years in a row, from 1 January 00:00 local standard time,
/// without leap days.
typedef struct cb_weather {
    int years;             ///< 1..CB_MAX_WEATHER_YEARS
    cb_weather_hour *hour; ///< [years * CB_YEAR_HOURS], owned
    char description[512]; ///< provenance in a sentence, for reports
    char sha256[65];       ///< of the file read, or of the generated hours
} cb_weather;

/// Reads or generates the design's year (or, from a file, years) and checks it.
///
/// Errors: CB_IO if the file cannot be read; CB_BAD_INPUT with file, line and column for a missing
/// or repeated hour, date or year, NaN, a missing-value code, a value outside physical limits (air
/// -90..60 degC, solar 0..1500 W/m2, wind 0..75 m/s, longwave 40..700 W/m2, precipitation 0..500
/// mm/h, snow 0..20 m, dew point above air by more than 0.5 K), an unknown column or unit, a
/// heading that names another unit than the design; with the file only for a year whose sun adds
/// up to less than 3 % or more than all of what reaches the top of the air, and for a sun that runs
/// more than 2.5 h early or late against the site; normals that no weather can have.
/// On success *out is owned by the caller (cb_weather_destroy). Rows at even parts of an hour are
/// averaged (precipitation summed); 29 February is dropped; NSRDB and PVGIS hours are turned from
/// the file's clock to the site's. Where a file has neither clouds nor longwave, clouds are
/// estimated from solar (Crawford & Duchon 1999: 1 - solar / clear-sky solar, FAO-56 eq. 37, day by
/// day). The description cautions of a sun that runs more than 0.75 h early or late and of a file
/// taken more than half a degree or half an hour from the site's place and zone.
cb_status cb_weather_create(cb_weather **out, const cb_design *design, const cb_units *units,
                            cb_error *error);

/// The place in the head of a TMY3, NSRDB or PVGIS file, for those who have a file and no design.
/// A PVGIS file keeps UTC and names no zone: the zone of its longitude is taken.
/// Errors: CB_IO; CB_BAD_INPUT with file, line and column of what is missing or impossible;
/// CB_BAD_CALL for another format.
cb_status cb_weather_file_site(cb_site *site, cb_weather_format format, const char *path,
                               cb_error *error);

/// So many years of zeros, for a caller who fills them by hand; NULL if memory runs out.
cb_weather *cb_weather_blank(int years);
cb_weather *cb_weather_destroy(cb_weather *weather);

/// Saturation vapour pressure over water and its slope, Magnus form (Allen et al. 1998, FAO-56 eq.
/// 11 and 13).
double cb_saturation_kpa(double air_temperature_c);
double cb_saturation_slope_kpa_k(double air_temperature_c);

/// Longwave from the sky [W/m2]: clear-sky emissivity of Brutsaert 1975 (vapour pressure of
/// cb_saturation_kpa), raised by the cloud fraction as Crawford & Duchon 1999: c + (1 - c)
/// eps_clear.
/// @param cloud_fraction 0..1
double cb_sky_longwave_w_m2(double air_temperature_c, double dew_point_c, double cloud_fraction);

/// Cosine of the sun's zenith angle averaged over one hour (0 below the horizon), declination and
/// equation of time as Allen et al. 1998 (FAO-56 eq. 24, 32, 33).
/// @param day_of_year 0..364; @param hour start of the hour, 0..23, local standard time
double cb_sun_cos_zenith(const cb_site *site, int day_of_year, int hour);

/// Extraterrestrial radiation on a horizontal plane over that hour [W/m2] (FAO-56 eq. 28, 21).
double cb_extraterrestrial_w_m2(const cb_site *site, int day_of_year, int hour);

/// The weather of a whole run: the typical year, or row of years, repeated from the run's start
/// day, with the design's hard winters and hot summers shaped onto their years. Immutable after
/// creation; owns nothing of weather or design, which must outlive it.
///
/// A hard winter lowers air and dew point by z(N) sigma all through December-February (z from the
/// normal distribution, P = 1 - 1/N; sigma the design's winter deviation), fading linearly to zero
/// through November and March; a cold snap centred on the coldest day of that winter follows a
/// raised-cosine dip whose lowest hour is the stated temperature. Precipitation and a measured
/// snow depth are multiplied by snow_share from November to March: 0 is a winter without snow, in
/// which frost goes deepest. Designs filled by hand must set it, to 1 for snow as usual.
/// A hot summer raises the air in the same way all through June-August, fading through May and
/// September, with sigma the summer deviation; a heat wave is a raised cosine whose highest hour is
/// the stated temperature, centred on the hottest day. The dew point stays (no higher than the
/// air); precipitation is multiplied by rain_share from May to September.
/// Solar and wind are unchanged; longwave is moved with the air temperature at constant sky
/// emissivity. Precipitation that the weather does not have (NaN) stays unknown.
/// A winter belongs to the run year that holds its 16 January, a summer to that of its 16 July: a
/// run year that starts on 1 July holds one whole winter; one that starts on 1 January holds one
/// whole summer, ends with the next winter's December, and the winter of year 1 then lacks its
/// December. Hours outside the run are never shaped; the coldest and the hottest day are sought
/// inside it. South of the equator winters are June-August with May and September, summers
/// December-February with November and March.
typedef struct cb_run_weather cb_run_weather;

/// Errors: CB_BAD_INPUT (with the place in the design) if a hard winter or hot summer names a year
/// outside 1..years or one that has such a season already, a snap that is warmer than the shaped
/// winter already is or a heat wave that is cooler than the summer; a return period outside
/// 2..10000 years, a share of precipitation outside 0..3, a snap or wave outside 1..30 days;
/// CB_NO_MEMORY.
cb_status cb_run_weather_create(cb_run_weather **out, const cb_weather *weather,
                                const cb_design *design, cb_error *error);
cb_run_weather *cb_run_weather_destroy(cb_run_weather *run_weather);

/// Shaped weather of run hour 0, 1, ... Any hour is valid; beyond the run the typical year goes on.
/// Negative hours give the typical year before the start.
cb_weather_hour cb_run_weather_at(const cb_run_weather *run_weather, long run_hour);

/// The unshaped typical year (or row of years), aligned to the run's start; wraps.
cb_weather_hour cb_typical_weather_at(const cb_run_weather *run_weather, long hour);

/// Hours after which the unshaped weather repeats: 8760 for each of its years.
long cb_run_weather_cycle_hours(const cb_run_weather *run_weather);

/// One sentence for each thing done to the weather of the run ("Year 3: December-February lowered
/// by 3.6 K (1 in 20 years), cold snap to -35.0 degC for 5 days around 17 January, no
/// precipitation"), in `system` units: the hard winters, then the hot summers. index 0 .. count-1.
int cb_run_weather_note_count(const cb_run_weather *run_weather);
void cb_run_weather_note(const cb_run_weather *run_weather, int index, cb_unit_system system,
                         char *buffer, size_t size);

/// Calendar of a run with 365-day years that begin at the design's start month and day (which must
/// exist). Hours before the start have run years 0, -1, ...
typedef struct cb_moment {
    int run_year;         ///< 1-based
    int month, day, hour; ///< 1..12, 1..31, 0..23
} cb_moment;
cb_moment cb_run_moment(const cb_design_run *run, long run_hour);

/// Day of a 365-day year (0..364) of a month and day; -1 if there is no such day.
int cb_day_of_year(int month, int day);

/// One hour of weather to write; `hour` counts from 0. Must give the same for the same hour.
typedef cb_weather_hour cb_weather_hour_at(const void *context, long hour);

typedef struct cb_weather_csv {
    cb_weather_hour_at *at;
    const void *context;
    long hours;                 ///< whole years: a multiple of CB_YEAR_HOURS, up to the most years
    int first_year;             ///< shown in the time column, 1800..2100; nominal if need be
    int first_month, first_day; ///< of hour 0, which starts at 00:00; not 29 February
} cb_weather_csv;

/// The columns after the time, in the order of writing.
typedef enum cb_weather_column {
    CB_COLUMN_AIR_TEMPERATURE,
    CB_COLUMN_DEW_POINT,
    CB_COLUMN_SOLAR,
    CB_COLUMN_WIND,
    CB_COLUMN_LONGWAVE,
    CB_COLUMN_PRECIPITATION,
    CB_COLUMN_SNOW_DEPTH,
    CB_COLUMN_COUNT
} cb_weather_column;

/// How a column is named: in the file's heading ("solar (W/m2)"), in a design's column map, and
/// the unit to state there (NULL where the map takes none). Static; never NULL.
typedef struct cb_weather_column_name {
    const char *heading, *key, *unit;
    int decimals; ///< digits written after the point
} cb_weather_column_name;
const cb_weather_column_name *cb_weather_column_of(cb_weather_column column);

/// Writes the plain hourly CSV that `format: columns` reads back: rows stamped "2001-01-31 23:00"
/// (365-day years; the beginning of the hour). Precipitation and snow depth are left out if no hour
/// has them.
///
/// @param written  receives, for each column, whether it is in the file: [CB_COLUMN_COUNT]; or NULL
/// Errors: CB_BAD_INPUT, before anything is written, for a value that is not finite or a column
/// that only some hours have; CB_IO with the system's reason; CB_NO_MEMORY; CB_BAD_CALL. The caller
/// opens and closes the stream, and looks at what closing says.
cb_status cb_weather_write_csv(const cb_weather_csv *csv, FILE *stream,
                               bool written[CB_COLUMN_COUNT], cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
