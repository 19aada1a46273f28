// SPDX-License-Identifier: MIT
#include "cli/weather.h"

#include "cli/failure.h"
#include "cli/message.h"
#include "cli/terminal.h"

#include <stdlib.h>
#include <string.h>

enum { OWN_OVERRIDES = 2 };

#define FILE_OPERAND                                                                               \
    "FILE is a design (.yaml), or a weather file of its own; then say what it is and where, as\n"  \
    "  --set weather.format=nsrdb --set site.latitude='40.5 deg' --set site.longitude='-108.5 "    \
    "deg'\n  --set site.elevation='2168 m' --set site.time_zone='-7 h'\n"                          \
    "(formats: tmy3, nsrdb, pvgis, columns).\n"

static bool ends_with(const char *text, const char *end)
{
    const size_t length = strlen(text), size = strlen(end);
    return length >= size && strcmp(text + length - size, end) == 0;
}

static bool is_yaml(const char *path)
{
    return ends_with(path, ".yaml") || ends_with(path, ".yml");
}

/// The starter's design without its line of normals, where a file takes their place. Owned by the
/// caller; NULL without memory.
static char *starter_text(bool with_normals)
{
    char *text = strdup(cb_starter_design());
    char *normals = text && !with_normals ? strstr(text, "  normals:") : NULL;
    if (normals) {
        const char *after = strchr(normals, '\n') + 1;
        memmove(normals, after, strlen(after) + 1);
    }
    return text;
}

/// The starter's design with the operand for its weather and the user's overrides after it.
static cb_status around(cli_weather_input *input, const cli_options *options, const char *key,
                        cb_error *error)
{
    const size_t count = OWN_OVERRIDES + options->set_count;
    cb_override *all = calloc(count, sizeof *all);
    char *text = starter_text(strcmp(key, "weather.normals") == 0);
    if (!all || !text) {
        free(all);
        free(text);
        return cb_fail(error, CB_NO_MEMORY, "out of memory");
    }
    all[0] = (cb_override){key, options->operand};
    all[1] = (cb_override){"weather.hard_winters", "[]"};
    for (size_t n = 0; n < options->set_count; n++) {
        all[OWN_OVERRIDES + n] = options->set[n];
    }
    const cb_status status =
        cb_design_parse(&input->design, text, "starter", all, count, input->units, error);
    free(text);
    free(all);
    return status;
}

static cb_status open_input(cli_weather_input *input, const cli_options *options, bool climate,
                            cb_error *error)
{
    *input = (cli_weather_input){0};
    cb_status status = cb_units_create(&input->units, error);
    if (status != CB_OK) {
        return status;
    }
    if (climate) {
        status = around(input, options, "weather.normals", error);
    } else if (is_yaml(options->operand)) {
        status = cb_design_read(&input->design, options->operand, options->set, options->set_count,
                                input->units, error);
    } else {
        status = around(input, options, "weather.file", error);
    }
    if (status == CB_OK) {
        status = cb_weather_create(&input->weather, input->design, input->units, error);
    }
    if (status == CB_OK) {
        status = cb_run_weather_create(&input->run_weather, input->weather, input->design, error);
    }
    return status;
}

static void close_input(cli_weather_input *input)
{
    cb_run_weather_destroy(input->run_weather);
    cb_weather_destroy(input->weather);
    cb_design_destroy(input->design);
    cb_units_destroy(input->units);
}

// ---- facts -----------------------------------------------------------------------------------

static int show(const cli_options *options, void (*add)(cli_facts *, const cli_weather_input *))
{
    cli_weather_input input;
    cb_error error = {0};
    int result = CLI_HELD;
    if (open_input(&input, options, false, &error) != CB_OK) {
        result = cli_fail(options, &error);
    } else {
        cli_facts facts = {.system = options->units, .section = "weather"};
        add(&facts, &input);
        if (facts.failed) {
            cb_fail(&error, CB_NO_MEMORY, "out of memory");
            result = cli_fail(options, &error);
        } else if (options->json) {
            cli_facts_json(&facts, options->operand, stdout);
        } else {
            cli_facts_print(&facts, cli_width(), stdout);
        }
        cli_facts_free(&facts);
    }
    close_input(&input);
    return result;
}

static int check_verb(const cli_options *options)
{
    return show(options, cli_weather_check_facts);
}

static int describe_verb(const cli_options *options)
{
    return show(options, cli_weather_describe_facts);
}

// ---- files -----------------------------------------------------------------------------------

static cb_weather_hour typical_hour(const void *context, long hour)
{
    const cb_weather *weather = context;
    return weather->hour[hour];
}

