// SPDX-License-Identifier: MIT
#include "engine/bundle.h"

#include "base/wide.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef float lanes __attribute__((vector_size(CBX_LANES * sizeof(float)), may_alias));
typedef float half __attribute__((vector_size(CBX_PANEL_LANES / 2 * sizeof(float)), may_alias));
typedef float wide __attribute__((vector_size(CBX_PANEL_LANES * sizeof(float)), may_alias));
typedef int32_t whole __attribute__((vector_size(CBX_PANEL_LANES * sizeof(int32_t)), may_alias));
typedef uint32_t bits __attribute__((vector_size(CBX_PANEL_LANES * sizeof(int32_t)), may_alias));
typedef double pairs __attribute__((vector_size(CBX_PANEL_LANES * sizeof(float)), may_alias));
typedef double pair __attribute__((may_alias)); // the lanes of one place

enum { UNIT = CBX_PANEL, A10 = 2 * CBX_PANEL, A20, A21, A30, A31, A32 }; // of a head

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
    const size_t entries = (size_t)order->first[order->panels] * CBX_PANEL;
    out->entry = cbx_lanes_create(entries);
    out->count = (int32_t *)cbx_lanes_create((size_t)order->block[order->panels] * 2 * CBX_PANEL);
    out->head = cbx_lanes_create(panels * CBX_BUNDLE_HEAD);
    out->pivot = cbx_lanes_create(places);
    out->work = cbx_lanes_create(places * CBX_PANEL);
    out->list = malloc(panels * sizeof *out->list);
    out->next = malloc(panels * sizeof *out->next);
    out->reached = malloc(panels * sizeof *out->reached);
    if (!out->diagonal || !out->down || !out->across || !out->entry || !out->count || !out->head ||
        !out->pivot || !out->work || !out->list || !out->next || !out->reached) {
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
    free(bundle->count);
    free(bundle->head);
    free(bundle->pivot);
    free(bundle->work);
    free(bundle->list);
    free(bundle->next);
    free(bundle->reached);
    *bundle = (cbx_bundle){0};
}

CBX_INLINE lanes *vectors(float *numbers, size_t at)
{
    return (lanes *)(numbers + at * CBX_LANES);
}

CBX_INLINE const lanes *vectors_of(const float *numbers, size_t at)
{
    return (const lanes *)(numbers + at * CBX_LANES);
}

// Four places or columns at a time.
CBX_INLINE wide *rows(float *numbers, size_t at)
{
    return (wide *)(numbers + at * CBX_PANEL_LANES);
}

CBX_INLINE const wide *rows_of(const float *numbers, size_t at)
{
    return (const wide *)(numbers + at * CBX_PANEL_LANES);
}

CBX_INLINE void put_flow(const cbx_dissection *order, int place, int other, lanes flow, lanes *work)
{
    const int to = order->place[other];
    if (to > place) {
        work[(size_t)to * CBX_PANEL + (size_t)(place % CBX_PANEL)] = -flow;
    }
}

