// SPDX-License-Identifier: MIT
#include "engine/bundle.h"

#include "base/wide.h"

#include <stdlib.h>
#include <string.h>

typedef float lanes __attribute__((vector_size(CBX_LANES * sizeof(float)), may_alias));

#ifdef __GNUC__
#define INLINE static inline __attribute__((always_inline)) // into each clone
#else
#define INLINE static inline
#endif

enum { A10 = CBX_PANEL, A20, A21, A30, A31, A32 }; // of a head, by row and column

float *cbx_lanes_create(size_t count)
{
    const size_t bytes = (count * CBX_LANES * sizeof(float) + 64) / 64 * 64; // never 0
    float *block = aligned_alloc(64, bytes);
    if (block) {
        memset(block, 0, bytes);
    }
    return block;
}

static void fill_with_one(float *number, size_t count)
{
    for (size_t n = 0; n < count * CBX_LANES; n++) {
        number[n] = 1.0F;
    }
}

cb_status cbx_bundle_create(cbx_bundle *out, const cbx_dissection *order, int nz, cb_error *error)
{
    const size_t cells = (size_t)order->cells, panels = (size_t)order->panels;
    const size_t places = (size_t)cbx_dissection_places(order);
    *out = (cbx_bundle){.order = order, .nz = nz};
    out->diagonal = cbx_lanes_create(cells);
    out->down = cbx_lanes_create(cells);
    out->across = cbx_lanes_create(cells);
    out->entry = cbx_lanes_create((size_t)order->first[order->panels] * CBX_PANEL);
    out->head = cbx_lanes_create(panels * CBX_BUNDLE_HEAD);
    out->pivot = cbx_lanes_create(places);
    out->over = cbx_lanes_create(places);
    for (int side = 0; side < CBX_SIDES; side++) {
        out->work[side] = cbx_lanes_create(places * CBX_PANEL);
        out->list[side] = malloc(panels * sizeof *out->list[side]);
    }
    out->next = malloc(panels * sizeof *out->next);
    out->reached = malloc(panels * sizeof *out->reached);
    if (!out->diagonal || !out->down || !out->across || !out->entry || !out->head || !out->pivot ||
        !out->over || !out->work[0] || !out->work[1] || !out->list[0] || !out->list[1] ||
        !out->next || !out->reached) {
        cbx_bundle_free(out);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the factors of a section");
    }
    fill_with_one(out->diagonal, cells);
    return CB_OK;
}

void cbx_bundle_free(cbx_bundle *bundle)
{
    free(bundle->diagonal);
    free(bundle->down);
    free(bundle->across);
    free(bundle->entry);
    free(bundle->head);
    free(bundle->pivot);
    free(bundle->over);
    for (int side = 0; side < CBX_SIDES; side++) {
        free(bundle->work[side]);
        free(bundle->list[side]);
    }
    free(bundle->next);
    free(bundle->reached);
    *bundle = (cbx_bundle){0};
}

INLINE lanes *vectors(float *numbers, size_t at)
{
    return (lanes *)(numbers + at * CBX_LANES);
}

INLINE const lanes *vectors_of(const float *numbers, size_t at)
{
    return (const lanes *)(numbers + at * CBX_LANES);
}

INLINE void put_flow(const cbx_dissection *order, int place, int other, lanes flow, lanes *work)
{
    const int to = order->place[other];
    if (to > place) {
        work[(size_t)to * CBX_PANEL + (size_t)(place % CBX_PANEL)] = -flow;
    }
}

