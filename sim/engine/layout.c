// SPDX-License-Identifier: MIT
#include "engine/layout.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

// Every trench is its own mirror image when all its pipe lies on the centre line; then the field
// is symmetric and half of it will do.
static bool symmetric(const cbx_layout *layout)
{
    for (int l = 0; l < layout->leg_count; l++) {
        if (layout->leg[l].across_m != 0.0) {
            return false;
        }
    }
    return true;
}

static void place_trenches(cbx_layout *layout, const cb_design_field *field)
{
    layout->trenches = 0;
    for (int t = 0; t < field->trenches; t++) {
        const int from_middle2 = 2 * t - (field->trenches - 1); // twice the distance, in spacings
        if (layout->half && from_middle2 < 0) {
            continue;
        }
        const int n = layout->trenches++;
        layout->centre_m[n] = 0.5 * from_middle2 * field->spacing_m;
        layout->multiplicity[n] = layout->half && from_middle2 > 0 ? 2.0 : 1.0;
    }
}

void cbx_layout_plan(cbx_layout *layout, const cb_design *design, const cb_pipe *pipe,
                     const cbx_accuracy *accuracy)
{
    *layout = (cbx_layout){.pipe_radius_m = 0.5 * pipe->outside_diameter_m};
    layout->leg_count = cbx_legs(&design->field, layout->leg);
    layout->half = symmetric(layout);
    place_trenches(layout, &design->field);
    // A coil is a sheet: its cells may be twice as wide as high. A pipe beside it shares them.
    cbx_cell_wish wish = {accuracy->cell_m, accuracy->cell_m};
    for (int l = 0; l < layout->leg_count; l++) {
        if (layout->leg[l].coil_diameter_m > 0.0) {
            wish.across_m = 2.0 * accuracy->cell_m;
        }
        cbx_near_field_choose(&layout->leg[l], layout->pipe_radius_m, &wish, &layout->block[l],
                              &layout->near_field[l]);
        if (layout->leg[l].coil_diameter_m > 0.0) {
            wish.across_m = layout->block[l].width_m / layout->block[l].across;
        }
    }
}

static int by_low(const void *a, const void *b)
{
    const cb_fine_span *p = a, *q = b;
    return (p->low_m > q->low_m) - (p->low_m < q->low_m);
}

// Sorts spans and joins those that touch; a joined span keeps the finest cells, in an even number
// from its own middle so that centre lines stay on edges.
static int join_spans(cb_fine_span *span, int count)
{
    qsort(span, (size_t)count, sizeof *span, by_low);
    int kept = 0;
    for (int n = 1; n < count; n++) {
        cb_fine_span *last = &span[kept];
        if (span[n].low_m > last->high_m + 1e-9) {
            span[++kept] = span[n];
            continue;
        }
        const double size = fmin((last->high_m - last->low_m) / last->cells,
                                 (span[n].high_m - span[n].low_m) / span[n].cells);
        const double high = fmax(last->high_m, span[n].high_m);
        if (high > last->high_m + 1e-9 ||
            size < (last->high_m - last->low_m) / last->cells - 1e-9) {
            last->high_m = high;
            last->cells = 2 * (int)ceil((last->high_m - last->low_m) / (2.0 * size) - 1e-6);
        }
    }
    return count > 0 ? kept + 1 : 0;
}

static int by_value(const void *a, const void *b)
{
    const double p = *(const double *)a, q = *(const double *)b;
    return (p > q) - (p < q);
}

static cb_status make_x(const cbx_layout *layout, const cb_design *design,
                        const cbx_accuracy *accuracy, cb_axis *x, cb_error *error)
{
    cb_fine_span span[CBX_MAX_TRENCHES * CBX_MAX_LEGS];
    double edges[2 * CBX_MAX_TRENCHES + 1], left = INFINITY, right = -INFINITY;
    int count = 0, edge_count = 0;
    edges[edge_count++] = 0.0; // the field's middle, so that a symmetric field gets symmetric cells
    for (int t = 0; t < layout->trenches; t++) {
        for (int l = 0; l < layout->leg_count; l++) {
            const double middle = layout->centre_m[t] + layout->leg[l].across_m;
            const double half_width = 0.5 * layout->block[l].width_m;
            const bool cut = layout->half && middle - half_width < 0.0;
            span[count++] = (cb_fine_span){cut ? 0.0 : middle - half_width, middle + half_width,
                                           layout->block[l].across / (cut ? 2 : 1)};
            left = fmin(left, middle - half_width);
            right = fmax(right, middle + half_width);
        }
        if (design->ground.has_backfill) {
            edges[edge_count++] = layout->centre_m[t] - 0.5 * design->ground.backfill_width_m;
            edges[edge_count++] = layout->centre_m[t] + 0.5 * design->ground.backfill_width_m;
        }
    }
    qsort(edges, (size_t)edge_count, sizeof *edges, by_value);
    const cb_axis_rule rule = {
        .first_m = layout->half ? 0.0 : left - design->ground.side_margin_m,
        .last_m = right + design->ground.side_margin_m,
        .growth = 1.3 * accuracy->growth,
        .largest_m = 2.0,
    };
    return cb_axis_create(x, &rule, span, join_spans(span, count), edges, edge_count, error);
}

double cbx_trench_floor_m(const cbx_layout *layout)
{
    double floor_m = 0.0;
    for (int l = 0; l < layout->leg_count; l++) {
        floor_m = fmax(floor_m, layout->leg[l].depth_m + layout->pipe_radius_m);
    }
    return floor_m;
}

