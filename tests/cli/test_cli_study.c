// SPDX-License-Identifier: MIT
// compare, size and sensitivity as a person calls them.
#include "cli/program.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

// A small case: a tenth of the house on one trench.
#define FAST                                                                                       \
    "--set", "run.accuracy=draft", "--set", "run.years=1", "--set", "run.slices=1", "--set",       \
        "weather.hard_winters=[]", "--set", "field.trenches=1", "--set",                           \
        "fluid.concentration=35 %", "--set", "house.load_line.heating_design=2.5 kBTU/h", "--set", \
        "house.load_line.cooling_design=1.5 kBTU/h"

static int study_setup(void **state)
{
    const int result = starter_setup(state);
    char folder[4096];
    if (result != 0 || !getcwd(folder, sizeof folder - 8)) {
        return 1;
    }
    strcat(folder, "/cache");
    return setenv("COILBED_CACHE", folder, 1);
}

static void told(const char *const *arguments, int status, const char *wanted)
{
    program ended = program_run(arguments);
    assert_status(&ended, status);
    unwrap(ended.err);
    assert_contains(ended.err, wanted);
    program_free(&ended);
}

static void cases_stand_side_by_side(void **state)
{
    (void)state;
    char *yard = read_file("yard.yaml");
    write_file("deep.yaml", yard);
    free(yard);
    assert_true(replace_line("deep.yaml", "depth: 7 ft", 1, "depth: 8 ft") > 0);

    program ended = program_run(ARGUMENTS("compare", "yard.yaml", "deep.yaml", FAST, "-q", "-o",
                                          "table.h5", "--csv", "table.csv"));
    assert_status(&ended, 0);
    assert_string_equal(ended.err, "");
    assert_contains(ended.out,
                    "A  yard.yaml: Starter farmhouse (invented), 1 year, draft accuracy");
    assert_contains(ended.out, "B less A");
    assert_contains(ended.out, "\nColdest entering water, degF ");
    assert_contains(ended.out, "\nTrench, ft                               150.0           150.0 ");
    assert_contains(ended.out, "* differs from A.");
    assert_null(strstr(ended.out, "\033["));
    assert_null(strstr(ended.out, "Drift")); // one year has none
    for (const char *line = ended.out; line; line = strchr(line, '\n')) {
        line += *line == '\n';
        if (strcspn(line, "\n") > 100) {
            fail_msg("a line is wider than 100 columns: %.*s", (int)strcspn(line, "\n"), line);
        }
    }
    program_free(&ended);

    char *csv = read_file("table.csv");
    assert_contains(csv, "quantity,\"unit\",\"yard.yaml\",\"deep.yaml\"\r\nverdict,\"1\",");
    assert_contains(csv, "\r\ntrench_length,\"m\",45.72,45.72\r\n");
    assert_contains(csv, "\r\nfinding.freeze_margin.margin,\"K\",");
    free(csv);

    // The cases are kept now; a finished run and a design mix.
    ended = program_run(ARGUMENTS("run", "deep.yaml", FAST, "-q", "-o", "deep.h5"));
    program_free(&ended);
    ended = program_run(ARGUMENTS("compare", "deep.h5", "deep.h5", "--json"));
    assert_status(&ended, 0);
    assert_json(
        ended.out,
        ARGUMENTS("o[\"differences\"] == [] and "
                  "len(o[\"cases\"]) == 2 and "
                  "o[\"cases\"][0][\"file\"] == \"deep.h5\" and "
                  "o[\"cases\"][0][\"complete\"] and "
                  "o[\"cases\"][0][\"key\"] is None and "
                  "abs(o[\"cases\"][0][\"headline\"][\"trench_length\"][\"value\"] - 45.72) "
                  "< 1e-9 and "
                  "any(f[\"code\"] == \"freeze_margin\" for f in "
                  "o[\"cases\"][0][\"findings\"])"));
    program_free(&ended);
    ended = program_run(ARGUMENTS("compare", "yard.yaml", "deep.yaml", FAST, "--json", "-q"));
    assert_status(&ended, 0);
    assert_json(ended.out, ARGUMENTS("all(c[\"from_cache\"] for c in o[\"cases\"]) and "
                                     "\"coldest_fluid\" in o[\"differences\"] and "
                                     "\"pipe_length\" not in o[\"differences\"] and "
                                     "o[\"cases\"][1][\"headline\"][\"excavation\"][\"value\"] > "
                                     "o[\"cases\"][0][\"headline\"][\"excavation\"][\"value\"]"));
    program_free(&ended);
    told(ARGUMENTS("compare", "yard.yaml", "deep.h5", FAST), 1,
         "deep.h5 is a finished run, which --set cannot change");
    told(ARGUMENTS("compare", "yard.yaml", "deep.yaml", FAST, "-o", "deep.h5"), 1,
         "deep.h5 exists and is no such table; --force replaces it");
}

