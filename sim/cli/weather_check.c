// SPDX-License-Identifier: MIT
#include "cli/facts.h"
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/weather.h"

#include <math.h>
#include <string.h>

static void tell_source(cli_facts *facts, const cli_weather_source *source)
{
    const cb_weather *weather = source->weather;
    facts->section = "weather";
    if (source->design->weather.file) {
        cli_fact_text(facts, "file", "file", "%s", source->design->weather.file);
    }
    cli_fact_text(facts, "format", "format", "%s",
                  cli_weather_format_name(source->design->weather.format));
    cli_fact_value(facts, "years", "years", weather->years, "1", "%d", weather->years);
    cli_fact_text(facts, "provenance", "where it comes from", "%s", weather->description);
    cli_fact_text(facts, "sha256", "SHA-256", "%s", weather->sha256);
}

static void tell_place(cli_facts *facts, const cb_site *site)
{
    facts->section = "site";
    cli_fact_value(facts, "latitude", "latitude", site->latitude_deg, "degree", "%.2f deg",
                   site->latitude_deg);
    cli_fact_value(facts, "longitude", "longitude", site->longitude_deg, "degree", "%.2f deg",
                   site->longitude_deg);
    cli_fact_quantity(facts, "elevation", "elevation", CB_LENGTH, site->elevation_m);
    cli_fact_value(facts, "time_zone", "time zone", site->time_zone_h, "h", "UTC%+g h",
                   site->time_zone_h);
}

/// What each column is in the file, or how it came about.
static const char *column_origin(const cb_design *design, cb_weather_column column, bool found)
{
    const bool generated = design->weather.format == CB_WEATHER_NORMALS;
    const bool humid =
        design->weather.format == CB_WEATHER_PVGIS ||
        (design->weather.format == CB_WEATHER_COLUMNS && !design->weather.columns.dew_point);
    switch (column) {
        case CB_COLUMN_LONGWAVE:
            return cli_longwave_is_measured(design)
                       ? "found"
                       : "none; reckoned from clouds, air and dew point";
        case CB_COLUMN_DEW_POINT:
            if (humid) {
                return "from relative humidity";
            }
            break;
        default:
            break;
    }
    if (!found) {
        return "none";
    }
    return generated ? "made from the normals" : "found";
}

static void tell_columns(cli_facts *facts, const cli_weather_source *source)
{
    const cb_weather_hour *first = source->weather->hour;
    facts->section = "columns";
    for (int i = 0; i < CB_COLUMN_COUNT; i++) {
        const cb_weather_column column = (cb_weather_column)i;
        const cb_weather_column_name *name = cb_weather_column_of(column);
        const bool found =
            (column != CB_COLUMN_PRECIPITATION || !isnan(first->precipitation_kg_m2)) &&
            (column != CB_COLUMN_SNOW_DEPTH || !isnan(first->snow_depth_m));
        char label[CLI_LABEL_SIZE];
        snprintf(label, sizeof label, "%.*s", (int)strcspn(name->heading, "("), name->heading);
        cli_fact *fact = cli_fact_text(facts, name->key, label, "%s",
                                       column_origin(source->design, column, found));
        if (column == CB_COLUMN_PRECIPITATION && !found) {
            cli_fact_note(fact, "no snow falls, and the soil stays as wet as the design says");
        }
    }
}

static void tell_shaping(cli_facts *facts, const cb_run_weather *run_weather)
{
    char note[CLI_SHOWN_SIZE], key[CLI_KEY_SIZE];
    facts->section = "shaping";
    for (int i = 0; i < cb_run_weather_note_count(run_weather); i++) {
        cb_run_weather_note(run_weather, i, facts->system, note, sizeof note);
        snprintf(key, sizeof key, "note_%d", i + 1);
        cli_fact_text(facts, key, "", "%s", note);
    }
}

static void say_assumption(void *context, const char *sentence)
{
    cli_facts *facts = context;
    char key[CLI_KEY_SIZE];
    snprintf(key, sizeof key, "assumption_%zu", facts->count);
    cli_fact_text(facts, key, "", "%s", sentence);
}

static void gather(cli_facts *facts, const cli_weather_source *source,
                   const cb_run_weather *run_weather)
{
    tell_source(facts, source);
    tell_columns(facts, source);
    tell_place(facts, &source->design->site);
    facts->section = "assumed";
    cli_weather_assumed(source, facts->system, say_assumption, facts);
    tell_shaping(facts, run_weather);
}

static int tell(const cli_weather_options *options, const cli_weather_source *source,
                const cb_run_weather *run_weather)
{
    cli_facts facts = {.system = options->common.units};
    gather(&facts, source, run_weather);
    return cli_facts_tell(&facts, &options->common, options->common.operand,
                          "a run can use this weather.");
}

static int check_run(const cli_weather_options *options)
{
    cli_weather_source source;
    cb_run_weather *run_weather = NULL;
    cb_error error = {0};
    cb_status status = cli_weather_source_open(&source, options, false, &error);
    if (status == CB_OK) {
        status = cb_run_weather_create(&run_weather, source.weather, source.design, &error);
    }
    const int result =
        status == CB_OK ? tell(options, &source, run_weather) : cli_fail(&options->common, &error);
    cb_run_weather_destroy(run_weather);
    cli_weather_source_close(&source);
    return result;
}

const cli_weather_command cli_weather_check = {
    .name = "check",
    .operand = "DESIGN|FILE",
    .summary = "say whether a run could use the weather",
    .details = "Reads the weather of a design, or with --format a bare weather file, and says\n"
               "whether a run could use it, which columns it has, how many years and where it\n"
               "comes from. With --format columns, name the columns: KEY is air_temperature,\n"
               "dew_point, relative_humidity, solar, wind, cloud, precipitation, snow_depth or\n"
               "longwave. A file that coilbed wrote needs no --column. TMY3, NSRDB and PVGIS\n"
               "files say where they were taken; of others the site must be given.\n\n"
               "Example:\n"
               "  coilbed weather check --format tmy3 station.csv\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_JSON | CLI_TAKES_FILE | CLI_TAKES_SITE,
    .run = check_run,
};
