// SPDX-License-Identifier: MIT
#include "engine/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

enum { YEARS = 10 };

typedef struct yearly {
    double sum[YEARS], low[YEARS], high[YEARS];
} yearly;

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    (void)error;
    yearly *self = context;
    const int year = (int)(hour->run_hour / CB_YEAR_HOURS);
    const double t = hour->entering_water_c;
    self->sum[year] += t;
    self->low[year] = hour->run_hour % CB_YEAR_HOURS ? fmin(self->low[year], t) : t;
    self->high[year] = hour->run_hour % CB_YEAR_HOURS ? fmax(self->high[year], t) : t;
    return CB_OK;
}

// With no load and water only going round, entering water is a thermometer in the ground: whatever
// the spin-up left unsettled, and whatever the section loses or gains by itself, shows as drift.
static void ten_years_without_load_drift_less_than_a_hundredth_of_a_kelvin_a_year(void **state)
{
    (void)state;
    const cb_override set[] = {
        {"run.accuracy", "standard"}, {"run.years", "10"},         {"run.slices", "1"},
        {"field.trenches", "2"},      {"pumps.control", "always"}, {"pumps.heat_to_fluid", "0 %"},
    };
    test_field f;
    cb_engine *engine;
    cb_error error = {0};
    field_open(&f, set, sizeof set / sizeof *set);
    for (long hour = 0; hour < f.house->hours; hour++) {
        f.house->heating_w[hour] = f.house->cooling_w[hour] = 0.0;
    }
    if (cb_engine_create(&engine, f.design, f.run_weather, f.house, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    yearly seen = {0};
    cb_quality quality;
    const cb_sink sink = {.context = &seen, .hour = on_hour};
    assert_int_equal(cb_engine_run(engine, &sink, NULL, &quality, &error), CB_OK);
    for (int year = 1; year < YEARS; year++) {
        const double mean = (seen.sum[year] - seen.sum[year - 1]) / CB_YEAR_HOURS;
        const double low = seen.low[year] - seen.low[year - 1];
        const double high = seen.high[year] - seen.high[year - 1];
        print_message("year %d: mean %+.4f K, lowest %+.4f K, highest %+.4f K\n", year + 1, mean,
                      low, high);
        if (!(fabs(mean) < 0.01 && fabs(low) < 0.01 && fabs(high) < 0.01)) {
            fail_msg("year %d drifts: mean %g K, lowest %g K, highest %g K", year + 1, mean, low,
                     high);
        }
    }
    assert_true(seen.high[YEARS - 1] - seen.low[YEARS - 1] > 3.0); // it does follow the seasons
    cb_engine_destroy(engine);
    field_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_years_without_load_drift_less_than_a_hundredth_of_a_kelvin_a_year),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
