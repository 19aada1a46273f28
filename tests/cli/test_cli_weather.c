// SPDX-License-Identifier: MIT
/// `coilbed weather`: what each subcommand tells and writes, and how wrong input is refused.
#include "cli/program.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "coilbed/weather.h"

#define BARE "--latitude", "47", "--longitude", "-97", "--elevation", "900ft", "--time-zone", "-6"

/// Runs `coilbed weather ...`, wants the status and both texts in what it prints.
static void told(const char *const *arguments, int status, const char *out, const char *err)
{
    program ended = program_run(arguments);
    assert_status(&ended, status);
    assert_contains(ended.out, out);
    assert_contains(ended.err, err);
    program_free(&ended);
}

// ---- three invented years --------------------------------------------------------------------

/// 20 degC, in December to February -10 degC, in the second of the two whole winters -14 degC;
/// 3 K colder at midnight and warmer at noon; dew point 3 K below; 0.1 mm of rain every hour.
static cb_weather_hour plain_at(const void *context, long hour)
{
    static const double pi = 3.14159265358979323846;
    (void)context;
    const cb_site site = {47, -97, 274.32, -6};
    const int day = (int)(hour / 24 % CB_YEAR_DAYS), year = (int)(hour / CB_YEAR_HOURS);
    const bool early = day < 59, late = day >= 334;
    const bool hard = (year == 1 && late) || (year == 2 && early);
    const double mean_c = early || late ? (hard ? -14 : -10) : 20;
    const double air_c = mean_c - 3 * cos(2 * pi * (double)(hour % 24) / 24);
    return (cb_weather_hour){.air_temperature_c = air_c,
                             .dew_point_c = air_c - 3,
                             .solar_w_m2 =
                                 0.5 * cb_extraterrestrial_w_m2(&site, day, (int)(hour % 24)),
                             .wind_m_s = 5,
                             .longwave_w_m2 = 300,
                             .precipitation_kg_m2 = 0.1,
                             .snow_depth_m = 0.25};
}

static void write_plain(const char *path, int years)
{
    const cb_weather_csv csv = {.at = plain_at,
                                .hours = (long)years * CB_YEAR_HOURS,
                                .first_year = 2001,
                                .first_month = 1,
                                .first_day = 1};
    FILE *stream = fopen(path, "w");
    assert_non_null(stream);
    assert_int_equal(cb_weather_write_csv(&csv, stream, NULL, NULL), CB_OK);
    assert_int_equal(fclose(stream), 0);
}

// ---- the program -----------------------------------------------------------------------------

static void every_subcommand_has_help_with_an_example(void **state)
{
    (void)state;
    static const char *const name[] = {"check", "describe", "convert", "generate", "shape"};
    told(ARGUMENTS("--help"), 0, "weather", "");
    for (size_t i = 0; i < sizeof name / sizeof *name; i++) {
        char example[64];
        snprintf(example, sizeof example, "Example:\n  coilbed weather %s", name[i]);
        told(ARGUMENTS("weather", "--help"), 0, name[i], "");
        told(ARGUMENTS("weather", name[i], "--help"), 0, example, "");
    }
}

static void wrong_usage_is_refused(void **state)
{
    (void)state;
    told(ARGUMENTS("weather"), 1, "", "Subcommands:");
    told(ARGUMENTS("weather", "foresee"), 1, "", "'foresee' is not a subcommand");
    told(ARGUMENTS("weather", "check"), 1, "", "DESIGN|FILE is missing");
    told(ARGUMENTS("weather", "check", "a", "b"), 1, "", "'b' is too much");
    told(ARGUMENTS("weather", "check", "--seed", "1", "a"), 1, "", "there is no option --seed");
    told(ARGUMENTS("weather", "check", "a", "--latitude"), 1, "", "--latitude needs a value");
    told(ARGUMENTS("weather", "check", "yard.yaml", "--latitude", "3"), 1, "",
         "--latitude goes with --format");
    told(ARGUMENTS("weather", "check", "yard.yaml", "--column", "wind=w"), 1, "",
         "--column goes with --format");
    told(ARGUMENTS("weather", "check", "a", "--format", "columns", "--column", "wind"), 1, "",
         "write KEY=NAME");
    told(ARGUMENTS("weather", "describe", "--units", "both", "a"), 1, "", "write us or si");
    told(ARGUMENTS("weather", "convert", "yard.yaml"), 1, "", "-o OUT.csv");
}

// ---- check -----------------------------------------------------------------------------------

