// SPDX-License-Identifier: MIT
#include "source_row.h"

#include <math.h>

// A point source q raises the temperature at distance r by q erfc(r / l) / (4 pi k r), less the
// same from its mirror image above the surface (Carslaw & Jaeger 1959, 10.2 and 10.4).

static const double pi = 3.14159265358979323846;

enum {
    GAUSS = 6,
    NEAR_PANELS = 80, ///< of wall points along the turn, for the turns that touch it
    FAR_PANELS = 8
};

// Gauss-Legendre on -1..1, six points (Abramowitz & Stegun table 25.4).
static const double node[GAUSS] = {-0.932469514203152, -0.661209386466265, -0.238619186083197,
                                   0.238619186083197,  0.661209386466265,  0.932469514203152};
static const double weight[GAUSS] = {0.171324492379170, 0.360761573048139, 0.467913934572691,
                                     0.467913934572691, 0.360761573048139, 0.171324492379170};

static double kernel(double distance_m, double length_m)
{
    return isinf(length_m) ? 1.0 / distance_m : erfc(distance_m / length_m) / distance_m;
}

typedef struct sum_at {
    const source_row *row;
    double length_m; ///< of diffusion
    double offset_m; ///< of the turn along the trench
    bool image;
    path_point wall;
} sum_at;

static double distance_to(const sum_at *at, double a)
{
    const path_point source = pipe_path_at(&at->row->path, a);
    const double x = at->wall.x_m - source.x_m - at->offset_m, y = at->wall.y_m - source.y_m;
    const double z = at->wall.z_m - (at->image ? -source.z_m : source.z_m);
    return sqrt(x * x + y * y + z * z);
}

// Halved until a stretch is no longer than it is far away; then six points give 1/r to 1e-6.
static double stretch(const sum_at *at, double low, double high)
{
    const double middle = 0.5 * (low + high), half = 0.5 * (high - low);
    const pipe_path *path = &at->row->path;
    const double longest_m =
        (path->kind == PATH_STRAIGHT ? 0.0 : 0.5 * path->diameter_m) + path->pitch_m / (2.0 * pi);
    const double reach_m = half * (longest_m + path->lift_m);
    if (reach_m > 0.5 * fmax(distance_to(at, middle) - reach_m, 1.2 * at->row->pipe_radius_m)) {
        return stretch(at, low, middle) + stretch(at, middle, high);
    }
    double sum = 0.0;
    for (int i = 0; i < GAUSS; i++) {
        const double a = middle + half * node[i];
        sum += weight[i] * pipe_path_speed_m(path, a) * kernel(distance_to(at, a), at->length_m);
    }
    return half * sum;
}

/// All of one turn's pipe at one wall point.
static double turn_at(const source_row *row, double length_m, double offset_m, bool image,
                      path_point wall)
{
    const sum_at at = {row, length_m, offset_m, image, wall};
    return stretch(&at, -pi, -0.5 * pi) + stretch(&at, -0.5 * pi, 0.0) +
           stretch(&at, 0.0, 0.5 * pi) + stretch(&at, 0.5 * pi, pi);
}

static int turns_before(const source_row *row)
{
    return (row->turns - 1) / 2;
}

static int touching_turns(const source_row *row)
{
    return (int)ceil(row->path.diameter_m / row->path.pitch_m) + 1;
}

/// Touching turns themselves, or all other turns and every image.
static double sum_at_wall(const source_row *row, double length_m, bool near, path_point wall)
{
    const int before = turns_before(row), after = row->turns - 1 - before;
    const int touching = touching_turns(row);
    double sum = 0.0;
    for (int m = -before; m <= after; m++) {
        const double offset_m = m * row->path.pitch_m;
        const bool touches = -touching <= m && m <= touching;
        if (touches == near) {
            sum += turn_at(row, length_m, offset_m, false, wall);
        }
        if (!near) {
            sum -= turn_at(row, length_m, offset_m, true, wall);
        }
    }
    return sum;
}

static double mean_over_turn(const source_row *row, double length_m, bool near)
{
    const int panels = near ? NEAR_PANELS : FAR_PANELS;
    double sum = 0.0, pipe_m = 0.0;
    for (int n = 0; n < panels * GAUSS; n++) {
        const double a = -pi + 2.0 * pi * (n / GAUSS + 0.5 + 0.5 * node[n % GAUSS]) / panels;
        const double part_m = weight[n % GAUSS] * pipe_path_speed_m(&row->path, a);
        path_point top = pipe_path_at(&row->path, a), bottom = top;
        top.z_m -= row->pipe_radius_m;
        bottom.z_m += row->pipe_radius_m;
        sum += 0.5 * part_m *
               (sum_at_wall(row, length_m, near, top) + sum_at_wall(row, length_m, near, bottom));
        pipe_m += part_m;
    }
    return sum / pipe_m;
}

double source_row_rise(const source_row *row, double diffusion_length_m)
{
    return (mean_over_turn(row, diffusion_length_m, true) +
            mean_over_turn(row, diffusion_length_m, false)) /
           (4.0 * pi);
}