static void what_cannot_be_compared_is_refused(void **state)
{
    (void)state;
    told(ARGUMENTS("compare", "yard.yaml"), 1, "something to compare with is missing");
    told(ARGUMENTS("compare"), 1, "A B ... is missing");
    told(ARGUMENTS("compare", "yard.yaml", ""), 1, "the name of A B ... is empty");
    told(ARGUMENTS("compare", "none.yaml", "yard.yaml"), 1, "none.yaml");
    told(ARGUMENTS("compare", "yard.yaml", "cold-plain.yaml", "--set", "field.depth=7 K"), 2,
         "--set field.depth=7 K");
    told(ARGUMENTS("compare", "yard.yaml", "yard.yaml", "-o", "yard.yaml"), 1,
         "yard.yaml is an input; name another file for the table");
    told(ARGUMENTS("compare", "yard.yaml", "yard.yaml", "--csv", "cold-plain.yaml"), 1,
         "cold-plain.yaml exists and is no such table");
    told(ARGUMENTS("compare", "yard.yaml", "yard.yaml", "--csv", "no/where.csv"), 1,
         "no/where.csv cannot be written");
    replace_line("yard.yaml", "depth: 7 ft", 1, "depth: 70 ft");
    told(ARGUMENTS("compare", "yard.yaml", "yard.yaml"), 2, "yard.yaml:38:");
}

static void a_value_is_sized(void **state)
{
    (void)state;
    program ended =
        program_run(ARGUMENTS("size", "yard.yaml", FAST, "-q", "--vary", "limits.freeze_margin",
                              "--between", "1 K..20 K", "--step", "4 K", "--most", "--json"));
    assert_status(&ended, 0);
    assert_json(ended.out,
                ARGUMENTS("o[\"outcome\"] == \"found\" and "
                          "o[\"one_way\"] and "
                          "o[\"unit\"] == \"K\" and "
                          "1 <= o[\"value\"] < o[\"does_not_hold\"] <= 20 and "
                          "o[\"does_not_hold\"] - o[\"value\"] <= 4 + 1e-9 and "
                          "o[\"runs\"][0][\"holds\"] and not o[\"runs\"][1][\"holds\"] and "
                          "all(abs(r[\"value\"] + r[\"margin\"] - o[\"runs\"][0][\"value\"] - "
                          "o[\"runs\"][0][\"margin\"]) < 1e-6 for r in o[\"runs\"]) and "
                          "o[\"finding\"] == \"freeze_margin\""));
    program_free(&ended);
    // The same cases, read back, as a page: quick.
    ended = program_run(ARGUMENTS("size", "yard.yaml", FAST, "-q", "--units", "si", "--vary",
                                  "limits.freeze_margin", "--between", "1 K..20 K", "--step", "4 K",
                                  "--most"));
    assert_status(&ended, 0);
    unwrap(ended.out);
    assert_contains(ended.out, "The most limits.freeze_margin that holds is ");
    assert_contains(ended.out, "As a run: coilbed run yard.yaml --set limits.freeze_margin='");
    program_free(&ended);
    ended = program_run(ARGUMENTS("size", "yard.yaml", FAST, "-q", "--units", "si", "--vary",
                                  "limits.freeze_margin", "--between", "1 K..20 K", "--step",
                                  "18 K", "--most", "--margin", "90 K"));
    assert_status(&ended, 3);
    assert_contains(ended.out, "No value asked for holds, from 1.000 K to 20.00 K.");
    assert_contains(ended.out, "\nNearest to it came 1.000 K (freeze_margin ");
    assert_null(
        strstr(ended.out, "inside the range")); // best at its end: nothing between to look at
    program_free(&ended);
    ended =
        program_run(ARGUMENTS("size", "yard.yaml", FAST, "-q", "--units", "si", "--vary",
                              "limits.freeze_margin", "--between", "1 K..20 K", "--step", "4 K"));
    assert_status(&ended, 0);
    unwrap(ended.out);
    assert_contains(ended.out, "1.000 K, the end of the range, holds ");
    assert_contains(ended.out, "it is the large values that do not hold, so the least has no bound "
                               "inside the range; the most may be meant (add --most).");
    program_free(&ended);
}

