// SPDX-License-Identifier: MIT
#include "cli/facts.h"
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/terminal.h"
#include "cli/weather.h"

#include <math.h>

enum { DATE_SIZE = 48 };
static const char *const month_name[CB_MONTHS] = {"January",   "February", "March",    "April",
                                                  "May",       "June",     "July",     "August",
                                                  "September", "October",  "November", "December"};
static const double j_per_kwh = 3.6e6;
/// Winters of a station that tell how far they differ; common practice, no source.
enum { ENOUGH_WINTERS = 20 };

/// "17 January 06:00", with the year where there are several.
static const char *date_text(const cb_weather *weather, long hour, char text[DATE_SIZE])
{
    const cb_design_run calendar = {.years = 1, .start_month = 1, .start_day = 1};
    const cb_moment moment = cb_run_moment(&calendar, hour);
    char year[DATE_SIZE / 2] = "";
    if (weather->years > 1) {
        snprintf(year, sizeof year, " of year %d", moment.run_year);
    }
    snprintf(text, DATE_SIZE, "%d %s, %02d:00%s", moment.day, month_name[moment.month - 1],
             moment.hour, year);
    return text;
}

static double shown_mm(cb_unit_system system, double mm)
{
    return system == CB_UNITS_US ? mm / 25.4 : mm;
}

static void print_row(const char *name, const cli_weather_month *row, cb_unit_system system)
{
    printf("  %-10s %8.1f %8.1f %8.2f %8.1f %8.1f", name,
           cb_units_value(CB_TEMPERATURE, system, row->air_c),
           cb_units_value(CB_TEMPERATURE_DIFFERENCE, system, row->daily_range_k),
           row->solar_j_m2_day / j_per_kwh,
           cb_units_value(CB_TEMPERATURE, system, row->dew_point_c),
           cb_units_value(CB_SPEED, system, row->wind_m_s));
    if (isnan(row->precipitation_kg_m2)) {
        printf(" %8s\n", "-");
    } else {
        printf(" %8.*f\n", system == CB_UNITS_US ? 2 : 1,
               shown_mm(system, row->precipitation_kg_m2));
    }
}

static void print_table(const cli_weather_statistics *of, cb_unit_system system)
{
    const bool us = system == CB_UNITS_US;
    printf("  %-10s %8s %8s %8s %8s %8s %8s\n", "", "air", "daily", "solar", "dew", "wind",
           "rain and");
    printf("  %-10s %8s %8s %8s %8s %8s %8s\n", "", "mean", "range", "per day", "point", "",
           "snow");
    printf("  %-10s %8s %8s %8s %8s %8s %8s\n", "", us ? "degF" : "degC", us ? "degF" : "K",
           "kWh/m2", us ? "degF" : "degC", us ? "mph" : "m/s", us ? "in" : "mm");
    for (int m = 0; m < CB_MONTHS; m++) {
        print_row(month_name[m], &of->month[m], system);
    }
    print_row("Year", &of->year, system);
    putchar('\n');
}

static void tell_rain(cli_facts *facts, const char *label, double mm)
{
    if (isnan(mm)) {
        cli_fact_text(facts, "precipitation", label, "none in this weather");
        return;
    }
    const bool us = facts->system == CB_UNITS_US;
    cli_fact_value(facts, "precipitation", label, mm, "kg m-2", us ? "%.1f in" : "%.0f mm",
                   shown_mm(facts->system, mm));
}

/// JSON alone: people have the table.
static void tell_month(cli_facts *facts, const char *section, const cli_weather_month *month)
{
    facts->section = section;
    cli_fact_quantity(facts, "air_temperature", "air", CB_TEMPERATURE, month->air_c);
    cli_fact_quantity(facts, "daily_range", "daily range", CB_TEMPERATURE_DIFFERENCE,
                      month->daily_range_k);
    cli_fact_value(facts, "solar", "solar per day", month->solar_j_m2_day, "J m-2", "%.2f kWh/m2",
                   month->solar_j_m2_day / j_per_kwh);
    cli_fact_quantity(facts, "dew_point", "dew point", CB_TEMPERATURE, month->dew_point_c);
    cli_fact_quantity(facts, "wind", "wind", CB_SPEED, month->wind_m_s);
    tell_rain(facts, "rain and snow", month->precipitation_kg_m2);
}

static void tell_months(cli_facts *facts, const cli_weather_statistics *of)
{
    static const char *const key[CB_MONTHS] = {"january",   "february", "march",    "april",
                                               "may",       "june",     "july",     "august",
                                               "september", "october",  "november", "december"};
    for (int m = 0; m < CB_MONTHS; m++) {
        tell_month(facts, key[m], &of->month[m]);
    }
    tell_month(facts, "mean_year", &of->year);
}

static void tell_degree_days(cli_facts *facts, const char *key, const char *label, double k_day,
                             const char *note)
{
    const bool us = facts->system == CB_UNITS_US;
    cli_fact_note(cli_fact_value(facts, key, label, k_day, "K day",
                                 us ? "%.0f degF days" : "%.0f K days", us ? 1.8 * k_day : k_day),
                  "%s", note);
}

