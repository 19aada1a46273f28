// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

double cb_reynolds(const cb_fluid_properties *fluid, double flow_m3_s, double inside_diameter_m)
{
    return 4.0 * fluid->density_kg_m3 * flow_m3_s /
           (pi * inside_diameter_m * fluid->viscosity_pa_s);
}

// The lower and upper end of the transition of a straight pipe: V. Gnielinski, "On heat transfer
// in tubes", Int. J. Heat Mass Transfer 63 (2013) 134-140 (from memory).
static const double straight_laminar_end = 2300.0, straight_turbulent_start = 4000.0;

// Upper end of the transition of a coiled pipe: VDI Heat Atlas, helically coiled tubes.
static const double coil_turbulent_start = 22000.0;

// Constant wall temperature 3.66 with Hausen's (1943) thermal entry term, as in Incropera et al.,
// Fundamentals of Heat and Mass Transfer, internal flow.
static double straight_laminar(double reynolds, double prandtl, double diameter_over_length)
{
    const double graetz = reynolds * prandtl * diameter_over_length;
    return 3.66 + 0.0668 * graetz / (1.0 + 0.04 * cbrt(graetz * graetz));
}

// Gnielinski (1976) with the smooth-pipe friction factor of Petukhov, (0.79 ln Re - 1.64)^-2.
static double straight_turbulent(double reynolds, double prandtl)
{
    const double root = 0.79 * log(reynolds) - 1.64;
    const double eighth = 1.0 / (8.0 * root * root);
    return eighth * (reynolds - 1000.0) * prandtl /
           (1.0 + 12.7 * sqrt(eighth) * (cbrt(prandtl * prandtl) - 1.0));
}

static double straight_nusselt(double reynolds, double prandtl, double diameter_over_length)
{
    if (reynolds <= straight_laminar_end) {
        return straight_laminar(reynolds, prandtl, diameter_over_length);
    }
    if (reynolds >= straight_turbulent_start) {
        return straight_turbulent(reynolds, prandtl);
    }
    const double share =
        (reynolds - straight_laminar_end) / (straight_turbulent_start - straight_laminar_end);
    return (1.0 - share) * straight_laminar(straight_laminar_end, prandtl, diameter_over_length) +
           share * straight_turbulent(straight_turbulent_start, prandtl);
}

// E. F. Schmidt, Chemie Ingenieur Technik 39 (1967) 781-789. The laminar form is from memory; it
// holds for developed flow, the secondary flow of the bend having long replaced the entry.
static double coil_laminar(double reynolds, double prandtl, double curvature)
{
    const double power = 0.5 + 0.2903 * pow(curvature, 0.194);
    return 3.65 + 0.08 * (1.0 + 0.8 * pow(curvature, 0.9)) * pow(reynolds, power) * cbrt(prandtl);
}

static double coil_turbulent(double reynolds, double prandtl, double curvature)
{
    return 0.023 * (1.0 + 3.6 * (1.0 - curvature) * pow(curvature, 0.8)) * pow(reynolds, 0.8) *
           cbrt(prandtl);
}

static double coil_nusselt(double reynolds, double prandtl, double curvature)
{
    const double laminar_end = 2300.0 * (1.0 + 8.6 * pow(curvature, 0.45));
    if (reynolds <= laminar_end) {
        return coil_laminar(reynolds, prandtl, curvature);
    }
    if (reynolds >= coil_turbulent_start) {
        return coil_turbulent(reynolds, prandtl, curvature);
    }
    const double share = (reynolds - laminar_end) / (coil_turbulent_start - laminar_end);
    return (1.0 - share) * coil_laminar(laminar_end, prandtl, curvature) +
           share * coil_turbulent(coil_turbulent_start, prandtl, curvature);
}

double cb_nusselt(double reynolds, double prandtl, double inside_diameter_m, double length_m,
                  double coil_diameter_m)
{
    return coil_diameter_m > 0.0
               ? coil_nusselt(reynolds, prandtl, inside_diameter_m / coil_diameter_m)
               : straight_nusselt(reynolds, prandtl, inside_diameter_m / length_m);
}

double cb_film_resistance_mk_w(double nusselt, double fluid_conductivity_w_mk)
{
    return 1.0 / (pi * fluid_conductivity_w_mk * nusselt);
}

double cb_wall_resistance_mk_w(const cb_pipe *pipe, double wall_conductivity_w_mk)
{
    return log(pipe->outside_diameter_m / pipe->inside_diameter_m) /
           (2.0 * pi * wall_conductivity_w_mk);
}
