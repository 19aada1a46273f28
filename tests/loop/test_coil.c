// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"
#include "loop/coil_rise.h"

#include "loop/table.h"
#include "published.h"

static const double inch = 0.0254, pi = 3.14159265358979323846;

static void turn_length_matches_quadrature(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(published_length); i++) {
        const length_row *row = &published_length[i];
        const double pitch_m = row->pitch_in * inch;
        expect_relative("pipe per metre of trench",
                        cb_coil_turn_length_m(row->diameter_in * inch, pitch_m) / pitch_m,
                        row->pipe_per_m, 6e-10);
    }
}

static void turn_length_tends_to_circle_and_to_straight_pipe(void **state)
{
    (void)state;
    expect_relative("ring", cb_coil_turn_length_m(1.0, 1e-6), pi, 1e-12);
    expect_relative("straight", cb_coil_turn_length_m(1e-6, 1.0), 1.0, 1e-11);
    // Pitch equal to the circumference: a cycloid with cusps, 8 R per turn.
    expect_relative("cycloid", cb_coil_turn_length_m(1.0, pi), 4.0, 1e-14);
    expect_relative("near the cycloid", cb_coil_turn_length_m(1.0, pi * (1 + 1e-9)), 4.0, 3e-9);
}

/// Share by brute force: midpoint rule in the angle from -pi/2 to the one where y is reached.
static double share_below(double diameter_m, double pitch_m, double y_m)
{
    enum { STEPS = 200000 };
    const double radius = 0.5 * diameter_m, advance = pitch_m / (2.0 * pi);
    const double top = asin(y_m / radius);
    double sum = 0.0;
    for (int i = 0; i < STEPS; i++) {
        const double t = -0.5 * pi + (top + 0.5 * pi) * (i + 0.5) / STEPS;
        sum += hypot(advance - radius * sin(t), radius * cos(t));
    }
    return 2.0 * sum * (top + 0.5 * pi) / STEPS / cb_coil_turn_length_m(diameter_m, pitch_m);
}

static void share_matches_quadrature_and_adds_up(void **state)
{
    (void)state;
    static const double pitch_in[] = {6.0, 18.0, 36.0, 113.0, 200.0};
    const double d = 36.0 * inch;
    for (size_t i = 0; i < COUNT(pitch_in); i++) {
        const double p = pitch_in[i] * inch;
        expect_relative("whole", cb_coil_share(d, p, -1.0, 1.0), 1.0, 1e-12);
        double sum = 0.0;
        for (int k = -4; k < 4; k++) {
            sum += cb_coil_share(d, p, 0.125 * d * k, 0.125 * d * (k + 1));
        }
        expect_relative("sum of strips", sum, 1.0, 1e-12);
        for (int k = -3; k < 4; k++) {
            expect_near("share", cb_coil_share(d, p, -d, 0.125 * d * k),
                        share_below(d, p, 0.125 * d * k), 1e-10);
        }
    }
    assert_true(cb_coil_share(d, d, 0.2, 0.2) == 0.0);
    assert_true(cb_coil_share(d, d, 0.5 * d, d) == 0.0);
    // The side on which the curve moves backwards is the slower one: less pipe above the middle.
    assert_true(cb_coil_share(d, d, 0.0, d) < 0.5);
}

// Rise of the pipe wall [K] at 20 W/m, k 1.5 W/mK, 2.5e6 J/m3K, coil of 0.9144 m, pipe radius
// 13.35 mm at 1.5 m, isothermal surface; point sources along the curve, and rings in a row,
// computed independently. Columns: 1, 10, 30, 90, 365 days, steady.
enum { TIMES = 6 };
static const double days[TIMES] = {1, 10, 30, 90, 365, INFINITY};

typedef struct rise_row {
    double pitch_in, rise_k[TIMES];
} rise_row;

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

