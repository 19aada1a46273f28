// SPDX-License-Identifier: MIT
#include "loop/coil_rise.h"

#include "coilbed/loop.h"

#include <math.h>

// The pipe is its centre line giving off heat evenly along its length in a half-space whose
// surface stays at its temperature. A point source of strength q raises the temperature at
// distance r by q erfc(r / l) / (4 pi k r), l = 2 sqrt(diffusivity x time), less the same from its
// mirror image above the surface (Carslaw & Jaeger 1959, sec. 10.2 and 10.4).
//
// The rise is the mean of the pipe's top and bottom, then the mean by length over one turn. The
// drawn curve runs through itself where turns overlap, while real pipes lie on top of each other:
// a point on the side of the pipe would fall inside the other strand, top and bottom stay a radius
// away from it. For a single ring of 0.914 m of 26.7 mm pipe at 1.5 m the mean of top and bottom
// is 1.3e-4 below that of 32 points around the pipe.
//
// The mean is split in two. Strands near the wall point (its own and those that cross it) make a
// rise that changes within a pipe radius: many points along the turn, panels graded by distance.
// The rest of the row and all images are smooth: few points, and beyond many coil widths a uniform
// line of the same heat per metre of trench, in closed form when steady.

static const double pi = 3.14159265358979323846;

enum {
    NEAR_PANELS = 32, ///< panels of 8 wall points along half a turn; doubling: 1e-5 or less
    FAR_PANELS = 2,
    GAUSS_POINTS = 8
};

// The explicit turns reach this many times (depth + radius); what is left of the even line's error
// falls with the fifth power of it. Doubling it changes the rise by 3e-6 or less (36 in coil at 1.5
// m, pitch 6 to 36 in).
static const double explicit_reach = 8.0;

// Gauss-Legendre on -1..1, eight points (Abramowitz & Stegun table 25.4).
static const double gauss_node[GAUSS_POINTS] = {
    -0.960289856497536232, -0.796666477413626740, -0.525532409916328986, -0.183434642495649805,
    0.183434642495649805,  0.525532409916328986,  0.796666477413626740,  0.960289856497536232};
static const double gauss_weight[GAUSS_POINTS] = {
    0.101228536290376259, 0.222381034453374471, 0.313706645877887287, 0.362683783378361983,
    0.362683783378361983, 0.313706645877887287, 0.222381034453374471, 0.101228536290376259};

/// The curve of one turn, x = advance (t - pi/2) + R cos t, y = R sin t for t in -pi/2 .. 3 pi/2.
/// About t = pi/2 it mirrors itself in x, so its centre of heat is at x = 0.
typedef struct turn {
    double radius_m, advance_m; ///< advance per radian; 0 for a closed ring
    double pitch_m, length_m;
    double depth_m, pipe_radius_m, diffusion_length_m;
} turn;

typedef struct point {
    double x_m, y_m, z_m; ///< along, across, above the coil's plane
} point;

static double speed(const turn *one, double t)
{
    const double along = one->advance_m - one->radius_m * sin(t);
    return hypot(along, one->radius_m * cos(t));
}

static point centre_line(const turn *one, double t)
{
    return (point){one->advance_m * (t - 0.5 * pi) + one->radius_m * cos(t), one->radius_m * sin(t),
                   0.0};
}

static double kernel(const turn *one, double distance_m)
{
    return isinf(one->diffusion_length_m) ? 1.0 / distance_m
                                          : erfc(distance_m / one->diffusion_length_m) / distance_m;
}

static double distance(const point *wall, double x_m, double y_m, double height_m)
{
    const double x = wall->x_m - x_m, y = wall->y_m - y_m, z = wall->z_m - height_m;
    return sqrt(x * x + y * y + z * z);
}

/// A stretch of the turn that is centred at x_m, lifted by height_m (0, or twice the depth for the
/// image).
typedef struct stretch {
    double x_m, height_m;
    double t_low, t_high;
} stretch;

