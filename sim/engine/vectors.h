// SPDX-License-Identifier: MIT
// Vector operations for the integrator. SUNDIALS' own, as distributions build them, work on one
// number at a time and made a fourth of a run.
#ifndef COILBED_ENGINE_VECTORS_H
#define COILBED_ENGINE_VECTORS_H

#include <nvector/nvector_serial.h>

// Gives a serial vector, and all that are cloned from it, these operations.
void cbx_vectors_use(N_Vector vector);

// weight = 1 / (relative |y| + absolute).
void cbx_vectors_weigh(N_Vector y, double relative, N_Vector absolute, N_Vector weight);

#endif