static void what_cannot_be_sized_is_refused(void **state)
{
    (void)state;
    told(ARGUMENTS("size", "yard.yaml"), 1, "size: --vary is missing");
    told(ARGUMENTS("size", "yard.yaml", "--vary", "field.depth"), 1, "size: --between is missing");
    told(ARGUMENTS("size", "yard.yaml", "--vary", "field.depth", "--between", "5 ft"), 1,
         "write LOW..HIGH");
    told(ARGUMENTS("size", "yard.yaml", "--vary", "field.dept", "--between", "5 ft..8 ft"), 2,
         "--vary field.dept: unknown key \"dept\" in field; did you mean \"depth\"?");
    told(ARGUMENTS("size", "yard.yaml", "--vary", "field.depth", "--between", "5 K..8 ft"), 2,
         "--between field.depth: ");
    told(ARGUMENTS("size", "yard.yaml", "--vary", "field.depth", "--between", "8 ft..5 ft"), 2,
         "the range is reversed");
    told(ARGUMENTS("size", "yard.yaml", "--vary", "field.depth", "--between", "5 ft..8 ft",
                   "--hold", "warmth"),
         2, "no such finding can be held; take one of freeze_margin, entering_minimum");
    told(ARGUMENTS("size", "yard.yaml", "--vary", "", "--between", "5 ft..8 ft"), 1,
         "--vary: the path is empty");
    told(ARGUMENTS("run", "yard.yaml", "--vary", "field.depth"), 1, "there is no option --vary");
    told(ARGUMENTS("sensitivity", "yard.yaml", "--of", "warmth"), 2,
         "--of warmth: take one of worst_margin, freeze_margin");
    told(ARGUMENTS("sensitivity", "yard.yaml", "--step-factor", "0"), 1,
         "--step-factor '0': write a number from 0.01 to 10");
    told(ARGUMENTS("sensitivity", "yard.yaml", "--into", "none.h5"), 1, "none.h5");
    told(ARGUMENTS("sensitivity", "yard.yaml", "--into", ""), 1, "--into: the name of the file");
    told(ARGUMENTS("sensitivity", "yard.yaml", "--into", "x.h5", "--of", "pump_energy"), 2,
         "with --into take freeze_margin or worst_margin");
    told(ARGUMENTS("sensitivity", "none.yaml"), 1, "none.yaml");
    assert_false(file_exists("cache")); // nothing was run
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(cases_stand_side_by_side, study_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(what_cannot_be_compared_is_refused, study_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(a_value_is_sized, study_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(what_cannot_be_sized_is_refused, study_setup,
                                        folder_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