static double stretch_sum(const turn *one, const point *wall, const stretch *part)
{
    const double middle = 0.5 * (part->t_low + part->t_high);
    const double half = 0.5 * (part->t_high - part->t_low);
    double sum = 0.0;
    for (int i = 0; i < GAUSS_POINTS; i++) {
        const double t = middle + half * gauss_node[i];
        const point line = centre_line(one, t);
        const double r = distance(wall, part->x_m + line.x_m, line.y_m, part->height_m);
        sum += gauss_weight[i] * kernel(one, r) * speed(one, t);
    }
    return half * sum;
}

// Halves a stretch until it is short against its distance: 8 Gauss points then give 1/r to 1e-6 or
// better (its singularity lies outside the Bernstein ellipse 1.5 radii and more away).
static double graded_sum(const turn *one, const point *wall, const stretch *whole)
{
    const double middle = 0.5 * (whole->t_low + whole->t_high);
    const double length_m = (one->radius_m + one->advance_m) * (whole->t_high - whole->t_low);
    const point line = centre_line(one, middle);
    const double clear_m =
        distance(wall, whole->x_m + line.x_m, line.y_m, whole->height_m) - 0.5 * length_m;
    if (length_m <= 1.5 * fmax(clear_m, 0.75 * one->pipe_radius_m)) {
        return stretch_sum(one, wall, whole);
    }
    const stretch first = {whole->x_m, whole->height_m, whole->t_low, middle};
    const stretch second = {whole->x_m, whole->height_m, middle, whole->t_high};
    return graded_sum(one, wall, &first) + graded_sum(one, wall, &second);
}

/// One whole turn centred at x_m.
static double turn_sum(const turn *one, const point *wall, double x_m, double height_m)
{
    const stretch left = {x_m, height_m, -0.5 * pi, 0.5 * pi};
    const stretch right = {x_m, height_m, 0.5 * pi, 1.5 * pi};
    return graded_sum(one, wall, &left) + graded_sum(one, wall, &right);
}

/// Sum over a uniform line, image included, from `from_m` outwards along the trench; `across_m2`
/// is the squared distance at right angles.
static double line_tail(const turn *one, double from_m, double across_m2)
{
    const double image_m2 = across_m2 + 4.0 * one->depth_m * one->depth_m;
    if (isinf(one->diffusion_length_m)) {
        return log((from_m + sqrt(from_m * from_m + image_m2)) /
                   (from_m + sqrt(from_m * from_m + across_m2)));
    }
    // Stretches that double in length up to where erfc(6.5) < 1e-19 has nothing left to give.
    const double end_m = 6.5 * one->diffusion_length_m;
    const int doublings = end_m > from_m ? (int)ceil(log2(end_m / from_m)) : 0;
    double sum = 0.0;
    for (int k = 0; k < doublings * GAUSS_POINTS; k++) {
        const double low = ldexp(from_m, k / GAUSS_POINTS);
        const double x = low + 0.5 * low * (1.0 + gauss_node[k % GAUSS_POINTS]);
        sum += 0.5 * low * gauss_weight[k % GAUSS_POINTS] *
               (kernel(one, sqrt(x * x + across_m2)) - kernel(one, sqrt(x * x + image_m2)));
    }
    return sum;
}

static int near_turns(const turn *one)
{
    return (int)ceil(2.0 * one->radius_m / one->pitch_m) + 1;
}

static int explicit_turns(const turn *one)
{
    const double reach_m = explicit_reach * (one->depth_m + one->radius_m);
    return near_turns(one) + (int)ceil(reach_m / one->pitch_m);
}

static double near_sum(const turn *one, const point *wall)
{
    const int count = near_turns(one);
    double sum = 0.0;
    for (int m = -count; m <= count; m++) {
        sum += turn_sum(one, wall, m * one->pitch_m, 0.0);
    }
    return sum;
}

