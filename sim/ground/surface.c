// SPDX-License-Identifier: MIT
#include "ground/surface.h"

#include <math.h>

static const double stefan_boltzmann_w_m2k4 = 5.670374419e-8; // CODATA 2018
static const double air_heat_capacity_j_kgk = 1005.0;
static const double gas_constant_dry_air_j_kgk = 287.05;
static const double least_wind_m_s = 0.5; // FAO-56, chapter 4: below it the air is stirred anyway
static const double screen_m = 2.0;

// r_a = ln((z - d) / z_om) ln((z - d) / z_oh) / (k^2 u), FAO-56 eq. 4, box 4: d = 2/3 h,
// z_om = 0.123 h, z_oh = 0.1 z_om, k = 0.41; 208 / u2 for 0.12 m of grass.
static double aerodynamic_resistance_s_m(double height_m, double wind_2m_m_s)
{
    const double above = screen_m - 2.0 / 3.0 * height_m, rough = 0.123 * height_m;
    return log(above / rough) * log(above / (0.1 * rough)) / (0.41 * 0.41 * wind_2m_m_s);
}

// Choudhury et al. 1986: r_a divided by (1 + e)^p, e = 5 (z - d) g (T_s - T_a) / (T_a u^2), p = 3/4
// over a warm surface and 2 over a cold one, where e is held above -0.5 so that calm nights keep
// some exchange.
static double stability_factor(double height_m, double wind_2m_m_s, double air_k, double excess_k)
{
    const double above = screen_m - 2.0 / 3.0 * height_m;
    const double e = 5.0 * above * 9.81 * excess_k / (air_k * wind_2m_m_s * wind_2m_m_s);
    return e > 0.0 ? pow(1.0 + e, 0.75) : pow(1.0 + fmax(e, -0.2), 2.0);
}

// Over ice: Murray 1967, the Magnus form with 21.87 and 265.5 (from memory).
static double vapour_kpa(double t_c, bool ice, double *slope)
{
    if (!ice || t_c > 0.0) {
        *slope = cb_saturation_slope_kpa_k(t_c);
        return cb_saturation_kpa(t_c);
    }
    const double e = 0.6108 * exp(21.87 * t_c / (t_c + 265.5));
    *slope = e * 21.87 * 265.5 / ((t_c + 265.5) * (t_c + 265.5));
    return e;
}

typedef struct moist {
    double leaf_m_s, soil_m_s; // conductances to vapour
} moist;

static moist moist_paths(const cbx_surface *surface, double resistance_s_m, bool dew)
{
    if (surface->snow || dew) {
        return (moist){0.0, 1.0 / resistance_s_m};
    }
    return (moist){surface->leaf_share / (resistance_s_m + surface->leaf_resistance_s_m),
                   surface->soil_share / (resistance_s_m + surface->soil_resistance_s_m)};
}

cbx_balance cbx_surface_balance(const cbx_surface *surface, const cb_weather_hour *hour,
                                double elevation_m, double surface_c)
{
    const double air_c = hour->air_temperature_c, air_k = air_c + 273.15;
    const double wind_m_s = fmax(least_wind_m_s, cb_wind_at_2m_m_s(hour->wind_m_s, 10.0));
    const double resistance =
        aerodynamic_resistance_s_m(surface->height_m, wind_m_s) /
        stability_factor(surface->height_m, wind_m_s, air_k, surface_c - air_c);
    const double pressure_kpa = cb_air_pressure_kpa(elevation_m);
    const double heat_j_m3k =
        1e3 * pressure_kpa / (gas_constant_dry_air_j_kgk * air_k) * air_heat_capacity_j_kgk;

    double slope_kpa_k;
    const double deficit_kpa =
        vapour_kpa(surface_c, surface->snow, &slope_kpa_k) - cb_saturation_kpa(hour->dew_point_c);
    const moist path = moist_paths(surface, resistance, deficit_kpa < 0.0);
    const double per_kpa = heat_j_m3k / cb_psychrometric_kpa_k(elevation_m) * surface->latent_j_kg /
                           2.45e6 * (path.leaf_m_s + path.soil_m_s);

    const double surface_k = surface_c + 273.15, cube = surface_k * surface_k * surface_k;
    const double sky = (1.0 - surface->shade) * hour->longwave_w_m2 +
                       surface->shade * stefan_boltzmann_w_m2k4 * pow(air_k, 4.0);
    const double sun = (1.0 - surface->albedo) * (1.0 - surface->shade) * hour->solar_w_m2;
    const double latent = per_kpa * deficit_kpa;
    const double paths = path.leaf_m_s + path.soil_m_s;
    return (cbx_balance){
        .heat_w_m2 = sun +
                     surface->emissivity * (sky - stefan_boltzmann_w_m2k4 * cube * surface_k) +
                     heat_j_m3k / resistance * (air_c - surface_c) - latent,
        .slope_w_m2k = -4.0 * surface->emissivity * stefan_boltzmann_w_m2k4 * cube -
                       heat_j_m3k / resistance - per_kpa * slope_kpa_k,
        .latent_w_m2 = latent,
        .latent_slope_w_m2k = per_kpa * slope_kpa_k,
        .leaf_part = paths > 0.0 ? path.leaf_m_s / paths : 0.0,
    };
}

cb_surface_exchange cbx_tangent(const cbx_balance *balance, double surface_c)
{
    return (cb_surface_exchange){balance->heat_w_m2 - balance->slope_w_m2k * surface_c,
                                 -balance->slope_w_m2k};
}