static double rise_k(double pitch_m, double time_days, bool rings)
{
    const double length_m = 2.0 * sqrt(1.5 / 2.5e6 * 86400.0 * time_days);
    const cbx_coil_row row = {36.0 * inch, pitch_m, 1.5, 0.01335, false, rings, length_m};
    return 20.0 / 1.5 * cbx_coil_row_rise(&row);
}

static void rise_matches_sources_along_the_curve(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(curve_rows); i++) {
        for (int k = 0; k < TIMES; k++) {
            char what[64];
            snprintf(what, sizeof what, "pitch %g in, %g days", curve_rows[i].pitch_in, days[k]);
            expect_relative(what, rise_k(curve_rows[i].pitch_in * inch, days[k], false),
                            curve_rows[i].rise_k[k], 1e-4);
        }
    }
}

static void rise_matches_rings_in_a_row(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ring_rows); i++) {
        for (int k = 0; k < TIMES; k++) {
            char what[64];
            snprintf(what, sizeof what, "pitch %g in, %g days", ring_rows[i].pitch_in, days[k]);
            expect_relative(what, rise_k(ring_rows[i].pitch_in * inch, days[k], true),
                            ring_rows[i].rise_k[k], 3e-5);
        }
    }
}

// A very flat coil is a straight pipe: arcosh(depth / r) / 2 pi, in terms of the sources used here
// ln(2 depth / r) / 2 pi (Incropera et al., shape factor of a buried cylinder, depth >> r).
static void stretched_coil_is_a_straight_pipe(void **state)
{
    (void)state;
    const double depth = 1.5, r = 0.0134;
    expect_relative("straight pipe", cb_coil_steady_rise(0.001, 1.0, depth, r),
                    log(2.0 * depth / r) / (2.0 * pi), 1e-4);
}

// One ring in a vertical plane, straight from the definition: sources around it, seen from points
// on both sides of the pipe, less their images.
static double upright_ring_rise(double radius_m, double depth_m, double pipe_radius_m)
{
    enum { WALLS = 64, SOURCES = 20000 };
    double sum = 0.0;
    for (int w = 0; w < WALLS; w++) {
        const double a = 2.0 * pi * (w + 0.5) / WALLS;
        for (int n = 0; n < SOURCES; n++) {
            const double b = 2.0 * pi * n / SOURCES;
            const double x = radius_m * (cos(a) - cos(b)), z = radius_m * (sin(a) - sin(b));
            const double up = 2.0 * depth_m - radius_m * (sin(a) + sin(b));
            sum += 1.0 / sqrt(x * x + z * z + pipe_radius_m * pipe_radius_m) -
                   1.0 / sqrt(x * x + up * up + pipe_radius_m * pipe_radius_m);
        }
    }
    return sum * 2.0 * pi * radius_m / SOURCES / WALLS / (4.0 * pi);
}

static void an_upright_ring_matches_its_sources(void **state)
{
    (void)state;
    static const double depth_m[] = {0.6, 1.5, 3.0};
    for (size_t i = 0; i < COUNT(depth_m); i++) {
        // Rings 500 m apart do not feel each other: 4 mm of rise in 10 of them.
        const cbx_coil_row row = {.coil_diameter_m = 0.9144,
                                  .pitch_m = 500.0,
                                  .depth_m = depth_m[i],
                                  .pipe_radius_m = 0.01335,
                                  .upright = true,
                                  .separate_rings = true,
                                  .diffusion_length_m = INFINITY};
        expect_relative("one ring", cbx_coil_row_rise(&row),
                        upright_ring_rise(0.4572, depth_m[i], 0.01335), 1e-4);
    }
}

static double upright_rise(double depth_m)
{
    const cbx_coil_row row = {.coil_diameter_m = 0.9144,
                              .pitch_m = 0.6,
                              .depth_m = depth_m,
                              .pipe_radius_m = 0.01335,
                              .upright = true,
                              .diffusion_length_m = INFINITY};
    return cbx_coil_row_rise(&row);
}

