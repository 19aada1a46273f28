// SPDX-License-Identifier: MIT
#include "engine/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    (void)error;
    double *coldest_c = context;
    if (hour->pump_fraction > 0.02) {
        *coldest_c = fmin(*coldest_c, hour->entering_water_c);
    }
    return CB_OK;
}

// One trench that freezes around its coil, loaded as each of the starter's eight is, and harder.
static double coldest_entering(const char *accuracy, const char *slices)
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
    double coldest_c = 99.0;
    cb_quality quality;
    const cb_sink sink = {.context = &coldest_c, .hour = on_hour};
    assert_int_equal(cb_engine_run(engine, &sink, NULL, &quality, &error), CB_OK);
    print_message("%s, %s slices: %.3f degC (%ld cells, %ld steps)\n", accuracy, slices, coldest_c,
                  quality.cells, quality.steps);
    cb_engine_destroy(engine);
    field_close(&f);
    return coldest_c;
}

static void finer_cells_steps_and_slices_move_the_coldest_water_by_less_than_a_tenth(void **state)
{
    (void)state;
    const double standard = coldest_entering("standard", "auto");
    const double cells = coldest_entering("fine", "4");
    const double slices = coldest_entering("standard", "6");
    if (!(fabs(cells - standard) < 0.1)) {
        fail_msg("cells and tolerances: %.3f K", cells - standard);
    }
    if (!(fabs(slices - standard) < 0.1)) {
        fail_msg("twice the slices: %.3f K", slices - standard);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finer_cells_steps_and_slices_move_the_coldest_water_by_less_than_a_tenth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
