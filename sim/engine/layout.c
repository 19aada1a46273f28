// SPDX-License-Identifier: MIT
#include "engine/layout.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

// Every trench is its own mirror image when all its pipe lies on the centre line; then the field
// is symmetric if its lengths are, and half of it will do. Upright turns are one column of cells,
// which a mirror cannot halve.
static bool symmetric(const cbx_layout *layout, const cb_design_field *field)
{
    if (field->layout == CB_UPRIGHT_COIL && field->trenches % 2 == 1) {
        return false;
    }
    for (int l = 0; l < layout->part_count; l++) {
        if (layout->kind[l].part.leg.across_m != 0.0) {
            return false;
        }
    }
    for (int t = 0; t < field->trenches; t++) {
        if (cb_trench_length_m(field, t) != cb_trench_length_m(field, field->trenches - 1 - t)) {
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
        layout->real[n] = t;
        layout->centre_m[n] = 0.5 * from_middle2 * field->spacing_m;
        layout->multiplicity[n] = layout->half && from_middle2 > 0 ? 2.0 : 1.0;
        layout->length_m[n] = cb_trench_length_m(field, t);
        layout->trench_m = fmax(layout->trench_m, layout->length_m[n]);
    }
    layout->longest_m = layout->trench_m;
}

// Beside the field, where neither feels the other. In half a field two mirrored trenches of half
// the length stand for the one: each would carry half the water, and the film is that of all of it.
static void place_runout(cbx_layout *layout, const cb_design *design)
{
    const cb_runout *runout = &design->field.runout;
    const int n = layout->trenches;
    layout->runout = runout->given;
    if (!runout->given) {
        return;
    }
    const double outermost_m = layout->centre_m[n - 1] + 0.5 * design->field.trench_width_m;
    layout->centre_m[n] = outermost_m + design->ground.side_margin_m + 0.5 * runout->apart_m;
    layout->multiplicity[n] = layout->half ? 2.0 : 1.0;
    layout->length_m[n] = runout->length_m / layout->multiplicity[n];
    layout->longest_m = fmax(layout->longest_m, layout->length_m[n]);
}

static cbx_cell_wish wish_of(const cb_leg *leg, const cbx_accuracy *accuracy)
{
    cbx_cell_wish wish = {accuracy->cell_m, accuracy->cell_m, false};
    // A coil is a sheet: its cells may be twice as long in its plane as across it.
    if (leg->coil_diameter_m > 0.0) {
        *(leg->upright ? &wish.height_m : &wish.across_m) *= 2.0;
    }
    return wish;
}

static void plan_parts(cbx_layout *layout, double pipe_radius_m, const cbx_accuracy *accuracy)
{
    double beside_m = INFINITY; // width of a coil's cells; a pipe beside it shares them
    bool one_column = false;
    for (int l = 0; l < layout->part_count; l++) {
        cbx_kind *kind = &layout->kind[l];
        const cb_leg *leg = &kind->part.leg;
        cbx_cell_wish wish = wish_of(leg, accuracy);
        if (leg->coil_diameter_m == 0.0 && isfinite(beside_m)) {
            wish.across_m = beside_m;
            wish.one_column = one_column;
        }
        cbx_near_field_choose(leg, pipe_radius_m, &wish, &kind->block, &kind->near_field);
        if (leg->coil_diameter_m > 0.0) {
            one_column = kind->block.across % 2 == 1;
            beside_m = kind->block.width_m / kind->block.across;
        }
    }
}

static void plan_runout(cbx_layout *layout, const cb_runout *runout, double pipe_radius_m,
                        const cbx_accuracy *accuracy)
{
    for (int n = 0; layout->runout && n < 2; n++) {
        cbx_kind *kind = &layout->kind[layout->part_count + n];
        kind->part = (cbx_part){.leg = {.across_m = (n - 0.5) * runout->apart_m,
                                        .depth_m = runout->depth_m,
                                        .pipe_per_metre = 1.0,
                                        .outward = n == 0},
                                .pipe_per_metre = 1.0};
        const cbx_cell_wish wish = wish_of(&kind->part.leg, accuracy);
        cbx_near_field_choose(&kind->part.leg, pipe_radius_m, &wish, &kind->block,
                              &kind->near_field);
    }
}

void cbx_layout_plan(cbx_layout *layout, const cb_design *design, const cb_pipe *pipe,
                     const cb_pipe *runout_pipe, const cbx_accuracy *accuracy)
{
    *layout = (cbx_layout){0};
    cbx_part part[CBX_MAX_PARTS];
    layout->part_count = cbx_parts(&design->field, part);
    for (int l = 0; l < layout->part_count; l++) {
        layout->kind[l].part = part[l];
    }
    layout->half = symmetric(layout, &design->field);
    place_trenches(layout, &design->field);
    place_runout(layout, design);
    plan_parts(layout, 0.5 * pipe->outside_diameter_m, accuracy);
    if (runout_pipe) {
        plan_runout(layout, &design->field.runout, 0.5 * runout_pipe->outside_diameter_m, accuracy);
    }
}

static int by_low(const void *a, const void *b)
{
    const cb_fine_span *p = a, *q = b;
    return (p->low_m > q->low_m) - (p->low_m < q->low_m);
}

// Sorts spans and joins those that touch; a joined span keeps the finest cells, and if they do not
// fit as they are, an even number of them so that its middle lies on an edge.
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

int cbx_layout_kinds(const cbx_layout *layout, int trench, int *end)
{
    const bool runout = trench == layout->trenches;
    *end = layout->part_count + (runout ? 2 : 0);
    return runout ? layout->part_count : 0;
}

// Heat of a coil has spread over its width already and leaves its sides smoothly, that of straight
// pipes leaves alike all round.
static double growth_sideways(const cbx_layout *layout, const cbx_accuracy *accuracy)
{
    const double straight = 1.3;
    bool coil = false;
    for (int l = 0; l < layout->part_count; l++) {
        coil = coil || layout->kind[l].part.leg.coil_diameter_m > 0.0;
    }
    return accuracy->growth * (coil && !layout->runout ? accuracy->coil_sideways : straight);
}

static cb_status make_x(const cbx_layout *layout, const cb_design *design,
                        const cbx_accuracy *accuracy, cb_axis *x, cb_error *error)
{
    enum { MOST_SPANS = CB_MAX_TRENCHES * CBX_MAX_PARTS + 2, MOST_EDGES = 2 * CB_MAX_TRENCHES + 1 };
    cb_fine_span *span = calloc(MOST_SPANS, sizeof *span);
    if (!span) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the grid");
    }
    double edges[MOST_EDGES], left = INFINITY, right = -INFINITY;
    int count = 0, edge_count = 0;
    edges[edge_count++] = 0.0; // the field's middle, so that a symmetric field gets symmetric cells
    for (int t = 0; t < layout->trenches + layout->runout; t++) {
        int end;
        for (int n = cbx_layout_kinds(layout, t, &end); n < end; n++) {
            const cbx_block *block = &layout->kind[n].block;
            const double middle = layout->centre_m[t] + layout->kind[n].part.leg.across_m;
            const double half_width = 0.5 * block->width_m;
            const bool cut = layout->half && middle - half_width < 0.0;
            span[count++] = (cb_fine_span){cut ? 0.0 : middle - half_width, middle + half_width,
                                           block->across / (cut ? 2 : 1)};
            left = fmin(left, middle - half_width);
            right = fmax(right, middle + half_width);
        }
        if (design->ground.has_backfill && t < layout->trenches) {
            edges[edge_count++] = layout->centre_m[t] - 0.5 * design->ground.backfill_width_m;
            edges[edge_count++] = layout->centre_m[t] + 0.5 * design->ground.backfill_width_m;
        }
    }
    qsort(edges, (size_t)edge_count, sizeof *edges, by_value);
    const cb_axis_rule rule = {
        .first_m = layout->half ? 0.0 : left - design->ground.side_margin_m,
        .last_m = right + design->ground.side_margin_m,
        .growth = growth_sideways(layout, accuracy),
        .largest_m = 2.0,
    };
    const cb_status status =
        cb_axis_create(x, &rule, span, join_spans(span, count), edges, edge_count, error);
    free(span);
    return status;
}

