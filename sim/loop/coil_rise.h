// SPDX-License-Identifier: MIT
/// Wall temperature rise of an endless row of turns, the kernel behind cb_coil_steady_rise.
#ifndef COILBED_LOOP_COIL_RISE_H
#define COILBED_LOOP_COIL_RISE_H

#include <stdbool.h>

typedef struct cbx_coil_row {
    double coil_diameter_m, pitch_m, depth_m;
    double pipe_radius_m; ///< outer
    bool upright; ///< turns stand in a vertical plane, depth_m at their middle; the mean of turns
                  ///< that hold more pipe above and such that hold more below
    bool separate_rings;       ///< closed rings at the pitch instead of one advancing curve
    double diffusion_length_m; ///< 2 sqrt(diffusivity x time); INFINITY: steady
} cbx_coil_row;

/// k times the mean wall temperature rise per unit heat per metre of pipe [-]. NaN if a length is
/// not positive or the pitch is below a thousandth of diameter plus depth.
double cbx_coil_row_rise(const cbx_coil_row *row);

#endif
