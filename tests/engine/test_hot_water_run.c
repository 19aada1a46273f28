// SPDX-License-Identifier: MIT
/// Hot water through the whole engine: three weeks from 1 December, units, element, draw and tank.
#include "engine/field.h"

#include "coilbed/engine.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

enum { WEEKS = 3, HOURS = WEEKS * 168 };
static const double tank_j_k = 50 * 3.785411784e-3 * 992.2 * 4179.0; // water near 40 degC

typedef struct watcher {
    long hours;
    double worst_tank, worst_house; // imbalance over all that flows in the hour
    double stored_j, units_j, element_j, drawn_j, ground_j;
    double first_c, last_c, lowest_c, highest_c;
} watcher;

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    (void)error;
    watcher *self = context;
    const double in_w = hour->desuperheater_w + hour->element_power_w;
    const double out_w = hour->hot_water_w + hour->tank_loss_w;
    self->worst_tank =
        fmax(self->worst_tank, fabs(in_w - out_w - hour->tank_heat_w) / (in_w + out_w));
    const double asked_w = hour->heating_load_w + hour->cooling_load_w;
    const double given_w =
        hour->heating_output_w + hour->cooling_output_w + hour->backup_power_w + hour->unmet_load_w;
    self->worst_house = fmax(self->worst_house, fabs(asked_w - given_w) / fmax(1.0, asked_w));
    self->first_c = self->hours == 0 ? hour->tank_c : self->first_c;
    self->last_c = hour->tank_c;
    self->lowest_c = fmin(self->lowest_c, hour->tank_c);
    self->highest_c = fmax(self->highest_c, hour->tank_c);
    self->stored_j += 3600.0 * hour->tank_heat_w;
    self->units_j += 3600.0 * hour->desuperheater_w;
    self->element_j += 3600.0 * hour->element_power_w;
    self->drawn_j += 3600.0 * hour->hot_water_w;
    self->ground_j += 3600.0 * hour->heat_from_ground_w;
    self->hours++;
    return CB_OK;
}

static bool enough(void *context)
{
    return ((const watcher *)context)->hours >= HOURS;
}

static watcher run(const char *tank)
{
    const cb_override set[] = {
        {"run.accuracy", "draft"}, {"run.start", "12-01"},
        {"run.years", "1"},        {"field.trenches", "4"},
        {"run.slices", "2"},       {"house.load_line.heating_design", "13 kBTU/h"},
        {"hot_water", tank}};
    watcher seen = {.lowest_c = INFINITY, .highest_c = -INFINITY};
    const cb_sink sink = {.context = &seen, .hour = on_hour, .stop = enough};
    field_run(set, tank ? 7 : 6, &sink);
    return seen;
}

#define TANK                                                                                       \
    "{volume: 50 gal, draw: 60 gal, desuperheaters: [{unit: Ground floor, heat: 4 kBTU/h}]}"

static void each_hour_balances(void **state)
{
    (void)state;
    const watcher seen = run(TANK);
    assert_true(seen.hours >= HOURS);
    if (!(seen.worst_tank < 1e-8 && seen.worst_house < 1e-8)) {
        fail_msg("tank %.3g, house %.3g of what flows; want 1e-8", seen.worst_tank,
                 seen.worst_house);
    }
    // The tank's temperature is a state of the integrator, its heat an integral beside it: they
    // agree to what Newton's method leaves, here under 0.2 K of the 230 K that pass through. The
    // means of the first and last hour stand for their ends, which may be 3 K off.
    const double drift_k = seen.stored_j / tank_j_k - (seen.last_c - seen.first_c);
    if (!(fabs(drift_k) < 3.2)) {
        fail_msg("the tank's heat makes %g K more than its temperature moved", drift_k);
    }
    assert_true(seen.lowest_c > 38.0 && seen.highest_c < 60.0 + 1e-9); // tap, limit switch
}

static void the_loop_pays_for_what_the_units_give(void **state)
{
    (void)state;
    const watcher with = run(TANK), without = run(NULL);
    assert_true(with.units_j > 0.3 * with.drawn_j); // they carry much of it in December
    assert_true(isnan(without.last_c));
    assert_true(without.units_j == 0.0 && without.drawn_j == 0.0);
    // What the units give beyond the electricity they take for it comes from the ground: between
    // half (a COP of 2) and three quarters (a COP of 4) of the heat.
    const double share = (with.ground_j - without.ground_j) / with.units_j;
    if (!(share > 0.5 && share < 0.8)) {
        fail_msg("the ground gives %.3g of the desuperheaters' heat", share);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_hour_balances),
        cmocka_unit_test(the_loop_pays_for_what_the_units_give),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
