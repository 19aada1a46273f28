// SPDX-License-Identifier: MIT
/// A finite row of turns as line sources under an isothermal surface, summed turn by turn: the
/// middle turn's pipe wall. Written apart from the program's own coil_rise.c, so that each can
/// judge the other.
#ifndef COILBED_VALIDATION_SOURCE_ROW_H
#define COILBED_VALIDATION_SOURCE_ROW_H

#include "pipe_path.h"

#include <stdbool.h>

typedef struct source_row {
    pipe_path path;
    double pipe_radius_m;
    int turns; ///< in a row; the middle one is looked at (of an even number the one before half)
} source_row;

/// k times the wall's mean rise per unit heat per metre of pipe [-], after a constant heat from
/// rest. The mean is that of the pipe's top and bottom, then by length over the turn.
/// @param diffusion_length_m 2 sqrt(diffusivity x time) > 0; INFINITY: steady
double source_row_rise(const source_row *row, double diffusion_length_m);

#endif