static void check_tells_of_a_design_and_of_a_bare_file(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("weather", "check", "yard.yaml", "--json"));
    assert_status(&ended, 0);
    assert_json(
        ended.out,
        ARGUMENTS("o[\"verdict\"] == \"valid\" and o[\"weather\"][\"years\"][\"value\"] == 1",
                  "o[\"columns\"][\"snow_depth\"][\"text\"] == \"none\"",
                  "o[\"columns\"][\"solar\"][\"text\"] == \"made from the normals\"",
                  "\"Year 3\" in o[\"shaping\"][\"note_1\"][\"text\"]"));
    program_free(&ended);
    write_plain("plain.csv", 3);
    ended = program_run(ARGUMENTS("weather", "check", "--format", "columns", "plain.csv",
                                  "--latitude", "47", "--longitude", "-97", "--json"));
    assert_status(&ended, 0);
    assert_json(ended.out,
                ARGUMENTS("o[\"weather\"][\"years\"][\"value\"] == 3",
                          "all(c[\"text\"] == \"found\" for c in o[\"columns\"].values())",
                          "\"876 mm\" in o[\"weather\"][\"provenance\"][\"text\"]",
                          "o[\"site\"][\"time_zone\"][\"value\"] == -6",
                          "len(o[\"assumed\"]) == 2 and \"shaping\" not in o"));
    program_free(&ended);
    told(
        ARGUMENTS("weather", "check", "--format", "columns", "plain.csv", "--site-of", "yard.yaml"),
        0, "a run can use this weather", "");
}

static void check_refuses_what_no_run_could_use(void **state)
{
    (void)state;
    write_plain("plain.csv", 1);
#define CHECK(...) ARGUMENTS("weather", "check", "plain.csv", __VA_ARGS__)
    told(CHECK("--format", "columns"), 1, "", "Give --latitude and --longitude");
    told(CHECK(BARE, "--format", "foo"), 2, "", "--format foo: weather.format: \"foo\"");
    told(CHECK(BARE, "--format", "tmy3"), 2, "", "plain.csv:");
    told(CHECK("--format", "columns", "--latitude", "470", "--longitude", "-97"), 2, "",
         "--latitude 470: site.latitude: 470 deg is outside");
    told(CHECK("--format", "columns", BARE, "--elevation", "900"), 2, "",
         "--elevation 900: site.elevation");
    told(CHECK("--format", "columns", BARE, "--column", "rain=x"), 2, "",
         "--column rain=x: unknown key \"rain\"");
    told(CHECK("--format", "columns", BARE, "--set", "weather.frost=1"), 2, "",
         "--set weather.frost=1: unknown key");
    told(CHECK("--format", "columns", "--site-of", "none.yaml"), 1, "", "none.yaml");
    // The file's noon is at 18 h UTC.
    told(CHECK("--format", "columns", "--latitude", "47", "--longitude", "-97", "--elevation",
               "900ft", "--time-zone", "3"),
         2, "", "more than 2.5 h");
#undef CHECK
    told(ARGUMENTS("weather", "check", "none.csv", "--format", "columns", BARE), 1, "",
         "none.csv: cannot be opened");
    told(ARGUMENTS("weather", "check", "none.csv", "--format", "tmy3", BARE, "--json"), 1,
         "\"exit_status\": 1", "none.csv: cannot be opened");
    const int line = replace_line("plain.csv", "2001-03-01 07:00", 1, "2001-03-01 08:00,1,1,1,1,");
    char place[32];
    snprintf(place, sizeof place, "plain.csv:%d:", line);
    told(ARGUMENTS("weather", "check", "plain.csv", "--format", "columns", BARE), 2, "", place);
}

static void columns_are_named_by_options(void **state)
{
    (void)state;
    write_plain("plain.csv", 1);
    char *text = read_file("plain.csv"), *rows = strchr(text, '\n');
    assert_non_null(rows);
    FILE *stream = fopen("other.csv", "w");
    assert_non_null(stream);
    fprintf(stream, "a line before\nt,\"Tair, \"\"2 m\"\"\",Td,sun,w,lw,r,s%s", rows);
    assert_int_equal(fclose(stream), 0);
    free(text);
#define NAMED                                                                                      \
    "--format", "columns", BARE, "--header-lines", "1", "--column", "dew_point=Td", "--column",    \
        "solar=sun", "--column", "wind=w", "--column", "air_temperature=Tair, \"2 m\""
    told(ARGUMENTS("weather", "check", "other.csv", NAMED), 0, "a run can use this weather", "");
    told(ARGUMENTS("weather", "check", "other.csv", NAMED, "--column-unit", "wind=parsec"), 2, "",
         "--column-unit wind=parsec: weather.columns.wind.unit");
    told(ARGUMENTS("weather", "check", "other.csv", NAMED, "--first", "13-01"), 2, "",
         "--first 13-01");
#undef NAMED
}

