// SPDX-License-Identifier: MIT
/// Curves through the means of months or days, on a year that closes on itself.
#ifndef WEATHER_SMOOTH_H
#define WEATHER_SMOOTH_H

#include "coilbed/weather.h"

/// Linear between the middles of days; the value of day i at its noon.
void cbx_interpolate_days(const double day[CB_YEAR_DAYS], double hour[CB_YEAR_HOURS]);

/// Linear between the middles of months; per_day is 1 (out has 365 values) or 24 (8760).
void cbx_interpolate_months(const double month[CB_MONTHS], int per_day, double *out);

/// As above, with the points moved so that the mean of every day or month is the given value.
void cbx_smooth_days(const double mean[CB_YEAR_DAYS], double hour[CB_YEAR_HOURS]);
void cbx_smooth_months(const double mean[CB_MONTHS], int per_day, double *out);

/// Means of the months of a series of 365 or 8760 values.
void cbx_month_means(const double *series, int per_day, double mean[CB_MONTHS]);

/// Adds a smooth curve so that the means of the months become `mean`.
void cbx_recentre_months(double *series, int per_day, const double mean[CB_MONTHS]);

#endif