static double far_sum(const turn *one, const point *wall)
{
    const int near = near_turns(one), count = explicit_turns(one);
    double sum = 0.0;
    for (int m = -count; m <= count; m++) {
        if (m < -near || near < m) {
            sum += turn_sum(one, wall, m * one->pitch_m, 0.0);
        }
        sum -= turn_sum(one, wall, m * one->pitch_m, 2.0 * one->depth_m);
    }
    // The line stands for pipe spread over the coil's width, whose mean square is near R^2 / 2.
    const double across_m2 = wall->y_m * wall->y_m + 0.5 * one->radius_m * one->radius_m;
    const double end_m = (count + 0.5) * one->pitch_m;
    return sum + one->length_m / one->pitch_m *
                     (line_tail(one, end_m - wall->x_m, across_m2) +
                      line_tail(one, end_m + wall->x_m, across_m2));
}

typedef double wall_sum(const turn *one, const point *wall);

static double mean_of_top_and_bottom(const turn *one, wall_sum *sum, double t)
{
    point wall = centre_line(one, t);
    wall.z_m = one->pipe_radius_m;
    const double top = sum(one, &wall);
    wall.z_m = -one->pipe_radius_m;
    return 0.5 * (top + sum(one, &wall));
}

/// Mean over the pipe's surface; half a turn stands for the whole, which mirrors itself.
static double mean_over_turn(const turn *one, wall_sum *sum, int panels)
{
    const double half = 0.5 * pi / panels;
    double total = 0.0, length_m = 0.0;
    for (int panel = 0; panel < panels; panel++) {
        const double middle = -0.5 * pi + (2 * panel + 1) * half;
        for (int i = 0; i < GAUSS_POINTS; i++) {
            const double t = middle + half * gauss_node[i];
            const double weight_m = half * gauss_weight[i] * speed(one, t);
            total += weight_m * mean_of_top_and_bottom(one, sum, t);
            length_m += weight_m;
        }
    }
    return total / length_m;
}

// Halving a stretch ends only if a pipe radius is a real length, and the number of turns must stay
// within reason.
static bool has_sense(const cbx_coil_row *row)
{
    const double size_m = row->coil_diameter_m + row->depth_m;
    return row->coil_diameter_m > 0.0 && row->depth_m > 0.0 && isfinite(size_m) &&
           row->pipe_radius_m > 1e-6 * size_m && row->pipe_radius_m < size_m &&
           row->pitch_m > 1e-3 * size_m && isfinite(row->pitch_m) && row->diffusion_length_m > 0.0;
}

double cbx_coil_row_rise(const cbx_coil_row *row)
{
    if (!has_sense(row)) {
        return NAN;
    }
    const double radius_m = 0.5 * row->coil_diameter_m;
    const turn one = {
        .radius_m = radius_m,
        .advance_m = row->separate_rings ? 0.0 : row->pitch_m / (2.0 * pi),
        .pitch_m = row->pitch_m,
        .length_m = row->separate_rings ? 2.0 * pi * radius_m
                                        : cb_coil_turn_length_m(row->coil_diameter_m, row->pitch_m),
        .depth_m = row->depth_m,
        .pipe_radius_m = row->pipe_radius_m,
        .diffusion_length_m = row->diffusion_length_m,
    };
    return (mean_over_turn(&one, near_sum, NEAR_PANELS) +
            mean_over_turn(&one, far_sum, FAR_PANELS)) /
           (4.0 * pi);
}

double cb_coil_steady_rise(double coil_diameter_m, double pitch_m, double depth_m,
                           double pipe_radius_m)
{
    const cbx_coil_row row = {coil_diameter_m, pitch_m, depth_m, pipe_radius_m, false, INFINITY};
    return cbx_coil_row_rise(&row);
}

double cb_coil_transient_rise(double coil_diameter_m, double pitch_m, double depth_m,
                              double pipe_radius_m, double diffusivity_m2_s, double time_s)
{
    const double diffusion_length_m = 2.0 * sqrt(diffusivity_m2_s * time_s);
    const cbx_coil_row row = {coil_diameter_m, pitch_m, depth_m,
                              pipe_radius_m,   false,   diffusion_length_m};
    return time_s <= 0.0 ? 0.0 : cbx_coil_row_rise(&row);
}