// ---- describe --------------------------------------------------------------------------------

static void describe_reckons_right(void **state)
{
    (void)state;
    write_plain("plain.csv", 3);
    program ended = program_run(
        ARGUMENTS("weather", "describe", "plain.csv", "--format", "columns", BARE, "--json"));
    assert_status(&ended, 0);
    // 180 of 270 winter days at -10 degC and 90 at -14 degC, 275 a year at 20 degC; tolerances
    // cover the two decimals of the file.
    assert_json(
        ended.out,
        ARGUMENTS("abs(o[\"january\"][\"air_temperature\"][\"value\"] + 34 / 3) < 0.01",
                  "abs(o[\"july\"][\"daily_range\"][\"value\"] - 6) < 0.01",
                  "abs(o[\"july\"][\"dew_point\"][\"value\"] - 17) < 0.01",
                  "abs(o[\"mean_year\"][\"wind\"][\"value\"] - 5) < 1e-6",
                  "abs(o[\"april\"][\"precipitation\"][\"value\"] - 72) < 1e-6",
                  "abs(o[\"sums\"][\"precipitation\"][\"value\"] - 876) < 1e-6",
                  "abs(o[\"sums\"][\"heating_degree_days\"][\"value\"] - 2670) < 1",
                  "abs(o[\"sums\"][\"cooling_degree_days\"][\"value\"] - 275 * 5 / 3) < 1",
                  "abs(o[\"sums\"][\"freezing_index\"][\"value\"] - 1080) < 1",
                  "abs(o[\"seasons\"][\"winter_mean\"][\"value\"] + 34 / 3) < 0.01",
                  "abs(o[\"seasons\"][\"summer_mean\"][\"value\"] - 20) < 0.01",
                  "abs(o[\"seasons\"][\"winter_deviation\"][\"value\"] - 8 ** 0.5) < 0.01",
                  "o[\"extremes\"][\"coldest_hour\"][\"note\"] == \"1 December, 00:00 of year 2\"",
                  "o[\"extremes\"][\"coldest_hour\"][\"value\"] == -17",
                  "o[\"extremes\"][\"warmest_hour\"][\"note\"] == \"1 March, 12:00 of year 1\""));
    program_free(&ended);
}

static void describe_prints_a_table(void **state)
{
    (void)state;
    write_plain("plain.csv", 2);
    told(ARGUMENTS("weather", "describe", "plain.csv", "--format", "columns", BARE), 0,
         "  July           68.0     10.8", "");
    told(ARGUMENTS("weather", "describe", "plain.csv", "--format", "columns", BARE), 0,
         "three years or more", "");
    told(
        ARGUMENTS("weather", "describe", "plain.csv", "--format", "columns", BARE, "--units", "si"),
        0, "  July           20.0      6.0", "");
    // The starter's climate has -10 degC in January, which a year made from it keeps.
    told(ARGUMENTS("weather", "describe", "yard.yaml", "--units", "si"), 0,
         "  January       -10.0     10.5     1.60    -13.5      5.5     17.0", "");
    told(ARGUMENTS("weather", "describe", "none.yaml"), 1, "", "none.yaml");
    told(ARGUMENTS("weather", "describe", "cold-plain.yaml"), 2, "", "cold-plain.yaml:");
    told(ARGUMENTS("weather", "describe", "yard.yaml", "--set", "weather.seed=x", "--json"), 2,
         "\"verdict\": \"invalid\"", "--set weather.seed=x");
}

static void winter_is_in_june_south_of_the_equator(void **state)
{
    (void)state;
    program ended =
        program_run(ARGUMENTS("weather", "describe", "yard.yaml", "--json", "--set",
                              "site.latitude=-1 deg", "--set", "weather.hard_winters=[]"));
    assert_status(&ended, 0);
    assert_json(ended.out,
                ARGUMENTS("o[\"seasons\"][\"winter_mean\"][\"note\"] == \"June-August\"",
                          "abs(o[\"seasons\"][\"winter_mean\"][\"value\"] - 20.85) < 0.05"));
    program_free(&ended);
}

