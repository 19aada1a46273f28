// SPDX-License-Identifier: MIT
// Cholesky factors, L D L^T, of the matrices of two slices side by side: they have one pattern, so
// that the four columns of a panel fill a register, however small the blocks are that the pattern
// leaves.
//
// Reading the factor is what a solution costs. Newton's method asks for corrections only and
// converges just as fast with four digits of them, so that solutions read L in whole numbers of 16
// bits, of which each column of a panel has its own unit; the factors themselves are made in single
// precision.
#ifndef COILBED_ENGINE_BUNDLE_H
#define COILBED_ENGINE_BUNDLE_H

#include "engine/system.h"

#include <stdint.h>

enum { CBX_LANES = CBX_TOGETHER, CBX_PANEL_LANES = CBX_PANEL * CBX_LANES };

// Numbers by place or cell stand as [place or cell][CBX_LANES]; a lane without a slice holds an
// identity.
typedef struct cbx_bundle {
    const cbx_dissection *order; // not owned
    int nz;                      // cells in a column
    // The matrix: its diagonal, and the heat flow to the cell below and to that in the next column,
    // which are taken away beside it. To be filled before cbx_bundle_factor.
    float *diagonal, *down, *across; // [cells][lanes]
    // The factor.
    float *entry;   // [rows of all panels][CBX_PANEL][lanes]
    int32_t *count; // [blocks of rows][CBX_PANEL / 2][rows][lanes] the same, in units of its column
                    // in its panel: an even column in the lower half, the next in the upper
    float *head;    // [panels][CBX_BUNDLE_HEAD][lanes] 1/D, units, the inverse of the triangle
    float *pivot;   // [places][lanes] D
    float *work;    // [places][CBX_PANEL][lanes] zero between calls
    int *list, *next, *reached; // [panels] which panels have their next row in which
} cbx_bundle;

enum { CBX_BUNDLE_HEAD = 16 }; // so that heads begin on a register's boundary

// For the matrices of a grid with nz cells in a column. `order` must outlive it. All lanes hold an
// identity. Errors: CB_NO_MEMORY.
cb_status cbx_bundle_create(cbx_bundle *out, const cbx_dissection *order, int nz, cb_error *error);
void cbx_bundle_free(cbx_bundle *bundle);

// Zeros for so many places or cells [count][lanes], on a register's boundary; for free(). NULL if
// there is no memory.
float *cbx_lanes_create(size_t count);

// False if a pivot is not positive.
bool cbx_bundle_factor(cbx_bundle *bundle);

// x = L^-1 x, [cbx_dissection_room][lanes].
void cbx_bundle_forward(const cbx_bundle *bundle, float *restrict x);

// The same for an x that has numbers in the given panels only, ascending, and gets none elsewhere.
void cbx_bundle_forward_along(const cbx_bundle *bundle, const int *panel, int count,
                              float *restrict x);

// x = L^-T D^-1 x.
void cbx_bundle_backward(const cbx_bundle *bundle, float *restrict x);

// 1/D of a panel: [CBX_PANEL][lanes].
static inline const float *cbx_bundle_inverse(const cbx_bundle *bundle, int panel)
{
    return bundle->head + (size_t)panel * CBX_BUNDLE_HEAD * CBX_LANES;
}

#endif
