// SPDX-License-Identifier: MIT
/// Hours in which little or nothing runs: fourteen months of a house that is hardly cooled.
#include "engine/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

enum { HOURS = 14 * 730 };

typedef struct watcher {
    long hours, slow_hours;
    double least_compressor_w, least_pump, least_load_w, highest_c;
} watcher;

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    (void)error;
    watcher *self = context;
    self->least_compressor_w = fmin(self->least_compressor_w, hour->compressor_power_w);
    self->least_pump = fmin(self->least_pump, hour->pump_fraction);
    self->least_load_w = fmin(self->least_load_w, hour->heating_load_w);
    self->highest_c = fmax(self->highest_c, hour->entering_water_c);
    self->slow_hours += hour->pump_fraction > 0.0 && hour->pump_fraction < 0.05;
    self->hours++;
    return CB_OK;
}

static bool enough(void *context)
{
    return ((const watcher *)context)->hours >= HOURS;
}

static watcher run(void)
{
    const cb_override set[] = {
        {"run.accuracy", "draft"},
        {"run.years", "2"},
        {"run.slices", "2"},
        {"hot_water",
         "{volume: 50 gal, draw: 60 gal, desuperheaters: [{unit: Ground floor, heat: 4 kBTU/h}]}"}};
    watcher seen = {.least_compressor_w = INFINITY,
                    .least_pump = INFINITY,
                    .least_load_w = INFINITY,
                    .highest_c = -INFINITY};
    const cb_sink sink = {.context = &seen, .hour = on_hour, .stop = enough};
    field_run(set, sizeof set / sizeof *set, &sink);
    return seen;
}

static void what_flows_is_never_less_than_nothing(void **state)
{
    const watcher *seen = *state;
    assert_true(seen->slow_hours > 500); // or the test would not see them
    if (!(seen->least_compressor_w > -1e-6 && seen->least_pump > -1e-9 &&
          seen->least_load_w > -1e-6)) {
        fail_msg("compressor down to %g W, pump to %g, load to %g W", seen->least_compressor_w,
                 seen->least_pump, seen->least_load_w);
    }
}

// The ground around the coil is at most 15 degC, and a unit warms its water by 2 K. With
// integration formulas of order five the water of a resting day swung up to 46 degC.
static void water_that_hardly_flows_stays_near_the_ground(void **state)
{
    const watcher *seen = *state;
    if (!(seen->highest_c < 18.0)) {
        fail_msg("entering water up to %.2f degC", seen->highest_c);
    }
}

static int set_up(void **state)
{
    static watcher seen;
    seen = run();
    *state = &seen;
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_flows_is_never_less_than_nothing),
        cmocka_unit_test(water_that_hardly_flows_stays_near_the_ground),
    };
    return cmocka_run_group_tests(tests, set_up, NULL);
}
