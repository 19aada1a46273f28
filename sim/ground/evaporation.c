// SPDX-License-Identifier: MIT
#include "coilbed/yard.h"
#include "weather/sky.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

// As printed in FAO-56, so that its worked examples come out: eq. 39 and below eq. 53.
static const double stefan_boltzmann_mj_m2_day = 4.903e-9, stefan_boltzmann_mj_m2_h = 2.043e-10;

double cb_air_pressure_kpa(double elevation_m)
{
    return 101.3 * pow((293.0 - 0.0065 * elevation_m) / 293.0, 5.26);
}

double cb_psychrometric_kpa_k(double elevation_m)
{
    return 0.665e-3 * cb_air_pressure_kpa(elevation_m);
}

double cb_wind_at_2m_m_s(double wind_m_s, double height_m)
{
    return wind_m_s * 4.87 / log(67.8 * height_m - 5.42);
}

double cb_daylight_h(double latitude_deg, int day_of_year)
{
    return 24.0 / pi * cbx_sunset_angle_rad(latitude_deg, day_of_year);
}

static double fourth_power_k4(double temperature_c)
{
    const double square = (temperature_c + 273.16) * (temperature_c + 273.16);
    return square * square;
}

// Eq. 39 without its black body: how much of it the sky's vapour and clouds let go.
static double sky_opening(double vapour_kpa, double solar_share)
{
    const double share = solar_share > 1.0 ? 1.0 : solar_share;
    return (0.34 - 0.14 * sqrt(vapour_kpa)) * (1.35 * share - 0.35);
}

double cb_net_longwave_mj_m2_day(double maximum_c, double minimum_c, double vapour_kpa,
                                 double solar_share)
{
    const double mean_k4 = 0.5 * (fourth_power_k4(maximum_c) + fourth_power_k4(minimum_c));
    return stefan_boltzmann_mj_m2_day * mean_k4 * sky_opening(vapour_kpa, solar_share);
}

double cb_net_longwave_mj_m2_h(double mean_c, double vapour_kpa, double solar_share)
{
    return stefan_boltzmann_mj_m2_h * fourth_power_k4(mean_c) *
           sky_opening(vapour_kpa, solar_share);
}

// Eq. 6 and 53 differ in the numerator's wind constant only: 900 a day is 37 an hour. 0.408 kg/MJ
// is one over the latent heat.
static double reference_kg_m2(const cb_reference_day *of, double wind_constant)
{
    const double slope = cb_saturation_slope_kpa_k(of->mean_c);
    const double gamma = cb_psychrometric_kpa_k(of->elevation_m);
    const double energy = 0.408 * slope * (of->net_mj_m2 - of->ground_mj_m2);
    const double air = gamma * wind_constant / (of->mean_c + 273.0) * of->wind_2m_m_s *
                       (of->saturation_kpa - of->vapour_kpa);
    return (energy + air) / (slope + gamma * (1.0 + 0.34 * of->wind_2m_m_s));
}

double cb_reference_evapotranspiration_day_kg_m2(const cb_reference_day *day)
{
    return reference_kg_m2(day, 900.0);
}

double cb_reference_evapotranspiration_hour_kg_m2(const cb_reference_day *hour)
{
    return reference_kg_m2(hour, 37.0);
}
