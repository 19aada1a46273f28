// SPDX-License-Identifier: MIT
#include "station_rows.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

// What each kind of value can be; anything else is a fault of the instrument or a code.
static const struct {
    double low, high;
} limits[STATION_KINDS] = {
    [STATION_AIR_C] = {-90, 60},       [STATION_LOW_C] = {-90, 60},
    [STATION_HIGH_C] = {-90, 60},      [STATION_HUMIDITY] = {0, 110},
    [STATION_DEW_POINT_C] = {-90, 40}, [STATION_SOLAR_W_M2] = {-20, 6000},
    [STATION_SUNSHINE_H] = {0, 24},    [STATION_CLOUD] = {0, 1.0001},
    [STATION_WIND_M_S] = {0, 75},      [STATION_RAIN_MM] = {0, 2000},
    [STATION_SNOW_DEPTH_M] = {0, 15},  [STATION_PRESSURE_KPA] = {4, 1100},
    [STATION_SURFACE_C] = {-70, 90},
};
static const double soil_low_c = -60.0, soil_high_c = 80.0;

double *station_rows_add(station_rows *rows, int owner)
{
    const size_t width = (size_t)rows->width;
    if (rows->count == rows->capacity) {
        const size_t capacity = rows->capacity ? 2 * rows->capacity : 4096;
        int *stations = realloc(rows->station, capacity * sizeof *stations);
        rows->station = stations ? stations : rows->station;
        long *minutes = realloc(rows->minute, capacity * sizeof *minutes);
        rows->minute = minutes ? minutes : rows->minute;
        double *values = realloc(rows->value, capacity * width * sizeof *values);
        rows->value = values ? values : rows->value;
        if (!stations || !minutes || !values) {
            return NULL;
        }
        rows->capacity = capacity;
    }
    double *value = rows->value + rows->count * width;
    for (size_t n = 0; n < width; n++) {
        value[n] = NAN;
    }
    rows->minute[rows->count] = 0;
    rows->station[rows->count++] = owner;
    return value;
}

void station_rows_time(station_rows *rows, long minute)
{
    rows->minute[rows->count - 1] = minute;
}

void station_rows_free(station_rows *rows)
{
    free(rows->station);
    free(rows->minute);
    free(rows->value);
    *rows = (station_rows){0};
}

static long floor_day(long minute)
{
    return minute >= 0 ? minute / 1440 : -((1439 - minute) / 1440);
}

// ---- how the rows lie in time ----------------------------------------------------------------

typedef struct span {
    long first_day, last_day;
    int *rows_of_day; // owned
    int per_day;
} span;

static void count_days(const station_rows *rows, int owner, span *out)
{
    long several = 0, days = 0;
    for (size_t n = 0; n < rows->count; n++) {
        if (rows->station[n] == owner) {
            out->rows_of_day[floor_day(rows->minute[n]) - out->first_day]++;
        }
    }
    for (long day = 0; day <= out->last_day - out->first_day; day++) {
        days += out->rows_of_day[day] > 0;
        several += out->rows_of_day[day] > 1;
    }
    out->per_day = 2 * several > days ? 24 : 1; // a day written twice makes no hourly file
}

static cb_status find_span(const station_rows *rows, int owner, const station *one, span *out,
                           cb_error *error)
{
    *out = (span){.first_day = LONG_MAX, .last_day = LONG_MIN};
    for (size_t n = 0; n < rows->count; n++) {
        if (rows->station[n] == owner) {
            const long day = floor_day(rows->minute[n]);
            out->first_day = day < out->first_day ? day : out->first_day;
            out->last_day = day > out->last_day ? day : out->last_day;
        }
    }
    const long days = out->last_day - out->first_day + 1;
    if (days > 73000) {
        return cb_fail_at(error, CB_BAD_INPUT, one->file, 0, 0,
                          "station %s spans %ld days; expected no more than 200 years", one->name,
                          days);
    }
    out->rows_of_day = calloc((size_t)days, sizeof *out->rows_of_day);
    if (!out->rows_of_day) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for %s", one->file);
    }
    count_days(rows, owner, out);
    const int least = out->per_day == 24 ? 12 : 1;
    const int *of_day = out->rows_of_day;
    const long origin = out->first_day;
    while (out->first_day < out->last_day && of_day[out->first_day - origin] < least) {
        out->first_day++;
    }
    while (out->first_day < out->last_day && of_day[out->last_day - origin] < least) {
        out->last_day--;
    }
    return CB_OK;
}

// ---- one series ------------------------------------------------------------------------------

typedef struct series_plan {
    const station_rows *rows;
    int owner, place; // in a row
    double low, high;
    bool added; // not averaged
    const span *days;
} series_plan;

