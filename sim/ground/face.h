// SPDX-License-Identifier: MIT
#ifndef COILBED_GROUND_FACE_H
#define COILBED_GROUND_FACE_H

// Conductance between two cells [W/K], their half-cells in series: 1/G = (d_a / 2 k_a + d_b / 2
// k_b) / A, with one division. `area2_m2` is twice the face's area.
static inline double cbx_face_w_k(double area2_m2, double d_a, double k_a, double d_b, double k_b)
{
    return area2_m2 * k_a * k_b / (d_a * k_b + d_b * k_a);
}

#endif
