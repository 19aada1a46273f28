// SPDX-License-Identifier: MIT
#include "loop/near_field.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

int cbx_legs(const cb_design_field *field, cbx_leg legs[CBX_MAX_LEGS])
{
    if (field->layout == CB_FLAT_COIL) {
        legs[0] = (cbx_leg){
            .depth_m = field->depth_m,
            .coil_diameter_m = field->coil_diameter_m,
            .coil_pitch_m = field->coil_pitch_m,
            .pipe_per_metre = cb_coil_turn_length_m(field->coil_diameter_m, field->coil_pitch_m) /
                              field->coil_pitch_m,
            .outward = true,
        };
        if (!field->coil_return_in_trench) {
            return 1;
        }
        legs[1] = (cbx_leg){.across_m = field->coil_return_across_m,
                            .depth_m = field->coil_return_depth_m,
                            .pipe_per_metre = 1.0};
        return 2;
    }
    for (int p = 0; p < field->straight_pipes; p++) {
        legs[p] = (cbx_leg){.across_m = field->straight[p].across_m,
                            .depth_m = field->straight[p].depth_m,
                            .pipe_per_metre = 1.0,
                            .outward = p % 2 == 0};
    }
    return field->straight_pipes;
}

double cbx_leg_share(const cbx_leg *leg, const cbx_block *block, double low_m, double high_m)
{
    const double half_width = 0.5 * block->width_m;
    const double low = fmax(low_m, -half_width), high = fmin(high_m, half_width);
    if (high - low < 1e-9) {
        return 0.0;
    }
    if (leg->coil_diameter_m <= 0.0) {
        return (high - low) / block->width_m;
    }
    return 0.5 * (cb_coil_share(leg->coil_diameter_m, leg->coil_pitch_m, low, high) +
                  cb_coil_share(leg->coil_diameter_m, leg->coil_pitch_m, -high, -low));
}

// Steady rise at a cell from unit heat per metre in another, times k, of the five-point scheme on
// an endless grid of dx by dz cells, apart from a constant. With face conductances dz/dx across and
// dx/dz down, the transform over both angles leaves after one integration
//     1/pi integral over [0, pi] of (1 - cos(columns a) r^rows) / (2 (dx/dz) sqrt(A^2 - 1)) da,
//     A = 1 + (dz/dx)^2 (1 - cos a),  r = A - sqrt(A^2 - 1),
// the fall from the heated cell (potential kernel of the lattice; next cell across:
// (dx/dz) atan(dz/dx) / pi).
static double lattice_fall(int columns, int rows, double dx, double dz)
{
    enum { POINTS = 1000 };
    const double flat = dz / dx;
    double sum = 0.0;
    for (int n = 0; n < POINTS; n++) {
        const double a = pi * (n + 0.5) / POINTS;
        const double whole = 1.0 + flat * flat * (1.0 - cos(a));
        const double root = sqrt(whole * whole - 1.0);
        sum += (1.0 - cos(columns * a) * pow(whole - root, rows)) * flat / (2.0 * root);
    }
    return sum / POINTS;
}

// Mean rise of the block, weighted by pipe, per unit heat per metre of trench, times k.
static double block_rise(const cbx_leg *leg, const cbx_block *block)
{
    const double dx = block->width_m / block->across, dz = block->height_m / block->rows;
    double share[CBX_MAX_BLOCK], sum = 0.0;
    for (int a = 0; a < block->across; a++) {
        const double low = -0.5 * block->width_m + a * dx;
        share[a] = cbx_leg_share(leg, block, low, low + dx);
    }
    const double self = -log(0.140365 * hypot(dx, dz)) / (2.0 * pi); // of one cell, Peaceman 1983
    const double row_share = 1.0 / block->rows;
    for (int columns = 0; columns < block->across; columns++) {
        double pair = 0.0; // share of all pairs of columns that far apart
        for (int a = 0; a + columns < block->across; a++) {
            pair += (columns > 0 ? 2.0 : 1.0) * share[a] * share[a + columns];
        }
        for (int rows = 0; rows < block->rows; rows++) {
            const double rise = self - lattice_fall(columns, rows, dx, dz);
            const double weight =
                (rows > 0 ? 2.0 : 1.0) * (block->rows - rows) * row_share * row_share;
            sum += pair * weight * rise;
        }
        for (int r = 0; r < block->rows; r++) {
            for (int q = 0; q < block->rows; q++) {
                const double image_m = 2.0 * leg->depth_m + (r + q + 1 - block->rows) * dz;
                sum +=
                    pair * row_share * row_share * log(hypot(columns * dx, image_m)) / (2.0 * pi);
            }
        }
    }
    return sum;
}

