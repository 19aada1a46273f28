// SPDX-License-Identifier: MIT
/// `coilbed check`: what it tells about the starter, and how bad input is refused.
#include "cli/program.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void check_explains_the_starter(void **state)
{
    (void)state;
    static const char *const wanted[] = {
        "Site",
        "annual mean air",
        "coldest hour of the run",
        "heating degree days",
        "Ground",
        "conductivity, frozen",
        "Field",
        "pipe in each circuit",
        "ft/ton",
        "common practice, no source",
        "to dig",
        "Fluid",
        "freezes at",
        "coldest fluid allowed",
        "antifreeze to buy",
        "gpm/ton",
        "Re ",
        "Loads",
        "peak heating load",
        "% of the peak load",
        "Assumptions",
        "pipe.conductivity",
        "Cautions",
        "29 CFR 1926.652",
    };
    // Deep enough for the caution about trench walls, whatever depth the starter has.
    program ended = program_run(ARGUMENTS("check", "--set", "field.depth=6 ft", "yard.yaml"));
    assert_status(&ended, 0);
    assert_string_equal(ended.err, "");
    for (const char *line = ended.out; *line;) {
        const size_t length = strcspn(line, "\n");
        if (length > 80) {
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

static void check_speaks_si_and_json(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("check", "--units", "si", "yard.yaml"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "m/kW");
    assert_contains(ended.out, "L/s/kW");
    assert_null(strstr(ended.out, "degF days"));
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--json", "yard.yaml"));
    assert_status(&ended, 0);
    assert_int_equal(ended.out[0], '{');
    assert_contains(ended.out, "\"pipe_total\": {\"value\": ");
    assert_contains(ended.out, "\"unit\": \"m\"");
    assert_null(strstr(ended.out, "nan"));
    assert_json(ended.out, ARGUMENTS("o[\"file\"] == \"yard.yaml\" and o[\"verdict\"] == \"valid\"",
                                     "o[\"exit_status\"] == 0 and \"done\" in o[\"exit_meaning\"]",
                                     "o[\"quality\"] is None and o[\"field\"][\"pipe_total\"]"));
    program_free(&ended);
}

static void json_also_says_what_is_wrong(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("check", "--json", "none.yaml"));
    assert_status(&ended, 1);
    assert_contains(ended.err, "none.yaml");
    assert_json(ended.out, ARGUMENTS("o[\"exit_status\"] == 1 and o[\"verdict\"] is None",
                                     "o[\"file\"] in o[\"error\"][\"message\"]"));
    program_free(&ended);
    const int line = replace_line("yard.yaml", "trenches:", 1, "trenches: \"none\\xff\"");
    static const char *const command[] = {"check", "run"};
    for (size_t i = 0; i < 2; i++) {
        char claim[80];
        snprintf(claim, sizeof claim, "o[\"error\"][\"line\"] == %d", line);
        ended = program_run(ARGUMENTS(command[i], "--json", "yard.yaml"));
        assert_status(&ended, 2);
        assert_json(ended.out,
                    ARGUMENTS("o[\"exit_status\"] == 2 and o[\"verdict\"] == \"invalid\"", claim,
                              "o[\"exit_meaning\"] == \"the design or the weather is invalid\""));
        program_free(&ended);
    }
    ended = program_run(ARGUMENTS("findings", "--json", "yard.yaml"));
    assert_status(&ended, 1);
    assert_json(ended.out, ARGUMENTS("o[\"error\"][\"message\"]"));
    program_free(&ended);
}

static void a_longitude_of_the_wrong_sign_is_pointed_out(void **state)
{
    (void)state;
    static const struct {
        const char *longitude, *zone, *wanted; ///< NULL: no such caution
    } row[] = {
        {"site.longitude=-97 deg", "site.time_zone=-6 h", NULL},
        {"site.longitude=179 deg", "site.time_zone=-12 h", NULL}, // 0.1 h across the date line
        {"site.longitude=75 deg", "site.time_zone=8 h", NULL},    // 3 h, as some places have it
        {"site.longitude=97 deg", "site.time_zone=-6 h", "11.5 h apart"},
        {"site.longitude=97 deg", "site.time_zone=-6 h", "highest near 0:00"},
        {"site.longitude=0 deg", "site.time_zone=-6 h", "highest near 6:00"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(ARGUMENTS("check", "--json", "--set", row[i].longitude, "--set",
                                              row[i].zone, "yard.yaml"));
        assert_status(&ended, 0);
        if (row[i].wanted) {
            assert_contains(ended.out, row[i].wanted);
        } else if (strstr(ended.out, "\"clock\"")) {
            fail_msg("%s, %s: got a caution, want none", row[i].longitude, row[i].zone);
        }
        program_free(&ended);
    }
}

static void check_prints_schema_and_reference_without_a_design(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("check", "--schema"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "https://json-schema.org/draft/2020-12/schema");
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--reference"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "flow_per_circuit");
    program_free(&ended);
}

static void check_prints_the_materials_without_a_design(void **state)
{
    (void)state;
    // Sand at its usual 9.0 % of water, by Johansen and de Vries as the tests of the ground have
    // it.
    program ended = program_run(ARGUMENTS("check", "--materials"));
    assert_status(&ended, 0);
    assert_contains(ended.out,
                    "sand                  100     41      90    9.0    0.831     0.649");
    assert_contains(ended.out, "Density in lb/ft3");
    assert_contains(ended.out, "silty_clay_loam: smooth, rolls into a ribbon (quartz: Peters-");
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--materials", "--units", "si"));
    assert_status(&ended, 0);
    assert_contains(ended.out,
                    "sand                 1600     41      90    9.0     1.44      1.12");
    assert_contains(ended.out, "Density in kg/m3");
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--materials", "--json"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "\"name\": \"sand\"");
    assert_contains(ended.out, "\"dry_density_kg_m3\": 1600");
    assert_contains(ended.out, "\"saturated\": 1");
    program_free(&ended);
}

static void check_shows_the_ground_by_every_model(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS(
        "check", "--units", "si", "--set",
        "ground.layers[0]={down_to: 1 ft, material: loam, conductivity_model: lu}", "yard.yaml"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "short_grass: lawn");
    assert_contains(ended.out, "layer 1                      loam, 0 m to 0.305 m");
    assert_contains(ended.out, "by Johansen 1975         1.13 W/m/K\n");
    assert_contains(ended.out, "by Cote & Konrad 2005    1.11 W/m/K\n");
    assert_contains(ended.out, "by Lu et al. 2007        1.22 W/m/K (used)");
    assert_contains(ended.out, "27.0 % (56.0 % of the pores, 19.3 % of the dry");
    assert_contains(ended.out, "27.0 % (the usual moisture of the material in");
    assert_contains(ended.out, "23.0 % (of the cover)");
    program_free(&ended);
}

static double json_value(const char *text, const char *key)
{
    char quoted[80];
    snprintf(quoted, sizeof quoted, "\"%s\": {\"value\": ", key);
    const char *found = strstr(text, quoted);
    assert_non_null(found);
    return strtod(found + strlen(quoted), NULL);
}

static void set_overrides_the_file(void **state)
{
    (void)state;
    static const struct {
        const char *length;
        double want_m;
    } row[] = {{"field.length=100 m", 100.0}, {"field.length=50 ft", 15.24}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(ARGUMENTS("check", "--json", "--set", row[i].length, "--set",
                                              "field.trenches=1", "yard.yaml"));
        assert_status(&ended, 0);
        const double got_m = json_value(ended.out, "trench_total");
        if (!(got_m - row[i].want_m <= 1e-9 && row[i].want_m - got_m <= 1e-9)) {
            fail_msg("%s: got %.12g m, want %.12g m", row[i].length, got_m, row[i].want_m);
        }
        program_free(&ended);
    }
}

/// The message must begin with the place of the line that is wrong.
static void assert_refused(const char *command, const char *file, int line, const char *wanted)
{
    char place[64];
    program ended = program_run(ARGUMENTS(command, "yard.yaml"));
    assert_status(&ended, 2);
    snprintf(place, sizeof place, "%s:%d:", file, line);
    assert_contains(ended.err, place);
    const char *column = strstr(ended.err, place) + strlen(place);
    if (!(strtol(column, NULL, 10) > 0)) {
        fail_msg("no column in: %s", ended.err);
    }
    assert_contains(ended.err, wanted);
    assert_string_equal(ended.out, "");
    assert_false(file_exists("yard.h5"));
    program_free(&ended);
}

// Plain values in place of the starter's blocks, so that a case is wrong for its own reason only.
static const char plain_field[] = "field:\n"
                                  "  trenches: 2\n"
                                  "  spacing: 12 ft\n"
                                  "  length: 100 ft\n"
                                  "  width: 3 ft\n"
                                  "  layout: flat_coil\n"
                                  "  depth: 6 ft\n"
                                  "  coil:\n"
                                  "    diameter: 36 in\n"
                                  "    pitch: 24 in\n"
                                  "    return: in_trench\n"
                                  "  pipe: {size: 3/4 in, sdr: 11}\n\n";
static const char plain_unit[] =
    "heat_pumps:\n"
    "  - name: Invented unit\n"
    "    heating:\n"
    "      - {entering_water: 20 degF, capacity: 5 kW, power: 1.5 kW}\n"
    "      - {entering_water: 30 degF, capacity: 6 kW, power: 1.6 kW}\n\n";

static void bad_designs_are_refused_at_the_line(void **state)
{
    (void)state;
    static const struct {
        const char *start; ///< of the line that is replaced
        int nth;
        const char *line;
        const char *wanted;
    } row[] = {
        {"pitch:", 1, "ptich: 24 in", "pitch"},
        {"pitch:", 1, "pitch: 24", "24 in"},
        {"pitch:", 1, "pitch: 24 degF", "length"},
        {"pitch:", 1, "pitch: 0 in", "pitch"},
        {"pitch:", 1, "pitch: .nan m", "nan"},
        {"spacing:", 1, "spacing: 1 ft", "overlap"},
        {"depth:", 1, "depth: 300 ft", "300 ft"},
        {"concentration:", 1, "concentration: 59.9 %", "concentration"},
        {"pipe:", 1, "pipe: {size: 7/8 in, sdr: 11}", "7/8 in"},
        {"{entering_water:", 2, "{entering_water: 10 degF, capacity: 6 kW, power: 1.6 kW}", "rise"},
        {"latitude:", 1, "latitude: 46.9 deg north", "46.9 deg north"},
        {"{material: clay,", 1, "{material: clay, water: 58 %}",
         "ground.layers[1].water: clay holds at most 55.6 % of its volume as water, not 58.0 %"},
        {"{material: clay,", 1, "{material: clay, water: 30 %, moisture: wet}",
         "ground.layers[1].moisture: water is given too"},
    };
    replace_block("yard.yaml", "field:", plain_field);
    replace_block("yard.yaml", "heat_pumps:", plain_unit);
    program sound = program_run(ARGUMENTS("check", "yard.yaml"));
    assert_status(&sound, 0);
    program_free(&sound);
    char *plain = read_file("yard.yaml");
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const int line = replace_line("yard.yaml", row[i].start, row[i].nth, row[i].line);
        assert_refused("check", "yard.yaml", line, row[i].wanted);
        assert_refused("run", "yard.yaml", line, row[i].wanted);
        write_file("yard.yaml", plain);
    }
    free(plain);
}

static void a_coil_below_the_modelled_ground_is_refused(void **state)
{
    (void)state;
    replace_block("yard.yaml", "field:", plain_field);
    replace_line("yard.yaml", "ground:", 1, "ground:\n  bottom: 8 m");
    const int line = replace_line("yard.yaml", "depth:", 1, "depth: 7.9 m");
    assert_refused("check", "yard.yaml", line, "bottom");
}

static void a_bad_override_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *set;
        const char *wanted;
    } row[] = {
        {"field.dpeth=6 ft", "field.dpeth"},
        {"field.depth=6", "6 ft"},
        {"ground.layers[99].water=20 %", "ground.layers[99]"},
        {"ground.layers[1].water=58 %", "clay holds at most 55.6 % of its volume as water"},
        {"field.pipe.sdr=12", "its SDRs are 9, 11, 13.5, 17"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(ARGUMENTS("check", "--set", row[i].set, "yard.yaml"));
        assert_status(&ended, 2);
        assert_contains(ended.err, row[i].wanted);
        program_free(&ended);
    }
}

