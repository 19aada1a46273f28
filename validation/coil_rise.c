// SPDX-License-Identifier: MIT
#include "cases.h"

#include "loop/coil_rise.h"

#include <math.h>

enum { MOMENTS = 6 };

typedef struct rise_row {
    double pitch_in, rise_k[MOMENTS];
} rise_row;

static const double days[MOMENTS] = {1, 10, 30, 90, 365, INFINITY};

static const rise_row curve_rows[] = {
    {6, {27.82018506, 62.59038219, 81.30846482, 93.55376155, 99.80231916, 102.1102452}},
    {18, {11.53508126, 23.23207366, 29.5114155, 33.61719726, 35.71192701, 36.48558009}},
    {24, {10.69709445, 19.54091045, 24.27687936, 27.37209244, 28.9509706, 29.53407004}},
    {36, {8.270839212, 14.30612245, 17.51374013, 19.60752755, 20.67510254, 21.0693102}},
};
static const rise_row ring_rows[] = {
    {6, {28.00647684, 62.73829491, 81.44178811, 93.67826359, 99.92243347, 102.2287367}},
    {18, {12.03755662, 23.61483343, 29.84933117, 33.92815633, 36.00954629, 36.77831354}},
    {24, {9.653631937, 18.33690611, 23.01277941, 26.07189828, 27.63294075, 28.20951634}},
    {36, {9.032600986, 14.8420536, 17.95930247, 19.99871505, 21.03941003, 21.42379414}},
};
enum { ROWS = sizeof curve_rows / sizeof *curve_rows };

// One ring alone, mean of the pipe's top and bottom.
static const double single_ring_k[MOMENTS] = {6.958703491, 9.666825459, 10.48022403,
                                              10.80718994, 10.90207643, 10.91715303};

/// 20 W per metre of pipe, k 1.5 W/mK, 2.5e6 J/m3K, 36 in coil of 26.7 mm pipe, 1.5 m deep.
static double rise_k(double pitch_m, double time_days, bool rings)
{
    const double diffusion_length_m = 2.0 * sqrt(1.5 / 2.5e6 * 86400.0 * time_days);
    const cbx_coil_row row = {36.0 * 0.0254, pitch_m,           1.5, 0.01335, false,
                              rings,         diffusion_length_m};
    return 20.0 / 1.5 * cbx_coil_row_rise(&row);
}

static void compare(validation_table *table, const rise_row *row, bool rings, double relative)
{
    for (int k = 0; k < MOMENTS; k++) {
        const double got = rise_k(0.0254 * row->pitch_in, days[k], rings);
        if (isinf(days[k])) {
            validation_row(table, row->rise_k[k], got, relative * row->rise_k[k],
                           "pitch %g in, steady [K]", row->pitch_in);
        } else {
            validation_row(table, row->rise_k[k], got, relative * row->rise_k[k],
                           "pitch %g in, %g days [K]", row->pitch_in, days[k]);
        }
    }
}

static void run_curve(validation_table *table)
{
    for (int i = 0; i < ROWS; i++) {
        compare(table, &curve_rows[i], false, 1e-4);
    }
}

static void run_ring_row(validation_table *table)
{
    for (int i = 0; i < ROWS; i++) {
        compare(table, &ring_rows[i], true, 3e-5);
    }
}

static void run_ring(validation_table *table)
{
    // A row of rings so far apart that the neighbours' sources and images cancel.
    const double far_m = 1000.0;
    for (int k = 0; k < MOMENTS; k++) {
        validation_row(table, single_ring_k[k], rise_k(far_m, days[k], true),
                       1e-6 * single_ring_k[k], "after %g days [K]", days[k]);
    }
}

const validation_case validation_coil_rise = {
    "endless coil, wall rise",
    "point sources along the curve with their images (Carslaw & Jaeger 1959, 10.2), computed "
    "independently",
    run_curve};

const validation_case validation_ring_row_rise = {
    "endless row of rings, wall rise",
    "ring sources with their images (Carslaw & Jaeger 1959, 10.4), computed independently",
    run_ring_row};

const validation_case validation_ring_rise = {
    "single ring, wall rise",
    "ring of point sources with its image (Carslaw & Jaeger 1959, 10.4), computed independently",
    run_ring};
