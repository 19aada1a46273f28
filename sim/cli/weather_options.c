// SPDX-License-Identifier: MIT
#include "cli/message.h"
#include "cli/option_table.h"
#include "cli/weather.h"

#include <stdlib.h>
#include <string.h>

enum {
    OPTION_VALUE = CLI_NO_LETTER, ///< + cli_weather_value
    OPTION_SET = OPTION_VALUE + CLI_WEATHER_VALUES,
    OPTION_JSON,
    OPTION_FORCE,
    OPTION_SITE_OF,
    OPTION_YEAR,
    OPTION_COLUMN,
    OPTION_COLUMN_UNIT,
    NAME_SIZE = 64
};

static const cli_option entries[] = {
    {"units", "us|si", "units of what is printed (default us)", 'u', CLI_TAKES_UNITS},
    {"set", "PATH=VALUE", "override one value of the design; may be repeated", OPTION_SET, 0},
    {"format", "NAME", "FILE is weather: tmy3, nsrdb, pvgis or columns",
     OPTION_VALUE + CLI_WEATHER_FORMAT, CLI_TAKES_FILE},
    {"latitude", "DEG", "of the site, north positive: 47", OPTION_VALUE + CLI_WEATHER_LATITUDE,
     CLI_TAKES_SITE},
    {"longitude", "DEG", "of the site, east positive: -97", OPTION_VALUE + CLI_WEATHER_LONGITUDE,
     CLI_TAKES_SITE},
    {"elevation", "LENGTH", "of the site: 900ft; sea level when left out",
     OPTION_VALUE + CLI_WEATHER_ELEVATION, CLI_TAKES_SITE},
    {"time-zone", "HOURS", "standard time minus UTC: -6; by longitude when left out",
     OPTION_VALUE + CLI_WEATHER_TIME_ZONE, CLI_TAKES_SITE},
    {"site-of", "DESIGN", "take the site from this design", OPTION_SITE_OF, CLI_TAKES_SITE},
    {"column", "KEY=NAME", "format columns: the column that holds KEY; repeated", OPTION_COLUMN,
     CLI_TAKES_FILE},
    {"column-unit", "KEY=UNIT", "format columns: that column's unit; repeated", OPTION_COLUMN_UNIT,
     CLI_TAKES_FILE},
    {"header-lines", "N", "format columns: lines before the row of names",
     OPTION_VALUE + CLI_WEATHER_HEADER_LINES, CLI_TAKES_FILE},
    {"hour", "WORD", "format columns: stamps are the beginning or ending",
     OPTION_VALUE + CLI_WEATHER_HOUR, CLI_TAKES_FILE},
    {"first", "MM-DD", "format columns: month and day of the first row",
     OPTION_VALUE + CLI_WEATHER_FIRST, CLI_TAKES_FILE},
    {"seed", "N", "another number makes another year of the same normals",
     OPTION_VALUE + CLI_WEATHER_SEED, CLI_TAKES_SEED},
    {"year", "N|all", "year of the run to write (default all)", OPTION_YEAR, CLI_TAKES_YEAR},
    {"output", "OUT.csv", "write the hours to this new file", 'o', CLI_TAKES_NEW_FILE},
    {"force", NULL, "replace OUT.csv if it exists", OPTION_FORCE, CLI_TAKES_NEW_FILE},
    {"json", NULL, "print one JSON object, values in SI", OPTION_JSON, CLI_TAKES_JSON},
    {"help", NULL, "print this and stop", 'h', 0},
    {"version", NULL, "print the version and stop", 'V', 0},
};

const char *cli_weather_option_name(cli_weather_value value)
{
    static const char *const name[CLI_WEATHER_VALUES] = {
        [CLI_WEATHER_FORMAT] = "--format",       [CLI_WEATHER_LATITUDE] = "--latitude",
        [CLI_WEATHER_LONGITUDE] = "--longitude", [CLI_WEATHER_ELEVATION] = "--elevation",
        [CLI_WEATHER_TIME_ZONE] = "--time-zone", [CLI_WEATHER_HEADER_LINES] = "--header-lines",
        [CLI_WEATHER_HOUR] = "--hour",           [CLI_WEATHER_FIRST] = "--first",
        [CLI_WEATHER_SEED] = "--seed",
    };
    return name[value];
}

/// name: [NAME_SIZE], for the command's.
static cli_option_table table_of(const cli_weather_command *command, char *name)
{
    snprintf(name, NAME_SIZE, "weather %s", command->name);
    return (cli_option_table){.command = name,
                              .option = entries,
                              .count = sizeof entries / sizeof *entries,
                              .takes = command->takes};
}

