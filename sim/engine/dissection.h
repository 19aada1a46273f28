// SPDX-License-Identifier: MIT
// In which order a section's cells are eliminated, and where that leaves numbers.
//
// Nested dissection: a line of cells splits the grid into halves that do not touch, and comes after
// both; each half is split in turn (A. George, SIAM J. Numer. Anal. 10, 1973). A factor of n cells
// then has n log n entries, where a band has n^1.5.
//
// Positions in that order are taken in panels of four, which share their rows. A panel that a line
// of cells does not fill holds positions without a cell.
//
// Solutions read rows in blocks of four, the last of a panel filled up with a spare place behind
// all positions.
#ifndef COILBED_ENGINE_DISSECTION_H
#define COILBED_ENGINE_DISSECTION_H

#include "coilbed/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { CBX_PANEL = 4 };

typedef struct cbx_dissection {
    int cells, panels;
    int *place;     // [cells] position of each, nx columns of nz cells
    int *cell;      // [panels * CBX_PANEL] the cell in each position, or -1
    int *first;     // [panels + 1] of a panel's rows in `row`
    int *row;       // positions after the panel's in which its columns have numbers, ascending
    int *block;     // [panels + 1] of a panel's blocks of rows
    int *block_row; // [blocks * CBX_PANEL] places, or the spare one
} cbx_dissection;

// Errors: CB_NO_MEMORY.
cb_status cbx_dissection_create(cbx_dissection *out, int nx, int nz, cb_error *error);
void cbx_dissection_free(cbx_dissection *dissection);

static inline int cbx_dissection_places(const cbx_dissection *dissection)
{
    return dissection->panels * CBX_PANEL;
}

// Places of a solution, the spare one (and what fills its panel) at the end.
static inline int cbx_dissection_room(const cbx_dissection *dissection)
{
    return cbx_dissection_places(dissection) + CBX_PANEL;
}

#endif