// The panel's columns of the matrix into `work`.
CBX_INLINE void load_panel(const cbx_bundle *bundle, int panel, lanes *work)
{
    const cbx_dissection *order = bundle->order;
    const int nz = bundle->nz;
    const lanes *down = vectors_of(bundle->down, 0), *across = vectors_of(bundle->across, 0);
    for (int p = 0; p < CBX_PANEL; p++) {
        const int place = panel * CBX_PANEL + p, cell = order->cell[place];
        lanes *diagonal = work + ((size_t)place * CBX_PANEL + (size_t)p);
        if (cell < 0) {
            *diagonal = (lanes){1.0F, 1.0F};
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

// The rows of an earlier panel from one that lies in the present panel on.
typedef struct earlier {
    const int *row;
    const float *entry; // of row[0]
    int here, count;    // rows that lie in the present panel, and all
} earlier;

// D L^T of the rows that lie here: [column of the earlier panel][column here].
CBX_INLINE void scale_columns(const earlier *from, const wide *d, wide *part)
{
    lanes *out = (lanes *)part;
    memset(part, 0, CBX_PANEL * sizeof *part);
    for (int n = 0; n < from->here; n++) {
        const lanes *l = vectors_of(from->entry, (size_t)n * CBX_PANEL);
        for (int p = 0; p < CBX_PANEL; p++) {
            out[p * CBX_PANEL + from->row[n] % CBX_PANEL] = l[p] * ((const lanes *)d)[p];
        }
    }
}

// Takes its part out of the present panel's columns.
CBX_INLINE void take_columns(const earlier *from, const wide *d, wide *restrict work)
{
    const int *restrict row = from->row;
    const pairs *restrict l = (const pairs *)from->entry;
    const int count = from->count;
    wide part[CBX_PANEL];
    scale_columns(from, d, part);
    const wide first = part[0], second = part[1], third = part[2], fourth = part[3];
    for (int n = 0; n < count; n++) {
        const wide p = (wide)(pairs){l[n][0], l[n][0], l[n][0], l[n][0]};
        const wide q = (wide)(pairs){l[n][1], l[n][1], l[n][1], l[n][1]};
        const wide r = (wide)(pairs){l[n][2], l[n][2], l[n][2], l[n][2]};
        const wide s = (wide)(pairs){l[n][3], l[n][3], l[n][3], l[n][3]};
        work[row[n]] -= (p * first + q * second) + (r * third + s * fourth);
    }
}

CBX_INLINE void push(cbx_bundle *bundle, int panel, int at)
{
    if (at < bundle->order->first[panel + 1]) {
        const int in = bundle->order->row[at] / CBX_PANEL;
        bundle->reached[panel] = at;
        bundle->next[panel] = bundle->list[in];
        bundle->list[in] = panel;
    }
}

CBX_INLINE void take_earlier(cbx_bundle *bundle, int panel, wide *work)
{
    const cbx_dissection *order = bundle->order;
    for (int from = bundle->list[panel], following; from >= 0; from = following) {
        following = bundle->next[from];
        const int at = bundle->reached[from], end = order->first[from + 1];
        int upto = at;
        while (upto < end && order->row[upto] / CBX_PANEL == panel) {
            upto++;
        }
        const earlier left = {order->row + at, bundle->entry + (size_t)at * CBX_PANEL_LANES,
                              upto - at, end - at};
        take_columns(&left, rows_of(bundle->pivot, (size_t)from), work);
        push(bundle, from, upto);
    }
}

CBX_INLINE bool all_positive(lanes value)
{
    return value[0] > 0.0F && value[1] > 0.0F;
}

typedef struct triangle {
    lanes l10, l20, l21, l30, l31, l32, i0, i1, i2, i3; // of L, and 1/D
} triangle;

// Eliminates the panel among its own rows, and clears those. False if a pivot is not positive.
CBX_INLINE bool eliminate(cbx_bundle *bundle, int panel, lanes *work, triangle *t)
{
    const lanes one = {1.0F, 1.0F};
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
CBX_INLINE void keep_head(cbx_bundle *bundle, int panel, const triangle *t)
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

// To the nearest whole number.
CBX_INLINE void count_of(const wide *value, const wide *per_unit, whole *count)
{
    const wide half_way = {0.5F, 0.5F, 0.5F, 0.5F, 0.5F, 0.5F, 0.5F, 0.5F};
    const wide scaled = *value * *per_unit;
    const bits sign = (bits)scaled & 0x80000000U;
    *count = __builtin_convertvector(scaled + (wide)((bits)half_way | sign), whole);
}

// [row][column][lanes] of four rows to two columns to a number, [rows][lanes] for each two.
CBX_INLINE void keep_block(const whole *row, bits *count)
{
    const whole low = __builtin_shufflevector(row[0], row[1], 0, 1, 8, 9, 4, 5, 12, 13);
    const whole high = __builtin_shufflevector(row[0], row[1], 2, 3, 10, 11, 6, 7, 14, 15);
    const whole low2 = __builtin_shufflevector(row[2], row[3], 0, 1, 8, 9, 4, 5, 12, 13);
    const whole high2 = __builtin_shufflevector(row[2], row[3], 2, 3, 10, 11, 6, 7, 14, 15);
    const bits even = (bits)__builtin_shufflevector(low, low2, 0, 1, 2, 3, 8, 9, 10, 11);
    const bits odd = (bits)__builtin_shufflevector(high, high2, 0, 1, 2, 3, 8, 9, 10, 11);
    const bits even2 = (bits)__builtin_shufflevector(low, low2, 4, 5, 6, 7, 12, 13, 14, 15);
    const bits odd2 = (bits)__builtin_shufflevector(high, high2, 4, 5, 6, 7, 12, 13, 14, 15);
    count[0] = (even & 0xffffU) | (odd << 16);
    count[1] = (even2 & 0xffffU) | (odd2 << 16);
}

// A column's unit lets its largest entry just be counted.
CBX_INLINE void keep_counts(cbx_bundle *bundle, int panel, const wide *largest)
{
    static const float most = 32767.0F, shift = 65536.0F; // counts are read from upper halves
    const cbx_dissection *order = bundle->order;
    wide per_unit, unit;
    for (int e = 0; e < CBX_PANEL_LANES; e++) {
        unit[e] = (*largest)[e] > 0.0F ? (*largest)[e] / most : 1.0F;
        per_unit[e] = 1.0F / unit[e];
    }
    *(wide *)vectors(bundle->head, (size_t)panel * CBX_BUNDLE_HEAD + UNIT) = unit / shift;
    const wide *l = rows_of(bundle->entry, (size_t)order->first[panel]);
    int left = order->first[panel + 1] - order->first[panel];
    for (int block = order->block[panel]; block < order->block[panel + 1]; block++) {
        whole count[CBX_PANEL] = {{0}};
        for (int n = 0; n < CBX_PANEL && left > 0; n++, left--, l++) {
            count_of(l, &per_unit, &count[n]);
        }
        keep_block(count, (bits *)bundle->count + (size_t)block * 2);
    }
}

CBX_INLINE void keep_rows(cbx_bundle *bundle, int panel, lanes *restrict work, const triangle *t)
{
    const triangle u = *t;
    const int count = bundle->order->first[panel + 1] - bundle->order->first[panel];
    const int *restrict row = bundle->order->row + bundle->order->first[panel];
    wide *restrict entry = rows(bundle->entry, (size_t)bundle->order->first[panel]);
    wide largest = {0.0F};
    for (int n = 0; n < count; n++) {
        lanes *w = work + (size_t)row[n] * CBX_PANEL;
        const lanes a = w[0], b = w[1] - a * u.l10, c = w[2] - (a * u.l20 + b * u.l21);
        const lanes d = w[3] - ((a * u.l30 + b * u.l31) + c * u.l32);
        const half ab = __builtin_shufflevector(a * u.i0, b * u.i1, 0, 1, 2, 3);
        const half cd = __builtin_shufflevector(c * u.i2, d * u.i3, 0, 1, 2, 3);
        const wide all = __builtin_shufflevector(ab, cd, 0, 1, 2, 3, 4, 5, 6, 7);
        *(wide *)w = (wide){0.0F};
        entry[n] = all;
        const wide size = (wide)((bits)all & 0x7fffffffU);
        const whole larger = size > largest;
        largest = (wide)(((whole)size & larger) | ((whole)largest & ~larger));
    }
    keep_counts(bundle, panel, &largest);
}

CBX_WIDEST bool cbx_bundle_factor(cbx_bundle *bundle)
{
    const cbx_dissection *order = bundle->order;
    lanes *work = vectors(bundle->work, 0);
    bool positive = true;
    memset(bundle->list, -1, (size_t)order->panels * sizeof *bundle->list);
    for (int panel = 0; panel < order->panels; panel++) {
        triangle t;
        load_panel(bundle, panel, work);
        take_earlier(bundle, panel, (wide *)work);
        positive = eliminate(bundle, panel, work, &t) && positive;
        keep_head(bundle, panel, &t);
        keep_rows(bundle, panel, work, &t);
        push(bundle, panel, order->first[panel]);
    }
    return positive;
}

// ---- solutions -------------------------------------------------------------------------------

// The panel's own rows of x, made whole, and the same in its units.
CBX_INLINE void forward_own(const cbx_bundle *bundle, int panel, lanes *own, lanes *units)
{
    const lanes *head = vectors_of(bundle->head, (size_t)panel * CBX_BUNDLE_HEAD);
    const lanes p = own[0];
    const lanes q = own[1] + head[A10] * p;
    const lanes r = own[2] + (head[A20] * p + head[A21] * own[1]);
    const lanes s = own[3] + ((head[A30] * p + head[A31] * own[1]) + head[A32] * own[2]);
    own[1] = q;
    own[2] = r;
    own[3] = s;
    units[0] = p * head[UNIT];
    units[1] = q * head[UNIT + 1];
    units[2] = r * head[UNIT + 2];
    units[3] = s * head[UNIT + 3];
}

// The four columns of a block of rows, in units of 1/65536.
CBX_INLINE void read_block(const int32_t *count, wide *l)
{
    for (int p = 0; p < CBX_PANEL; p += 2) {
        const bits both = ((const bits *)count)[p / 2];
        l[p] = __builtin_convertvector((whole)(both << 16), wide);
        l[p + 1] = __builtin_convertvector((whole)(both & 0xffff0000U), wide);
    }
}

CBX_INLINE void take_rows(const int *row, const pair *x, wide *out)
{
    *out = (wide)(pairs){x[row[0]], x[row[1]], x[row[2]], x[row[3]]};
}

CBX_INLINE void repeat(const lanes *value, wide *out)
{
    const pair both = *(const pair *)value;
    *out = (wide)(pairs){both, both, both, both};
}

CBX_INLINE void forward_panel(const cbx_bundle *bundle, int panel, lanes *restrict x)
{
    const cbx_dissection *order = bundle->order;
    lanes units[CBX_PANEL];
    wide own[CBX_PANEL];
    forward_own(bundle, panel, x + (size_t)panel * CBX_PANEL, units);
    for (int p = 0; p < CBX_PANEL; p++) {
        repeat(&units[p], &own[p]);
    }
    const int end = order->block[panel + 1];
    const int *row = order->block_row + (size_t)order->block[panel] * CBX_PANEL;
    const int32_t *count = bundle->count + (size_t)order->block[panel] * 2 * CBX_PANEL_LANES;
    for (int n = order->block[panel]; n < end;
         n++, row += CBX_PANEL, count += (ptrdiff_t)2 * CBX_PANEL_LANES) {
        wide l[CBX_PANEL], value;
        read_block(count, l);
        take_rows(row, (const pair *)x, &value);
        value -= (l[0] * own[0] + l[1] * own[1]) + (l[2] * own[2] + l[3] * own[3]);
        x[row[0]] = __builtin_shufflevector(value, value, 0, 1);
        x[row[1]] = __builtin_shufflevector(value, value, 2, 3);
        x[row[2]] = __builtin_shufflevector(value, value, 4, 5);
        x[row[3]] = __builtin_shufflevector(value, value, 6, 7);
    }
}

CBX_INLINE void clear_spare(const cbx_bundle *bundle, lanes *x)
{
    x[cbx_dissection_places(bundle->order)] = (lanes){0.0F, 0.0F};
}

CBX_WIDE void cbx_bundle_forward(const cbx_bundle *bundle, float *restrict x)
{
    lanes *all = vectors(x, 0);
    clear_spare(bundle, all);
    for (int panel = 0; panel < bundle->order->panels; panel++) {
        forward_panel(bundle, panel, all);
    }
}

CBX_WIDE void cbx_bundle_forward_along(const cbx_bundle *bundle, const int *panel, int count,
                                       float *restrict x)
{
    lanes *all = vectors(x, 0);
    clear_spare(bundle, all);
    for (int n = 0; n < count; n++) {
        forward_panel(bundle, panel[n], all);
    }
}

// What the rows below give a panel, in its units.
CBX_INLINE void backward_rows(const cbx_bundle *bundle, int panel, const float *restrict x,
                              lanes *out)
{
    const cbx_dissection *order = bundle->order;
    const int end = order->block[panel + 1];
    const int *row = order->block_row + (size_t)order->block[panel] * CBX_PANEL;
    const int32_t *count = bundle->count + (size_t)order->block[panel] * 2 * CBX_PANEL_LANES;
    wide sum[CBX_PANEL] = {{0.0F}};
    for (int n = order->block[panel]; n < end;
         n++, row += CBX_PANEL, count += (ptrdiff_t)2 * CBX_PANEL_LANES) {
        wide l[CBX_PANEL], value;
        read_block(count, l);
        take_rows(row, (const pair *)x, &value);
        for (int p = 0; p < CBX_PANEL; p++) {
            sum[p] += l[p] * value;
        }
    }
    for (int p = 0; p < CBX_PANEL; p++) {
        const half both = __builtin_shufflevector(sum[p], sum[p], 0, 1, 2, 3) +
                          __builtin_shufflevector(sum[p], sum[p], 4, 5, 6, 7);
        out[p] =
            __builtin_shufflevector(both, both, 0, 1) + __builtin_shufflevector(both, both, 2, 3);
    }
}

CBX_WIDE void cbx_bundle_backward(const cbx_bundle *bundle, float *restrict x)
{
    for (int panel = bundle->order->panels - 1; panel >= 0; panel--) {
        const lanes *head = vectors_of(bundle->head, (size_t)panel * CBX_BUNDLE_HEAD);
        lanes *own = vectors(x, (size_t)panel * CBX_PANEL), below[CBX_PANEL];
        backward_rows(bundle, panel, x, below);
        const lanes p = own[0] * head[0] - below[0] * head[UNIT];
        const lanes q = own[1] * head[1] - below[1] * head[UNIT + 1];
        const lanes r = own[2] * head[2] - below[2] * head[UNIT + 2];
        const lanes s = own[3] * head[3] - below[3] * head[UNIT + 3];
        own[0] = p + ((head[A10] * q + head[A20] * r) + head[A30] * s);
        own[1] = q + (head[A21] * r + head[A31] * s);
        own[2] = r + head[A32] * s;
        own[3] = s;
    }
}
