// SPDX-License-Identifier: MIT
#ifndef PLANT_WET_BULB_H
#define PLANT_WET_BULB_H

/// Wet bulb [degC] of air at 1013 hPa: R. Stull, Wet-bulb temperature from relative humidity and
/// air temperature, Journal of Applied Meteorology and Climatology 50 (2011), 2267-2269
/// (coefficients from memory; his example is 13.7 degC for 20 degC and 50 %). He names -1 to +0.65
/// K as the largest errors over -20 to 50 degC; within 0.3 K of the psychrometric equation for 18
/// to 32 degC and 30 to 70 %.
/// @param humidity relative, 0.05..0.99
double cbx_wet_bulb_c(double dry_bulb_c, double humidity);

#endif
