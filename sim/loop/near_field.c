// SPDX-License-Identifier: MIT
#include "loop/near_field.h"

#include "loop/coil_rise.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const double least_ratio = 1.5; // of the outermost shell's radius to the pipe's

int cbx_parts(const cb_design_field *field, cbx_part parts[CBX_MAX_PARTS])
{
    cb_leg leg[CB_MAX_LEGS];
    const int legs = cb_field_legs(field, leg);
    int count = 0;
    for (int l = 0; l < legs; l++) {
        const int bands = leg[l].upright ? 2 : 1;
        for (int b = 0; b < bands; b++) {
            const double half_m = leg[l].upright ? 0.5 * leg[l].coil_diameter_m : 0.0;
            parts[count++] = (cbx_part){.leg = leg[l],
                                        .low_m = b == 0 ? -half_m : 0.0,
                                        .high_m = b == 0 ? 0.0 : half_m,
                                        .pipe_per_metre = leg[l].pipe_per_metre / bands,
                                        .pass = l};
        }
    }
    return count;
}

static double share_of(const cb_leg *leg, bool curved, double size_m, double low_m, double high_m)
{
    const double low = fmax(low_m, -0.5 * size_m), high = fmin(high_m, 0.5 * size_m);
    if (high - low < 1e-9) {
        return 0.0;
    }
    if (!curved) {
        return (high - low) / size_m;
    }
    // A ring is a turn that hardly advances.
    const double pitch_m = leg->rings ? 1e-6 * leg->coil_diameter_m : leg->coil_pitch_m;
    return 0.5 * (cb_coil_share(leg->coil_diameter_m, pitch_m, low, high) +
                  cb_coil_share(leg->coil_diameter_m, pitch_m, -high, -low));
}

double cbx_share_across(const cb_leg *leg, const cbx_block *block, double low_m, double high_m)
{
    return share_of(leg, leg->coil_diameter_m > 0.0 && !leg->upright, block->width_m, low_m,
                    high_m);
}

