// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/loop.h"

typedef struct length_row {
    double diameter_in, pitch_in, pipe_per_m;
} length_row;

static const length_row rows[] = {
    {30, 10, 9.451322501}, {30, 12, 7.885845006}, {30, 18, 5.283844095}, {30, 20, 4.765591652},
    {30, 24, 3.990915099}, {30, 36, 2.714391349}, {30, 56, 1.835156248}, {30, 57, 1.808494954},
    {32, 10, 10.07797987}, {32, 12, 8.407448631}, {32, 18, 5.629906351}, {32, 20, 5.076408432},
    {32, 24, 4.248689003}, {32, 36, 2.882793201}, {32, 56, 1.937396729}, {32, 57, 1.908559735},
    {36, 10, 11.33184923}, {36, 12, 9.451322501}, {36, 18, 6.323037437}, {36, 20, 5.699163575},
    {36, 24, 4.765591652}, {36, 36, 3.221687352}, {36, 56, 2.145408231}, {36, 57, 2.112303167},
    {57, 10, 17.92104181}, {57, 12, 14.93932296}, {57, 18, 9.973522374}, {57, 20, 8.98148282},
    {57, 24, 7.494826643}, {57, 36, 5.024576083}, {57, 56, 3.276363921}, {57, 57, 3.221687352},
};
enum { ROWS = sizeof rows / sizeof *rows };

static void run(validation_table *table)
{
    for (int i = 0; i < ROWS; i++) {
        const double pitch_m = 0.0254 * rows[i].pitch_in;
        validation_row(table, rows[i].pipe_per_m,
                       cb_coil_turn_length_m(0.0254 * rows[i].diameter_in, pitch_m) / pitch_m,
                       6e-10 * rows[i].pipe_per_m, "coil %g in, pitch %g in [m/m]",
                       rows[i].diameter_in, rows[i].pitch_in);
    }
}

const validation_case validation_coil_length = {
    "coil length", "adaptive quadrature of the curve, computed independently", run};
