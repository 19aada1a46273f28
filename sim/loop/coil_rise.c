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
// is 1.3e-4 below that of 32 points around the pipe. Of turns that stand upright the two sides are
// taken for the same reason.
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
/// About t = pi/2 it mirrors itself in x, so its centre of heat is at x = 0. Upright turns have z
/// for y.
typedef struct turn {
    bool upright, top_heavy;
    double radius_m, advance_m; ///< advance per radian; 0 for a closed ring
    double pitch_m, length_m;
    double depth_m, pipe_radius_m, diffusion_length_m;
} turn;

typedef struct point {
    double x_m, y_m, z_m; ///< along, across, above the middle of the turns
} point;

static double speed(const turn *one, double t)
{
    const double along = one->advance_m - one->radius_m * sin(t);
    return hypot(along, one->radius_m * cos(t));
}

static point centre_line(const turn *one, double t)
{
    const double x_m = one->advance_m * (t - 0.5 * pi) + one->radius_m * cos(t);
    const double side_m = one->radius_m * sin(t);
    return one->upright ? (point){x_m, 0.0, one->top_heavy ? -side_m : side_m}
                        : (point){x_m, side_m, 0.0};
}

static double kernel(const turn *one, double distance_m)
{
    return isinf(one->diffusion_length_m) ? 1.0 / distance_m
                                          : erfc(distance_m / one->diffusion_length_m) / distance_m;
}

/// A stretch of the turn that is centred at x_m, or its mirror image above the surface.
typedef struct stretch {
    double x_m;
    bool image;
    double t_low, t_high;
} stretch;

static double distance(const turn *one, const point *wall, const stretch *part, double t)
{
    const point line = centre_line(one, t);
    const double x = wall->x_m - part->x_m - line.x_m, y = wall->y_m - line.y_m;
    const double z = wall->z_m - (part->image ? 2.0 * one->depth_m - line.z_m : line.z_m);
    return sqrt(x * x + y * y + z * z);
}

static double stretch_sum(const turn *one, const point *wall, const stretch *part)
{
    const double middle = 0.5 * (part->t_low + part->t_high);
    const double half = 0.5 * (part->t_high - part->t_low);
    double sum = 0.0;
    for (int i = 0; i < GAUSS_POINTS; i++) {
        const double t = middle + half * gauss_node[i];
        sum += gauss_weight[i] * kernel(one, distance(one, wall, part, t)) * speed(one, t);
    }
    return half * sum;
}

// Halves a stretch until it is short against its distance: 8 Gauss points then give 1/r to 1e-6 or
// better (its singularity lies outside the Bernstein ellipse 1.5 radii and more away).
static double graded_sum(const turn *one, const point *wall, const stretch *whole)
{
    const double middle = 0.5 * (whole->t_low + whole->t_high);
    const double length_m = (one->radius_m + one->advance_m) * (whole->t_high - whole->t_low);
    const double clear_m = distance(one, wall, whole, middle) - 0.5 * length_m;
    if (length_m <= 1.5 * fmax(clear_m, 0.75 * one->pipe_radius_m)) {
        return stretch_sum(one, wall, whole);
    }
    const stretch first = {whole->x_m, whole->image, whole->t_low, middle};
    const stretch second = {whole->x_m, whole->image, middle, whole->t_high};
    return graded_sum(one, wall, &first) + graded_sum(one, wall, &second);
}

/// One whole turn centred at x_m.
static double turn_sum(const turn *one, const point *wall, double x_m, bool image)
{
    const stretch left = {x_m, image, -0.5 * pi, 0.5 * pi};
    const stretch right = {x_m, image, 0.5 * pi, 1.5 * pi};
    return graded_sum(one, wall, &left) + graded_sum(one, wall, &right);
}

/// Sum over a uniform line, image included, from `from_m` outwards along the trench; the squares
/// are of the distances at right angles.
static double line_tail(const turn *one, double from_m, double across_m2, double image_m2)
{
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
        sum += turn_sum(one, wall, m * one->pitch_m, false);
    }
    return sum;
}