// The panel's columns of the matrix into `work`.
INLINE void load_panel(const cbx_bundle *bundle, int panel, lanes *work)
{
    const cbx_dissection *order = bundle->order;
    const int nz = bundle->nz;
    const lanes *down = vectors_of(bundle->down, 0), *across = vectors_of(bundle->across, 0);
    for (int p = 0; p < CBX_PANEL; p++) {
        const int place = panel * CBX_PANEL + p, cell = order->cell[place];
        lanes *diagonal = work + ((size_t)place * CBX_PANEL + (size_t)p);
        if (cell < 0) {
            *diagonal = (lanes){1.0F, 1.0F, 1.0F, 1.0F};
            continue;
        }
        *diagonal = *vectors_of(bundle->diagonal, (size_t)cell);
        const int k = cell % nz;
        if (k > 0) {
            put_flow(order, place, cell - 1, down[cell - 1], work);
        }
        if (k < nz - 1) {
            put_flow(order, place, cell + 1, down[cell], work);
        }
        if (cell >= nz) {
            put_flow(order, place, cell - nz, across[cell - nz], work);
        }
        if (cell + nz < order->cells) {
            put_flow(order, place, cell + nz, across[cell], work);
        }
    }
}

// Takes an earlier panel's part in one column out of `work`: that column is row `at` there.
INLINE void take_column(const cbx_bundle *bundle, int from, int at, lanes *work)
{
    const cbx_dissection *order = bundle->order;
    const int end = order->first[from + 1], column = order->row[at] % CBX_PANEL;
    const lanes *d = vectors_of(bundle->pivot, (size_t)from * CBX_PANEL);
    const lanes *l = vectors_of(bundle->entry, (size_t)at * CBX_PANEL);
    const lanes p = l[0] * d[0], q = l[1] * d[1], r = l[2] * d[2], s = l[3] * d[3];
    work += column;
    for (int n = at; n < end; n++, l += CBX_PANEL) {
        work[(size_t)order->row[n] * CBX_PANEL] -= (l[0] * p + l[1] * q) + (l[2] * r + l[3] * s);
    }
}

INLINE void push(cbx_bundle *bundle, int panel, int at, int *list)
{
    if (at < bundle->order->first[panel + 1]) {
        const int in = bundle->order->row[at] / CBX_PANEL;
        bundle->reached[panel] = at;
        bundle->next[panel] = list[in];
        list[in] = panel;
    }
}

INLINE void take_earlier(cbx_bundle *bundle, int panel, int *list, lanes *work)
{
    const cbx_dissection *order = bundle->order;
    for (int from = list[panel], following; from >= 0; from = following) {
        following = bundle->next[from];
        int at = bundle->reached[from];
        for (; at < order->first[from + 1] && order->row[at] / CBX_PANEL == panel; at++) {
            take_column(bundle, from, at, work);
        }
        push(bundle, from, at, list);
    }
}

INLINE bool all_positive(lanes value)
{
    return value[0] > 0.0F && value[1] > 0.0F && value[2] > 0.0F && value[3] > 0.0F;
}

typedef struct triangle {
    lanes l10, l20, l21, l30, l31, l32, i0, i1, i2, i3; // of L, and 1/D
} triangle;

// Eliminates the panel among its own rows, and clears those. False if a pivot is not positive.
INLINE bool eliminate(cbx_bundle *bundle, int panel, lanes *work, triangle *t)
{
    const lanes one = {1.0F, 1.0F, 1.0F, 1.0F};
    lanes *w = work + (size_t)panel * CBX_PANEL * CBX_PANEL; // [row][column]
    lanes *d = vectors(bundle->pivot, (size_t)panel * CBX_PANEL);
    d[0] = w[0];
    t->i0 = one / d[0];
    t->l10 = w[4] * t->i0;
    t->l20 = w[8] * t->i0;
    t->l30 = w[12] * t->i0;
    d[1] = w[5] - t->l10 * w[4];
    t->i1 = one / d[1];
    const lanes a21 = w[9] - t->l20 * w[4], a31 = w[13] - t->l30 * w[4];
    t->l21 = a21 * t->i1;
    t->l31 = a31 * t->i1;
    d[2] = w[10] - (t->l20 * w[8] + t->l21 * a21);
    t->i2 = one / d[2];
    const lanes a32 = w[14] - (t->l30 * w[8] + t->l31 * a21);
    t->l32 = a32 * t->i2;
    d[3] = w[15] - ((t->l30 * w[12] + t->l31 * a31) + t->l32 * a32);
    t->i3 = one / d[3];
    memset(w, 0, sizeof(lanes[CBX_PANEL][CBX_PANEL]));
    return all_positive(d[0]) && all_positive(d[1]) && all_positive(d[2]) && all_positive(d[3]);
}

