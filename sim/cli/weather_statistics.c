// SPDX-License-Identifier: MIT
#include "cli/weather.h"

#include <math.h>
#include <string.h>

/// 65 degF, the base of degree-days in US practice.
static const double degree_day_base_c = (65.0 - 32.0) / 1.8;
enum { DAY_HOURS = 24, SEASON_MONTHS = 3, LEAST_YEARS = 3 };

typedef struct day {
    double mean_c, range_k, solar_j_m2, dew_point_c, wind_m_s, precipitation_kg_m2;
} day;

static day day_of(const cb_weather *weather, long number)
{
    const cb_weather_hour *hour = &weather->hour[number * DAY_HOURS];
    day sum = {0};
    double low = hour->air_temperature_c, high = low;
    for (int h = 0; h < DAY_HOURS; h++) {
        sum.mean_c += hour[h].air_temperature_c / DAY_HOURS;
        sum.solar_j_m2 += hour[h].solar_w_m2 * 3600;
        sum.dew_point_c += hour[h].dew_point_c / DAY_HOURS;
        sum.wind_m_s += hour[h].wind_m_s / DAY_HOURS;
        sum.precipitation_kg_m2 += hour[h].precipitation_kg_m2;
        low = fmin(low, hour[h].air_temperature_c);
        high = fmax(high, hour[h].air_temperature_c);
    }
    sum.range_k = high - low;
    return sum;
}

/// Adds `share` of a day to a month's means; its precipitation by `amount`.
static void add_day(cli_weather_month *month, const day *one, double share, double amount)
{
    month->air_c += one->mean_c * share;
    month->daily_range_k += one->range_k * share;
    month->solar_j_m2_day += one->solar_j_m2 * share;
    month->dew_point_c += one->dew_point_c * share;
    month->wind_m_s += one->wind_m_s * share;
    month->precipitation_kg_m2 += one->precipitation_kg_m2 * amount;
}

static int month_of(int day_of_year)
{
    int month = 1;
    while (month < CB_MONTHS && day_of_year >= cb_day_of_year(month + 1, 1)) {
        month++;
    }
    return month;
}

static int days_in(int month)
{
    return (month < CB_MONTHS ? cb_day_of_year(month + 1, 1) : CB_YEAR_DAYS) -
           cb_day_of_year(month, 1);
}

static void sum_days(const cb_weather *weather, cli_weather_statistics *out)
{
    const double years = weather->years;
    const long days = (long)weather->years * CB_YEAR_DAYS;
    for (long number = 0; number < days; number++) {
        const day one = day_of(weather, number);
        const int month = month_of((int)(number % CB_YEAR_DAYS));
        add_day(&out->month[month - 1], &one, 1 / (years * days_in(month)), 1 / years);
        add_day(&out->year, &one, 1 / (double)days, 1 / years);
        out->heating_k_day += fmax(0, degree_day_base_c - one.mean_c) / years;
        out->cooling_k_day += fmax(0, one.mean_c - degree_day_base_c) / years;
    }
}

static void find_extremes(const cb_weather *weather, cli_weather_statistics *out)
{
    const cb_weather_hour *hour = weather->hour;
    for (long h = 1; h < (long)weather->years * CB_YEAR_HOURS; h++) {
        if (hour[h].air_temperature_c < hour[out->coldest_hour].air_temperature_c) {
            out->coldest_hour = h;
        }
        if (hour[h].air_temperature_c > hour[out->warmest_hour].air_temperature_c) {
            out->warmest_hour = h;
        }
    }
}

/// Mean air of three months that begin with `first` (1..12), of all years, their days alike.
static double season_c(const cli_weather_statistics *of, int first)
{
    double sum = 0;
    int days = 0;
    for (int m = 0; m < SEASON_MONTHS; m++) {
        const int month = (first - 1 + m) % CB_MONTHS + 1;
        sum += of->month[month - 1].air_c * days_in(month);
        days += days_in(month);
    }
    return sum / days;
}

/// Mean air of `days` from `first`, going round at the end of the last year.
static double mean_c(const cb_weather *weather, long first, int days)
{
    double sum = 0;
    for (long number = first; number < first + days; number++) {
        sum += day_of(weather, number % ((long)weather->years * CB_YEAR_DAYS)).mean_c;
    }
    return sum / days;
}

/// Freezing index of one winter: the fall of the running sum of daily means [K day] from its
/// highest to the lowest point after it, over the year that begins at `first`.
static double freezing_k_day(const cb_weather *weather, long first)
{
    double sum = 0, highest = 0, fall = 0;
    for (long number = first; number < first + CB_YEAR_DAYS; number++) {
        sum += day_of(weather, number % ((long)weather->years * CB_YEAR_DAYS)).mean_c;
        highest = fmax(highest, sum);
        fall = fmax(fall, highest - sum);
    }
    return fall;
}

/// Winters that no end of the data cuts. One year is a typical one and repeats: its winter is the
/// end of the year with its beginning.
static void look_at_winters(const cb_weather *weather, bool south, cli_weather_statistics *out)
{
    // Northern years are cut in July and winters in December; southern need no cut.
    const int winters = weather->years > 1 && !south ? weather->years - 1 : weather->years;
    const int summer_day = south ? 0 : cb_day_of_year(7, 1);
    const int winter_day = cb_day_of_year(south ? 6 : 12, 1);
    const int winter_days = south ? 30 + 31 + 31 : 31 + 31 + 28;
    double sum = 0, squares = 0;
    for (int winter = 0; winter < winters; winter++) {
        const long start = (long)winter * CB_YEAR_DAYS;
        out->freezing_k_day += freezing_k_day(weather, start + summer_day) / winters;
        const double air_c = mean_c(weather, start + winter_day, winter_days);
        sum += air_c;
        squares += air_c * air_c;
    }
    out->winters = winters;
    out->winter_deviation_k = NAN;
    if (weather->years >= LEAST_YEARS) {
        const double spread = squares - sum * sum / winters;
        out->winter_deviation_k = sqrt(fmax(0, spread) / (winters - 1));
    }
}

void cli_weather_statistics_of(const cb_weather *weather, bool south, cli_weather_statistics *out)
{
    memset(out, 0, sizeof *out);
    sum_days(weather, out);
    find_extremes(weather, out);
    out->winter_c = season_c(out, south ? 6 : 12);
    out->summer_c = season_c(out, south ? 12 : 6);
    look_at_winters(weather, south, out);
}
