// SPDX-License-Identifier: MIT
#include "engine/band.h"

#include <stdlib.h>
#include <string.h>

static size_t entries(const cbx_band *band)
{
    return (size_t)band->size * (size_t)(band->half + 1);
}

bool cbx_band_create(cbx_band *band, int size, int half)
{
    *band = (cbx_band){.size = size, .half = half};
    band->entry = calloc(entries(band), sizeof *band->entry);
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
}

bool cbx_band_factor(cbx_band *band)
{
    const int half = band->half, stride = half + 1;
    for (int j = 0; j < band->size; j++) {
        double *column = band->entry + (size_t)j * (size_t)stride;
        if (!(column[0] > 0.0)) {
            return false;
        }
        const double inverse = 1.0 / column[0];
        column[0] = inverse;
        for (int d = 1; d <= half; d++) {
            const double below = column[d];
            if (below == 0.0) { // also keeps rows past the end untouched
                continue;
            }
            const double factor = below * inverse;
            double *target = column + (size_t)d * (size_t)stride;
            const double *source = column + d;
            for (int e = 0; e <= half - d; e++) {
                target[e] -= factor * source[e];
            }
        }
        for (int d = 1; d <= half; d++) {
            column[d] *= inverse;
        }
    }
    return true;
}

void cbx_band_solve(const cbx_band *band, double *x)
{
    const int half = band->half, stride = half + 1, size = band->size;
    for (int j = 0; j < size; j++) {
        const double *column = band->entry + (size_t)j * (size_t)stride;
        const double value = x[j];
        const int reach = size - 1 - j < half ? size - 1 - j : half;
        for (int d = 1; d <= reach; d++) {
            x[j + d] -= column[d] * value;
        }
    }
    for (int j = size - 1; j >= 0; j--) {
        const double *column = band->entry + (size_t)j * (size_t)stride;
        const int reach = size - 1 - j < half ? size - 1 - j : half;
        // Four partial sums, so that the compiler may use wide registers in a fixed order.
        double a = 0.0, b = 0.0, c = 0.0, e = 0.0;
        int d = 1;
        for (; d + 3 <= reach; d += 4) {
            a += column[d] * x[j + d];
            b += column[d + 1] * x[j + d + 1];
            c += column[d + 2] * x[j + d + 2];
            e += column[d + 3] * x[j + d + 3];
        }
        for (; d <= reach; d++) {
            a += column[d] * x[j + d];
        }
        x[j] = x[j] * column[0] - ((a + b) + (c + e));
    }
}
