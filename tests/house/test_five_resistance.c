// SPDX-License-Identifier: MIT
#include "house/five_resistance.h"
#include "weather/support.h"

// An invented house of 150 m2: losses of 60 W/K through the mass, 50 W/K at the windows.
static const cbx_network example = {.mass_j_k = 150 * 110e3,
                                    .h_is_w_k = 3.45 * 4.5 * 150,
                                    .h_ms_w_k = 9.1 * 2.5 * 150,
                                    .h_em_w_k = 61.07382550335571, // 1 / (1/60 - 1/3412.5)
                                    .h_w_w_k = 50,
                                    .mass_share = 2.5 / 4.5,
                                    .glass_share = 50 / (9.1 * 4.5 * 150),
                                    .floor_area_m2 = 150};

static unsigned state_of_random = 1;

static double between(double low, double high)
{
    state_of_random = state_of_random * 1664525u + 1013904223u; // Knuth's generator
    return low + (high - low) * (state_of_random >> 8) / 16777216.0;
}

static cbx_drive random_drive(void)
{
    cbx_drive drive = {.outdoor_c = between(-35, 40),
                       .opaque_side_c = between(-20, 30),
                       .h_ve_w_k = between(0, 200),
                       .internal_w = between(0, 2000),
                       .solar_w = between(-300, 6000),
                       .heating_set_c = between(10, 22)};
    drive.cooling_set_c = drive.heating_set_c + between(0.1, 8);
    return drive;
}

// The same network as three linear equations in air, surface and the mass at the hour's end, by
// elimination: heat balances of the nodes, not the standard's closed forms.
static void solve_nodes(const cbx_drive *d, double start_c, double need_w, double node_c[3])
{
    const cbx_network *n = &example;
    const double gains = 0.5 * d->internal_w + d->solar_w, store = n->mass_j_k / 3600;
    const double to_mass = n->mass_share * gains;
    const double to_surface = (1 - n->mass_share - n->glass_share) * gains;
    double a[3][4] = {
        {d->h_ve_w_k + n->h_is_w_k, -n->h_is_w_k, 0,
         d->h_ve_w_k * d->outdoor_c + 0.5 * d->internal_w + need_w},
        {-n->h_is_w_k, n->h_is_w_k + n->h_w_w_k + n->h_ms_w_k, -0.5 * n->h_ms_w_k,
         n->h_w_w_k * d->outdoor_c + to_surface + 0.5 * n->h_ms_w_k * start_c},
        {0, -n->h_ms_w_k, store + 0.5 * (n->h_ms_w_k + n->h_em_w_k),
         (store - 0.5 * (n->h_ms_w_k + n->h_em_w_k)) * start_c + to_mass +
             n->h_em_w_k * d->opaque_side_c},
    };
    for (int i = 0; i < 3; i++) {
        for (int row = 0; row < 3; row++) {
            const double factor = row == i ? 0 : a[row][i] / a[i][i];
            for (int column = 0; column < 4; column++) {
                a[row][column] -= factor * a[i][column];
            }
        }
    }
    for (int i = 0; i < 3; i++) {
        node_c[i] = a[i][3] / a[i][i];
    }
}

static void the_closed_forms_solve_the_network(void **state)
{
    (void)state;
    for (int i = 0; i < 2000; i++) {
        const cbx_drive drive = random_drive();
        const double start_c = between(5, 35);
        const cbx_hour hour = cbx_network_hour(&example, &drive, start_c);
        double node_c[3];
        solve_nodes(&drive, start_c, hour.need_w, node_c);
        close_to("air", hour.air_c, node_c[0], 1e-9);
        close_to("surface", hour.surface_c, node_c[1], 1e-9);
        close_to("mass at the end", hour.mass_end_c, node_c[2], 1e-9);
        close_to("mean of the mass", hour.mass_c, 0.5 * (start_c + node_c[2]), 1e-9);
    }
}

// Stored = gained - lost, relative to the heat that moves.
static void every_hour_balances(void **state)
{
    (void)state;
    double start_c = 20;
    for (int i = 0; i < 5000; i++) {
        const cbx_drive d = random_drive();
        const cbx_hour h = cbx_network_hour(&example, &d, start_c);
        const double stored = example.mass_j_k * (h.mass_end_c - start_c) / 3600;
        const double in = h.need_w + d.internal_w + d.solar_w - h.lost_at_glass_w;
        const double out = example.h_em_w_k * (h.mass_c - d.opaque_side_c) +
                           example.h_w_w_k * (h.surface_c - d.outdoor_c) +
                           d.h_ve_w_k * (h.air_c - d.outdoor_c);
        close_to("balance", (in - out - stored) / (fabs(in) + fabs(out) + fabs(stored)), 0, 1e-8);
        start_c = h.mass_end_c;
    }
}

static void the_air_keeps_to_its_set_points(void **state)
{
    (void)state;
    int heated = 0, cooled = 0, floated = 0;
    double start_c = 20;
    for (int i = 0; i < 5000; i++) {
        cbx_drive d = random_drive();
        d.solar_w *= 0.3;
        const cbx_hour h = cbx_network_hour(&example, &d, start_c);
        if (h.need_w > 0) {
            close_to("heated air", h.air_c, d.heating_set_c, 1e-10);
            heated++;
        } else if (h.need_w < 0) {
            close_to("cooled air", h.air_c, d.cooling_set_c, 1e-10);
            cooled++;
        } else {
            assert_true(h.need_w == 0 && h.air_c >= d.heating_set_c && h.air_c <= d.cooling_set_c);
            floated++;
        }
        start_c = h.mass_end_c;
    }
    assert_true(heated > 300 && cooled > 300 && floated > 300);
}

// By hand: air at 20 degC, 0 outdoors, no gains, H_ve = 40 W/K. The surface node is joined to
// outdoors by H_w + 1 / (1/H_ms + 1/H_em) = 50 + 60 W/K and to the air by 2328.75 W/K in series.
static void steady_cold_needs_the_series_of_the_resistances(void **state)
{
    (void)state;
    const cbx_drive d = {.h_ve_w_k = 40, .heating_set_c = 20, .cooling_set_c = 26};
    double mass_c = 20, need_w = 0;
    for (int i = 0; i < 5000; i++) {
        const cbx_hour h = cbx_network_hour(&example, &d, mass_c);
        mass_c = h.mass_end_c;
        need_w = h.need_w;
    }
    close_to("need", need_w, 20 * (40 + 1 / (1 / 2328.75 + 1.0 / 110)), 1e-6);
}

// Without air change, the standard's terms over H_ve would be 0/0.
static void a_house_without_air_change_is_finite(void **state)
{
    (void)state;
    const cbx_drive d = {.heating_set_c = 20, .cooling_set_c = 26};
    const cbx_hour h = cbx_network_hour(&example, &d, 18);
    assert_true(isfinite(h.need_w) && h.need_w > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_closed_forms_solve_the_network),
        cmocka_unit_test(every_hour_balances),
        cmocka_unit_test(the_air_keeps_to_its_set_points),
        cmocka_unit_test(steady_cold_needs_the_series_of_the_resistances),
        cmocka_unit_test(a_house_without_air_change_is_finite),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
