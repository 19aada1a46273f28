// SPDX-License-Identifier: MIT
/// The program's own two-scale coil (its section, cells and shells) under a constant heat in plain
/// soil with an isothermal surface, for a pipe of any diameter.
#ifndef COILBED_VALIDATION_COIL_TWO_SCALE_H
#define COILBED_VALIDATION_COIL_TWO_SCALE_H

#include "ground_run.h"

/// One coil, its soil and its heat.
typedef struct coil_case {
    double diameter_m, pitch_m, depth_m, pipe_diameter_m;
    double conductivity_w_mk, heat_capacity_j_m3k;
    double heat_w_m;      ///< per metre of pipe
    cb_accuracy accuracy; ///< of the two-scale model
} coil_case;

/// 2 sqrt(diffusivity x time) [m]; INFINITY for an infinite time.
double coil_diffusion_length_m(const coil_case *one, double time_s);

/// Metres of pipe per metre of trench.
double coil_pipe_per_metre(const coil_case *one, bool rings);

/// Rise of the pipe wall at each time [count] (INFINITY: steady), endless rows of turns. NaN where
/// it cannot be had. Returns false, with a message, if nothing can.
bool coil_two_scale_rises(const coil_case *one, bool rings, const double *time_s, int count,
                          double *rise_k, cb_error *error);

// A list of times in any order, INFINITY for the steady state, and a value for each.
/// The earliest after a time; INFINITY when there is none but the steady state.
double coil_next_time(const double *time_s, int count, double after_s);
/// The last but the steady state; 0 if there is none.
double coil_last_time(const double *time_s, int count);
bool coil_wants_steady(const double *time_s, int count);
/// Puts a value wherever the list has this time; NaN: everywhere.
void coil_put(const double *time_s, int count, double now_s, double value, double *rise_k);

#endif