double cbx_trench_floor_m(const cbx_layout *layout)
{
    double floor_m = 0.0;
    for (int l = 0; l < layout->part_count; l++) {
        const cbx_kind *kind = &layout->kind[l];
        floor_m =
            fmax(floor_m, kind->part.leg.depth_m + kind->part.high_m + kind->near_field.inner_m);
    }
    return floor_m;
}

static cb_status make_z(const cbx_layout *layout, const cb_design *design,
                        const cbx_accuracy *accuracy, cb_axis *z, cb_error *error)
{
    cb_fine_span span[CBX_MAX_KINDS];
    double breaks[CB_MAX_LAYERS + 2];
    const int kinds = layout->part_count + (layout->runout ? 2 : 0);
    int break_count = 0;
    for (int n = 0; n < kinds; n++) {
        const cbx_block *block = &layout->kind[n].block;
        const double middle = layout->kind[n].part.leg.depth_m;
        span[n] = (cb_fine_span){middle - 0.5 * block->height_m, middle + 0.5 * block->height_m,
                                 block->rows};
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
    return cb_axis_create(z, &rule, span, join_spans(span, kinds), breaks, break_count, error);
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

void cbx_layout_carve(const cb_section *section, const cbx_run *run, double share,
                      double *volume_m3)
{
    double area_m2 = 0.0;
    for (int n = 0; n < run->block_cells; n++) {
        const int c = run->cell[n];
        area_m2 += section->dx_m[c / section->nz] * section->dz_m[c % section->nz];
    }
    const double outer_m = run->near_field.outer_m;
    const double taken_m3 = share * run->pipe_m * pi * outer_m * outer_m;
    for (int n = 0; n < run->block_cells; n++) {
        const int c = run->cell[n], i = c / section->nz, k = c % section->nz;
        const double cell_m2 = section->dx_m[i] * section->dz_m[k];
        // Where two blocks share a cell it may run out; a tenth stays, for the ODE needs some.
        volume_m3[c] = fmax(0.1 * cell_m2 * section->depth_area_m,
                            volume_m3[c] - cell_m2 / area_m2 * taken_m3);
    }
}

static void fill_shells(cbx_run *run, double slice_m)
{
    const double *r = run->near_field.radius_m;
    run->pipe_m = slice_m * run->multiplicity * run->pipe_per_metre;
    for (int n = 0; n < CBX_SHELLS; n++) {
        run->shell_volume_m3[n] = run->pipe_m * pi * (r[n + 1] * r[n + 1] - r[n] * r[n]);
        run->shell_half_log[n] = 0.5 * log(r[n + 1] / r[n]);
    }
}

bool cbx_layout_run(const cbx_layout *layout, int trench, int kind, const cb_section *section,
                    cbx_run *run)
{
    const cbx_part *part = &layout->kind[kind].part;
    const cbx_block *block = &layout->kind[kind].block;
    *run = (cbx_run){.trench = trench,
                     .runout = trench == layout->trenches,
                     .multiplicity = layout->multiplicity[trench],
                     .length_m = layout->length_m[trench],
                     .leg = part->leg,
                     .pipe_per_metre = part->pipe_per_metre,
                     .near_field = layout->kind[kind].near_field};
    const double middle = layout->centre_m[trench] + part->leg.across_m;
    const bool half = part->high_m > part->low_m;
    const double low_z = part->leg.depth_m + (half ? part->low_m : -0.5 * block->height_m);
    const double high_z = part->leg.depth_m + (half ? part->high_m : 0.5 * block->height_m);
    double sum = 0.0;
    for (int i = 0; i < section->nx; i++) {
        const double across = cbx_share_across(&run->leg, block, section->x_edge_m[i] - middle,
                                               section->x_edge_m[i + 1] - middle);
        for (int k = 0; across > 0.0 && k < section->nz; k++) {
            const double low = fmax(low_z, section->z_edge_m[k]);
            const double high = fmin(high_z, section->z_edge_m[k + 1]);
            if (high - low < 1e-9) {
                continue;
            }
            const double share = across * cbx_share_down(&run->leg, block, low - run->leg.depth_m,
                                                         high - run->leg.depth_m);
            if (!push_cell(run, cb_cell(section, i, k), share)) {
                return false;
            }
            sum += share;
        }
    }
    for (int n = 0; n < run->block_cells; n++) {
        run->weight[n] /= sum; // a trench cut by the mirror plane shows half its cells
    }
    fill_shells(run, section->depth_area_m / (layout->half ? 2.0 : 1.0));
    run->soil = section->soil[run->cell[run->block_cells / 2]];
    return true;
}
