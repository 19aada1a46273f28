// SPDX-License-Identifier: MIT
/// Rows of a file at even steps, turned into the hours of whole years.
#ifndef WEATHER_SERIES_H
#define WEATHER_SERIES_H

#include "weather/source.h"

typedef enum cbx_quantity {
    CBX_AIR,
    CBX_DEW,
    CBX_SOLAR,
    CBX_WIND,
    CBX_CLOUD,
    CBX_LONGWAVE,
    CBX_PRECIPITATION, ///< amount of the row's interval
    CBX_SNOW_DEPTH,
    CBX_QUANTITIES
} cbx_quantity;

/// One row in the units of cb_weather_hour (cloud a fraction); NaN for what the file has not.
typedef struct cbx_reading {
    double value[CBX_QUANTITIES];
} cbx_reading;

typedef struct cbx_series {
    cbx_reading *row; ///< [rows], 29 February left out
    long rows, capacity;
    long leap_rows;         ///< rows of 29 February that were left out
    int step_minutes;       ///< divides 60
    double first_minute;    ///< of a 365-day year, in the file's clock: where row 0's interval
                            ///< begins, or its instant
    bool instants;          ///< rows are values at their stamps, not means or sums
    double solar_late_min;  ///< instants of solar lie so much after their rows' stamps
    double ahead_of_file_h; ///< the site's clock minus the file's
    bool turned;            ///< that is known from the file
} cbx_series;

/// A row of NaN.
cbx_reading cbx_no_reading(void);

/// Takes one row in, or counts it if it is of 29 February. Errors: CB_NO_MEMORY.
cb_status cbx_series_add(cbx_series *series, const cbx_reading *reading, bool leap_day,
                         cb_error *error);
void cbx_series_free(cbx_series *series);

/// How long a series may be, and the first row's day where rows show no date.
typedef struct cbx_extent {
    int month, day;
    int most_years;
} cbx_extent;

/// Sets step and first minute from a table that was read; leaves out the 29 February of a file of
/// one leap year whose rows show no date. Errors: CB_BAD_INPUT if the rows are not whole years.
cb_status cbx_series_place(cbx_series *series, const cbx_table *table, const cbx_csv *csv,
                           const cbx_extent *given, cb_error *error);

/// Fills the weather's hours, as many years as the series has: means over each hour of the site's
/// clock, through the rows' steps, or through straight lines between instants; the end joins the
/// beginning. Clouds from solar and longwave from clouds where the file has none.
/// Then checks the sun (cbx_check_sun). Errors: CB_NO_MEMORY, CB_BAD_INPUT.
cb_status cbx_series_finish(const cbx_series *given, cb_weather *weather, const cb_site *site,
                            const cbx_csv *csv, cb_error *error);

#endif
