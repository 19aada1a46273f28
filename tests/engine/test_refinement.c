// SPDX-License-Identifier: MIT
#include "engine/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

typedef struct coldest_water {
    double in_earnest_c; // hours in which the pump runs a tenth of the time or more
    double of_all_c;
    int slices;
} coldest_water;

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    (void)error;
    coldest_water *coldest = context;
    if (hour->pump_fraction > 0.1) {
        coldest->in_earnest_c = fmin(coldest->in_earnest_c, hour->entering_water_c);
    }
    if (hour->pump_fraction > 0.02) {
        coldest->of_all_c = fmin(coldest->of_all_c, hour->entering_water_c);
    }
    return CB_OK;
}

// One trench that freezes around its coil, loaded as each of the starter's eight is, and harder.
static coldest_water coldest_entering(const char *accuracy, const char *slices)
{
    const cb_override set[] = {
        {"run.accuracy", accuracy},
        {"run.slices", slices},
        {"run.years", "1"},
        {"field.trenches", "1"},
        {"field.header_volume", "3 gal"},
        {"pumps.power", "30 W"},
        {"house.load_line.heating_design", "4 kBTU/h"},
        {"heat_pumps",
         "[{name: u, heating: [{entering_water: 20 degF, capacity: 4 kBTU/h, power: 0.4 kW}, "
         "{entering_water: 60 degF, capacity: 6.6 kBTU/h, power: 0.46 kW}]}]"},
    };
    test_field f;
    cb_engine *engine;
    cb_error error = {0};
    field_open(&f, set, sizeof set / sizeof *set);
    if (cb_engine_create(&engine, f.design, f.run_weather, f.house, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    coldest_water found = {99.0, 99.0, 0};
    cb_quality quality;
    const cb_sink sink = {.context = &found, .hour = on_hour};
    assert_int_equal(cb_engine_run(engine, &sink, NULL, &quality, &error), CB_OK);
    print_message("%s, %s slices: %.3f degC, in any hour %.3f (%ld cells, %ld steps)\n", accuracy,
                  slices, found.in_earnest_c, found.of_all_c, quality.cells, quality.steps);
    found.slices = quality.slices;
    cb_engine_destroy(engine);
    field_close(&f);
    return found;
}

static void stays_within(const char *what, coldest_water finer, coldest_water standard)
{
    const double in_earnest_k = finer.in_earnest_c - standard.in_earnest_c;
    const double of_all_k = finer.of_all_c - standard.of_all_c;
    if (!(fabs(in_earnest_k) < 0.05)) {
        fail_msg("%s: %.3f K while the pump runs", what, in_earnest_k);
    }
    // At the thaw a minute's flow an hour passes the one slice still frozen, and how long that
    // slice is decides the coldest hour.
    if (!(fabs(of_all_k) < 0.3)) {
        fail_msg("%s: %.3f K in any hour", what, of_all_k);
    }
}

static void finer_cells_steps_and_slices_hardly_move_the_coldest_water(void **state)
{
    (void)state;
    const coldest_water standard = coldest_entering("standard", "auto");
    char same[12], more[12];
    snprintf(same, sizeof same, "%d", standard.slices);
    snprintf(more, sizeof more, "%d", 3 * standard.slices);
    stays_within("cells and tolerances", coldest_entering("fine", same), standard);
    stays_within("three times as many slices", coldest_entering("standard", more), standard);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finer_cells_steps_and_slices_hardly_move_the_coldest_water),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
