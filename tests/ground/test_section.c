// SPDX-License-Identifier: MIT
#include "ground/sweep.h"
#include "ground/table.h"

#include <stdlib.h>
#include <string.h>

/// A section with its state and one array each of enthalpy and heat.
typedef struct bench {
    cb_soil_curve *curve[2];
    cb_section *section;
    cb_section_state *state;
    double *enthalpy_j_m3, *heat_w;
    double surface_w;
} bench;

static double x_edges[] = {-1.5, -0.9, -0.5, -0.3, 0.0, 0.3, 0.5, 0.9, 1.5}; // its own mirror image
static double even_edges[] = {0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0};
static double z_edges[] = {0.0, 0.02, 0.06, 0.14, 0.3, 0.6, 1.0, 1.5, 2.5};
enum { CELLS = COUNT(z_edges) - 1 };
static const cb_surface_exchange cold_surface = {41.0 - 13.0 * 7.0, 13.0};

// An axis points to edges it may own: they cannot be const.
// NOLINTNEXTLINE(readability-non-const-parameter)
static bench bench_of(double *x_m, double *z_m, double layer_m)
{
    bench b = {0};
    const cb_soil loam = soil_of("loam", 0.25), clay = soil_of("clay", 0.4);
    b.curve[0] = curve_of(&loam);
    b.curve[1] = curve_of(&clay);
    const cb_axis x = {CELLS, x_m}, z = {CELLS, z_m};
    const double bottoms[2] = {layer_m, 100.0};
    // The curves are copied by pointer: they must stay where the section looks for them.
    cb_soil_curve **curves = calloc(2, sizeof *curves);
    assert_non_null(curves);
    curves[0] = b.curve[0];
    curves[1] = b.curve[1];
    const cb_section_plan plan = {.x = &x,
                                  .z = &z,
                                  .length_m = 30.0,
                                  .scale = 2.0,
                                  .geothermal_flux_w_m2 = 0.06,
                                  .curves = curves,
                                  .layer_bottom_m = bottoms,
                                  .layers = 2};
    assert_int_equal(cb_section_create(&b.section, &plan, NULL), CB_OK);
    assert_int_equal(cb_section_state_create(&b.state, b.section, NULL), CB_OK);
    b.enthalpy_j_m3 = calloc((size_t)b.section->cells, sizeof(double));
    b.heat_w = calloc((size_t)b.section->cells, sizeof(double));
    assert_non_null(b.enthalpy_j_m3);
    assert_non_null(b.heat_w);
    return b;
}

static void bench_free(bench *b)
{
    free((void *)b->section->curves);
    free(b->enthalpy_j_m3);
    free(b->heat_w);
    assert_null(cb_section_state_destroy(b->state));
    assert_null(cb_section_destroy(b->section));
    cb_soil_curve_destroy(b->curve[0]);
    cb_soil_curve_destroy(b->curve[1]);
}

static void keep_column(void *context, int column, double *heat_w)
{
    bench *b = context;
    memcpy(b->heat_w + cb_cell(b->section, column, 0), heat_w,
           (size_t)b->section->nz * sizeof *heat_w);
}

static void heat(bench *b, const cb_surface_exchange *surface)
{
    double *work = calloc(cbx_sweep_room(b->section), sizeof *work);
    assert_non_null(work);
    const cbx_sweep sweep = {b->section, b->enthalpy_j_m3, surface, 0.0, work};
    b->surface_w = cbx_section_sweep(&sweep, keep_column, b);
    free(work);
}

/// A state that is partly frozen and has no symmetry of its own.
static double uneven_c(int i, int k)
{
    return 4.0 * sin(1.3 * i + 0.4) - 3.0 * cos(0.9 * k) + 0.3 * i * k - 3.0;
}

static void fill(bench *b, bool mirrored, int shift)
{
    for (int i = 0; i < CELLS; i++) {
        for (int k = 0; k < CELLS; k++) {
            const int c = cb_cell(b->section, i, k);
            const int from = mirrored ? CELLS - 1 - i : i - shift;
            b->enthalpy_j_m3[c] =
                cb_soil_enthalpy_j_m3(b->section->curves[b->section->soil[c]], uneven_c(from, k));
        }
    }
}

