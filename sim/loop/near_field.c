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

double cbx_block_share(const cbx_leg *leg, const cbx_block *block, int column)
{
    if (leg->coil_diameter_m <= 0.0) {
        return 1.0 / block->across;
    }
    const double cell = block->width_m / block->across;
    const double low = -0.5 * block->width_m + column * cell;
    return cb_coil_share(leg->coil_diameter_m, leg->coil_pitch_m, low, low + cell);
}

// Steady rise at one cell from unit heat per metre in another, times k, of the five-point scheme on
// a grid of dx by dz cells. Itself: r = exp(-gamma)/4 sqrt(dx2 + dz2), Peaceman 1983; a neighbour by
// the exact resistance of the anisotropic lattice, (2/pi) atan(dx/dz); farther cells by the line
// source. All minus the image above the surface.
static double cell_rise(int columns, int rows, double dx, double dz, double image_m)
{
    const double self = -log(0.140365 * hypot(dx, dz));
    double direct;
    if (columns == 0 && rows == 0) {
        direct = self;
    } else if (columns == 1 && rows == 0) {
        direct = self - 2.0 * atan(dx / dz);
    } else if (columns == 0 && rows == 1) {
        direct = self - 2.0 * atan(dz / dx);
    } else {
        direct = -log(hypot(columns * dx, rows * dz));
    }
    return (direct + log(hypot(columns * dx, image_m))) / (2.0 * pi);
}

// Mean rise of the block, weighted by pipe, per unit heat per metre of trench, times k.
static double block_rise(const cbx_leg *leg, const cbx_block *block)
{
    const double dx = block->width_m / block->across, dz = block->height_m / block->rows;
    double share[CBX_MAX_BLOCK], sum = 0.0;
    for (int a = 0; a < block->across; a++) {
        share[a] = cbx_block_share(leg, block, a);
    }
    const double row_share = 1.0 / block->rows;
    for (int a = 0; a < block->across; a++) {
        for (int b = 0; b < block->across; b++) {
            for (int r = 0; r < block->rows; r++) {
                for (int q = 0; q < block->rows; q++) {
                    const double image_m =
                        2.0 * leg->depth_m + (r + q + 1 - block->rows) * dz;
                    sum += share[a] * share[b] * row_share * row_share *
                           cell_rise(a > b ? a - b : b - a, r > q ? r - q : q - r, dx, dz, image_m);
                }
            }
        }
    }
    return sum;
}

static double exact_rise(const cbx_leg *leg, double pipe_radius_m)
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

void cbx_near_field_choose(const cbx_leg *leg, double pipe_radius_m, double cell_m,
                           cbx_block *block, cbx_near_field *near_field)
{
    static const struct {
        int rows;
        double height; // of a row, in wanted cells
    } tries[] = {{1, 1.0}, {1, 1.4}, {1, 1.8}, {3, 1.0}, {5, 1.0}, {7, 1.0}};
    enum { TRIES = sizeof tries / sizeof *tries };
    const bool coil = leg->coil_diameter_m > 0.0;
    const double exact = exact_rise(leg, pipe_radius_m);
    block->width_m = coil ? leg->coil_diameter_m : 2.0 * cell_m;
    block->across = coil ? 2 * (int)ceil(0.25 * leg->coil_diameter_m / cell_m) : 2;
    block->across = block->across > CBX_MAX_BLOCK ? CBX_MAX_BLOCK : block->across;
    for (int n = 0; n < TRIES; n++) {
        block->rows = tries[n].rows;
        block->height_m = tries[n].rows * tries[n].height * cell_m;
        const double offset = exact - leg->pipe_per_metre * block_rise(leg, block);
        near_field->inner_m = pipe_radius_m;
        near_field->outer_m = pipe_radius_m * exp(2.0 * pi * offset);
        near_field->shell_share = leg->pipe_per_metre * pi * near_field->outer_m *
                                  near_field->outer_m / (block->width_m * block->height_m);
        if (near_field->outer_m > 1.5 * pipe_radius_m && near_field->shell_share < 0.7) {
            break;
        }
    }
    // Turns touching on every side leave no room at all: a thin shell keeps the wall a little
    // warmer or colder than exact, on the cautious side.
    near_field->outer_m = fmax(near_field->outer_m, 1.1 * pipe_radius_m);
    near_field->shell_share = fmin(near_field->shell_share, 0.9);
    set_shells(near_field);
}
