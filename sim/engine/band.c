// SPDX-License-Identifier: MIT
#include "engine/band.h"

#include "engine/wide.h"

#include <stdlib.h>
#include <string.h>

// Four lanes written out, since compilers shuffle more than they compute when left to find them.
typedef double lanes __attribute__((vector_size(32), aligned(8), may_alias));

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

CBX_WIDE bool cbx_band_factor(cbx_band *band)
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
            double *restrict target = column + (size_t)d * (size_t)stride;
            const double *restrict source = column + d;
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

CBX_WIDE void cbx_band_solve(const cbx_band *band, double *restrict x)
{
    const int half = band->half, stride = half + 1, size = band->size;
    for (int j = 0; j < size; j++) {
        const double *restrict column = band->entry + (size_t)j * (size_t)stride;
        const double value = x[j];
        const int reach = size - 1 - j < half ? size - 1 - j : half;
        for (int d = 1; d <= reach; d++) {
            x[j + d] -= column[d] * value;
        }
    }
    for (int j = size - 1; j >= 0; j--) {
        const double *restrict column = band->entry + (size_t)j * (size_t)stride;
        const int reach = size - 1 - j < half ? size - 1 - j : half;
        lanes sum = {0.0};
        int d = 1;
        for (; d + 3 <= reach; d += 4) {
            sum += *(const lanes *)(column + d) * *(const lanes *)(x + j + d);
        }
        for (; d <= reach; d++) {
            sum[0] += column[d] * x[j + d];
        }
        x[j] = x[j] * column[0] - ((sum[0] + sum[1]) + (sum[2] + sum[3]));
    }
}

CBX_WIDE void cbx_band_solve_sides(const cbx_band *band, double *restrict x)
{
    const int half = band->half, stride = half + 1, size = band->size;
    lanes *restrict row = (lanes *)x;
    for (int j = 0; j < size; j++) {
        const double *restrict column = band->entry + (size_t)j * (size_t)stride;
        const lanes value = row[j];
        const int reach = size - 1 - j < half ? size - 1 - j : half;
        for (int d = 1; d <= reach; d++) {
            row[j + d] -= column[d] * value;
        }
    }
    for (int j = size - 1; j >= 0; j--) {
        const double *restrict column = band->entry + (size_t)j * (size_t)stride;
        const int reach = size - 1 - j < half ? size - 1 - j : half;
        lanes sum = {0.0};
        for (int d = 1; d <= reach; d++) {
            sum += column[d] * row[j + d];
        }
        row[j] = row[j] * column[0] - sum;
    }
}