static double largest_flow(const bench *b)
{
    double largest = 0.0;
    for (int c = 0; c < b->section->cells; c++) {
        largest = fmax(largest, fabs(b->heat_w[c]));
    }
    return largest;
}

static void mirrored_states_have_mirrored_heat(void **state)
{
    (void)state;
    bench left = bench_of(x_edges, z_edges, 0.6), right = bench_of(x_edges, z_edges, 0.6);
    fill(&left, false, 0);
    fill(&right, true, 0);
    heat(&left, &cold_surface);
    heat(&right, &cold_surface);
    const double round_off = 1e-14 * largest_flow(&left);
    for (int i = 0; i < CELLS; i++) {
        for (int k = 0; k < CELLS; k++) {
            expect_near("heat", right.heat_w[cb_cell(right.section, CELLS - 1 - i, k)],
                        left.heat_w[cb_cell(left.section, i, k)], round_off);
        }
    }
    bench_free(&left);
    bench_free(&right);
}

static void shifted_states_have_shifted_heat(void **state)
{
    (void)state;
    bench here = bench_of(even_edges, z_edges, 0.6), there = bench_of(even_edges, z_edges, 0.6);
    fill(&here, false, 0);
    fill(&there, false, 1);
    heat(&here, &cold_surface);
    heat(&there, &cold_surface);
    for (int i = 1; i < CELLS - 2; i++) { // not at the sides
        for (int k = 0; k < CELLS; k++) {
            const double a = here.heat_w[cb_cell(here.section, i, k)];
            const double b = there.heat_w[cb_cell(there.section, i + 1, k)];
            expect_near("heat", b, a, 0.0);
        }
    }
    bench_free(&here);
    bench_free(&there);
}

static void heat_adds_up_to_surface_and_bottom(void **state)
{
    (void)state;
    bench b = bench_of(x_edges, z_edges, 0.6);
    fill(&b, false, 0);
    heat(&b, &cold_surface);
    double sum = 0.0;
    for (int c = 0; c < b.section->cells; c++) {
        sum += b.heat_w[c];
    }
    const double bottom_w = 0.06 * 3.0 * 60.0; // 0.06 W/m2 over 3 m x 30 m x 2
    expect_near("sum", sum, b.surface_w + bottom_w, 1e-13 * largest_flow(&b));
    bench_free(&b);
}

// What Newton's matrix is made of and what the rates are made of is one and the same.
static void held_conductances_carry_the_swept_heat(void **state)
{
    (void)state;
    bench b = bench_of(x_edges, z_edges, 0.6);
    fill(&b, false, 0);
    heat(&b, &cold_surface);
    const cb_section_state *held = b.state;
    cb_section_update(b.section, b.enthalpy_j_m3, cold_surface.h_w_m2k, 0.0, b.state);
    const double *t = held->temperature_c, outside_c = -7.0 + 41.0 / 13.0;
    for (int i = 0; i < CELLS; i++) {
        for (int k = 0; k < CELLS; k++) {
            const int c = cb_cell(b.section, i, k), next = c + CELLS;
            double wanted = k == 0 ? held->top_w_k[i] * (outside_c - t[c])
                                   : held->down_w_k[c - 1] * (t[c - 1] - t[c]);
            wanted += k == CELLS - 1 ? 0.06 * b.section->dx_m[i] * 60.0
                                     : held->down_w_k[c] * (t[c + 1] - t[c]);
            wanted += i > 0 ? held->across_w_k[c - CELLS] * (t[c - CELLS] - t[c]) : 0.0;
            wanted += i < CELLS - 1 ? held->across_w_k[c] * (t[next] - t[c]) : 0.0;
            expect_near("heat", b.heat_w[c], wanted, 1e-13 * largest_flow(&b));
        }
    }
    bench_free(&b);
}