// The inverse of the triangle, less an identity: a solution then need not wait for one column after
// the other.
INLINE void keep_head(cbx_bundle *bundle, int panel, const triangle *t)
{
    lanes *head = vectors(bundle->head, (size_t)panel * CBX_BUNDLE_HEAD);
    head[0] = t->i0;
    head[1] = t->i1;
    head[2] = t->i2;
    head[3] = t->i3;
    head[A10] = -t->l10;
    head[A21] = -t->l21;
    head[A32] = -t->l32;
    head[A20] = t->l21 * t->l10 - t->l20;
    head[A31] = t->l32 * t->l21 - t->l31;
    head[A30] = -(t->l30 + (t->l31 * head[A10] + t->l32 * head[A20]));
}

INLINE void keep_rows(cbx_bundle *bundle, int panel, lanes *work, const triangle *t)
{
    const cbx_dissection *order = bundle->order;
    lanes *l = vectors(bundle->entry, (size_t)order->first[panel] * CBX_PANEL);
    for (int n = order->first[panel]; n < order->first[panel + 1]; n++, l += CBX_PANEL) {
        lanes *w = work + (size_t)order->row[n] * CBX_PANEL;
        const lanes a = w[0], b = w[1] - a * t->l10, c = w[2] - (a * t->l20 + b * t->l21);
        const lanes d = w[3] - ((a * t->l30 + b * t->l31) + c * t->l32);
        l[0] = a * t->i0;
        l[1] = b * t->i1;
        l[2] = c * t->i2;
        l[3] = d * t->i3;
        memset(w, 0, CBX_PANEL * sizeof *w);
    }
}

CBX_WIDE bool cbx_bundle_factor(cbx_bundle *bundle, int side)
{
    const cbx_dissection *order = bundle->order;
    const bool line = side == CBX_SIDE_LINE;
    int *list = bundle->list[line ? 0 : side];
    lanes *work = vectors(bundle->work[line ? 0 : side], 0);
    bool positive = true;
    if (!line) {
        memset(list, -1, (size_t)order->panels * sizeof *list);
    }
    for (int panel = cbx_dissection_first_panel(order, side);
         panel < cbx_dissection_end_panel(order, side); panel++) {
        triangle t;
        load_panel(bundle, panel, work);
        take_earlier(bundle, panel, list, work);
        if (line) {
            take_earlier(bundle, panel, bundle->list[1], work);
        }
        positive = eliminate(bundle, panel, work, &t) && positive;
        keep_head(bundle, panel, &t);
        keep_rows(bundle, panel, work, &t);
        push(bundle, panel, order->first[panel], list);
    }
    return positive;
}

// The panel's own rows of x; they are what the rows below lose their parts of.
INLINE void forward_own(const cbx_bundle *bundle, int panel, lanes *own)
{
    const lanes *head = vectors_of(bundle->head, (size_t)panel * CBX_BUNDLE_HEAD);
    const lanes p = own[0], q = own[1], r = own[2];
    own[1] += head[A10] * p;
    own[2] += head[A20] * p + head[A21] * q;
    own[3] += (head[A30] * p + head[A31] * q) + head[A32] * r;
}

// Rows from..end of a panel, of which x[row - less] is to be made smaller.
INLINE void forward_rows(const cbx_bundle *bundle, int from, int end, const lanes *own, int less,
                         lanes *restrict x)
{
    const int *row = bundle->order->row;
    const lanes *l = vectors_of(bundle->entry, (size_t)from * CBX_PANEL);
    const lanes p = own[0], q = own[1], r = own[2], s = own[3];
    for (int n = from; n < end; n++, l += CBX_PANEL) {
        x[row[n] - less] -= (l[0] * p + l[1] * q) + (l[2] * r + l[3] * s);
    }
}