// ---- convert, generate, shape ----------------------------------------------------------------

/// The numbers of a CSV row; returns how many.
static int numbers(const char *row, double number[CB_COLUMN_COUNT])
{
    int count = 0;
    for (const char *comma = strpbrk(row, ",\n"); comma && *comma == ',' && count < CB_COLUMN_COUNT;
         comma = strpbrk(comma + 1, ",\n")) {
        number[count++] = strtod(comma + 1, NULL);
    }
    return count;
}

/// Row `n` (0 the heading) of a text.
static const char *row_of(const char *text, int n)
{
    for (; n > 0; n--) {
        text = strchr(text, '\n');
        assert_non_null(text);
        text++;
    }
    return text;
}

/// Puts the printed "weather:" block of `out` in place of the design's.
static void use_block(const char *out)
{
    const char *block = strstr(out, "weather:\n");
    assert_non_null(block);
    replace_block("yard.yaml", "weather:", block);
}

static void convert_is_read_back_as_it_was(void **state)
{
    (void)state;
    write_plain("plain.csv", 3);
    told(ARGUMENTS("weather", "convert", "plain.csv", "--format", "columns", BARE, "-o", "b.csv"),
         0, "precipitation: {column: \"precipitation (mm)\", unit: mm}", "");
    char *before = read_file("plain.csv"), *after = read_file("b.csv");
    assert_string_equal(before, after);
    free(before);
    free(after);
    // The block printed for a design reads the same weather: written once more, it is the same.
    program ended = program_run(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "c.csv"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "file: \"c.csv\"");
    assert_contains(ended.out, "not measured");
    assert_null(strstr(ended.out, "snow_depth"));
    use_block(ended.out);
    program_free(&ended);
    told(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "d.csv"), 0, "c.csv", "");
    before = read_file("c.csv");
    after = read_file("d.csv");
    assert_string_equal(before, after);
    free(before);
    free(after);
}

static void nothing_is_overwritten_unawares(void **state)
{
    (void)state;
    write_file("kept.csv", "kept");
    told(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "kept.csv"), 1, "",
         "kept.csv exists already; --force replaces it");
    char *text = read_file("kept.csv");
    assert_string_equal(text, "kept");
    free(text);
    told(ARGUMENTS("weather", "convert", "yard.yaml", "--force", "-o", "kept.csv"), 0, "kept.csv",
         "");
    told(ARGUMENTS("weather", "convert", "kept.csv", "--format", "columns", BARE, "--force", "-o",
                   "kept.csv"),
         1, "", "is an input");
    told(ARGUMENTS("weather", "shape", "yard.yaml", "--force", "-o", "yard.yaml"), 1, "",
         "is an input");
    told(ARGUMENTS("weather", "generate", "cold-plain.yaml", "--site-of", "yard.yaml", "--force",
                   "-o", "cold-plain.yaml"),
         1, "", "is an input");
    told(ARGUMENTS("weather", "generate", "cold-plain.yaml", "--site-of", "yard.yaml", "--force",
                   "-o", "yard.yaml"),
         1, "", "--site-of");
    told(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "nowhere/a.csv"), 1, "",
         "nowhere/a.csv could not be written");
}

static void generate_makes_the_year_of_the_seed(void **state)
{
    (void)state;
#define GENERATE(...) ARGUMENTS("weather", "generate", "cold-plain.yaml", __VA_ARGS__)
    told(GENERATE(BARE, "--seed", "7", "-o", "seven.csv"), 0, "seed 7", "");
    told(GENERATE("--site-of", "yard.yaml", "-o", "same.csv"), 0, "seed 7", "");
    told(GENERATE("--site-of", "yard.yaml", "--seed", "8", "-o", "eight.csv"), 0, "seed 8", "");
    told(ARGUMENTS("weather", "convert", "yard.yaml", "-o", "design.csv"), 0, "seed 7", "");
    char *seven = read_file("seven.csv"), *same = read_file("same.csv"),
         *eight = read_file("eight.csv"), *design = read_file("design.csv");
    assert_string_equal(seven, same);
    assert_string_equal(seven, design);
    assert_string_not_equal(seven, eight);
    free(seven);
    free(same);
    free(eight);
    free(design);
    told(GENERATE("-o", "a.csv"), 1, "", "Give --latitude and --longitude");
    told(GENERATE(BARE, "--seed", "-1", "-o", "a.csv"), 2, "", "--seed -1: weather.seed");
    told(ARGUMENTS("weather", "generate", "yard.yaml", BARE, "-o", "a.csv"), 2, "",
         "yard.yaml:10:1: unknown key \"coilbed\"");
    told(ARGUMENTS("weather", "generate", "none.yaml", BARE, "-o", "a.csv"), 1, "", "none.yaml");
    assert_false(file_exists("a.csv"));
#undef GENERATE
}