// NULL with *any true: no memory; NULL with *any false: nothing was measured.
static double *lay_series(const series_plan *plan, bool *any)
{
    const span *days = plan->days;
    const long slots = (days->last_day - days->first_day + 1) * days->per_day;
    const long slot_minutes = days->per_day == 24 ? 60 : 1440;
    double *sum = calloc((size_t)slots + 1, sizeof *sum);
    int *count = calloc((size_t)slots + 1, sizeof *count);
    *any = !sum || !count;
    for (size_t n = 0; n < plan->rows->count && sum && count; n++) {
        const double value = plan->rows->value[n * (size_t)plan->rows->width + (size_t)plan->place];
        const long since = plan->rows->minute[n] - days->first_day * 1440;
        if (plan->rows->station[n] == plan->owner && value >= plan->low && value <= plan->high &&
            since >= 0 && since / slot_minutes < slots) {
            sum[since / slot_minutes] += value;
            count[since / slot_minutes]++;
            *any = true;
        }
    }
    for (long slot = 0; slot < slots && sum && count; slot++) {
        sum[slot] /= count[slot] == 0 ? NAN : plan->added ? 1.0 : count[slot];
    }
    const bool kept = sum && count && *any;
    free(count);
    if (!kept) {
        free(sum);
        return NULL;
    }
    return sum;
}

static bool lay_weather(series_plan *plan, station *out)
{
    for (int kind = 0; kind < STATION_KINDS; kind++) {
        bool any;
        plan->place = kind;
        plan->low = limits[kind].low;
        plan->high = limits[kind].high;
        plan->added = kind == STATION_RAIN_MM && plan->days->per_day > 1;
        out->value[kind] = lay_series(plan, &any);
        if (any && !out->value[kind]) {
            return false;
        }
    }
    return true;
}

static bool lay_soil(series_plan *plan, const station_columns *columns, station *out)
{
    plan->low = soil_low_c;
    plan->high = soil_high_c;
    plan->added = false;
    double last_m = 0.0;
    for (int sorted = 0; sorted < columns->depths; sorted++) {
        int next = -1;
        for (int d = 0; d < columns->depths; d++) {
            if (columns->depth_m[d] > last_m &&
                (next < 0 || columns->depth_m[d] < columns->depth_m[next])) {
                next = d;
            }
        }
        bool any;
        last_m = columns->depth_m[next];
        plan->place = STATION_KINDS + next;
        double *series = lay_series(plan, &any);
        if (any && !series) {
            return false;
        }
        if (series) {
            out->depth_m[out->depths] = last_m;
            out->soil_c[out->depths++] = series;
        }
    }
    return true;
}

// ---- units by size ---------------------------------------------------------------------------

static double largest(const double *value, long count)
{
    double most = 0.0;
    for (long n = 0; n < count; n++) {
        most = value[n] > most ? value[n] : most;
    }
    return most;
}

static void scale(double *value, long count, double factor)
{
    for (long n = 0; n < count; n++) {
        value[n] *= factor;
    }
}

// Sun: no hour has 6 W/m2 for its most, none 6 MJ/m2; no day has 45 MJ/m2, and the best day of any
// year more than 45 W/m2. Humidity: a share if never above 1.1. Pressure: hPa if above 200.
static void set_units(station *one)
{
    const long count = (long)one->days * one->per_day;
    double *solar = one->value[STATION_SOLAR_W_M2];
    if (solar) {
        const double most = largest(solar, count);
        if (one->per_day == 24) {
            scale(solar, count, most <= 6.0 ? 1e6 / 3600.0 : most > 1600.0 ? 1e3 / 3600.0 : 1.0);
        } else {
            scale(solar, count, most <= 45.0 ? 1e6 / 86400.0 : 1.0);
        }
    }
    double *humidity = one->value[STATION_HUMIDITY];
    if (humidity && largest(humidity, count) <= 1.1) {
        scale(humidity, count, 100.0);
    }
    double *pressure = one->value[STATION_PRESSURE_KPA];
    if (pressure && largest(pressure, count) > 200.0) {
        scale(pressure, count, 0.1);
    }
}

cb_status station_rows_lay_out(const station_rows *rows, int owner, const station_columns *columns,
                               station *out, cb_error *error)
{
    span found;
    cb_status status = find_span(rows, owner, out, &found, error);
    if (status != CB_OK) {
        return status;
    }
    series_plan plan = {.rows = rows, .owner = owner, .days = &found};
    out->first_day = found.first_day;
    out->days = (int)(found.last_day - found.first_day + 1);
    out->per_day = found.per_day;
    if (lay_weather(&plan, out) && lay_soil(&plan, columns, out)) {
        set_units(out);
    } else {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for %s", out->file);
    }
    free(found.rows_of_day);
    return status;
}