static cb_weather_hour shaped_hour(const void *context, long hour)
{
    return cb_run_weather_at(context, hour);
}

static int write_verb(const cli_options *options, bool climate, bool shaped)
{
    if (!options->output) {
        return cli_complain("say where to: -o OUT.csv");
    }
    cli_weather_input input;
    cb_error error = {0};
    int result;
    if (open_input(&input, options, climate, &error) != CB_OK) {
        result = cli_fail(options, &error);
    } else {
        const cb_design_run *run = &input.design->run;
        const cb_weather_csv csv = {
            .at = shaped ? shaped_hour : typical_hour,
            .context = shaped ? (const void *)input.run_weather : (const void *)input.weather,
            .hours = (long)CB_YEAR_HOURS * (shaped ? run->years : input.weather->years),
            .first_year = 2001,
            .first_month = shaped ? run->start_month : 1,
            .first_day = shaped ? run->start_day : 1};
        result = cli_weather_write(options, &csv, &input);
    }
    close_input(&input);
    return result;
}

static int convert_verb(const cli_options *options)
{
    return write_verb(options, false, false);
}

static int generate_verb(const cli_options *options)
{
    return write_verb(options, true, false);
}

static int shape_verb(const cli_options *options)
{
    return write_verb(options, false, true);
}

// ---- the command -----------------------------------------------------------------------------

static const cli_command verbs[] = {
    {.name = "weather check",
     .operand = "FILE",
     .summary = "say whether a run could use the weather, and what it holds",
     .details = "Reads the weather whole and refuses what no run could use, with line and "
                "value.\n" FILE_OPERAND,
     .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_JSON,
     .run = check_verb},
    {.name = "weather describe",
     .operand = "FILE",
     .summary = "print its months and extremes",
     .details = "Months, extremes, degree days and frost index of the weather before "
                "shaping.\n" FILE_OPERAND,
     .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_JSON,
     .run = describe_verb},
    {.name = "weather convert",
     .operand = "FILE",
     .summary = "write it as a plain hourly CSV",
     .details =
         "Writes -o OUT.csv with units in its heading and prints the lines of a design that\n"
         "read it back. Several years stay several years.\n" FILE_OPERAND,
     .takes = CLI_TAKES_SET | CLI_TAKES_CSV | CLI_TAKES_QUIET,
     .run = convert_verb},
    {.name = "weather generate",
     .operand = "CLIMATE",
     .summary = "make a year from monthly normals",
     .details = "CLIMATE is a file of monthly normals, as cold-plain.yaml. Seed and site:\n"
                "  --set weather.seed=9 --set site.latitude='47 deg'\n",
     .takes = CLI_TAKES_SET | CLI_TAKES_CSV | CLI_TAKES_QUIET,
     .run = generate_verb},
    {.name = "weather shape",
     .operand = "DESIGN",
     .summary = "write the whole run's weather, hard winters and hot summers included",
     .details = "Writes -o OUT.csv for all years of the run and says what was done to them.\n"
                "Another winter or summer:\n"
                "  --set weather.hard_winters='[{year: 2, one_in: 50, cold_snap: -40 degF}]'\n",
     .takes = CLI_TAKES_SET | CLI_TAKES_CSV | CLI_TAKES_QUIET | CLI_TAKES_UNITS,
     .run = shape_verb},
};
enum { VERBS = sizeof verbs / sizeof *verbs };

static const char *verb_of(const cli_command *command)
{
    return command->name + strlen("weather ");
}

static void print_verbs(FILE *stream)
{
    fputs("usage: coilbed weather VERB [options] FILE\n\n"
          "Looks at, converts, makes and shapes hourly weather.\n\nVerbs:\n",
          stream);
    for (int n = 0; n < VERBS; n++) {
        fprintf(stream, "  %-9s %-8s %s\n", verb_of(&verbs[n]), verbs[n].operand, verbs[n].summary);
    }
    fputs("\n  coilbed weather VERB --help says more.\n", stream);
    cli_exit_statuses(stream);
}

int cli_weather(int argc, char **argv)
{
    if (argc < 2) {
        print_verbs(stderr);
        return CLI_FAILED;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        print_verbs(stdout);
        return CLI_HELD;
    }
    for (int n = 0; n < VERBS; n++) {
        if (strcmp(argv[1], verb_of(&verbs[n])) == 0) {
            return cli_run_command(&verbs[n], argc - 1, argv + 1);
        }
    }
    return cli_complain("'%s' is not something to do with weather; check, describe, convert, "
                        "generate or shape",
                        argv[1]);
}
