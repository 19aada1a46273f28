// SPDX-License-Identifier: MIT
/// `coilbed check` about levels, backup's limit and hot water.
#include "cli/program.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const char tank[] = "hot_water={volume: 50 gal, draw: 60 gal, desuperheaters: [{unit: "
                           "Ground floor, heat: 4 kBTU/h}]}";
static const char level[] =
    "heat_pumps[1].part_load=[{rating: {heating: [{entering_water: 5 degC, capacity: 2.5 kW, "
    "power: 0.6 kW}], cooling: [{entering_water: 20 degC, capacity: 3 kW, power: 0.5 kW}]}}]";

#define AT(AIR, WATER, CAPACITY)                                                                   \
    "{entering_air: " AIR " degF, entering_water: " WATER " degF, capacity: " CAPACITY             \
    " kBTU/h, power: 1.5 kW}"
static const char airy[] = "heat_pumps[0].heating=[" AT("60", "25", "16") ", " AT(
    "60", "70", "26") ", " AT("80", "25", "15") ", " AT("80", "70", "25") "]";

/// The load line has no set points, so the air is the usual one.
static void check_tells_the_entering_air(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("check", "--set", airy, "yard.yaml"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "heating 70.0 degF dry bulb");
    assert_contains(ended.out, "at all hours:");
    assert_contains(ended.out, "heat_pumps[0].return_air_heating");
    program_free(&ended);
    ended =
        program_run(ARGUMENTS("check", "--set", "heat_pumps[0].return_humidity=60 %", "yard.yaml"));
    assert_status(&ended, 2);
    assert_contains(ended.err, "no cooling table of this unit has entering_air");
    program_free(&ended);
}

static void check_explains_the_plant(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("check", "--json", "--set", tank, "--set", level, "--set",
                                          "backup.outdoor_limit=30 degF", "--set",
                                          "heat_pumps[0].cycling_loss=7 %", "yard.yaml"));
    assert_status(&ended, 0);
    assert_json(
        ended.out,
        ARGUMENTS("abs(o[\"loads\"][\"hot_water_tank\"][\"value\"] - 0.18927) < 1e-4",
                  "abs(o[\"loads\"][\"desuperheater_1\"][\"value\"] - 1172.28) < 0.01",
                  "abs(o[\"loads\"][\"backup_limit\"][\"value\"] + 1.1111) < 1e-3",
                  "\"tank_relief\" in o[\"cautions\"]", "\"cross_connection\" in o[\"cautions\"]",
                  "\"tank_legionella\" in o[\"cautions\"]", "\"tank_scald\" in o[\"cautions\"]"));
    program_free(&ended);
    ended = program_run(
        ARGUMENTS("check", "--set", level, "--set", "heat_pumps[0].cycling_loss=7 %", "yard.yaml"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "cycling loss 7 %");
    assert_contains(ended.out, "1 level below full load");
    assert_contains(ended.out, "generic curve");
    assert_null(strstr(ended.out, "legionella"));
    program_free(&ended);
}

static void bad_plants_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *set, *wanted;
    } row[] = {
        {"hot_water={volume: 0 gal, draw: 60 gal}", "hot_water.volume: 0 gal is outside 5.28 gal"},
        {"heat_pumps[0].cycling_loss=60 %", "60 % is outside 0 % to 50.0 %"},
        {"hot_water={volume: 50 gal, draw: 60 gal, desuperheaters: [{unit: Attic, heat: 1 kW}]}",
         "\"Attic\" is no heat pump; there are \"Ground floor\", \"Upper floor\""},
        {"heat_pumps[1].part_load=[{heating: [{entering_water: 20 degF, capacity: 8 kBTU/h, power: "
         "0.8 kW}, {entering_water: 80 degF, capacity: 15 kBTU/h, power: 0.9 kW}]}]",
         "heat_pumps[1].part_load[0]: cooling is missing: at full load the unit has it"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(ARGUMENTS("check", "--set", row[i].set, "yard.yaml"));
        assert_status(&ended, 2);
        assert_contains(ended.err, row[i].wanted);
        assert_string_equal(ended.out, "");
        program_free(&ended);
    }
}

int main(void)
{
#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, starter_setup, folder_teardown)
    const struct CMUnitTest tests[] = {
        IN_FOLDER(check_explains_the_plant),
        IN_FOLDER(check_tells_the_entering_air),
        IN_FOLDER(bad_plants_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
