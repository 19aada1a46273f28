// SPDX-License-Identifier: MIT
// From a day's values to those of its hours. Hours are those of the site's sun.
#ifndef VALIDATION_STATION_DAY_H
#define VALIDATION_STATION_DAY_H

#include "coilbed/weather.h"

enum { STATION_DAY_HOURS = 24 };

// A site on its own meridian: the sun stands highest at 12.
cb_site station_site(double latitude_deg, double elevation_m);

// Extraterrestrial radiation of a day [W/m2], mean of its hours (FAO-56 eq. 28).
double station_day_extraterrestrial_w_m2(const cb_site *site, int day_of_year);

// What the air of a day did, with the neighbours that it joins.
typedef struct station_day_air {
    double low_c, mean_c, high_c;
    double high_before_c, low_after_c;
} station_day_air;

// Lowest at sunrise, highest three hours after noon, cosines between (common practice, no source);
// then all hours are moved together so that their mean is the day's.
void station_day_air_c(const cb_site *site, int day_of_year, const station_day_air *day,
                       double hour_c[STATION_DAY_HOURS]);

// The day's mean shared out as the extraterrestrial radiation of the hours.
void station_day_solar_w_m2(const cb_site *site, int day_of_year, double mean_w_m2,
                            double hour_w_m2[STATION_DAY_HOURS]);

// Mean solar [W/m2] of a day by its sunshine, Angstrom's formula, FAO-56 eq. 35: (0.25 + 0.50 n/N)
// Ra. Clouds count as n/N = 1 - cloud fraction.
double station_angstrom_w_m2(const cb_site *site, int day_of_year, double sunshine_share);

// The same by the day's range of air temperature, Hargreaves, FAO-56 eq. 50 with the coefficient of
// the interior, 0.16.
double station_hargreaves_w_m2(const cb_site *site, int day_of_year, double low_c, double high_c);

// Dew point [degC] of a day by its mean relative humidity [%], vapour pressure by FAO-56 eq. 19.
double station_dew_point_c(double low_c, double high_c, double humidity);

// Wind at 10 m where none was measured: 2 m/s at 2 m (FAO-56, chapter 3) by eq. 47.
double station_usual_wind_m_s(void);

#endif
