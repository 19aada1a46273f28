// SPDX-License-Identifier: MIT
/// The parts of `coilbed weather`: its subcommands, their options, and where the weather is from.
#ifndef CLI_WEATHER_H
#define CLI_WEATHER_H

#include "cli/options.h"
#include "coilbed/weather.h"

/// Which options a subcommand takes, besides CLI_TAKES_...; --set, --help and --version always.
enum {
    CLI_TAKES_FILE = 1 << 16, ///< --format and the columns: the operand may be a bare weather file
    CLI_TAKES_SITE = 1 << 17, ///< the place: --latitude and so on
    CLI_TAKES_SEED = 1 << 18,
    CLI_TAKES_YEAR = 1 << 19,
    CLI_TAKES_NEW_FILE = 1 << 20 ///< -o OUT.csv and --force
};

/// Options that stand for one value of a design.
typedef enum cli_weather_value {
    CLI_WEATHER_FORMAT,
    CLI_WEATHER_LATITUDE,
    CLI_WEATHER_LONGITUDE,
    CLI_WEATHER_ELEVATION,
    CLI_WEATHER_TIME_ZONE,
    CLI_WEATHER_HEADER_LINES,
    CLI_WEATHER_HOUR,
    CLI_WEATHER_FIRST,
    CLI_WEATHER_SEED,
    CLI_WEATHER_VALUES
} cli_weather_value;

/// "--column KEY=NAME" or "--column-unit KEY=UNIT".
typedef struct cli_weather_key {
    bool unit;
    const char *text;
} cli_weather_key;

typedef struct cli_weather_options {
    cli_options common;
    const char *value[CLI_WEATHER_VALUES]; ///< NULL if not given
    const char *site_of;
    const char *year;
    cli_weather_key *key; ///< [key_count], owned
    size_t key_count;
} cli_weather_options;

typedef struct cli_weather_command {
    const char *name, *operand, *summary;
    const char *details; ///< paragraphs of its help, the last one an example
    unsigned takes;
    int (*run)(const cli_weather_options *options);
} cli_weather_command;

extern const cli_weather_command cli_weather_check, cli_weather_describe, cli_weather_convert,
    cli_weather_generate, cli_weather_shape;

/// As cli_options_read and its like.
bool cli_weather_options_read(cli_weather_options *options, const cli_weather_command *command,
                              int argc, char **argv);
void cli_weather_options_free(cli_weather_options *options);
void cli_weather_command_help(const cli_weather_command *command, FILE *stream);

/// "--latitude" for CLI_WEATHER_LATITUDE.
const char *cli_weather_option_name(cli_weather_value value);

// ---- where the weather is from ---------------------------------------------------------------

typedef enum cli_weather_operand {
    CLI_OPERAND_DESIGN,
    CLI_OPERAND_FILE,
    CLI_OPERAND_CLIMATE
} cli_weather_operand;

typedef struct cli_weather_source {
    cli_weather_operand operand;
    cb_units *units;
    cb_design *design; ///< for a bare file one made up around it
    cb_weather *weather;
    bool elevation_assumed, time_zone_assumed;
} cli_weather_source;

/// Reads what the options name: a design, with --format a bare file, and for `climate` a file of
/// monthly normals. cli_weather_source_close is needed in every case.
cb_status cli_weather_source_open(cli_weather_source *source, const cli_weather_options *options,
                                  bool climate, cb_error *error);
void cli_weather_source_close(cli_weather_source *source);

/// As --format takes it; of normals, which have no file, what they are.
const char *cli_weather_format_name(cb_weather_format format);

/// True if the sky's longwave came with the file.
bool cli_longwave_is_measured(const cb_design *design);

/// A sentence for each value of the place that was not given; calls `say` for each.
void cli_weather_assumed(const cli_weather_source *source, cb_unit_system system,
                         void (*say)(void *context, const char *sentence), void *context);

// ---- statistics ------------------------------------------------------------------------------

typedef struct cli_weather_month {
    double air_c, daily_range_k, solar_j_m2_day, dew_point_c, wind_m_s;
    double precipitation_kg_m2; ///< of the month; NaN if the source has none
} cli_weather_month;

/// Means over all years, unless said otherwise.
typedef struct cli_weather_statistics {
    cli_weather_month month[CB_MONTHS];
    cli_weather_month year;              ///< precipitation of the whole year
    long coldest_hour, warmest_hour;     ///< index in the weather
    double winter_c, summer_c;           ///< the three coldest and warmest months by the calendar
    double heating_k_day, cooling_k_day; ///< per year, of daily means, base 65 degF
    double freezing_k_day;               ///< freezing index of a winter
    int winters;                         ///< whole winters behind winter_deviation_k
    double winter_deviation_k;           ///< between winters; NaN for fewer than three years
} cli_weather_statistics;

/// south: winter is June to August.
void cli_weather_statistics_of(const cb_weather *weather, bool south, cli_weather_statistics *out);

// ---- writing ---------------------------------------------------------------------------------

/// Writes the hours to options->common.output, which must not exist or, with --force, not be an
/// input, and prints the YAML that reads it back. Returns the exit status; failures are reported.
int cli_weather_write(const cli_weather_source *source, const cli_weather_options *options,
                      const cb_weather_csv *csv);

/// Years in the time column of what is written begin here: hours of a typical year have none.
enum { CLI_NOMINAL_YEAR = 2001 };

#endif