INLINE void forward_panel(const cbx_bundle *bundle, int panel, lanes *restrict x)
{
    const int *first = bundle->order->first;
    lanes *own = x + (size_t)panel * CBX_PANEL;
    forward_own(bundle, panel, own);
    const lanes copy[CBX_PANEL] = {own[0], own[1], own[2], own[3]};
    forward_rows(bundle, first[panel], first[panel + 1], copy, 0, x);
}

// What it takes from the line goes apart.
INLINE void forward_second_side(const cbx_bundle *bundle, lanes *restrict x)
{
    const cbx_dissection *order = bundle->order;
    const int line = order->side_end[1] * CBX_PANEL;
    lanes *over = vectors(bundle->over, 0);
    memset(over, 0, (size_t)(cbx_dissection_places(order) - line) * sizeof *over);
    for (int panel = order->side_end[0]; panel < order->side_end[1]; panel++) {
        lanes *own = x + (size_t)panel * CBX_PANEL;
        forward_own(bundle, panel, own);
        const lanes copy[CBX_PANEL] = {own[0], own[1], own[2], own[3]};
        forward_rows(bundle, order->first[panel], order->beyond[panel], copy, 0, x);
        forward_rows(bundle, order->beyond[panel], order->first[panel + 1], copy, line, over);
    }
}

CBX_WIDE void cbx_bundle_forward(const cbx_bundle *bundle, int side, float *restrict x)
{
    const cbx_dissection *order = bundle->order;
    if (side == 1) {
        forward_second_side(bundle, vectors(x, 0));
        return;
    }
    const int places = cbx_dissection_places(order), line = order->side_end[1] * CBX_PANEL;
    for (int n = line; side == CBX_SIDE_LINE && n < places; n++) {
        *vectors(x, (size_t)n) += *vectors_of(bundle->over, (size_t)(n - line));
    }
    for (int panel = cbx_dissection_first_panel(order, side);
         panel < cbx_dissection_end_panel(order, side); panel++) {
        forward_panel(bundle, panel, vectors(x, 0));
    }
}

CBX_WIDE void cbx_bundle_forward_along(const cbx_bundle *bundle, const int *panel, int count,
                                       float *restrict x)
{
    for (int n = 0; n < count; n++) {
        forward_panel(bundle, panel[n], vectors(x, 0));
    }
}

CBX_WIDE void cbx_bundle_backward(const cbx_bundle *bundle, int side, float *restrict x)
{
    const cbx_dissection *order = bundle->order;
    lanes *all = vectors(x, 0);
    for (int panel = cbx_dissection_end_panel(order, side) - 1;
         panel >= cbx_dissection_first_panel(order, side); panel--) {
        const lanes *head = vectors_of(bundle->head, (size_t)panel * CBX_BUNDLE_HEAD);
        const lanes *l = vectors_of(bundle->entry, (size_t)order->first[panel] * CBX_PANEL);
        lanes *own = all + (size_t)panel * CBX_PANEL;
        lanes p = own[0] * head[0], q = own[1] * head[1], r = own[2] * head[2],
              s = own[3] * head[3];
        for (int n = order->first[panel]; n < order->first[panel + 1]; n++, l += CBX_PANEL) {
            const lanes value = all[order->row[n]];
            p -= l[0] * value;
            q -= l[1] * value;
            r -= l[2] * value;
            s -= l[3] * value;
        }
        own[0] = p + ((head[A10] * q + head[A20] * r) + head[A30] * s);
        own[1] = q + (head[A21] * r + head[A31] * s);
        own[2] = r + head[A32] * s;
        own[3] = s;
    }
}
