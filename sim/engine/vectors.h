// SPDX-License-Identifier: MIT
// Vectors of states for the integrator. SUNDIALS' own, as distributions build them, work on one
// number at a time; and with several threads a slice's states should stay in the memory of the one
// that works on it.
#ifndef COILBED_ENGINE_VECTORS_H
#define COILBED_ENGINE_VECTORS_H

#include "engine/crew.h"

#include <nvector/nvector_serial.h>
#include <stdbool.h>

// How states fall into parts: `parts` of `part_size` each, and what is left goes with the last.
typedef struct cbx_vector_parts {
    cbx_crew *crew; // not owned; NULL: the caller alone
    int parts, part_size, length;
} cbx_vector_parts;

// A serial vector with operations that go by parts, and so have all that are cloned from it. Its
// numbers are `numbers` [length], or 0 if that is NULL. NULL if there is no memory.
N_Vector cbx_vectors_create(SUNContext context, const cbx_vector_parts *parts,
                            const double *numbers);

// weight = 1 / (relative |y| + absolute), of all states or of those behind the parts only.
void cbx_vectors_weigh(N_Vector y, double relative, N_Vector absolute, N_Vector weight,
                       bool behind_parts);

#endif
