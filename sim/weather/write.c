// SPDX-License-Identifier: MIT
#include "coilbed/weather.h"
#include "weather/calendar.h"

#include <errno.h>
#include <locale.h>
#include <math.h>
#include <string.h>

// Decimals: finer than any instrument, so that nothing is lost but noise.
static const cb_weather_column_name column_name[CB_COLUMN_COUNT] = {
    [CB_COLUMN_AIR_TEMPERATURE] = {"air temperature (degC)", "air_temperature", "degC", 2},
    [CB_COLUMN_DEW_POINT] = {"dew point (degC)", "dew_point", "degC", 2},
    [CB_COLUMN_SOLAR] = {"solar (W/m2)", "solar", "W/m2", 1},
    [CB_COLUMN_WIND] = {"wind (m/s)", "wind", "m/s", 2},
    [CB_COLUMN_LONGWAVE] = {"longwave (W/m2)", "longwave", NULL, 1},
    [CB_COLUMN_PRECIPITATION] = {"precipitation (mm)", "precipitation", "mm", 3},
    [CB_COLUMN_SNOW_DEPTH] = {"snow depth (m)", "snow_depth", "m", 4},
};

const cb_weather_column_name *cb_weather_column_of(cb_weather_column column)
{
    return &column_name[(unsigned)column < CB_COLUMN_COUNT ? column : CB_COLUMN_AIR_TEMPERATURE];
}

static double value_of(const cb_weather_hour *hour, int column)
{
    const double value[CB_COLUMN_COUNT] = {
        [CB_COLUMN_AIR_TEMPERATURE] = hour->air_temperature_c,
        [CB_COLUMN_DEW_POINT] = hour->dew_point_c,
        [CB_COLUMN_SOLAR] = hour->solar_w_m2,
        [CB_COLUMN_WIND] = hour->wind_m_s,
        [CB_COLUMN_LONGWAVE] = hour->longwave_w_m2,
        [CB_COLUMN_PRECIPITATION] = hour->precipitation_kg_m2,
        [CB_COLUMN_SNOW_DEPTH] = hour->snow_depth_m,
    };
    return value[column];
}

static bool may_be_absent(int column)
{
    return column == CB_COLUMN_PRECIPITATION || column == CB_COLUMN_SNOW_DEPTH;
}

// The first hour decides which columns there are; every other must have the same.
static cb_status find_columns(const cb_weather_csv *csv, bool present[CB_COLUMN_COUNT],
                              cb_error *error)
{
    for (long h = 0; h < csv->hours; h++) {
        const cb_weather_hour hour = csv->at(csv->context, h);
        for (int column = 0; column < CB_COLUMN_COUNT; column++) {
            const double value = value_of(&hour, column);
            if (h == 0) {
                present[column] = !may_be_absent(column) || !isnan(value);
            }
            if (present[column] ? !isfinite(value) : !isnan(value)) {
                return cb_fail(error, CB_BAD_INPUT,
                               "hour %ld: %s is %g; expected a finite number%s", h,
                               column_name[column].heading, value,
                               may_be_absent(column) ? " in every hour or in none" : "");
            }
        }
    }
    return CB_OK;
}

static void write_heading(const bool present[CB_COLUMN_COUNT], FILE *stream)
{
    fputs("time", stream);
    for (int column = 0; column < CB_COLUMN_COUNT; column++) {
        if (present[column]) {
            fprintf(stream, ",%s", column_name[column].heading);
        }
    }
    fputc('\n', stream);
}

static void write_number(double value, int decimals, FILE *stream)
{
    const bool shows_zero = fabs(value) < 0.5 * pow(10, -decimals); // "-0.00" helps nobody
    fprintf(stream, ",%.*f", decimals, shows_zero ? 0.0 : value);
}

static void write_rows(const cb_weather_csv *csv, const bool present[CB_COLUMN_COUNT], FILE *stream)
{
    const long start = 24L * cb_day_of_year(csv->first_month, csv->first_day);
    for (long h = 0; h < csv->hours && !ferror(stream); h++) {
        const cb_weather_hour hour = csv->at(csv->context, h);
        const long at = start + h;
        int month, day;
        cbx_month_day((int)(at % CB_YEAR_HOURS / 24), &month, &day);
        fprintf(stream, "%04ld-%02d-%02d %02d:00", csv->first_year + at / CB_YEAR_HOURS, month, day,
                (int)(at % 24));
        for (int column = 0; column < CB_COLUMN_COUNT; column++) {
            if (present[column]) {
                write_number(value_of(&hour, column), column_name[column].decimals, stream);
            }
        }
        fputc('\n', stream);
    }
}

static bool is_whole(const cb_weather_csv *csv)
{
    return csv->at && csv->hours >= CB_YEAR_HOURS && csv->hours % CB_YEAR_HOURS == 0 &&
           csv->hours <= (long)CB_MAX_WEATHER_YEARS * CB_YEAR_HOURS && csv->first_year >= 1800 &&
           csv->first_year <= 2100 && cb_day_of_year(csv->first_month, csv->first_day) >= 0;
}

cb_status cb_weather_write_csv(const cb_weather_csv *csv, FILE *stream,
                               bool written[CB_COLUMN_COUNT], cb_error *error)
{
    if (!csv || !stream || !is_whole(csv)) {
        return cb_fail(error, CB_BAD_CALL,
                       "cb_weather_write_csv: wants a stream and 1 to %d whole years from a day of "
                       "1800 to 2100",
                       CB_MAX_WEATHER_YEARS);
    }
    bool present[CB_COLUMN_COUNT] = {false};
    const cb_status status = find_columns(csv, present, error);
    if (status != CB_OK) {
        return status;
    }
    // A point stands before the decimals whatever the caller's locale.
    const locale_t c_locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (c_locale == (locale_t)0) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to write the weather");
    }
    const locale_t before = uselocale(c_locale);
    errno = 0;
    write_heading(present, stream);
    write_rows(csv, present, stream);
    const bool failed = fflush(stream) != 0 || ferror(stream);
    const int cause = errno;
    uselocale(before);
    freelocale(c_locale);
    if (failed) {
        return cb_fail(error, CB_IO, "the weather could not be written: %s",
                       cause ? strerror(cause) : "write error");
    }
    if (written) {
        memcpy(written, present, sizeof present);
    }
    return CB_OK;
}