static void shape_writes_a_run_year_or_all(void **state)
{
    (void)state;
    replace_line("yard.yaml", "years:", 1, "years: 3");
    replace_line("yard.yaml", "{year: last", 1, "{year: 2, one_in: 2}");
    told(ARGUMENTS("weather", "shape", "yard.yaml", "-o", "all.csv"), 0, "26280 hours, 3 years",
         "");
    told(ARGUMENTS("weather", "shape", "yard.yaml", "--year", "3", "-o", "third.csv"), 0,
         "Year 3:", "");
    told(ARGUMENTS("weather", "shape", "yard.yaml", "--year", "1", "-o", "first.csv"), 0,
         "first: 07-01", "");
    char *all = read_file("all.csv"), *third = read_file("third.csv"),
         *first = read_file("first.csv");
    assert_string_equal(row_of(all, 2 * CB_YEAR_HOURS + 1), row_of(third, 1));
    assert_memory_equal(row_of(all, 1), row_of(first, 1), strlen(row_of(first, 1)));
    double coldest_c = 100, plain_c = 100, number[CB_COLUMN_COUNT] = {0};
    const char *row = row_of(third, 1), *typical = row_of(first, 1);
    assert_memory_equal(row, "2003-07-01 00:00,", 17);
    for (int h = 0; h < CB_YEAR_HOURS; h++, row = row_of(row, 1), typical = row_of(typical, 1)) {
        assert_int_equal(numbers(row, number), CB_COLUMN_SNOW_DEPTH);
        coldest_c = fmin(coldest_c, number[0]);
        numbers(typical, number);
        plain_c = fmin(plain_c, number[0]);
    }
    assert_true(fabs(coldest_c - (-30.0 - 32) / 1.8) < 0.006); // the snap of the design
    assert_true(plain_c > coldest_c + 3);
    free(all);
    free(third);
    free(first);
    told(ARGUMENTS("weather", "shape", "yard.yaml", "--set", "weather.hard_winters=[]", "-o",
                   "none.csv"),
         0, "shapes nothing", "");
}

static void shape_refuses_years_and_winters_that_are_not(void **state)
{
    (void)state;
    static const char *const year[] = {"0", "11", "-1", "third", "", "3x"};
    for (size_t i = 0; i < sizeof year / sizeof *year; i++) {
        told(ARGUMENTS("weather", "shape", "yard.yaml", "--year", year[i], "-o", "a.csv"), 1, "",
             "the run has 10 years; write 1 to 10, or all");
    }
    told(ARGUMENTS("weather", "shape", "yard.yaml", "--set",
                   "weather.hard_winters[0].cold_snap=5 degF", "-o", "a.csv"),
         2, "", "--set weather.hard_winters[0].cold_snap=5 degF");
    told(ARGUMENTS("weather", "shape", "yard.yaml", "--format", "tmy3", "-o", "a.csv"), 1, "",
         "there is no option --format");
    assert_false(file_exists("a.csv"));
}

int main(void)
{
#define IN_STARTER(test) cmocka_unit_test_setup_teardown(test, starter_setup, folder_teardown)
    const struct CMUnitTest tests[] = {
        IN_STARTER(every_subcommand_has_help_with_an_example),
        IN_STARTER(wrong_usage_is_refused),
        IN_STARTER(check_tells_of_a_design_and_of_a_bare_file),
        IN_STARTER(check_refuses_what_no_run_could_use),
        IN_STARTER(columns_are_named_by_options),
        IN_STARTER(describe_reckons_right),
        IN_STARTER(describe_prints_a_table),
        IN_STARTER(winter_is_in_june_south_of_the_equator),
        IN_STARTER(convert_is_read_back_as_it_was),
        IN_STARTER(nothing_is_overwritten_unawares),
        IN_STARTER(generate_makes_the_year_of_the_seed),
        IN_STARTER(shape_writes_a_run_year_or_all),
        IN_STARTER(shape_refuses_years_and_winters_that_are_not),
    };
#undef IN_STARTER
    return cmocka_run_group_tests(tests, NULL, NULL);
}
