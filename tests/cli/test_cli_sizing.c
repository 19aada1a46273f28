// SPDX-License-Identifier: MIT
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "program.h"

static const char cottage[] = "house:\n"
                              "  envelope:\n"
                              "    floor_area: 150 m2\n"
                              "    walls: {area: 140 m2, u_value: 0.3 W/m2/K}\n"
                              "    roof: {area: 100 m2, u_value: 0.2 W/m2/K}\n"
                              "    windows: [{area: 20 m2, azimuth: 180 deg}]\n"
                              "    heating_design_temperature: -25 degC\n\n";

static void the_sheet_sets_loads_against_units(void **state)
{
    (void)state;
    static const char *const wanted[] = {
        "heating design load",
        "load line's at -15.0 degF outdoors",
        "size in heating",
        "in the usual range",
        "backup needed at design",
        "400 cfm per ton",
        "ft a ton",
        "gpm a ton",
        "hours with heating",
        "in 100 hours more",
        "air-source heat pump",
    };
    program ended = program_run(ARGUMENTS("check", "--sizing", "yard.yaml"));
    assert_status(&ended, 0);
    assert_string_equal(ended.err, "");
    for (const char *line = ended.out; *line;) {
        const size_t length = strcspn(line, "\n");
        if (length > 80 && line != ended.out) {
            fail_msg("wider than 80 columns: %.*s", (int)length, line);
        }
        line += length + (line[length] == '\n');
    }
    unwrap(ended.out);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        assert_contains(ended.out, wanted[i]);
    }
    program_free(&ended);
}

static void the_sheet_in_json_hangs_together(void **state)
{
    (void)state;
    replace_block("yard.yaml", "house:", cottage);
    program ended = program_run(ARGUMENTS("check", "--sizing", "--json", "--set",
                                          "limits.expected_minimum=30 degF", "yard.yaml"));
    assert_status(&ended, 0);
    // By hand: 0.3 (140 - 20) + 0.2 x 100 + 1.8 x 20 = 92 W/K, air besides; 46.11 K to 70 degF.
    assert_json(ended.out,
                ARGUMENTS("o[\"exit_status\"] == 0 and o[\"verdict\"] == \"valid\"",
                          "o[\"house\"][\"heating_design\"][\"unit\"] == \"W\"",
                          "abs(o[\"house\"][\"walls\"][\"value\"] - 36) < 1e-6",
                          "abs(o[\"house\"][\"windows\"][\"value\"] - 36) < 1e-6",
                          "abs(o[\"house\"][\"heating_design\"][\"value\"] - (92 + "
                          "o[\"house\"][\"leaks\"][\"value\"]) * (25 + 38 / 1.8)) < 0.01",
                          "\"heating_at_expected\" in o[\"units\"] and \"cooling_at_expected\" not "
                          "in o[\"units\"]",
                          "abs(o[\"units\"][\"heating_oversize\"][\"value\"] - "
                          "(o[\"units\"][\"heating_at_expected\"][\"value\"] / "
                          "o[\"house\"][\"heating_design\"][\"value\"] - 1)) < 1e-6",
                          "o[\"year\"][\"heating_exceeded_10_h\"][\"value\"] >= "
                          "o[\"year\"][\"heating_exceeded_100_h\"][\"value\"] > 0",
                          "o[\"otherwise\"][\"resistance_heating\"][\"value\"] > "
                          "o[\"otherwise\"][\"air_source_heating\"][\"value\"]"));
    program_free(&ended);
}

static void a_rated_unit_is_called_generic(void **state)
{
    (void)state;
    replace_block("yard.yaml", "heat_pumps:",
                  "heat_pumps:\n  - name: rated (invented)\n    rating:\n"
                  "      heating: [{entering_water: 0 degC, capacity: 8 kW, power: 2 kW}]\n\n");
    static const char *const option[] = {"--units", "--sizing"};
    for (size_t i = 0; i < 2; i++) {
        program ended = program_run(i ? ARGUMENTS("check", option[1], "yard.yaml")
                                      : ARGUMENTS("check", option[0], "si", "yard.yaml"));
        assert_status(&ended, 0);
        assert_contains(ended.out, "generic curve");
        assert_contains(ended.out, "rated (invented)");
        program_free(&ended);
    }
    program ended = program_run(ARGUMENTS("check", "--sizing", "--json", "yard.yaml"));
    assert_status(&ended, 0);
    assert_json(ended.out,
                ARGUMENTS("abs(o[\"units\"][\"heating_at_rating\"][\"value\"] - 8000) < 1e-6",
                          "\"no unit works\" in o[\"units\"][\"cooling_at_rating\"][\"note\"]",
                          "o[\"loop\"][\"nominal\"][\"value\"] == 8000"));
    program_free(&ended);
}

static void a_bad_house_is_refused_at_its_line(void **state)
{
    (void)state;
    replace_block("yard.yaml", "house:", cottage);
    const int line =
        replace_line("yard.yaml", "walls:", 1, "walls: {area: 15 m2, u_value: 0.3 W/m2/K}");
    program ended = program_run(ARGUMENTS("check", "--sizing", "yard.yaml"));
    assert_status(&ended, 2);
    char place[40];
    snprintf(place, sizeof place, "yard.yaml:%d:", line);
    assert_contains(ended.err, place);
    assert_contains(ended.err, "windows and doors take 20 m2 of walls of 15 m2");
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--sizing", "--ground", "yard.yaml"));
    assert_status(&ended, 1);
    assert_contains(ended.err, "--fluid and --sizing");
    program_free(&ended);
}

int main(void)
{
#define IN_STARTER(test) cmocka_unit_test_setup_teardown(test, starter_setup, folder_teardown)
    const struct CMUnitTest tests[] = {
        IN_STARTER(the_sheet_sets_loads_against_units),
        IN_STARTER(the_sheet_in_json_hangs_together),
        IN_STARTER(a_rated_unit_is_called_generic),
        IN_STARTER(a_bad_house_is_refused_at_its_line),
    };
#undef IN_STARTER
    return cmocka_run_group_tests(tests, NULL, NULL);
}
