// SPDX-License-Identifier: MIT
// In which order a section's cells are eliminated, and where that leaves numbers.
//
// Nested dissection: a line of cells splits the grid into halves that do not touch, and comes after
// both; each half is split in turn (A. George, SIAM J. Numer. Anal. 10, 1973). A factor of n cells
// then has n log n entries, where a band has n^1.5.
//
// The first line's two sides are told apart, so that two threads can work on them.
//
// Positions in that order are taken in panels of four, which share their rows. A panel that a line
// of cells does not fill holds positions without a cell.
//
// Solutions read rows in blocks of four, the last of a panel filled up with a spare place. Their
// right-hand side and solution have room for more than the positions: for the spare places, and for
// the line once more, which the second side takes its part from there, so that both sides can be
// worked on at the same time.
#ifndef COILBED_ENGINE_DISSECTION_H
#define COILBED_ENGINE_DISSECTION_H

#include "coilbed/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { CBX_PANEL = 4 };

// The sides of the first line, and the line itself after both.
enum { CBX_SIDES = 2, CBX_SIDE_LINE = CBX_SIDES };

typedef struct cbx_dissection {
    int cells, panels;
    int *place;     // [cells] position of each, nx columns of nz cells
    int *cell;      // [panels * CBX_PANEL] the cell in each position, or -1
    int *first;     // [panels + 1] of a panel's rows in `row`
    int *row;       // positions after the panel's in which its columns have numbers, ascending
    int *block;     // [panels + 1] of a panel's blocks of rows
    int *block_row; // [blocks * CBX_PANEL] places of a solution
    int beside;     // where the line stands for the second side
    int room;       // places of a solution
    int side_end[CBX_SIDES]; // panel after those of each side; the rest is the line between them
} cbx_dissection;

// Errors: CB_NO_MEMORY.
cb_status cbx_dissection_create(cbx_dissection *out, int nx, int nz, cb_error *error);
void cbx_dissection_free(cbx_dissection *dissection);

static inline int cbx_dissection_places(const cbx_dissection *dissection)
{
    return dissection->panels * CBX_PANEL;
}

// Where solutions of a side find a spare place; the line shares that of the first.
static inline int cbx_dissection_spare(const cbx_dissection *dissection, int side)
{
    return cbx_dissection_places(dissection) + (side == 1 ? CBX_PANEL : 0);
}

// The panels of a side, or of the line: from the first up to, not including, the end.
static inline int cbx_dissection_first_panel(const cbx_dissection *dissection, int side)
{
    return side == 0 ? 0 : dissection->side_end[side - 1];
}
static inline int cbx_dissection_end_panel(const cbx_dissection *dissection, int side)
{
    return side == CBX_SIDE_LINE ? dissection->panels : dissection->side_end[side];
}

#endif
