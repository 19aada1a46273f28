// SPDX-License-Identifier: MIT
#include "coilbed/ground.h"

#include <math.h>
#include <stdlib.h>

typedef struct axis_builder {
    const cb_axis_rule *rule;
    const cb_fine_span *spans;
    int span_count;
    cb_axis *axis;
    int room;
} axis_builder;

static double span_size(const cb_fine_span *span)
{
    return (span->high_m - span->low_m) / span->cells;
}

// Cell size wanted at a place: as small as each feature asks for nearby, growing with distance.
static double wanted_size(const axis_builder *builder, double at_m)
{
    const cb_axis_rule *rule = builder->rule;
    double size = rule->largest_m;
    if (rule->first_size_m > 0.0) {
        size = fmin(size, rule->first_size_m + rule->growth * (at_m - rule->first_m));
    }
    for (int s = 0; s < builder->span_count; s++) {
        const cb_fine_span *span = &builder->spans[s];
        const double away = fmax(0.0, fmax(span->low_m - at_m, at_m - span->high_m));
        size = fmin(size, span_size(span) + rule->growth * away);
    }
    return size;
}

static bool push(axis_builder *builder, double edge_m)
{
    cb_axis *axis = builder->axis;
    if (axis->cells + 1 >= builder->room) {
        builder->room = builder->room ? 2 * builder->room : 64;
        double *grown = realloc(axis->edge_m, (size_t)builder->room * sizeof *grown);
        if (!grown) {
            return false;
        }
        axis->edge_m = grown;
    }
    axis->edge_m[++axis->cells] = edge_m;
    return true;
}

// Fills ]low, high] with cells that hold equal shares of the integral of 1/size, summed in equal
// pieces that are short against the gap's smallest cell, which stands at one of its ends.
//
// A gap with equal ends is its own mirror image and may lie across the middle of a symmetric field:
// it gets twice the cells of its half, as a section that ends there does.
static bool fill_gap(axis_builder *builder, double low_m, double high_m)
{
    const double at_low = wanted_size(builder, low_m), at_high = wanted_size(builder, high_m);
    const double smallest = fmin(at_low, at_high);
    const int parts = fabs(at_low - at_high) < 1e-9 && high_m - low_m > smallest ? 2 : 1;
    // A hair less, so that what is whole but for rounding stays so.
    const double wanted = 16.0 * (high_m - low_m) / (parts * smallest) - 1e-6;
    const int pieces = parts * (int)fmin(1e5, ceil(wanted));
    const double step = (high_m - low_m) / pieces;
    double total = 0.0;
    for (int n = 0; n < pieces; n++) {
        total += step / wanted_size(builder, low_m + (n + 0.5) * step);
    }
    const int cells = parts * (int)fmax(1.0, ceil(total / parts - 0.2));
    double sum = 0.0;
    int placed = 0;
    for (int n = 0; n < pieces && placed < cells - 1; n++) {
        const double share = step / wanted_size(builder, low_m + (n + 0.5) * step);
        while (placed < cells - 1 && sum + share >= total * (placed + 1) / cells) {
            const double part = (total * (placed + 1) / cells - sum) / share;
            if (!push(builder, low_m + (n + part) * step)) {
                return false;
            }
            placed++;
        }
        sum += share;
    }
    return push(builder, high_m);
}

static bool fill_span(axis_builder *builder, const cb_fine_span *span)
{
    for (int n = 1; n <= span->cells; n++) {
        const double edge_m = n == span->cells ? span->high_m : span->low_m + n * span_size(span);
        if (!push(builder, edge_m)) {
            return false;
        }
    }
    return true;
}

// Up to `high`, stopping at each break that stands clear of other edges.
static bool fill_between(axis_builder *builder, double high_m, const double *breaks,
                         int break_count)
{
    for (int b = 0; b < break_count; b++) {
        const double low_m = builder->axis->edge_m[builder->axis->cells];
        const double clear_m = 0.5 * wanted_size(builder, breaks[b]);
        if (breaks[b] - low_m > clear_m && high_m - breaks[b] > clear_m &&
            !fill_gap(builder, low_m, breaks[b])) {
            return false;
        }
    }
    const double low_m = builder->axis->edge_m[builder->axis->cells];
    return high_m - low_m < 1e-9 || fill_gap(builder, low_m, high_m);
}

static bool sound(const cb_axis_rule *rule, const cb_fine_span *spans, int span_count)
{
    double reached = rule->first_m;
    for (int s = 0; s < span_count; s++) {
        if (!(spans[s].low_m >= reached - 1e-9 && spans[s].high_m > spans[s].low_m &&
              spans[s].cells > 0)) {
            return false;
        }
        reached = spans[s].high_m;
    }
    return rule->last_m > rule->first_m && rule->last_m >= reached && rule->largest_m > 0.0 &&
           rule->growth > 0.0;
}

cb_status cb_axis_create(cb_axis *out, const cb_axis_rule *rule, const cb_fine_span *spans,
                         int span_count, const double *breaks, int break_count, cb_error *error)
{
    *out = (cb_axis){0};
    if (!sound(rule, spans, span_count)) {
        return cb_fail(error, CB_BAD_CALL, "fine spans overlap or leave the axis");
    }
    axis_builder builder = {rule, spans, span_count, out, 0};
    out->cells = -1;
    bool ok = push(&builder, rule->first_m);
    for (int s = 0; s < span_count && ok; s++) {
        ok = fill_between(&builder, spans[s].low_m, breaks, break_count) &&
             fill_span(&builder, &spans[s]);
    }
    ok = ok && fill_between(&builder, rule->last_m, breaks, break_count);
    if (!ok) {
        cb_axis_free(out);
        return cb_fail(error, CB_NO_MEMORY, "no memory for a grid axis");
    }
    return CB_OK;
}

void cb_axis_free(cb_axis *axis)
{
    free(axis->edge_m);
    *axis = (cb_axis){0};
}
