// SPDX-License-Identifier: MIT
/// The 365-day year.
#ifndef WEATHER_CALENDAR_H
#define WEATHER_CALENDAR_H

extern const int cbx_month_days[12];

/// "January" for 1.
const char *cbx_month_name(int month);

/// Month (1..12) and day (1..31) of a day of the year (0..364).
void cbx_month_day(int day_of_year, int *month, int *day);

#endif