/// 8760 hourly rows of a mild invented climate, one of them left out or replaced.
static void write_hours(int leave_out, int replace, const char *replacement)
{
    FILE *stream = fopen("hours.csv", "w");
    assert_non_null(stream);
    fputs("air,dew,sun,wind\n", stream);
    for (int hour = 0; hour < 8760; hour++) {
        if (hour == replace) {
            fprintf(stream, "%s\n", replacement);
        } else if (hour != leave_out) {
            fprintf(stream, "%.1f,-10,%d,3\n", hour < 4000 ? 5.0 : 10.0,
                    hour % 24 > 8 && hour % 24 < 16 ? 200 : 0);
        }
    }
    assert_int_equal(fclose(stream), 0);
}

static void bad_weather_is_refused_at_the_line(void **state)
{
    (void)state;
    static const struct {
        int leave_out, replace;
        const char *replacement;
        int line; ///< of hours.csv, whose first line is the heading
        const char *wanted;
    } row[] = {
        {-1, 3000, "nan,-10,0,3", 3002, "nan"},     {-1, 3000, ",-10,0,3", 3002, "air"},
        {-1, 3000, "-9999,-10,0,3", 3002, "-9999"}, {-1, 3000, "5,-10,0", 3002, ""},
        {-1, 0, "120,-10,0,3", 2, "120"},
    };
    replace_block("yard.yaml", "weather:",
                  "weather:\n  file: hours.csv\n  format: columns\n  columns:\n"
                  "    air_temperature: {column: air, unit: degC}\n"
                  "    dew_point: {column: dew, unit: degC}\n"
                  "    solar: {column: sun}\n    wind: {column: wind}\n");
    write_hours(-1, -1, "");
    program whole = program_run(ARGUMENTS("check", "yard.yaml"));
    assert_status(&whole, 0);
    program_free(&whole);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        write_hours(row[i].leave_out, row[i].replace, row[i].replacement);
        assert_refused("check", "hours.csv", row[i].line, row[i].wanted);
        assert_refused("run", "hours.csv", row[i].line, row[i].wanted);
    }
}