double cbx_share_down(const cb_leg *leg, const cbx_block *block, double low_m, double high_m)
{
    return share_of(leg, leg->coil_diameter_m > 0.0 && leg->upright, block->height_m, low_m,
                    high_m);
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

// Share of the leg's pipe in each column, or row, of its block.
static void fill_shares(const cb_leg *leg, const cbx_block *block, bool down, double *share)
{
    const int count = down ? block->rows : block->across;
    const double size_m = down ? block->height_m : block->width_m, cell_m = size_m / count;
    for (int n = 0; n < count; n++) {
        const double low = -0.5 * size_m + n * cell_m;
        share[n] = down ? cbx_share_down(leg, block, low, low + cell_m)
                        : cbx_share_across(leg, block, low, low + cell_m);
    }
}

// Share of all pairs of columns, or rows, that are `apart`.
static double pairs_apart(const double *share, int count, int apart)
{
    double sum = 0.0;
    for (int n = 0; n + apart < count; n++) {
        sum += (apart > 0 ? 2.0 : 1.0) * share[n] * share[n + apart];
    }
    return sum;
}

// Mean rise of the block, weighted by pipe, per unit heat per metre of trench, times k.
static double block_rise(const cb_leg *leg, const cbx_block *block)
{
    const double dx = block->width_m / block->across, dz = block->height_m / block->rows;
    double column[CBX_MAX_BLOCK] = {0.0}, row[CBX_MAX_BLOCK] = {0.0}, sum = 0.0;
    fill_shares(leg, block, false, column);
    fill_shares(leg, block, true, row);
    const double self = -log(0.140365 * hypot(dx, dz)) / (2.0 * pi); // of one cell, Peaceman 1983
    for (int columns = 0; columns < block->across; columns++) {
        const double pair = pairs_apart(column, block->across, columns);
        for (int rows = 0; rows < block->rows; rows++) {
            sum += pair * pairs_apart(row, block->rows, rows) *
                   (self - lattice_fall(columns, rows, dx, dz));
        }
        for (int r = 0; r < block->rows; r++) {
            for (int q = 0; q < block->rows; q++) {
                const double image_m = 2.0 * leg->depth_m + (r + q + 1 - block->rows) * dz;
                sum += pair * row[r] * row[q] * log(hypot(columns * dx, image_m)) / (2.0 * pi);
            }
        }
    }
    return sum;
}

double cbx_steady_rise(const cb_leg *leg, double pipe_radius_m)
{
    if (!(leg->coil_diameter_m > 0.0)) {
        return log(2.0 * leg->depth_m / pipe_radius_m) / (2.0 * pi);
    }
    const cbx_coil_row row = {.coil_diameter_m = leg->coil_diameter_m,
                              .pitch_m = leg->coil_pitch_m,
                              .depth_m = leg->depth_m,
                              .pipe_radius_m = pipe_radius_m,
                              .upright = leg->upright,
                              .separate_rings = leg->rings,
                              .diffusion_length_m = INFINITY};
    return cbx_coil_row_rise(&row);
}

static void set_shells(cbx_near_field *near_field)
{
    const double ratio = near_field->outer_m / near_field->inner_m;
    for (int n = 0; n <= CBX_SHELLS; n++) {
        near_field->radius_m[n] = near_field->inner_m * pow(ratio, (double)n / CBX_SHELLS);
    }
}

// Turns farther apart than they are wide cross less and later. The root is ours: with it the rise
// after a day comes within 2.5 % of the curve's at 1.5 and 2.2 diameters, without it within 4.5 %.
static double widest_shell_m(const cb_leg *leg, double pipe_radius_m)
{
    if (!(leg->coil_diameter_m > 0.0)) {
        return INFINITY;
    }
    const double apart = sqrt(fmax(1.0, leg->coil_pitch_m / leg->coil_diameter_m));
    return fmax(least_ratio * pipe_radius_m,
                apart * leg->coil_diameter_m / (2.0 * pi * leg->pipe_per_metre));
}

// Fits the near field to a block whose thickness, at right angles to the turns' plane, is this in
// so many cells.
static void fit(const cb_leg *leg, cbx_block *block, int cells, double thickness_m, double exact,
                cbx_near_field *near_field)
{
    *(leg->upright ? &block->across : &block->rows) = cells;
    *(leg->upright ? &block->width_m : &block->height_m) = thickness_m;
    const double offset = exact - leg->pipe_per_metre * block_rise(leg, block);
    const double whole_m = near_field->inner_m * exp(2.0 * pi * offset);
    near_field->outer_m = fmin(whole_m, widest_shell_m(leg, near_field->inner_m));
    near_field->crossing = log(whole_m / near_field->outer_m) / (2.0 * pi);
    near_field->shell_share = leg->pipe_per_metre * pi * near_field->outer_m * near_field->outer_m /
                              (block->width_m * block->height_m);
}

// Dense turns: their heat spread over more cells lowers the section's own rise and leaves room for
// shells. The thicker the block the wider the shells; the thickness is found that gives them their
// least useful width.
static void fit_thick(const cb_leg *leg, cbx_block *block, double exact, cbx_near_field *near_field)
{
    double low = 3.0 * near_field->inner_m, high = 1.0;
    for (int n = 0; n < 40; n++) {
        const double middle = 0.5 * (low + high);
        fit(leg, block, 3, middle, exact, near_field);
        *(near_field->outer_m < least_ratio * near_field->inner_m ? &low : &high) = middle;
    }
}

static int even_cells(double size_m, double cell_m)
{
    const int cells = 2 * (int)ceil(0.5 * size_m / cell_m - 1e-9);
    return cells > CBX_MAX_BLOCK ? CBX_MAX_BLOCK : cells;
}

void cbx_near_field_choose(const cb_leg *leg, double pipe_radius_m, const cbx_cell_wish *wish,
                           cbx_block *block, cbx_near_field *near_field)
{
    static const double thicknesses[] = {1.0, 1.4, 1.8, 2.5,
                                         3.5, 5.0, 7.0, 10.0}; // in wanted cells
    enum { THICKNESSES = sizeof thicknesses / sizeof *thicknesses };
    const double fullest = 0.7;
    const bool coil = leg->coil_diameter_m > 0.0;
    const double exact = cbx_steady_rise(leg, pipe_radius_m);
    const double cell_m = leg->upright ? wish->across_m : wish->height_m;
    near_field->inner_m = pipe_radius_m;
    *block = (cbx_block){.across = wish->one_column ? 1 : 2};
    block->width_m = block->across * wish->across_m;
    if (leg->upright) {
        block->height_m = leg->coil_diameter_m;
        block->rows = even_cells(leg->coil_diameter_m, wish->height_m);
    } else if (coil) {
        block->width_m = leg->coil_diameter_m;
        block->across = even_cells(leg->coil_diameter_m, wish->across_m);
    }
    // The heat of one layer leaves from a plane however thick its cells are: a thicker layer makes
    // room for wide shells, but only more layers spread the heat of dense turns.
    double emptiest = INFINITY, thickness_m = cell_m;
    for (int n = 0; n < THICKNESSES; n++) {
        fit(leg, block, 1, thicknesses[n] * cell_m, exact, near_field);
        if (near_field->shell_share < emptiest) {
            emptiest = near_field->shell_share;
            thickness_m = thicknesses[n] * cell_m;
        }
        if (near_field->outer_m <= least_ratio * pipe_radius_m ||
            near_field->shell_share < fullest) {
            break;
        }
    }
    fit(leg, block, 1, thickness_m, exact, near_field);
    if (near_field->outer_m <= least_ratio * pipe_radius_m) {
        fit_thick(leg, block, exact, near_field);
    }
    set_shells(near_field);
}