// Steady heat q upward: air, film, loam, clay. Between cell centres of different soils the two half
// cells act in series, so nothing is left over although conductivity jumps.
static void layered_steady_profile_is_exact(void **state)
{
    (void)state;
    bench b = bench_of(x_edges, z_edges, 0.6);
    const double q = b.section->geothermal_flux_w_m2, h = 13.0;
    const cb_surface_exchange warm = cb_film(6.0, h, 20.0);
    const double k[2] = {cb_soil_at(b.curve[0], 0.0).conductivity_w_mk,
                         cb_soil_at(b.curve[1], 0.0).conductivity_w_mk};
    for (int c = 0; c < b.section->cells; c++) {
        const int down = c % b.section->nz;
        const double z_m = 0.5 * (z_edges[down] + z_edges[down + 1]);
        const double t =
            6.0 + 20.0 / h + q / h + q * fmin(z_m, 0.6) / k[0] + q * fmax(0.0, z_m - 0.6) / k[1];
        b.enthalpy_j_m3[c] = cb_soil_enthalpy_j_m3(b.curve[z_m > 0.6], t);
    }
    heat(&b, &warm);
    const double through_w = q * 3.0 * 60.0;
    for (int c = 0; c < b.section->cells; c++) {
        expect_near("left over", b.heat_w[c], 0.0, 1e-9 * through_w);
    }
    expect_near("surface", b.surface_w, -through_w, 1e-9 * through_w);
    bench_free(&b);
}

static void film_and_half_cell_act_in_series(void **state)
{
    (void)state;
    bench b = bench_of(x_edges, z_edges, 0.6);
    for (int c = 0; c < b.section->cells; c++) {
        b.enthalpy_j_m3[c] = cb_soil_enthalpy_j_m3(b.section->curves[b.section->soil[c]], 10.0);
    }
    heat(&b, &cold_surface);
    const double k = cb_soil_at(b.curve[0], 0.0).conductivity_w_mk;
    // 3 m x 60 m from 10 degC through 1 cm of soil and the film to -7 degC + 41/13 K.
    const double wanted = 180.0 * (-7.0 + 41.0 / 13.0 - 10.0) / (1.0 / 13.0 + 0.01 / k);
    expect_near("surface", b.surface_w, wanted, 1e-10 * fabs(wanted));
    bench_free(&b);
}

static void stored_heat_is_volume_times_enthalpy(void **state)
{
    (void)state;
    bench b = bench_of(x_edges, z_edges, 0.6);
    for (int c = 0; c < b.section->cells; c++) {
        b.enthalpy_j_m3[c] = 1e6;
    }
    expect_near("stored", cb_section_stored_j(b.section, b.enthalpy_j_m3), 1e6 * 3.0 * 2.5 * 60.0,
                1e-3);
    bench_free(&b);
}

static void later_boxes_win_over_earlier_and_over_layers(void **state)
{
    (void)state;
    const cb_axis x = {CELLS, x_edges}, z = {CELLS, z_edges};
    const double bottoms[2] = {0.3, 100.0};
    const cb_soil_box boxes[2] = {{-0.5, 0.5, 0.06, 1.0, 2}, {-0.3, 0.3, 0.6, 1.5, 3}};
    const cb_section_plan plan = {.x = &x,
                                  .z = &z,
                                  .length_m = 1.0,
                                  .scale = 1.0,
                                  .layer_bottom_m = bottoms,
                                  .layers = 2,
                                  .boxes = boxes,
                                  .box_count = 2};
    cb_section *section;
    assert_int_equal(cb_section_create(&section, &plan, NULL), CB_OK);
    static const struct {
        int i, k, soil;
    } wanted[] = {{0, 0, 0}, {0, 3, 0}, {0, 4, 1}, {0, 7, 1}, {2, 1, 0}, {2, 2, 2},
                  {2, 5, 2}, {2, 6, 1}, {3, 4, 2}, {3, 5, 3}, {4, 6, 3}, {5, 6, 1}};
    for (size_t n = 0; n < COUNT(wanted); n++) {
        const int got = section->soil[cb_cell(section, wanted[n].i, wanted[n].k)];
        if (got != wanted[n].soil) {
            fail_msg("cell %d, %d: soil %d, want %d", wanted[n].i, wanted[n].k, got,
                     wanted[n].soil);
        }
    }
    cb_section_destroy(section);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mirrored_states_have_mirrored_heat),
        cmocka_unit_test(shifted_states_have_shifted_heat),
        cmocka_unit_test(heat_adds_up_to_surface_and_bottom),
        cmocka_unit_test(held_conductances_carry_the_swept_heat),
        cmocka_unit_test(layered_steady_profile_is_exact),
        cmocka_unit_test(film_and_half_cell_act_in_series),
        cmocka_unit_test(stored_heat_is_volume_times_enthalpy),
        cmocka_unit_test(later_boxes_win_over_earlier_and_over_layers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
