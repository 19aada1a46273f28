// SPDX-License-Identifier: MIT
#include "cli/explain.h"

#include <math.h>

enum { DAY_HOURS = 24, NOTE_SIZE = 400 };

static const char *const month_name[CB_MONTHS] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                  "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

const char *cli_month_name(int month)
{
    return month_name[month - 1];
}

const char *cli_moment_text(const cb_design_run *run, long run_hour, char *buffer, size_t size)
{
    const cb_moment moment = cb_run_moment(run, run_hour);
    snprintf(buffer, size, "%d %s of year %d, %02d:00", moment.day, month_name[moment.month - 1],
             moment.run_year, moment.hour);
    return buffer;
}

typedef struct year_summary {
    double mean_c, winter_c, solar_j_m2;
    double heating_kh, cooling_kh; ///< below and above 65 degF, from hourly air
} year_summary;

/// Of the typical year, before anything is done to it.
static year_summary summarise(const cb_weather *weather)
{
    static const double degree_day_base_c = (65.0 - 32.0) / 1.8;
    const int december = DAY_HOURS * cb_day_of_year(12, 1);
    const int march = DAY_HOURS * cb_day_of_year(3, 1);
    year_summary sum = {0};
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        const cb_weather_hour *now = &weather->hour[hour];
        const double below_k = degree_day_base_c - now->air_temperature_c;
        sum.mean_c += now->air_temperature_c / CB_YEAR_HOURS;
        sum.winter_c += hour >= december || hour < march ? now->air_temperature_c : 0.0;
        sum.solar_j_m2 += 3600.0 * now->solar_w_m2;
        sum.heating_kh += below_k > 0.0 ? below_k : 0.0;
        sum.cooling_kh += below_k < 0.0 ? -below_k : 0.0;
    }
    sum.winter_c /= march + CB_YEAR_HOURS - december;
    return sum;
}

static void add_degree_days(cli_facts *facts, const char *key, const char *label, double kelvin_h)
{
    const double kelvin_days = kelvin_h / DAY_HOURS;
    const bool us = facts->system == CB_UNITS_US;
    cli_fact *fact = cli_fact_value(facts, key, label, kelvin_days, "K day", "%.0f %s days",
                                    us ? 1.8 * kelvin_days : kelvin_days, us ? "degF" : "K");
    cli_fact_note(fact, "base 65 degF = 18.3 degC, from hourly air");
}

static void add_extremes(cli_facts *facts, const cli_inputs *inputs)
{
    const long hours = (long)inputs->design->run.years * CB_YEAR_HOURS;
    long coldest = 0;
    long warmest = 0;
    double coldest_c = cb_run_weather_at(inputs->run_weather, 0).air_temperature_c;
    double warmest_c = coldest_c;
    for (long hour = 1; hour < hours; hour++) {
        const double air_c = cb_run_weather_at(inputs->run_weather, hour).air_temperature_c;
        if (air_c < coldest_c) {
            coldest_c = air_c;
            coldest = hour;
        }
        if (air_c > warmest_c) {
            warmest_c = air_c;
            warmest = hour;
        }
    }
    const cb_design_run *run = &inputs->design->run;
    char when[CLI_MOMENT_SIZE];
    cli_fact_note(cli_fact_quantity(facts, "coldest_hour", "coldest hour of the run",
                                    CB_TEMPERATURE, coldest_c),
                  "%s", cli_moment_text(run, coldest, when, sizeof when));
    cli_fact_note(cli_fact_quantity(facts, "warmest_hour", "warmest hour of the run",
                                    CB_TEMPERATURE, warmest_c),
                  "%s", cli_moment_text(run, warmest, when, sizeof when));
}

void cli_explain_site(cli_facts *facts, const cli_subject *subject)
{
    const cli_inputs *inputs = subject->inputs;
    const cb_site *site = &inputs->design->site;
    facts->section = "site";
    cli_fact_text(facts, "place", "place", "%.3f deg %s, %.3f deg %s, UTC%+g h",
                  site->latitude_deg < 0.0 ? -site->latitude_deg : site->latitude_deg,
                  site->latitude_deg < 0.0 ? "south" : "north",
                  site->longitude_deg < 0.0 ? -site->longitude_deg : site->longitude_deg,
                  site->longitude_deg < 0.0 ? "west" : "east", site->time_zone_h);
    cli_fact_quantity(facts, "elevation", "elevation", CB_LENGTH, site->elevation_m);

    const year_summary year = summarise(inputs->weather);
    facts->section = "weather";
    cli_fact_text(facts, "source", "source", "%s", inputs->weather->description);
    if (isnan(inputs->weather->hour[0].precipitation_kg_m2)) {
        cli_fact_text(facts, "precipitation", "rain and snow",
                      "not in this weather: no snow lies in the run and the soil keeps a middling "
                      "moisture; frost goes deeper than it would under snow");
    }
    cli_fact_quantity(facts, "annual_mean", "annual mean air", CB_TEMPERATURE, year.mean_c);
    cli_fact_quantity(facts, "winter_mean", "December-February mean", CB_TEMPERATURE,
                      year.winter_c);
    add_extremes(facts, inputs);
    add_degree_days(facts, "heating_degree_days", "heating degree days", year.heating_kh);
    add_degree_days(facts, "cooling_degree_days", "cooling degree days", year.cooling_kh);
    cli_fact_value(facts, "annual_solar", "sun on flat ground", year.solar_j_m2, "J m-2",
                   "%.0f kWh/m2 a year", year.solar_j_m2 / 3.6e6);
    const int notes = cb_run_weather_note_count(inputs->run_weather);
    for (int i = 0; i < notes; i++) {
        char key[CLI_KEY_SIZE];
        char text[NOTE_SIZE];
        snprintf(key, sizeof key, "shaping[%d]", i);
        cb_run_weather_note(inputs->run_weather, i, facts->system, text, sizeof text);
        cli_fact_text(facts, key, i == 0 ? "done to the weather" : " ", "%s", text);
    }
    if (notes == 0) {
        cli_fact_text(facts, "shaping", "done to the weather", "nothing: every year is typical");
    }
}
