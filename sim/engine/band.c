// SPDX-License-Identifier: MIT
#include "engine/band.h"

#include "base/wide.h"

#include <stdlib.h>
#include <string.h>

enum { PANEL = CBX_BAND_PANEL, EIGHT = 8, FOUR = 4 };

// Lanes written out, since compilers shuffle more than they compute when left to find them. Loops
// go by eight and end with at most one step of four, which may reach three rows too far: those are
// zeros in a factor's columns.
typedef float eight __attribute__((vector_size(EIGHT * sizeof(float)), aligned(4), may_alias));
typedef float four __attribute__((vector_size(FOUR * sizeof(float)), aligned(4), may_alias));

#ifdef __GNUC__
#define INLINE static inline __attribute__((always_inline)) // into each clone
#else
#define INLINE static inline
#endif

// Of the matrix, and columns of zeros that the last panel's loops may reach into.
static size_t entries(const cbx_band *band)
{
    return (size_t)(band->columns + band->half + PANEL) * (size_t)band->stride;
}

bool cbx_band_create(cbx_band *band, int size, int half)
{
    const int stride = (half + PANEL + 2 * FOUR - 2) / FOUR * FOUR; // half + 7 or more
    *band = (cbx_band){.size = size, .half = half, .stride = stride};
    band->columns = (size + PANEL - 1) / PANEL * PANEL;
    band->entry = malloc(entries(band) * sizeof *band->entry);
    if (band->entry) {
        cbx_band_clear(band);
    }
    return band->entry != NULL;
}

void cbx_band_free(cbx_band *band)
{
    free(band->entry);
    *band = (cbx_band){0};
}

void cbx_band_clear(cbx_band *band)
{
    memset(band->entry, 0, entries(band) * sizeof *band->entry);
    for (int j = band->size; j < band->columns; j++) {
        *cbx_band_column(band, j) = 1.0F;
    }
}

int cbx_band_room(const cbx_band *band)
{
    return band->columns + band->half + PANEL + EIGHT;
}

// target[e] -= factor * source[e] for `count` rows.
INLINE void take_one(float *restrict target, const float *restrict source, float factor, int count)
{
    int e = 0;
    for (; e + FOUR < count; e += EIGHT) {
        *(eight *)(target + e) -= *(const eight *)(source + e) * factor;
    }
    for (; e < count; e += FOUR) {
        *(four *)(target + e) -= *(const four *)(source + e) * factor;
    }
}

// Eliminates the panel's columns among themselves. False if a pivot is not positive.
INLINE bool factor_panel(float *panel, int half, int stride)
{
    for (int p = 0; p < PANEL; p++) {
        float *column = panel + (long)p * stride;
        if (!(column[0] > 0.0F)) {
            return false;
        }
        column[0] = 1.0F / column[0];
        for (int d = 1; d < PANEL - p && d <= half; d++) {
            take_one(column + (long)d * stride, column + d, column[d] * column[0], half - d + 1);
        }
    }
    return true;
}

// target[e] -= sum over the panel's columns of factor * source[e], source[p] by the same rows.
INLINE void take_four(float *restrict target, const float *const *source, const float *factor,
                      int count)
{
    const float *a = source[0], *b = source[1], *c = source[2], *d = source[3];
    const float p = factor[0], q = factor[1], r = factor[2], s = factor[3];
    int e = 0;
    for (; e + FOUR < count; e += EIGHT) {
        *(eight *)(target + e) -= (*(const eight *)(a + e) * p + *(const eight *)(b + e) * q) +
                                  (*(const eight *)(c + e) * r + *(const eight *)(d + e) * s);
    }
    for (; e < count; e += FOUR) {
        *(four *)(target + e) -= (*(const four *)(a + e) * p + *(const four *)(b + e) * q) +
                                 (*(const four *)(c + e) * r + *(const four *)(d + e) * s);
    }
}

// Takes the panel out of the columns after it, of which it reaches `half`.
INLINE void take_panel(float *panel, int half, int stride)
{
    for (int c = PANEL; c < PANEL + half; c++) {
        const float *source[PANEL];
        float factor[PANEL];
        for (int p = 0; p < PANEL; p++) {
            const float *column = panel + (long)p * stride;
            source[p] = column + (c - p);
            factor[p] = column[c - p] * column[0];
        }
        take_four(panel + (long)c * stride, source, factor, half + PANEL - c);
    }
}

INLINE void scale_panel(float *panel, int half, int stride)
{
    for (int p = 0; p < PANEL; p++) {
        float *column = panel + (long)p * stride;
        const float inverse = column[0];
        for (int d = 1; d <= half; d++) {
            column[d] *= inverse;
        }
    }
}

// Puts what the inverse of the panel's own unit triangle is short of an identity in its place, so
// that a solution need not wait for one column after the other.
INLINE void invert_panel(float *panel, int stride)
{
    float *a = panel, *b = panel + (long)stride - 1, *c = panel + 2L * stride - 2; // by row
    a[2] -= b[2] * a[1];
    a[3] -= b[3] * a[1] + c[3] * a[2];
    b[3] -= c[3] * b[2];
}

CBX_WIDE bool cbx_band_factor(cbx_band *band)
{
    for (int j = 0; j < band->columns; j += PANEL) {
        float *panel = cbx_band_column(band, j);
        if (!factor_panel(panel, band->half, band->stride)) {
            return false;
        }
        take_panel(panel, band->half, band->stride);
        scale_panel(panel, band->half, band->stride);
        invert_panel(panel, band->stride);
    }
    return true;
}