double cbx_steady_rise(const cbx_leg *leg, double pipe_radius_m)
{
    if (leg->coil_diameter_m > 0.0) {
        return cb_coil_steady_rise(leg->coil_diameter_m, leg->coil_pitch_m, leg->depth_m,
                                   pipe_radius_m);
    }
    return log(2.0 * leg->depth_m / pipe_radius_m) / (2.0 * pi);
}

static void set_shells(cbx_near_field *near_field)
{
    const double ratio = near_field->outer_m / near_field->inner_m;
    for (int n = 0; n <= CBX_SHELLS; n++) {
        near_field->radius_m[n] = near_field->inner_m * pow(ratio, (double)n / CBX_SHELLS);
    }
}

// Fits the near field to a block of `rows` rows and this height.
static void fit(const cbx_leg *leg, cbx_block *block, int rows, double height_m, double exact,
                cbx_near_field *near_field)
{
    block->rows = rows;
    block->height_m = height_m;
    const double offset = exact - leg->pipe_per_metre * block_rise(leg, block);
    near_field->outer_m = near_field->inner_m * exp(2.0 * pi * offset);
    near_field->shell_share = leg->pipe_per_metre * pi * near_field->outer_m * near_field->outer_m /
                              (block->width_m * block->height_m);
}

// Dense turns: their heat spread over three rows lowers the section's own rise and leaves room for
// shells. The taller the block the wider the shells; the height is found that gives them their
// least useful width.
static void fit_tall(const cbx_leg *leg, cbx_block *block, double least, double exact,
                     cbx_near_field *near_field)
{
    double low = 3.0 * near_field->inner_m, high = 1.0;
    for (int n = 0; n < 40; n++) {
        const double middle = 0.5 * (low + high);
        fit(leg, block, 3, middle, exact, near_field);
        *(near_field->outer_m < least * near_field->inner_m ? &low : &high) = middle;
    }
}

void cbx_near_field_choose(const cbx_leg *leg, double pipe_radius_m, const cbx_cell_wish *wish,
                           cbx_block *block, cbx_near_field *near_field)
{
    static const double heights[] = {1.0, 1.4, 1.8, 2.5,
                                     3.5, 5.0, 7.0, 10.0}; // of one row, in wanted cells
    enum { HEIGHTS = sizeof heights / sizeof *heights };
    const double least = 1.5, fullest = 0.7;
    const bool coil = leg->coil_diameter_m > 0.0;
    const double exact = cbx_steady_rise(leg, pipe_radius_m);
    near_field->inner_m = pipe_radius_m;
    block->width_m = coil ? leg->coil_diameter_m : 2.0 * wish->across_m;
    block->across = coil ? 2 * (int)ceil(0.5 * leg->coil_diameter_m / wish->across_m - 1e-9) : 2;
    block->across = block->across > CBX_MAX_BLOCK ? CBX_MAX_BLOCK : block->across;
    // The heat of one row leaves from a plane however tall its cells are: a taller row makes room
    // for wide shells, but only more rows spread the heat of dense turns.
    for (int n = 0; n < HEIGHTS; n++) {
        fit(leg, block, 1, heights[n] * wish->height_m, exact, near_field);
        if (near_field->outer_m <= least * pipe_radius_m || near_field->shell_share < fullest) {
            break;
        }
    }
    if (near_field->outer_m <= least * pipe_radius_m) {
        fit_tall(leg, block, least, exact, near_field);
    }
    set_shells(near_field);
}