static bool add_key(cli_weather_options *options, bool unit, const char *text)
{
    const char *equals = strchr(text, '=');
    if (!equals || equals == text || !equals[1]) {
        cli_complain("%s '%s': write KEY=%s, e.g. --column 'air_temperature=Tair (F)' "
                     "--column-unit air_temperature=degF",
                     unit ? "--column-unit" : "--column", text, unit ? "UNIT" : "NAME");
        return false;
    }
    cli_weather_key *larger = realloc(options->key, (options->key_count + 1) * sizeof *larger);
    if (!larger) {
        cli_complain("out of memory");
        return false;
    }
    options->key = larger;
    options->key[options->key_count++] = (cli_weather_key){unit, text};
    return true;
}

static bool read_one(void *context, int code, const char *argument)
{
    cli_weather_options *options = context;
    if (code >= OPTION_VALUE && code < OPTION_SET) {
        options->value[code - OPTION_VALUE] = argument;
        return true;
    }
    switch (code) {
        case 'u':
            return cli_options_units(&options->common, argument);
        case OPTION_SET:
            return cli_options_set(&options->common, argument);
        case OPTION_COLUMN:
        case OPTION_COLUMN_UNIT:
            return add_key(options, code == OPTION_COLUMN_UNIT, argument);
        case 'o':
            options->common.output = argument;
            break;
        case OPTION_FORCE:
            options->common.force = true;
            break;
        case OPTION_JSON:
            options->common.json = true;
            break;
        case OPTION_SITE_OF:
            options->site_of = argument;
            break;
        case OPTION_YEAR:
            options->year = argument;
            break;
        case 'h':
            options->common.help = true;
            break;
        default: // 'V', the only one left
            options->common.version = true;
            break;
    }
    return true;
}

static bool check(const cli_weather_options *options, const cli_weather_command *command)
{
    const cli_options *common = &options->common;
    if (!common->operand || !*common->operand) {
        cli_complain("weather %s: %s is missing; usage: coilbed weather %s [options] %s",
                     command->name, command->operand, command->name, command->operand);
        return false;
    }
    if ((command->takes & CLI_TAKES_NEW_FILE) != 0 && (!common->output || !*common->output)) {
        cli_complain("weather %s: name the file to write with -o OUT.csv", command->name);
        return false;
    }
    if ((command->takes & CLI_TAKES_FILE) == 0 || options->value[CLI_WEATHER_FORMAT]) {
        return true;
    }
    // Without --format the operand is a design, which says all this itself.
    for (int value = 0; value < CLI_WEATHER_VALUES; value++) {
        if (options->value[value]) {
            cli_complain("weather %s: %s goes with --format, for a bare weather file; for a design "
                         "use --set",
                         command->name, cli_weather_option_name((cli_weather_value)value));
            return false;
        }
    }
    if (options->key_count > 0 || options->site_of) {
        cli_complain("weather %s: %s goes with --format, for a bare weather file; for a design use "
                     "--set",
                     command->name, options->site_of ? "--site-of" : "--column");
        return false;
    }
    return true;
}

static bool finish(cli_weather_options *options, const cli_weather_command *command, int argc,
                   char **argv, int rest)
{
    if (options->common.help || options->common.version) {
        return true;
    }
    if (argc - rest > 1) {
        cli_complain("weather %s: one %s at a time, '%s' is too much", command->name,
                     command->operand, argv[rest + 1]);
        return false;
    }
    options->common.operand = rest < argc ? argv[rest] : NULL;
    return check(options, command);
}

bool cli_weather_options_read(cli_weather_options *options, const cli_weather_command *command,
                              int argc, char **argv)
{
    char name[NAME_SIZE];
    const cli_option_table table = table_of(command, name);
    int rest = 0;
    *options = (cli_weather_options){.common.units = CB_UNITS_US};
    return cli_option_table_read(&table, argc, argv, read_one, options, &rest) &&
           finish(options, command, argc, argv, rest);
}

void cli_weather_options_free(cli_weather_options *options)
{
    cli_options_free(&options->common);
    free(options->key);
    options->key = NULL;
    options->key_count = 0;
}

void cli_weather_command_help(const cli_weather_command *command, FILE *stream)
{
    char name[NAME_SIZE];
    const cli_option_table table = table_of(command, name);
    cli_option_table_help(&table, command->operand, command->details, 22, stream);
}
