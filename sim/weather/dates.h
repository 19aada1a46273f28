// SPDX-License-Identifier: MIT
/// Dates and times of day as text shows them.
#ifndef WEATHER_DATES_H
#define WEATHER_DATES_H

#include "weather/clock.h"

/// A row's time as shown.
typedef struct cbx_stamp {
    int year;       ///< -1 if not shown
    int month, day; ///< 1..12, 1..31; 0 if not shown
    int minute;     ///< of the day, 0..1440; -1 if not shown
} cbx_stamp;

/// Form of the date that text begins with; CBX_NO_DATE if it does not. A date with its day and
/// month first or last is taken for month first where both can be.
cbx_date_form cbx_date_find(const char *text);

/// Reads year, month and day (and the time of a compact date). False if text is no such date; 29
/// February is one in every year.
bool cbx_date_read(const char *text, cbx_date_form form, cbx_stamp *stamp);

/// True for 1..12 and a day that the month has in a leap year.
bool cbx_is_date(int month, int day);

/// Day of a 366-day year, 0..365.
int cbx_leap_day_of_year(int month, int day);

/// Month and day of a minute of a 366-day year, as "16 June".
void cbx_date_text(long minute, char text[32]);

#endif
