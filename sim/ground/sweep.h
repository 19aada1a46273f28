// SPDX-License-Identifier: MIT
// Heat gained by the cells of a section, a column after the other. Only two columns' properties are
// held, and stay in the processor's nearest memory.
#ifndef COILBED_GROUND_SWEEP_H
#define COILBED_GROUND_SWEEP_H

#include "coilbed/ground.h"

typedef struct cbx_sweep {
    const cb_section *section;
    const double *enthalpy_j_m3; // [cells]
    const cb_surface_exchange *surface;
    double dryness; // of the root zone, 0..1
    double *work;   // [cbx_sweep_room], any contents
} cbx_sweep;

size_t cbx_sweep_room(const cb_section *section);

// Receives the heat that the cells of a column gain by conduction, surface and bottom [nz] [W],
// and may write over it.
typedef void cbx_column_taker(void *context, int column, double *heat_w);

// Calls take(context, ...) for each column, first to last. Returns the heat that enters through the
// surface [W].
double cbx_section_sweep(const cbx_sweep *sweep, cbx_column_taker *take, void *context);

#endif