#define QUICK                                                                                      \
    "--set", "run.accuracy=draft", "--set", "run.years=3", "--set", "weather.hard_winters=[]"

static void the_ground_is_told_by_depth(void **state)
{
    (void)state;
    static const char *const wanted[] = {
        "its undisturbed ground",
        "short_grass",
        "sun reflected",
        "depth, typical year",
        "(deepest 0 degC)",
        "depth, deepest of the run",
        "weather repeated",
        "By depth",
        " coil\n",
        " return\n",
    };
    program ended = program_run(ARGUMENTS("check", "--ground", QUICK, "yard.yaml"));
    assert_status(&ended, 0);
    assert_string_equal(ended.err, "");
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        assert_contains(ended.out, wanted[i]);
    }
    assert_contains(ended.out, "in degF");
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--ground", "--units", "si", QUICK, "--set",
                                  "ground.surface.cover=bare_soil", "yard.yaml"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "bare_soil");
    assert_contains(ended.out, "in degC");
    program_free(&ended);
}

static void the_ground_in_json_hangs_together(void **state)
{
    (void)state;
    program ended =
        program_run(ARGUMENTS("check", "--ground", "--json", "--units", "si", QUICK, "yard.yaml"));
    assert_status(&ended, 0);
    assert_json(
        ended.out,
        ARGUMENTS(
            "o[\"exit_status\"] == 0 and o[\"verdict\"] == \"valid\"",
            "[d[\"depth_m\"] for d in o[\"depths\"]][:3] == [0, 0.5, 1]",
            "[d[\"holds\"] for d in o[\"depths\"]].count(\"coil\") == 1",
            "all(d[\"lowest_c\"] < d[\"mean_c\"] < d[\"highest_c\"] for d in o[\"depths\"])",
            "all(a[\"amplitude_k\"] > b[\"amplitude_k\"] for a, b in "
            "zip(o[\"depths\"], o[\"depths\"][1:]))",
            "o[\"depths\"][0][\"coldest_month\"] in (1, 2)",
            "o[\"frost\"][\"run\"][\"value\"] >= o[\"frost\"][\"typical\"][\"value\"] - 0.05",
            "o[\"cover\"][\"albedo\"][\"value\"] == 0.23 and o[\"snow\"] and o[\"settled\"]"));
    program_free(&ended);
}