// Deep down an upright coil is a flat one on its edge: only the images tell them apart. The even
// line that stands for the far turns begins later there, which leaves 3e-5.
static void a_deep_coil_does_not_mind_how_it_stands(void **state)
{
    (void)state;
    const double flat = cb_coil_steady_rise(0.9144, 0.6, 200.0, 0.01335);
    expect_relative("upright", upright_rise(200.0), flat, 1e-4);
    assert_true(isnan(upright_rise(0.46)));
}

// Most relief where a trench is short against its depth; none where it is endless.
static void trench_ends_relieve_short_trenches(void **state)
{
    (void)state;
    assert_true(cb_trench_end_share(1e5, 1.5, 0.9) < 1e-4);
    assert_true(cb_trench_end_share(5.0, 1.5, 0.9) > cb_trench_end_share(50.0, 1.5, 0.9));
    // Finite line against the sum over its own pieces, radius 0.9 e^-1.5.
    enum { PIECES = 4000 };
    const double length_m = 30.0, r = 0.9 * exp(-1.5), image = 3.0;
    double sum = 0.0;
    for (int i = 0; i < PIECES; i++) {
        for (int j = 0; j < PIECES; j++) {
            const double x = length_m * (i - j) / PIECES;
            sum += 1.0 / hypot(x, r) - 1.0 / hypot(x, image);
        }
    }
    const double finite = sum * length_m / PIECES / PIECES / 2.0;
    expect_relative("end share", cb_trench_end_share(length_m, 1.5, 0.9),
                    1.0 - finite / log(image / r), 2e-3);
}

static void public_forms_agree_with_each_other(void **state)
{
    (void)state;
    const double d = 36.0 * inch, p = 24.0 * inch;
    const double steady = cb_coil_steady_rise(d, p, 1.5, 0.01335);
    expect_relative("steady", 20.0 / 1.5 * steady, rise_k(p, INFINITY, false), 1e-15);
    expect_relative("centuries", cb_coil_transient_rise(d, p, 1.5, 0.01335, 6e-7, 1e13), steady,
                    2e-5);
    assert_true(cb_coil_transient_rise(d, p, 1.5, 0.01335, 6e-7, 0.0) == 0.0);
    assert_true(cb_coil_transient_rise(d, p, 1.5, 0.01335, 6e-7, 3600.0) < 0.5 * steady);
}

static void senseless_lengths_give_nan(void **state)
{
    (void)state;
    assert_true(isnan(cb_coil_share(NAN, 1.0, -1.0, 1.0)));
    assert_true(isnan(cb_coil_share(1.0, NAN, -1.0, 1.0)));
    assert_true(isnan(cb_coil_share(1.0, 1.0, NAN, 1.0)));
    assert_true(isnan(cb_coil_share(0.0, 1.0, -1.0, 1.0)));
    assert_true(isnan(cb_coil_steady_rise(NAN, 0.6, 1.5, 0.0134)));
    assert_true(isnan(cb_coil_steady_rise(0.9, 1e-9, 1.5, 0.0134)));
    assert_true(isnan(cb_coil_steady_rise(0.9, 0.6, -1.5, 0.0134)));
    assert_true(isnan(cb_coil_steady_rise(0.9, 0.6, 1.5, 0.0)));
    assert_true(isnan(cb_coil_transient_rise(0.9, 0.6, 1.5, 0.0134, 6e-7, NAN)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(turn_length_matches_quadrature),
        cmocka_unit_test(turn_length_tends_to_circle_and_to_straight_pipe),
        cmocka_unit_test(share_matches_quadrature_and_adds_up),
        cmocka_unit_test(rise_matches_sources_along_the_curve),
        cmocka_unit_test(rise_matches_rings_in_a_row),
        cmocka_unit_test(stretched_coil_is_a_straight_pipe),
        cmocka_unit_test(an_upright_ring_matches_its_sources),
        cmocka_unit_test(a_deep_coil_does_not_mind_how_it_stands),
        cmocka_unit_test(trench_ends_relieve_short_trenches),
        cmocka_unit_test(public_forms_agree_with_each_other),
        cmocka_unit_test(senseless_lengths_give_nan),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
