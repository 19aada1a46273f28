// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/loop.h"

typedef struct pipe_row {
    const char *nominal;
    double sdr, outside_mm, inside_mm;
} pipe_row;

static const pipe_row rows[] = {
    {"3/4 in", 9, 26.670, 20.370},      {"1 in", 9, 33.401, 25.539},
    {"1-1/4 in", 9, 42.164, 32.256},    {"1-1/2 in", 9, 48.260, 36.898},
    {"2 in", 9, 60.325, 46.109},        {"3/4 in", 11, 26.670, 21.554},
    {"1 in", 11, 33.401, 26.939},       {"1-1/4 in", 11, 42.164, 34.033},
    {"1-1/2 in", 11, 48.260, 38.944},   {"2 in", 11, 60.325, 48.694},
    {"3/4 in", 13.5, 26.670, 22.470},   {"1 in", 13.5, 33.401, 28.178},
    {"1-1/4 in", 13.5, 42.164, 35.541}, {"1-1/2 in", 13.5, 48.260, 40.667},
    {"2 in", 13.5, 60.325, 50.848},     {"3/4 in", 17, 26.670, 23.331},
    {"1 in", 17, 33.401, 29.255},       {"1-1/4 in", 17, 42.164, 36.887},
    {"1-1/2 in", 17, 48.260, 42.229},   {"2 in", 17, 60.325, 52.786},
    {"25 mm", 11, 25, 20.00},           {"25 mm", 13.6, 25, 20.70},
    {"32 mm", 11, 32, 25.60},           {"32 mm", 13.6, 32, 26.80},
    {"32 mm", 17, 32, 27.70},           {"40 mm", 11, 40, 32.10},
    {"40 mm", 13.6, 40, 33.50},         {"40 mm", 17, 40, 34.80},
    {"50 mm", 11, 50, 40.20},           {"50 mm", 13.6, 50, 42.10},
    {"50 mm", 17, 50, 43.60},           {"63 mm", 11, 63, 50.70},
    {"63 mm", 13.6, 63, 53.00},         {"63 mm", 17, 63, 54.90},
};
enum { ROWS = sizeof rows / sizeof *rows };

static void run(validation_table *table)
{
    validation_worst outside = {0}, inside = {0};
    for (int i = 0; i < ROWS; i++) {
        cb_pipe pipe;
        if (cb_pipe_find(&pipe, rows[i].nominal, rows[i].sdr, NULL) != CB_OK) {
            validation_row(table, 1.0, 0.0, 0.0, "%s SDR %g exists", rows[i].nominal, rows[i].sdr);
            continue;
        }
        // Half a unit of the last digit printed.
        validation_consider(&outside, rows[i].outside_mm, 1e3 * pipe.outside_diameter_m, 5.1e-4,
                            "%s SDR %g", rows[i].nominal, rows[i].sdr);
        validation_consider(&inside, rows[i].inside_mm, 1e3 * pipe.inside_diameter_m, 5.1e-4,
                            "%s SDR %g", rows[i].nominal, rows[i].sdr);
    }
    validation_row_worst(table, &outside, "outside diameter [mm]");
    validation_row_worst(table, &inside, "inside diameter, average wall [mm]");
}

const validation_case validation_pipe_size = {
    "pipe size",
    "ASTM D3035 and ISO 4427-2 walls as published by pipe makers; SDR 17 inch sizes by the rule "
    "OD/SDR to 0.001 in",
    run};