// The columns of a panel, each by the row's distance from the panel's first.
INLINE void panel_columns(const cbx_band *band, int first, const float **column)
{
    for (int p = 0; p < PANEL; p++) {
        column[p] = cbx_band_column(band, first + p) - p;
    }
}

INLINE void forward_panel(const cbx_band *band, int first, float *restrict x)
{
    const float *l[PANEL], *below[PANEL];
    panel_columns(band, first, l);
    const float p = x[0], q = x[1], r = x[2];
    const float value[PANEL] = {p, q - l[0][1] * p, r - (l[0][2] * p + l[1][2] * q),
                                x[3] - ((l[0][3] * p + l[1][3] * q) + l[2][3] * r)};
    for (int n = 0; n < PANEL; n++) {
        below[n] = l[n] + PANEL;
        x[n] = value[n];
    }
    take_four(x + PANEL, below, value, band->half);
}

// sum[p] = column p times x, below the panel.
INLINE void below_panel(const float *const *l, const float *x, int count, float *sum)
{
    eight wide[PANEL] = {{0.0F}};
    four last[PANEL] = {{0.0F}};
    int e = PANEL;
    for (; e + FOUR < PANEL + count; e += EIGHT) {
        for (int p = 0; p < PANEL; p++) {
            wide[p] += *(const eight *)(l[p] + e) * *(const eight *)(x + e);
        }
    }
    for (; e < PANEL + count; e += FOUR) {
        for (int p = 0; p < PANEL; p++) {
            last[p] += *(const four *)(l[p] + e) * *(const four *)(x + e);
        }
    }
    for (int p = 0; p < PANEL; p++) {
        for (int n = 0; n < FOUR; n++) {
            last[p][n] += wide[p][n] + wide[p][n + FOUR];
        }
        sum[p] = (last[p][0] + last[p][1]) + (last[p][2] + last[p][3]);
    }
}

INLINE void backward_panel(const cbx_band *band, int first, float *restrict x)
{
    const float *l[PANEL];
    float sum[PANEL];
    panel_columns(band, first, l);
    below_panel(l, x, band->half, sum);
    for (int p = 0; p < PANEL; p++) {
        sum[p] = x[p] * l[p][p] - sum[p];
    }
    x[0] = sum[0] - ((l[0][1] * sum[1] + l[0][2] * sum[2]) + l[0][3] * sum[3]);
    x[1] = sum[1] - (l[1][2] * sum[2] + l[1][3] * sum[3]);
    x[2] = sum[2] - l[2][3] * sum[3];
    x[3] = sum[3];
}

INLINE void clear_rest(const cbx_band *band, float *x)
{
    memset(x + band->size, 0, (size_t)(cbx_band_room(band) - band->size) * sizeof *x);
}

CBX_WIDE void cbx_band_solve(const cbx_band *band, float *restrict x)
{
    clear_rest(band, x);
    for (int j = 0; j < band->columns; j += PANEL) {
        forward_panel(band, j, x + j);
    }
    for (int j = band->columns - PANEL; j >= 0; j -= PANEL) {
        backward_panel(band, j, x + j);
    }
}

CBX_WIDE void cbx_band_solve_two(const cbx_band *band, float *restrict x, float *restrict y)
{
    clear_rest(&band[0], x);
    clear_rest(&band[1], y);
    for (int j = 0; j < band->columns; j += PANEL) {
        forward_panel(&band[0], j, x + j);
        forward_panel(&band[1], j, y + j);
    }
    for (int j = band->columns - PANEL; j >= 0; j -= PANEL) {
        backward_panel(&band[0], j, x + j);
        backward_panel(&band[1], j, y + j);
    }
}

INLINE void forward_sides(const cbx_band *band, int first, eight *restrict row)
{
    const float *l[PANEL];
    panel_columns(band, first, l);
    row[3] -= (l[0][3] * row[0] + l[1][3] * row[1]) + l[2][3] * row[2];
    row[2] -= l[0][2] * row[0] + l[1][2] * row[1];
    row[1] -= l[0][1] * row[0];
    const eight p = row[0], q = row[1], r = row[2], s = row[3];
    for (int e = PANEL; e < PANEL + band->half; e++) {
        row[e] -= (l[0][e] * p + l[1][e] * q) + (l[2][e] * r + l[3][e] * s);
    }
}

INLINE void backward_sides(const cbx_band *band, int first, eight *restrict row)
{
    const float *l[PANEL];
    panel_columns(band, first, l);
    eight p = row[0] * l[0][0], q = row[1] * l[1][1], r = row[2] * l[2][2], s = row[3] * l[3][3];
    for (int e = PANEL; e < PANEL + band->half; e++) {
        const eight here = row[e];
        p -= l[0][e] * here;
        q -= l[1][e] * here;
        r -= l[2][e] * here;
        s -= l[3][e] * here;
    }
    row[0] = p - ((l[0][1] * q + l[0][2] * r) + l[0][3] * s);
    row[1] = q - (l[1][2] * r + l[1][3] * s);
    row[2] = r - l[2][3] * s;
    row[3] = s;
}

CBX_WIDE void cbx_band_solve_sides(const cbx_band *band, float *restrict x)
{
    eight *restrict row = (eight *)x;
    memset(x + (size_t)EIGHT * (size_t)band->size, 0,
           (size_t)(cbx_band_room(band) - band->size) * EIGHT * sizeof *x);
    for (int j = 0; j < band->columns; j += PANEL) {
        forward_sides(band, j, row + j);
    }
    for (int j = band->columns - PANEL; j >= 0; j -= PANEL) {
        backward_sides(band, j, row + j);
    }
}
