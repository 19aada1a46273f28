// SPDX-License-Identifier: MIT
#include "coilbed/yard.h"

#include <math.h>

double cb_snow_conductivity_w_mk(double density_kg_m3)
{
    // Sturm, Holmgren, Konig & Morris 1997, Journal of Glaciology 43, 26-41; densities in g/cm3.
    const double rho = 1e-3 * density_kg_m3;
    return rho < 0.156 ? 0.023 + 0.234 * rho : 0.138 + rho * (3.233 * rho - 1.01);
}

double cb_fresh_snow_density_kg_m3(double air_temperature_c)
{
    const double air_c = air_temperature_c > 0.0 ? 0.0 : air_temperature_c;
    return 67.92 + 51.25 * exp(air_c / 2.59);
}
