// SPDX-License-Identifier: MIT
#include "weather/series.h"
#include "weather/dates.h"
#include "weather/limits.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_ROWS = 8784, LEAP_DAY = 59 };

cbx_reading cbx_no_reading(void)
{
    cbx_reading none;
    for (int q = 0; q < CBX_QUANTITIES; q++) {
        none.value[q] = NAN;
    }
    return none;
}

cb_status cbx_series_add(cbx_series *series, const cbx_reading *reading, bool leap_day,
                         cb_error *error)
{
    if (leap_day) {
        series->leap_rows++;
        return CB_OK;
    }
    if (series->rows == series->capacity) {
        const long capacity = series->capacity ? 2 * series->capacity : FIRST_ROWS;
        cbx_reading *grown = realloc(series->row, (size_t)capacity * sizeof *grown);
        if (!grown) {
            return cb_fail(error, CB_NO_MEMORY, "no memory for %ld rows of weather", capacity);
        }
        series->row = grown;
        series->capacity = capacity;
    }
    series->row[series->rows++] = *reading;
    return CB_OK;
}

void cbx_series_free(cbx_series *series)
{
    free(series->row);
    *series = (cbx_series){0};
}

// ---- place in the year -----------------------------------------------------------------------

static cb_status fail_length(const cbx_series *series, const cbx_table *table, const cbx_csv *csv,
                             int most_years, cb_error *error)
{
    const long per_hour = 60 / series->step_minutes;
    return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                      "the file ends after %ld data rows; expected %ld or %ld rows, one every %d "
                      "minutes, %s%s",
                      table->rows, CB_YEAR_HOURS * per_hour, (CB_YEAR_HOURS + 24) * per_hour,
                      series->step_minutes,
                      most_years > 1 ? "or several whole years of them" : "for one year",
                      most_years > 1 && !cbx_clock_dated(&table->clock)
                          ? " (leap years among several need dates in the rows)"
                          : "");
}

// Row 0 begins at a minute of a leap year; the rows of its 29 February are taken out. Returns the
// minute of a 365-day year at which the first row that stays begins.
static long drop_leap_day(cbx_series *series, long first_minute)
{
    long kept = 0;
    for (long row = 0; row < series->rows; row++) {
        const long minute = (first_minute + row * series->step_minutes + CBX_LEAP_YEAR_MINUTES) %
                            CBX_LEAP_YEAR_MINUTES;
        if (minute / CBX_DAY_MINUTES != LEAP_DAY) {
            series->row[kept++] = series->row[row];
        }
    }
    series->leap_rows = series->rows - kept;
    series->rows = kept;
    if (first_minute / CBX_DAY_MINUTES == LEAP_DAY) {
        return (long)LEAP_DAY * CBX_DAY_MINUTES;
    }
    return first_minute - (first_minute / CBX_DAY_MINUTES > LEAP_DAY ? CBX_DAY_MINUTES : 0);
}

// Minute of the file's year at which row 0 begins, where the rows show no date.
static long undated_first(cbx_series *series, const cbx_clock *clock, int month, int day, bool leap)
{
    const long minute = cbx_clock_first_minute(clock, 0);
    if (leap) {
        return drop_leap_day(series,
                             minute + (long)cbx_leap_day_of_year(month, day) * CBX_DAY_MINUTES);
    }
    const int day_of_year = cb_day_of_year(month, day);
    return minute + (long)(day_of_year < 0 ? LEAP_DAY : day_of_year) * CBX_DAY_MINUTES;
}

cb_status cbx_series_place(cbx_series *series, const cbx_table *table, const cbx_csv *csv,
                           const cbx_extent *given, cb_error *error)
{
    const cbx_clock *clock = &table->clock;
    const long step = clock->step_minutes;
    const bool leap = !cbx_clock_dated(clock) && series->rows * step == CBX_LEAP_YEAR_MINUTES;
    series->step_minutes = clock->step_minutes;
    long first = 0;
    if (clock->form == CBX_NO_DATE) {
        first = undated_first(series, clock, given->month, given->day, leap);
    } else {
        first = cbx_clock_first_minute(clock, 0);
        if (leap) {
            const bool after = first >= (long)LEAP_DAY * CBX_DAY_MINUTES;
            first = drop_leap_day(series, first + (after ? CBX_DAY_MINUTES : 0));
        }
    }
    const long minutes = series->rows * step;
    if (minutes % CBX_YEAR_MINUTES != 0 || minutes < CBX_YEAR_MINUTES ||
        minutes > (long)given->most_years * CBX_YEAR_MINUTES) {
        return fail_length(series, table, csv, given->most_years, error);
    }
    series->first_minute = (double)(first + (series->instants ? clock->first_stamp % step : 0));
    return CB_OK;
}

