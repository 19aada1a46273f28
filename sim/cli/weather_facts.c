// SPDX-License-Identifier: MIT
#include "cli/explain.h"
#include "cli/weather.h"

#include <math.h>

enum { DAY_HOURS = 24 };
static const double degree_day_base_c = (65.0 - 32.0) / 1.8;

static bool in_month(int month, int day_of_year)
{
    const int end = month < 12 ? cb_day_of_year(month + 1, 1) : CB_YEAR_DAYS;
    return day_of_year >= cb_day_of_year(month, 1) && day_of_year < end;
}

typedef struct month_means {
    double air_c, range_k, solar_j_day, dew_c, wind_m_s, precipitation_kg_m2;
} month_means;

/// Means over the same month of all years.
static month_means means_of(const cb_weather *weather, int month)
{
    month_means sum = {0};
    int days = 0;
    for (int day = 0; day < weather->years * CB_YEAR_DAYS; day++) {
        if (!in_month(month, day % CB_YEAR_DAYS)) {
            continue;
        }
        double low = INFINITY, high = -INFINITY;
        days++;
        for (int hour = 0; hour < DAY_HOURS; hour++) {
            const cb_weather_hour *now = &weather->hour[DAY_HOURS * day + hour];
            low = fmin(low, now->air_temperature_c);
            high = fmax(high, now->air_temperature_c);
            sum.air_c += now->air_temperature_c / DAY_HOURS;
            sum.solar_j_day += 3600.0 * now->solar_w_m2;
            sum.dew_c += now->dew_point_c / DAY_HOURS;
            sum.wind_m_s += now->wind_m_s / DAY_HOURS;
            sum.precipitation_kg_m2 += now->precipitation_kg_m2;
        }
        sum.range_k += high - low;
    }
    return (month_means){sum.air_c / days,       sum.range_k / days,
                         sum.solar_j_day / days, sum.dew_c / days,
                         sum.wind_m_s / days,    sum.precipitation_kg_m2 / weather->years};
}

static const char *shown(cb_kind kind, const cli_facts *facts, double si, char buffer[40])
{
    cb_units_format(kind, facts->system, si, 3, buffer, 40);
    return buffer;
}

/// Rain in mm or in: the length kinds speak of feet and metres.
static void rain_text(const cli_facts *facts, double kg_m2, char buffer[40])
{
    if (isnan(kg_m2)) {
        snprintf(buffer, 40, "not known");
    } else if (facts->system == CB_UNITS_US) {
        snprintf(buffer, 40, "%.2f in", kg_m2 / 25.4);
    } else {
        snprintf(buffer, 40, "%.0f mm", kg_m2);
    }
}

static void add_month(cli_facts *facts, const cb_weather *weather, int month)
{
    const month_means m = means_of(weather, month);
    char key[CLI_KEY_SIZE], air[40], range[40], solar[40], dew[40], wind[40], rain[40];
    rain_text(facts, m.precipitation_kg_m2, rain);
    snprintf(key, sizeof key, "month[%d]", month);
    cli_fact_value(facts, key, cli_month_name(month), m.air_c, "degree_Celsius",
                   "%s, daily range %s, sun %s a day, dew point %s, wind %s, rain and snow %s",
                   shown(CB_TEMPERATURE, facts, m.air_c, air),
                   shown(CB_TEMPERATURE_DIFFERENCE, facts, m.range_k, range),
                   shown(CB_SOLAR_ENERGY, facts, m.solar_j_day, solar),
                   shown(CB_TEMPERATURE, facts, m.dew_c, dew),
                   shown(CB_SPEED, facts, m.wind_m_s, wind), rain);
}

/// Mean of December-February (of the same calendar year) of each year.
static double winter_c(const cb_weather *weather, int year)
{
    double sum = 0.0;
    int hours = 0;
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        const int day = hour / DAY_HOURS;
        if (day < cb_day_of_year(3, 1) || day >= cb_day_of_year(12, 1)) {
            sum += weather->hour[(long)year * CB_YEAR_HOURS + hour].air_temperature_c;
            hours++;
        }
    }
    return sum / hours;
}

