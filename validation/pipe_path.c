// SPDX-License-Identifier: MIT
#include "pipe_path.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

static double advance_m(const pipe_path *path)
{
    return path->kind == PATH_RINGS ? 0.0 : path->pitch_m / (2.0 * pi);
}

path_point pipe_path_at(const pipe_path *path, double a)
{
    const double radius_m = path->kind == PATH_STRAIGHT ? 0.0 : 0.5 * path->diameter_m;
    const double along = advance_m(path) * a - radius_m * sin(a), out = radius_m * cos(a);
    const double lift = path->lift_m * sin(a);
    if (path->kind == PATH_UPRIGHT) {
        return (path_point){along, path->across_m + lift, path->depth_m - out};
    }
    return (path_point){along, path->across_m + out, path->depth_m + lift};
}

double pipe_path_speed_m(const pipe_path *path, double a)
{
    if (path->kind == PATH_STRAIGHT) {
        return advance_m(path);
    }
    const double radius_m = 0.5 * path->diameter_m;
    const double along = advance_m(path) - radius_m * cos(a);
    return sqrt(along * along + radius_m * radius_m * sin(a) * sin(a) +
                path->lift_m * path->lift_m * cos(a) * cos(a));
}

// The rule of equal steps over a period converges faster than any power.
double pipe_path_turn_m(const pipe_path *path)
{
    enum { STEPS = 2048 };
    double sum = 0.0;
    for (int n = 0; n < STEPS; n++) {
        sum += pipe_path_speed_m(path, 2.0 * pi * (n + 0.5) / STEPS);
    }
    return sum * 2.0 * pi / STEPS;
}
