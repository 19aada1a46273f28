// SPDX-License-Identifier: MIT
/// When each row of a table is, from what the row itself shows, and whether rows follow each other.
#ifndef WEATHER_CLOCK_H
#define WEATHER_CLOCK_H

#include "weather/csv.h"

enum {
    CBX_DAY_MINUTES = 1440,
    CBX_YEAR_MINUTES = 365 * CBX_DAY_MINUTES,
    CBX_LEAP_YEAR_MINUTES = 366 * CBX_DAY_MINUTES
};

typedef enum cbx_date_form {
    CBX_NO_DATE,
    CBX_DATE_COLUMNS,     ///< columns named month and day, perhaps year
    CBX_DATE_YEAR_FIRST,  ///< 2015-01-31
    CBX_DATE_MONTH_FIRST, ///< 01/31/2015
    CBX_DATE_DAY_FIRST,   ///< 31.01.2015
    CBX_DATE_COMPACT      ///< 20150131, perhaps with 0600 or 06:00 after it
} cbx_date_form;

typedef struct cbx_clock {
    // given
    bool dates;                 ///< look for dates too
    bool parts;                 ///< rows may come more often than once an hour, evenly
    bool hour_ending;           ///< a stamp closes its row's interval
    int first_month, first_day; ///< tells 1 July from 7 January in 01/07; 0 if not known
    // found in the row of names and in the first row; -1: nowhere
    int time_field, hour_field, minute_field;
    int date_field, year_field, month_field, day_field;
    cbx_date_form form;
    // filled
    bool shows_time, counts_hours; ///< hours are counted through the year
    int step_minutes;              ///< between rows
    long first_stamp;              ///< minute of a 366-day year, or of a day if rows show no date
    bool on_leap_day;              ///< the present row belongs to 29 February
    // of the row before
    long stamp;
    int year, month;
    bool symmetric; ///< every date so far reads the same with day and month exchanged
    bool typical;   ///< months come from different years
} cbx_clock;

/// Notes columns that tell a time or date by their name.
void cbx_clock_names(cbx_clock *clock, const cbx_csv *names);

/// Reads the row's stamp and checks that it is one step after the row before; row counts from 0.
/// Rows that show neither time nor date are not checked.
cb_status cbx_clock_row(cbx_clock *clock, const cbx_csv *csv, long row, cb_error *error);

/// Minute of a 365-day year at which the first row's interval begins (beyond either end means the
/// neighbouring year). Rows that show no date take the day given, 0..364.
long cbx_clock_first_minute(const cbx_clock *clock, int first_day);

/// True if every row shows its date.
bool cbx_clock_dated(const cbx_clock *clock);

/// Minute of the day (0..1440) of the first "H:MM" in text; -1 if there is none.
int cbx_clock_minute(const char *text);

#endif