static void add_winters(cli_facts *facts, const cb_weather *weather)
{
    double sum = 0.0, squares = 0.0;
    for (int year = 0; year < weather->years; year++) {
        sum += winter_c(weather, year);
    }
    const double mean_c = sum / weather->years;
    cli_fact_quantity(facts, "winter_mean", "December-February mean", CB_TEMPERATURE, mean_c);
    for (int year = 0; year < weather->years; year++) {
        squares += pow(winter_c(weather, year) - mean_c, 2.0);
    }
    if (weather->years >= 3) {
        cli_fact_note(
            cli_fact_quantity(facts, "winter_deviation", "between winters",
                              CB_TEMPERATURE_DIFFERENCE, sqrt(squares / (weather->years - 1))),
            "standard deviation, for weather.winter_deviation; %d winters", weather->years);
    }
}

static void add_extremes(cli_facts *facts, const cb_weather *weather)
{
    double low = INFINITY, high = -INFINITY, heating = 0.0, cooling = 0.0, frost = 0.0;
    for (long hour = 0; hour < (long)weather->years * CB_YEAR_HOURS; hour++) {
        const double air_c = weather->hour[hour].air_temperature_c;
        low = fmin(low, air_c);
        high = fmax(high, air_c);
        heating += fmax(0.0, degree_day_base_c - air_c);
        cooling += fmax(0.0, air_c - degree_day_base_c);
        frost += fmax(0.0, -air_c);
    }
    const double per_year = 1.0 / (DAY_HOURS * weather->years);
    const bool us = facts->system == CB_UNITS_US;
    const double scale = us ? 1.8 : 1.0;
    const char *unit = us ? "degF" : "K";
    cli_fact_quantity(facts, "coldest_hour", "coldest hour", CB_TEMPERATURE, low);
    cli_fact_quantity(facts, "warmest_hour", "warmest hour", CB_TEMPERATURE, high);
    cli_fact_value(facts, "heating_degree_days", "heating degree days", heating * per_year, "K day",
                   "%.0f %s days a year, base 65 degF", scale * heating * per_year, unit);
    cli_fact_value(facts, "cooling_degree_days", "cooling degree days", cooling * per_year, "K day",
                   "%.0f %s days a year, base 65 degF", scale * cooling * per_year, unit);
    cli_fact_value(facts, "air_freezing_index", "air freezing index", frost * per_year, "K day",
                   "%.0f %s days a year below 32 degF (0 degC), from hourly air",
                   scale * frost * per_year, unit);
}

static double yearly_rain(const cb_weather *weather)
{
    double sum = 0.0;
    for (int month = 1; month <= CB_MONTHS; month++) {
        sum += means_of(weather, month).precipitation_kg_m2;
    }
    return sum;
}

void cli_weather_check_facts(cli_facts *facts, const cli_weather_input *input)
{
    const cb_weather *weather = input->weather;
    const cb_weather_hour *first = &weather->hour[0];
    char rain[40];
    rain_text(facts, yearly_rain(weather), rain);
    cli_fact_text(facts, "source", "source", "%s", weather->description);
    cli_fact_value(facts, "years", "years", weather->years, "1", "%d, whole and without gaps",
                   weather->years);
    cli_fact_note(cli_fact_text(facts, "precipitation", "rain and snow", "%s a year", rain), "%s",
                  isnan(first->precipitation_kg_m2)
                      ? "no snow will lie and the soil keeps a middling moisture: frost goes deep"
                      : "");
    cli_fact_text(facts, "snow_depth", "snow depth", "%s",
                  isnan(first->snow_depth_m) ? "worked out from precipitation" : "measured");
    cli_fact_text(facts, "sha256", "SHA-256", "%s", weather->sha256);
    const int notes = cb_run_weather_note_count(input->run_weather);
    for (int n = 0; n < notes; n++) {
        char key[CLI_KEY_SIZE], text[CLI_SHOWN_SIZE];
        snprintf(key, sizeof key, "shaping[%d]", n);
        cb_run_weather_note(input->run_weather, n, facts->system, text, sizeof text);
        cli_fact_text(facts, key, n == 0 ? "done to it in a run" : " ", "%s", text);
    }
}

void cli_weather_describe_facts(cli_facts *facts, const cli_weather_input *input)
{
    const cb_weather *weather = input->weather;
    char rain[40];
    rain_text(facts, yearly_rain(weather), rain);
    cli_fact_text(facts, "source", "source", "%s", weather->description);
    add_extremes(facts, weather);
    add_winters(facts, weather);
    cli_fact_text(facts, "precipitation", "rain and snow", "%s a year", rain);
    facts->section = "months";
    for (int month = 1; month <= CB_MONTHS; month++) {
        add_month(facts, weather, month);
    }
}
