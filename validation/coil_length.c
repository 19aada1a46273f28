// SPDX-License-Identifier: MIT
#include "cases.h"
#include "published.h"

#include "coilbed/loop.h"

enum { ROWS = sizeof published_length / sizeof *published_length };

static void run(validation_table *table)
{
    for (int i = 0; i < ROWS; i++) {
        const double pitch_m = 0.0254 * published_length[i].pitch_in;
        validation_row(table, published_length[i].pipe_per_m,
                       cb_coil_turn_length_m(0.0254 * published_length[i].diameter_in, pitch_m) /
                           pitch_m,
                       6e-10 * published_length[i].pipe_per_m, "coil %g in, pitch %g in [m/m]",
                       published_length[i].diameter_in, published_length[i].pitch_in);
    }
}

const validation_case validation_coil_length = {
    "coil length", "adaptive quadrature of the curve, computed independently", run};
