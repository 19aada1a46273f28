// SPDX-License-Identifier: MIT
#ifndef COILBED_GROUND_FACE_H
#define COILBED_GROUND_FACE_H

// Conductance between two cells [W/K], their half-cells in series: 1/G = (d_a / 2 k_a + d_b / 2
// k_b) / A, with one division. `area2_m2` is twice the face's area.
static inline double cbx_face_w_k(double area2_m2, double d_a, double k_a, double d_b, double k_b)
{
    return area2_m2 * k_a * k_b / (d_a * k_b + d_b * k_a);
}

// From the middle of a cell at the surface through the film above it [W/K].
static inline double cbx_top_w_k(double area_m2, double h_w_m2k, double dz_m, double k)
{
    return area_m2 / (1.0 / h_w_m2k + 0.5 * dz_m / k);
}

#endif
