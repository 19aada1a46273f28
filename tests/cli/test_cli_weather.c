// SPDX-License-Identifier: MIT
/// `coilbed weather`: its verbs, right and wrong.
#include "cli/program.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static int starter_setup(void **state)
{
    if (folder_setup(state) != 0) {
        return 1;
    }
    program ended = program_run(ARGUMENTS("new", "yard.yaml"));
    const int failed = ended.status;
    program_free(&ended);
    return failed;
}

static void expect(const char *const *arguments, int status, const char *wanted)
{
    program ended = program_run(arguments);
    assert_status(&ended, status);
    assert_contains(status == 0 ? ended.out : ended.err, wanted);
    program_free(&ended);
}

static void check_and_describe_read_a_design(void **state)
{
    (void)state;
    expect(ARGUMENTS("weather", "check", "yard.yaml"), 0, "1, whole and without gaps");
    expect(ARGUMENTS("weather", "describe", "yard.yaml", "--units", "si"), 0, "air freezing index");
    program ended = program_run(ARGUMENTS("weather", "describe", "yard.yaml", "--json"));
    assert_status(&ended, 0);
    static const char *const claims[] = {"len(o[\"months\"]) == 12",
                                         "abs(o[\"months\"][\"month[1]\"][\"value\"] + 10) < 0.01",
                                         NULL};
    assert_json(ended.out, claims);
    program_free(&ended);
}

static void a_converted_year_is_read_back_as_it_was(void **state)
{
    (void)state;
    expect(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "year.csv"), 0, "format: columns");
    replace_block("yard.yaml", "weather:",
                  "weather:\n  file: year.csv\n  format: columns\n  columns:\n"
                  "    air_temperature: {column: \"air temperature (degC)\", unit: degC}\n"
                  "    dew_point: {column: \"dew point (degC)\", unit: degC}\n"
                  "    solar: {column: \"solar (W/m2)\", unit: W/m2}\n"
                  "    wind: {column: \"wind (m/s)\", unit: m/s}\n"
                  "    longwave: {column: \"longwave (W/m2)\"}\n"
                  "    precipitation: {column: \"precipitation (mm)\", unit: mm}\n\n");
    expect(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "again.csv", "-q"), 0, "");
    char *first = read_file("year.csv"), *second = read_file("again.csv");
    assert_string_equal(first, second);
    free(first);
    free(second);
}

static void a_climate_makes_a_year_and_its_seed_another(void **state)
{
    (void)state;
    expect(ARGUMENTS("weather", "generate", "cold-plain.yaml", "-o", "one.csv"), 0, "Wrote");
    expect(ARGUMENTS("weather", "generate", "cold-plain.yaml", "-o", "two.csv", "--set",
                     "weather.seed=8"),
           0, "Wrote");
    char *one = read_file("one.csv"), *two = read_file("two.csv");
    assert_string_not_equal(one, two);
    free(one);
    free(two);
}

static void shaping_writes_every_year_and_says_what_was_done(void **state)
{
    (void)state;
    expect(ARGUMENTS("weather", "shape", "yard.yaml", "-o", "run.csv", "--set", "run.years=3",
                     "--set", "weather.hard_winters=[{year: 3, one_in: 20}]"),
           0, "Year 3");
    char *text = read_file("run.csv");
    int lines = 0;
    for (const char *c = text; *c; c++) {
        lines += *c == '\n';
    }
    assert_int_equal(lines, 1 + 3 * 8760);
    free(text);
}

static void what_cannot_be_done_is_said(void **state)
{
    (void)state;
    expect(ARGUMENTS("weather", "forecast", "yard.yaml"), 1, "not something to do with weather");
    expect(ARGUMENTS("weather", "convert", "yard.yaml"), 1, "-o OUT.csv");
    write_file("here.csv", "mine\n");
    expect(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "here.csv"), 1, "exists already");
    expect(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "here.csv", "--force"), 0, "Wrote");
    expect(ARGUMENTS("weather", "check", "none.csv", "--set", "weather.format=tmy3"), 1,
           "none.csv");
    write_file("short.csv", "Year,Month\n");
    expect(ARGUMENTS("weather", "check", "short.csv", "--set", "weather.format=tmy3"), 2,
           "short.csv");
    expect(ARGUMENTS("weather", "check", "short.csv"), 2, "weather.format");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(check_and_describe_read_a_design, starter_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(a_converted_year_is_read_back_as_it_was, starter_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(a_climate_makes_a_year_and_its_seed_another, starter_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(shaping_writes_every_year_and_says_what_was_done,
                                        starter_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(what_cannot_be_done_is_said, starter_setup,
                                        folder_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
