// SPDX-License-Identifier: MIT
#include "cases.h"
#include "published.h"

#include "coilbed/loop.h"

enum { ROWS = sizeof published_pipe / sizeof *published_pipe };

static void run(validation_table *table)
{
    validation_worst outside = {0}, inside = {0};
    for (int i = 0; i < ROWS; i++) {
        cb_pipe pipe;
        if (cb_pipe_find(&pipe, published_pipe[i].nominal, published_pipe[i].sdr, NULL) != CB_OK) {
            validation_row(table, 1.0, 0.0, 0.0, "%s SDR %g exists", published_pipe[i].nominal,
                           published_pipe[i].sdr);
            continue;
        }
        // Half a unit of the last digit printed.
        validation_consider(&outside, published_pipe[i].outside_mm, 1e3 * pipe.outside_diameter_m,
                            5.1e-4, "%s SDR %g", published_pipe[i].nominal, published_pipe[i].sdr);
        validation_consider(&inside, published_pipe[i].inside_mm, 1e3 * pipe.inside_diameter_m,
                            5.1e-4, "%s SDR %g", published_pipe[i].nominal, published_pipe[i].sdr);
    }
    validation_row_worst(table, &outside, "outside diameter [mm]");
    validation_row_worst(table, &inside, "inside diameter, average wall [mm]");
}

const validation_case validation_pipe_size = {
    "pipe size",
    "ASTM D3035 and ISO 4427-2 walls as published by pipe makers; SDR 17 inch sizes by the rule "
    "OD/SDR to 0.001 in",
    run};
