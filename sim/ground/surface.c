// SPDX-License-Identifier: MIT
#include "coilbed/ground.h"

#include <math.h>

static const double stefan_boltzmann_w_m2k4 = 5.670374419e-8;

// Priestley & Taylor 1972: evaporation of a wet surface as 1.26 Delta / (Delta + gamma) of the
// available radiation. Delta and gamma as Allen et al. 1998 (FAO-56 eq. 13, 8, 7).
static double evaporation_w_m2(double available_w_m2, double air_c, double elevation_m)
{
    if (available_w_m2 <= 0.0 || air_c <= 0.0) {
        return 0.0;
    }
    const double saturation_kpa = 0.6108 * exp(17.27 * air_c / (air_c + 237.3));
    const double delta = 4098.0 * saturation_kpa / ((air_c + 237.3) * (air_c + 237.3));
    const double pressure_kpa = 101.3 * pow((293.0 - 0.0065 * elevation_m) / 293.0, 5.26);
    const double gamma = 0.665e-3 * pressure_kpa;
    const double thawed = fmin(1.0, air_c / 5.0);
    return thawed * 1.26 * delta / (delta + gamma) * available_w_m2;
}

cb_surface_exchange cb_surface_exchange_at(const cb_surface *surface, const cb_weather_hour *hour,
                                           double elevation_m)
{
    const double air_k = hour->air_temperature_c + 273.15;
    const double wind_2m = fmax(0.5, hour->wind_m_s * 4.87 / log(67.8 * 10.0 - 5.42));
    const double density_kg_m3 =
        1.292 * 273.15 / air_k * pow(1.0 - 2.25577e-5 * elevation_m, 5.2559);
    const double convection = density_kg_m3 * 1005.0 * wind_2m / 208.0;
    const double radiation =
        4.0 * surface->emissivity * stefan_boltzmann_w_m2k4 * air_k * air_k * air_k;
    const double sky =
        surface->emissivity * (hour->longwave_w_m2 - stefan_boltzmann_w_m2k4 * pow(air_k, 4.0));
    const double net = (1.0 - surface->albedo) * hour->solar_w_m2 + sky;
    const double evaporation = 0.6 * surface->evaporation_share *
                               evaporation_w_m2(net, hour->air_temperature_c, elevation_m);
    const double h = convection + radiation;
    return (cb_surface_exchange){net - evaporation + h * hour->air_temperature_c, h};
}
