// SPDX-License-Identifier: MIT
#include "plant/wet_bulb.h"

#include <math.h>

double cbx_wet_bulb_c(double dry_bulb_c, double humidity)
{
    const double percent = 100.0 * humidity;
    return dry_bulb_c * atan(0.151977 * sqrt(percent + 8.313659)) + atan(dry_bulb_c + percent) -
           atan(percent - 1.676331) +
           0.00391838 * percent * sqrt(percent) * atan(0.023101 * percent) - 4.686035;
}