// ---- hours -----------------------------------------------------------------------------------

// Mean over the hour that begins at a minute of the file's clock. Row j holds from first + j step
// on, or is the beginning of a straight line there, which gives an hour centred on its middle; the
// rows repeat without end.
static double hour_mean(const cbx_series *series, cbx_quantity quantity, double from)
{
    const double step = series->step_minutes, tiny = 1e-6;
    const double first =
        series->first_minute + (quantity == CBX_SOLAR ? series->solar_late_min : 0);
    double sum = 0;
    for (long j = (long)floor((from - first) / step + tiny);; j++) {
        const double start = fmax(from, first + (double)j * step);
        const double end = fmin(from + 60, first + (double)(j + 1) * step);
        if (end - start <= tiny) {
            return sum;
        }
        const long row = (j % series->rows + series->rows) % series->rows;
        double value = series->row[row].value[quantity];
        if (series->instants) {
            const double along = ((start + end) / 2 - first) / step - (double)j;
            value += along * (series->row[(row + 1) % series->rows].value[quantity] - value);
        }
        sum += value * ((end - start) / 60);
    }
}

static void fill_hour(const cbx_series *series, cb_weather *weather, long hour, cbx_raw_hour *raw)
{
    const double from = 60.0 * ((double)hour - series->ahead_of_file_h);
    *raw = (cbx_raw_hour){.air_c = hour_mean(series, CBX_AIR, from),
                          .dew_c = hour_mean(series, CBX_DEW, from),
                          .solar_w_m2 = hour_mean(series, CBX_SOLAR, from),
                          .wind_m_s = hour_mean(series, CBX_WIND, from),
                          .cloud = hour_mean(series, CBX_CLOUD, from)};
    cb_weather_hour *out = &weather->hour[hour];
    out->longwave_w_m2 = hour_mean(series, CBX_LONGWAVE, from);
    out->precipitation_kg_m2 =
        hour_mean(series, CBX_PRECIPITATION, from) * (60.0 / series->step_minutes);
    out->snow_depth_m = hour_mean(series, CBX_SNOW_DEPTH, from);
}

// Air, dew point, sun and wind as raw; what was measured besides stays.
static void finish_hour(cb_weather *weather, int hour, const cbx_raw_hour *raw)
{
    const cb_weather_hour measured = weather->hour[hour];
    cbx_finish_hour(weather, hour, raw);
    weather->hour[hour].precipitation_kg_m2 = measured.precipitation_kg_m2;
    weather->hour[hour].snow_depth_m = measured.snow_depth_m;
    if (!isnan(measured.longwave_w_m2)) {
        weather->hour[hour].longwave_w_m2 = measured.longwave_w_m2;
    }
}

static cb_status fill(const cbx_series *series, cb_weather *weather, const cb_site *site,
                      cbx_raw_hour *raw, cb_error *error)
{
    const int years = (int)(series->rows * series->step_minutes / CBX_YEAR_MINUTES);
    cb_weather_hour *hours = realloc(weather->hour, (size_t)years * CB_YEAR_HOURS * sizeof *hours);
    if (!hours) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for %d years of weather", years);
    }
    weather->hour = hours;
    weather->years = years;
    for (int year = 0; year < years; year++) {
        const int start = year * CB_YEAR_HOURS;
        for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
            fill_hour(series, weather, start + hour, &raw[hour]);
        }
        if (isnan(raw[0].cloud)) {
            cbx_cloud_from_solar(site, raw);
        }
        for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
            finish_hour(weather, start + hour, &raw[hour]);
        }
    }
    return CB_OK;
}

cb_status cbx_series_finish(const cbx_series *given, cb_weather *weather, const cb_site *site,
                            const cbx_csv *csv, cb_error *error)
{
    cbx_series series = *given;
    // An instant in the middle of its step stands for the step.
    const double aside = fmod(60.0 * 14 * 60 + series.first_minute + 60.0 * series.ahead_of_file_h +
                                  series.step_minutes / 2.0,
                              series.step_minutes);
    if (series.instants && series.solar_late_min == 0 && fabs(aside) < 1e-6) {
        series.instants = false;
        series.first_minute -= series.step_minutes / 2.0;
    }
    cbx_raw_hour *raw = calloc(CB_YEAR_HOURS, sizeof *raw);
    if (!raw) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a year of weather");
    }
    cb_status status = fill(&series, weather, site, raw, error);
    free(raw);
    if (status == CB_OK) {
        memcpy(weather->sha256, csv->sha256, sizeof weather->sha256);
        status = cbx_check_rain(weather, csv, error);
    }
    return status == CB_OK ? cbx_check_sun(weather, site, csv, series.turned, error) : status;
}
