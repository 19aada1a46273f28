// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"

#include <math.h>

// Mean over a line of length l of 1/r to all its points, at distance a beside it, times l / 2.
static double line_mean(double l, double a)
{
    return l * asinh(l / a) - hypot(l, a) + a;
}

double cb_trench_end_share(double length_m, double depth_m, double width_m)
{
    const double radius_m = width_m * exp(-1.5), image_m = 2.0 * depth_m;
    const double endless = log(image_m / radius_m);
    const double finite = (line_mean(length_m, radius_m) - line_mean(length_m, image_m)) / length_m;
    return 1.0 - finite / endless;
}