static cb_status make_z(const cbx_layout *layout, const cb_design *design,
                        const cbx_accuracy *accuracy, cb_axis *z, cb_error *error)
{
    cb_fine_span span[CBX_MAX_LEGS];
    double breaks[CB_MAX_LAYERS + 2];
    int break_count = 0;
    for (int l = 0; l < layout->leg_count; l++) {
        const double middle = layout->leg[l].depth_m, half_height = 0.5 * layout->block[l].height_m;
        span[l] = (cb_fine_span){middle - half_height, middle + half_height, layout->block[l].rows};
    }
    for (int n = 0; n < design->ground.layer_count - 1; n++) {
        breaks[break_count++] = design->ground.layer[n].bottom_m;
    }
    if (design->ground.has_backfill) {
        breaks[break_count++] = cbx_trench_floor_m(layout);
        breaks[break_count++] = cbx_trench_floor_m(layout) - design->ground.backfill_height_m;
    }
    qsort(breaks, (size_t)break_count, sizeof *breaks, by_value);
    const cb_axis_rule rule = {
        .first_m = 0.0,
        .last_m = design->ground.bottom_depth_m,
        .first_size_m = accuracy->surface_cell_m,
        .growth = accuracy->growth,
        .largest_m = 2.0,
    };
    return cb_axis_create(z, &rule, span, join_spans(span, layout->leg_count), breaks, break_count,
                          error);
}

cb_status cbx_layout_axes(const cbx_layout *layout, const cb_design *design,
                          const cbx_accuracy *accuracy, cb_axis *x, cb_axis *z, cb_error *error)
{
    *z = (cb_axis){0};
    cb_status status = make_x(layout, design, accuracy, x, error);
    if (status == CB_OK) {
        status = make_z(layout, design, accuracy, z, error);
    }
    if (status != CB_OK) {
        cb_axis_free(x);
    }
    return status;
}

static double overlap(double a_low, double a_high, double b_low, double b_high)
{
    return fmax(0.0, fmin(a_high, b_high) - fmax(a_low, b_low));
}

static bool push_cell(cbx_run *run, int cell, double weight)
{
    if (run->block_cells % 16 == 0) {
        const size_t room = (size_t)run->block_cells + 16;
        int *cells = realloc(run->cell, room * sizeof *cells);
        run->cell = cells ? cells : run->cell;
        double *weights = realloc(run->weight, room * sizeof *weights);
        run->weight = weights ? weights : run->weight;
        if (!cells || !weights) {
            return false;
        }
    }
    run->cell[run->block_cells] = cell;
    run->weight[run->block_cells++] = weight;
    return true;
}

// Takes the room of pipe and shells out of the block's cells, evenly over the block.
static void carve(cb_section *section, const cbx_run *run, double area_m2, double taken_m3)
{
    for (int n = 0; n < run->block_cells; n++) {
        const int c = run->cell[n], i = c / section->nz, k = c % section->nz;
        const double whole = section->dx_m[i] * section->dz_m[k] * section->depth_area_m;
        const double part = section->dx_m[i] * section->dz_m[k] / area_m2;
        // Where two blocks share a cell it may run out; a tenth stays, for the ODE needs some.
        section->volume_m3[c] = fmax(0.1 * whole, section->volume_m3[c] - part * taken_m3);
    }
}

static void shell_volumes(cbx_run *run, double slice_m)
{
    const double *r = run->near_field.radius_m;
    run->pipe_m = slice_m * run->multiplicity * run->leg.pipe_per_metre;
    for (int n = 0; n < CBX_SHELLS; n++) {
        run->shell_volume_m3[n] = run->pipe_m * pi * (r[n + 1] * r[n + 1] - r[n] * r[n]);
    }
}

bool cbx_layout_run(const cbx_layout *layout, int trench, int leg, cb_section *section,
                    cbx_run *run)
{
    const cbx_block *block = &layout->block[leg];
    *run = (cbx_run){.trench = trench,
                     .multiplicity = layout->multiplicity[trench],
                     .leg = layout->leg[leg],
                     .near_field = layout->near_field[leg]};
    const double middle = layout->centre_m[trench] + run->leg.across_m;
    const double low_z = run->leg.depth_m - 0.5 * block->height_m, high_z = low_z + block->height_m;
    double sum = 0.0, area_m2 = 0.0;
    for (int i = 0; i < section->nx; i++) {
        const double share = cbx_leg_share(&run->leg, block, section->x_edge_m[i] - middle,
                                           section->x_edge_m[i + 1] - middle);
        for (int k = 0; share > 0.0 && k < section->nz; k++) {
            const double height =
                overlap(low_z, high_z, section->z_edge_m[k], section->z_edge_m[k + 1]);
            if (height < 1e-9) {
                continue;
            }
            if (!push_cell(run, cb_cell(section, i, k), share * height / block->height_m)) {
                return false;
            }
            sum += share * height / block->height_m;
            area_m2 += section->dx_m[i] * section->dz_m[k];
        }
    }
    for (int n = 0; n < run->block_cells; n++) {
        run->weight[n] /= sum; // a trench cut by the mirror plane shows half its cells
    }
    const double slice_m = section->depth_area_m / (layout->half ? 2.0 : 1.0);
    shell_volumes(run, slice_m);
    run->soil = section->soil[run->cell[run->block_cells / 2]];
    carve(section, run, area_m2,
          run->pipe_m * pi * run->near_field.outer_m * run->near_field.outer_m);
    return true;
}
