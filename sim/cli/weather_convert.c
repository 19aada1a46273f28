// SPDX-License-Identifier: MIT
/// The subcommands that write a plain hourly CSV: convert, generate, shape.
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/terminal.h"
#include "cli/weather.h"

#include <stdlib.h>
#include <string.h>

static cb_weather_hour weather_at(const void *context, long hour)
{
    return ((const cb_weather *)context)->hour[hour];
}

static void print_note(void *context, const char *sentence)
{
    (void)context;
    printf("Note: %s.\n", sentence);
}

static int write_all(const cli_weather_options *options, bool climate)
{
    cli_weather_source source;
    cb_error error = {0};
    int result;
    if (cli_weather_source_open(&source, options, climate, &error) == CB_OK) {
        const cb_weather_csv csv = {.at = weather_at,
                                    .context = source.weather,
                                    .hours = (long)source.weather->years * CB_YEAR_HOURS,
                                    .first_year = CLI_NOMINAL_YEAR,
                                    .first_month = 1,
                                    .first_day = 1};
        cli_wrap(stdout, source.weather->description, 0, 0, cli_width());
        cli_weather_assumed(&source, options->common.units, print_note, NULL);
        result = cli_weather_write(&source, options, &csv);
    } else {
        result = cli_fail(&options->common, &error);
    }
    cli_weather_source_close(&source);
    return result;
}

static int convert_run(const cli_weather_options *options)
{
    return write_all(options, false);
}

static int generate_run(const cli_weather_options *options)
{
    return write_all(options, true);
}

// ---- shape -----------------------------------------------------------------------------------

typedef struct shaped {
    const cb_run_weather *run_weather;
    long first_hour;
} shaped;

static cb_weather_hour shaped_at(const void *context, long hour)
{
    const shaped *self = context;
    return cb_run_weather_at(self->run_weather, self->first_hour + hour);
}

/// The run year to write; 0 for all.
static bool read_year(const char *text, int years, long *year)
{
    *year = 0;
    if (!text || strcmp(text, "all") == 0) {
        return true;
    }
    char *end;
    *year = strtol(text, &end, 10);
    if (end != text && *end == '\0' && *year >= 1 && *year <= years) {
        return true;
    }
    cli_complain("--year '%s': the run has %d years; write 1 to %d, or all", text, years, years);
    return false;
}

static void print_notes(const cb_run_weather *run_weather, cb_unit_system system)
{
    char note[CB_MESSAGE_SIZE];
    const int notes = cb_run_weather_note_count(run_weather);
    for (int i = 0; i < notes; i++) {
        cb_run_weather_note(run_weather, i, system, note, sizeof note);
        cli_wrap(stdout, note, 0, 0, cli_width());
    }
    if (notes == 0) {
        puts("The design shapes nothing onto the run: the typical weather is repeated.");
    }
}

static int write_shaped(const cli_weather_options *options, const cli_weather_source *source,
                        const cb_run_weather *run_weather)
{
    const cb_design_run *run = &source->design->run;
    long year;
    if (!read_year(options->year, run->years, &year)) {
        return CLI_FAILED;
    }
    const shaped part = {run_weather, year > 0 ? (year - 1) * CB_YEAR_HOURS : 0};
    const cb_weather_csv csv = {.at = shaped_at,
                                .context = &part,
                                .hours = (year > 0 ? 1 : (long)run->years) * CB_YEAR_HOURS,
                                .first_year = CLI_NOMINAL_YEAR + (year > 0 ? (int)year - 1 : 0),
                                .first_month = run->start_month,
                                .first_day = run->start_day};
    print_notes(run_weather, options->common.units);
    return cli_weather_write(source, options, &csv);
}

static int shape_run(const cli_weather_options *options)
{
    cli_weather_source source;
    cb_run_weather *run_weather = NULL;
    cb_error error = {0};
    cb_status status = cli_weather_source_open(&source, options, false, &error);
    if (status == CB_OK) {
        status = cb_run_weather_create(&run_weather, source.weather, source.design, &error);
    }
    const int result = status == CB_OK ? write_shaped(options, &source, run_weather)
                                       : cli_fail(&options->common, &error);
    cb_run_weather_destroy(run_weather);
    cli_weather_source_close(&source);
    return result;
}

const cli_weather_command cli_weather_convert = {
    .name = "convert",
    .operand = "DESIGN|FILE",
    .summary = "write the weather as a plain hourly CSV",
    .details =
        "Writes the weather of a design, or with --format of a bare weather file, as a\n"
        "plain hourly CSV in SI with the units in its heading, and prints the block that\n"
        "reads it in a design. What the weather has not (precipitation, snow depth) is left\n"
        "out. KEYs of --column: see coilbed weather check --help.\n\n"
        "Example:\n"
        "  coilbed weather convert --format pvgis tmy.csv --latitude 45 --longitude 8.5 \\\n"
        "    --elevation 200m --time-zone 1 -o plain.csv\n",
    .takes = CLI_TAKES_FILE | CLI_TAKES_SITE | CLI_TAKES_NEW_FILE,
    .run = convert_run,
};

const cli_weather_command cli_weather_generate = {
    .name = "generate",
    .operand = "CLIMATE",
    .summary = "make a year of weather from monthly normals",
    .details =
        "Makes a typical year from a climate file of monthly normals (coilbed new writes\n"
        "one) for a site, as a run does, and writes it as a plain hourly CSV. The same seed\n"
        "makes the same year.\n\n"
        "Example:\n"
        "  coilbed weather generate cold-plain.yaml --seed 11 --latitude 47 \\\n"
        "    --longitude -97 --elevation 900ft -o year.csv\n",
    .takes = CLI_TAKES_SITE | CLI_TAKES_SEED | CLI_TAKES_NEW_FILE,
    .run = generate_run,
};

const cli_weather_command cli_weather_shape = {
    .name = "shape",
    .operand = "DESIGN",
    .summary = "write the weather a run meets, hard seasons shaped on",
    .details = "Writes the weather of a design's run, or of one year of it, with the hard seasons\n"
               "shaped onto it, as a plain hourly CSV, and says what was done. Run years begin at\n"
               "run.start.\n\n"
               "Example:\n"
               "  coilbed weather shape yard.yaml --year 3 -o third-year.csv\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_YEAR | CLI_TAKES_NEW_FILE,
    .run = shape_run,
};
