// SPDX-License-Identifier: MIT
#include "engine/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { YEARS = 3 };

typedef struct seen {
    const cb_design_run *run;
    double sum[12]; // of entering water by calendar month, third year
    long count[12];
    double coldest_c[YEARS], hottest_c[YEARS];
    double heat_j, load_j;
} seen;

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    (void)error;
    seen *self = context;
    const cb_moment moment = cb_run_moment(self->run, hour->run_hour);
    const int year = moment.run_year - 1;
    if (year == YEARS - 1) {
        self->sum[moment.month - 1] += hour->entering_water_c;
        self->count[moment.month - 1]++;
    }
    if (hour->pump_fraction > 0.02) {
        self->coldest_c[year] = fmin(self->coldest_c[year], hour->entering_water_c);
        self->hottest_c[year] = fmax(self->hottest_c[year], hour->entering_water_c);
    }
    self->heat_j += 3600.0 * hour->heat_from_ground_w;
    self->load_j += 3600.0 * (hour->heating_load_w - hour->cooling_load_w);
    return CB_OK;
}

// Unpacks the measured year into `path`; false where it is not present.
static bool unpack(const char *path)
{
    const char *folder = getenv("COILBED_DATA");
    char command[1024];
    if (!folder) {
        return false;
    }
    snprintf(command, sizeof command,
             "test -r '%s/weather/tmy3_727530_Fargo_ND.csv.gz' && "
             "gzip -dc '%s/weather/tmy3_727530_Fargo_ND.csv.gz' > '%s'",
             folder, folder, path);
    return system(command) == 0; // NOLINT(cert-env33-c): the path is the tester's own
}

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s:%d:%d: %s", error->file, error->line, error->column, error->message);
    }
}

// The starter house under a real typical year (NREL TMY3, Fargo ND, 46.9 N) with its 1-in-20 winter
// in the third year.
static void the_starter_runs_on_a_measured_year(void **state)
{
    (void)state;
    char path[] = "/tmp/coilbed-fargo-XXXXXX";
    const int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    if (!unpack(path)) {
        unlink(path);
        print_message("skipped: COILBED_DATA names no measured weather\n");
        skip();
    }
    char weather_block[256];
    snprintf(
        weather_block, sizeof weather_block,
        "{file: %s, format: tmy3, winter_deviation: 2.8 K, hard_winters: [{year: 3, one_in: 20}]}",
        path);
    const cb_override set[] = {{"weather", weather_block},
                               {"run.years", "3"},
                               {"site.latitude", "46.93 deg"},
                               {"site.longitude", "-96.82 deg"},
                               {"site.elevation", "274 m"}};
    cb_error error = {0};
    cb_units *units;
    cb_design *design;
    cb_weather *weather;
    cb_run_weather *run_weather;
    cb_house *house;
    cb_engine *engine;
    must(cb_units_create(&units, &error), &error);
    must(cb_design_parse(&design, cb_starter_design(), "starter.yaml", set, 5, units, &error),
         &error);
    must(cb_weather_create(&weather, design, units, &error), &error);
    must(cb_run_weather_create(&run_weather, weather, design, &error), &error);
    must(cb_house_create(&house, design, run_weather, units, &error), &error);
    must(cb_engine_create(&engine, design, run_weather, house, &error), &error);

    seen see = {.run = &design->run};
    for (int year = 0; year < YEARS; year++) {
        see.coldest_c[year] = 99.0;
        see.hottest_c[year] = -99.0;
    }
    cb_quality quality;
    const cb_sink sink = {.context = &see, .hour = on_hour};
    must(cb_engine_run(engine, &sink, NULL, &quality, &error), &error);

    int coldest = 0, warmest = 0;
    for (int month = 1; month < 12; month++) {
        const double mean = see.sum[month] / (double)see.count[month];
        coldest = mean < see.sum[coldest] / (double)see.count[coldest] ? month : coldest;
        warmest = mean > see.sum[warmest] / (double)see.count[warmest] ? month : warmest;
    }
    print_message("coldest month %d, warmest %d; lowest entering water %.2f, %.2f, %.2f degC; "
                  "audit %.1e; %.1f s\n",
                  coldest + 1, warmest + 1, see.coldest_c[0], see.coldest_c[1], see.coldest_c[2],
                  quality.energy_audit_relative, quality.wall_seconds);
    assert_true(quality.energy_audit_relative < 1e-5);
    // The ground lags the air: February to April, and July to October.
    assert_true(coldest + 1 >= 2 && coldest + 1 <= 4);
    assert_true(warmest + 1 >= 7 && warmest + 1 <= 10);
    // The hard winter is the coldest, yet no colder than the low lockout lets it get.
    assert_true(see.coldest_c[2] < see.coldest_c[1] && see.coldest_c[2] > -8.0);
    assert_true(see.coldest_c[0] > -8.0 && see.coldest_c[0] < 5.0);
    assert_true(see.hottest_c[0] > 5.0 && see.hottest_c[0] < 30.0);
    // Most of the house's heat comes out of the ground (COP 2.5 to 5).
    assert_true(see.heat_j > 0.6 * see.load_j && see.heat_j < 0.8 * see.load_j);

    cb_engine_destroy(engine);
    cb_house_destroy(house);
    cb_run_weather_destroy(run_weather);
    cb_weather_destroy(weather);
    cb_design_destroy(design);
    cb_units_destroy(units);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_starter_runs_on_a_measured_year)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
