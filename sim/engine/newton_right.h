// SPDX-License-Identifier: MIT
// The right-hand side of Newton's method for a step of BDF, from a sweep over the soil.
#ifndef COILBED_ENGINE_NEWTON_RIGHT_H
#define COILBED_ENGINE_NEWTON_RIGHT_H

#include "engine/newton_matrix.h"

// Wanted is the correction c of the predicted state with gamma f(predicted + c) - factor history -
// c = 0; each array [system size].
typedef struct cbx_newton_step {
    double time_s, gamma, history_factor;
    const double *state;      // predicted + correction
    const double *history;    // as the integrator keeps it
    const double *correction; // so far; NULL: none
} cbx_newton_step;

// Puts the soil's right-hand side in its solver and fills that of all other states of right [system
// size]. `piece` is workspace [nodes]. False if a state is not finite.
bool cbx_newton_right(const cbx_newton_matrix *matrix, const cbx_newton_step *step,
                      cbx_piece *piece, double *right);

#endif