static double far_sum(const turn *one, const point *wall)
{
    const int near = near_turns(one), count = explicit_turns(one);
    double sum = 0.0;
    for (int m = -count; m <= count; m++) {
        if (m < -near || near < m) {
            sum += turn_sum(one, wall, m * one->pitch_m, false);
        }
        sum -= turn_sum(one, wall, m * one->pitch_m, true);
    }
    // The line stands for pipe spread over the coil's width, whose mean square is near R^2 / 2.
    const double spread_m2 = wall->y_m * wall->y_m + 0.5 * one->radius_m * one->radius_m;
    const double under_m = 2.0 * one->depth_m - wall->z_m;
    const double across_m2 = spread_m2 + wall->z_m * wall->z_m;
    const double image_m2 = spread_m2 + under_m * under_m;
    const double end_m = (count + 0.5) * one->pitch_m;
    return sum + one->length_m / one->pitch_m *
                     (line_tail(one, end_m - wall->x_m, across_m2, image_m2) +
                      line_tail(one, end_m + wall->x_m, across_m2, image_m2));
}

typedef double wall_sum(const turn *one, const point *wall);

/// Of the two points a pipe radius off the plane of the turns.
static double mean_of_faces(const turn *one, wall_sum *sum, double t)
{
    const point middle = centre_line(one, t);
    point near = middle, far = middle;
    *(one->upright ? &near.y_m : &near.z_m) += one->pipe_radius_m;
    *(one->upright ? &far.y_m : &far.z_m) -= one->pipe_radius_m;
    return 0.5 * (sum(one, &near) + sum(one, &far));
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
            total += weight_m * mean_of_faces(one, sum, t);
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
    const double top_m = row->upright ? 0.5 * row->coil_diameter_m + row->pipe_radius_m : 0.0;
    return row->depth_m > top_m && row->coil_diameter_m > 0.0 && row->depth_m > 0.0 &&
           isfinite(size_m) && row->pipe_radius_m > 1e-6 * size_m && row->pipe_radius_m < size_m &&
           row->pitch_m > 1e-3 * size_m && isfinite(row->pitch_m) && row->diffusion_length_m > 0.0;
}

static double row_rise(const turn *one)
{
    return (mean_over_turn(one, near_sum, NEAR_PANELS) + mean_over_turn(one, far_sum, FAR_PANELS)) /
           (4.0 * pi);
}

double cbx_coil_row_rise(const cbx_coil_row *row)
{
    if (!has_sense(row)) {
        return NAN;
    }
    const double radius_m = 0.5 * row->coil_diameter_m;
    turn one = {
        .upright = row->upright,
        .radius_m = radius_m,
        .advance_m = row->separate_rings ? 0.0 : row->pitch_m / (2.0 * pi),
        .pitch_m = row->pitch_m,
        .length_m = row->separate_rings ? 2.0 * pi * radius_m
                                        : cb_coil_turn_length_m(row->coil_diameter_m, row->pitch_m),
        .depth_m = row->depth_m,
        .pipe_radius_m = row->pipe_radius_m,
        .diffusion_length_m = row->diffusion_length_m,
    };
    const double rise = row_rise(&one);
    if (!row->upright) {
        return rise;
    }
    // Which of top and bottom holds more pipe depends on how the turns are pulled apart.
    one.top_heavy = true;
    return 0.5 * (rise + row_rise(&one));
}

double cb_coil_steady_rise(double coil_diameter_m, double pitch_m, double depth_m,
                           double pipe_radius_m)
{
    const cbx_coil_row row = {.coil_diameter_m = coil_diameter_m,
                              .pitch_m = pitch_m,
                              .depth_m = depth_m,
                              .pipe_radius_m = pipe_radius_m,
                              .diffusion_length_m = INFINITY};
    return cbx_coil_row_rise(&row);
}

double cb_coil_transient_rise(double coil_diameter_m, double pitch_m, double depth_m,
                              double pipe_radius_m, double diffusivity_m2_s, double time_s)
{
    const double diffusion_length_m = 2.0 * sqrt(diffusivity_m2_s * time_s);
    const cbx_coil_row row = {.coil_diameter_m = coil_diameter_m,
                              .pitch_m = pitch_m,
                              .depth_m = depth_m,
                              .pipe_radius_m = pipe_radius_m,
                              .diffusion_length_m = diffusion_length_m};
    return time_s <= 0.0 ? 0.0 : cbx_coil_row_rise(&row);
}
