// SPDX-License-Identifier: MIT
// The border of Newton's matrix: heat flow, innermost shell and fluid of each piece of pipe, and
// what is the whole loop's.
//
// The flows and shells of a slice touch each other, and each shell its own fluid; other slices they
// touch through fluids only. So they are eliminated slice by slice, and what is left is a system of
// the fluids and the loop: with many slices a small part of the whole.
#ifndef COILBED_ENGINE_BORDER_H
#define COILBED_ENGINE_BORDER_H

#include "coilbed/status.h"

#include <stdbool.h>

typedef struct cbx_border cbx_border;

// Unknowns: flow and shell of each node, nodes of a slice together; fluids; `loop` more. Errors:
// CB_NO_MEMORY.
cb_status cbx_border_create(cbx_border **out, int slices, int runs, int loop, cb_error *error);
cbx_border *cbx_border_destroy(cbx_border *border);

int cbx_border_size(const cbx_border *border);

static inline int cbx_flow_row(int node)
{
    return 2 * node;
}
static inline int cbx_shell_row(int node)
{
    return 2 * node + 1;
}
int cbx_fluid_row(const cbx_border *border, int node);
int cbx_loop_row(const cbx_border *border, int which);

// All entries become 0.
void cbx_border_clear(cbx_border *border);

// Adds to an entry: of two unknowns of one slice; of a shell's row, its own fluid; of the rows of
// fluids and loop, any but flows.
void cbx_border_add(cbx_border *border, int row, int column, double value);

// False if it is singular. The entries are lost.
bool cbx_border_factor(cbx_border *border);

// x [size] becomes the solution for x.
void cbx_border_solve(const cbx_border *border, double *x);

#endif