static void a_bad_design_has_no_ground(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("check", "--ground", "--json", "--set",
                                          "ground.surface.cover=lava", "yard.yaml"));
    assert_status(&ended, 2);
    assert_contains(ended.err, "lava");
    assert_json(ended.out, ARGUMENTS("o[\"exit_status\"] == 2 and \"depths\" not in o"));
    program_free(&ended);
}

static void a_missing_hour_is_refused(void **state)
{
    (void)state;
    replace_block("yard.yaml", "weather:",
                  "weather:\n  file: hours.csv\n  format: columns\n  columns:\n"
                  "    air_temperature: {column: air, unit: degC}\n"
                  "    dew_point: {column: dew, unit: degC}\n"
                  "    solar: {column: sun}\n    wind: {column: wind}\n");
    write_hours(5000, -1, "");
    program ended = program_run(ARGUMENTS("run", "yard.yaml"));
    assert_status(&ended, 2);
    assert_contains(ended.err, "hours.csv:");
    assert_contains(ended.err, "8759");
    assert_false(file_exists("yard.h5"));
    program_free(&ended);
}

static void a_weather_file_that_is_not_there_is_an_input_failure(void **state)
{
    (void)state;
    replace_line("yard.yaml", "normals:", 1, "normals: elsewhere.yaml");
    program ended = program_run(ARGUMENTS("check", "yard.yaml"));
    assert_status(&ended, 1);
    assert_contains(ended.err, "elsewhere.yaml");
    program_free(&ended);
}