static void tell_extremes(cli_facts *facts, const cb_weather *weather,
                          const cli_weather_statistics *of)
{
    char date[DATE_SIZE];
    facts->section = "extremes";
    cli_fact_note(cli_fact_quantity(facts, "coldest_hour", "coldest hour", CB_TEMPERATURE,
                                    weather->hour[of->coldest_hour].air_temperature_c),
                  "%s", date_text(weather, of->coldest_hour, date));
    cli_fact_note(cli_fact_quantity(facts, "warmest_hour", "warmest hour", CB_TEMPERATURE,
                                    weather->hour[of->warmest_hour].air_temperature_c),
                  "%s", date_text(weather, of->warmest_hour, date));
}

static void tell_winters(cli_facts *facts, const cb_weather *weather,
                         const cli_weather_statistics *of)
{
    if (weather->years == 1) {
        return;
    }
    if (isnan(of->winter_deviation_k)) {
        cli_fact_text(facts, "winter_deviation", "between winters",
                      "three years or more would tell how far winters differ");
        return;
    }
    cli_fact *fact = cli_fact_quantity(facts, "winter_deviation", "between winters",
                                       CB_TEMPERATURE_DIFFERENCE, of->winter_deviation_k);
    cli_fact_note(fact,
                  "standard deviation of the mean of %d winters; goes into "
                  "weather.winter_deviation%s",
                  of->winters, of->winters < ENOUGH_WINTERS ? "; few, twenty tell it well" : "");
}

static void tell_year(cli_facts *facts, const cb_weather *weather, const cb_design *design,
                      const cli_weather_statistics *of)
{
    const bool south = design->site.latitude_deg < 0;
    tell_extremes(facts, weather, of);
    facts->section = "seasons";
    cli_fact_note(
        cli_fact_quantity(facts, "winter_mean", "winter mean", CB_TEMPERATURE, of->winter_c), "%s",
        south ? "June-August" : "December-February");
    cli_fact_note(
        cli_fact_quantity(facts, "summer_mean", "summer mean", CB_TEMPERATURE, of->summer_c), "%s",
        south ? "December-February" : "June-August");
    tell_winters(facts, weather, of);
    facts->section = "sums";
    const char *base = facts->system == CB_UNITS_US ? "base 65 degF, of daily means"
                                                    : "base 18.3 degC, of daily means";
    tell_degree_days(facts, "heating_degree_days", "heating degree-days", of->heating_k_day, base);
    tell_degree_days(facts, "cooling_degree_days", "cooling degree-days", of->cooling_k_day, base);
    tell_degree_days(facts, "freezing_index", "freezing index", of->freezing_k_day,
                     "degree-days below freezing of a winter, thaws in between taken off");
    tell_rain(facts, "annual precipitation", of->year.precipitation_kg_m2);
}

static void print_line(void *context, const char *sentence)
{
    (void)context;
    printf("Note: %s.\n", sentence);
}

static void print_all(const cli_weather_options *options, const cli_weather_source *source,
                      const cli_weather_statistics *of, const cli_facts *facts)
{
    const cb_unit_system system = options->common.units;
    printf("%s\n", options->common.operand);
    cli_wrap(stdout, source->weather->description, 0, 0, cli_width());
    cli_weather_assumed(source, system, print_line, NULL);
    if (source->weather->years > 1) {
        printf("Means over %d years.\n", source->weather->years);
    }
    putchar('\n');
    print_table(of, system);
    cli_facts_print(facts, cli_width(), stdout);
}

static int tell(const cli_weather_options *options, const cli_weather_source *source)
{
    cli_weather_statistics statistics;
    cli_facts facts = {.system = options->common.units};
    cli_weather_statistics_of(source->weather, source->design->site.latitude_deg < 0, &statistics);
    if (options->common.json) {
        facts.section = "weather";
        cli_fact_text(&facts, "provenance", "", "%s", source->weather->description);
        cli_fact_value(&facts, "years", "", source->weather->years, "1", "%d",
                       source->weather->years);
        tell_months(&facts, &statistics);
    }
    tell_year(&facts, source->weather, source->design, &statistics);
    int result = CLI_HELD;
    if (facts.failed) {
        cb_error error = {0};
        cb_fail(&error, CB_NO_MEMORY, "out of memory");
        result = cli_fail(&options->common, &error);
    } else if (options->common.json) {
        cli_facts_json(&facts, options->common.operand, stdout);
    } else {
        print_all(options, source, &statistics, &facts);
    }
    cli_facts_free(&facts);
    return result;
}

static int describe_run(const cli_weather_options *options)
{
    cli_weather_source source;
    cb_error error = {0};
    const cb_status status = cli_weather_source_open(&source, options, false, &error);
    const int result =
        status == CB_OK ? tell(options, &source) : cli_fail(&options->common, &error);
    cli_weather_source_close(&source);
    return result;
}

const cli_weather_command cli_weather_describe = {
    .name = "describe",
    .operand = "DESIGN|FILE",
    .summary = "monthly means, extremes, degree-days, freezing index",
    .details =
        "Describes the weather of a design (before its hard seasons are shaped onto the\n"
        "run), or with --format a bare weather file: monthly means, coldest and warmest\n"
        "hour, winter and summer mean, degree-days, freezing index, precipitation. From\n"
        "three years on also how far winters differ, for weather.winter_deviation. KEYs of\n"
        "--column: see coilbed weather check --help.\n\n"
        "Example:\n"
        "  coilbed weather describe --format nsrdb 2017.csv --site-of yard.yaml --units si\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_JSON | CLI_TAKES_FILE | CLI_TAKES_SITE,
    .run = describe_run,
};