int main(void)
{
#define IN_STARTER(test) cmocka_unit_test_setup_teardown(test, starter_setup, folder_teardown)
    const struct CMUnitTest tests[] = {
        IN_STARTER(check_explains_the_starter),
        IN_STARTER(check_speaks_si_and_json),
        IN_STARTER(json_also_says_what_is_wrong),
        IN_STARTER(a_longitude_of_the_wrong_sign_is_pointed_out),
        IN_STARTER(check_prints_schema_and_reference_without_a_design),
        IN_STARTER(check_prints_the_materials_without_a_design),
        IN_STARTER(check_shows_the_ground_by_every_model),
        IN_STARTER(set_overrides_the_file),
        IN_STARTER(bad_designs_are_refused_at_the_line),
        IN_STARTER(a_coil_below_the_modelled_ground_is_refused),
        IN_STARTER(a_bad_override_is_refused),
        IN_STARTER(bad_weather_is_refused_at_the_line),
        IN_STARTER(the_ground_is_told_by_depth),
        IN_STARTER(the_ground_in_json_hangs_together),
        IN_STARTER(a_bad_design_has_no_ground),
        IN_STARTER(a_missing_hour_is_refused),
        IN_STARTER(a_weather_file_that_is_not_there_is_an_input_failure),
    };
#undef IN_STARTER
    return cmocka_run_group_tests(tests, NULL, NULL);
}
