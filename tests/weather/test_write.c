// SPDX-License-Identifier: MIT
/// The plain CSV: read back it is the same weather to the digits printed.
#include "support.h"

/// Two years that no model makes: every number is another.
static cb_weather *invented(bool rain, bool snow)
{
    cb_weather *weather = cb_weather_blank(2);
    assert_non_null(weather);
    const cb_site site = cold_plain_design().site;
    for (int h = 0; h < 2 * CB_YEAR_HOURS; h++) {
        const double air_c = -3.0 + 20.0 * sin(h * 0.0007173) + 4.0 * sin(h * 0.26179);
        const double sun_w_m2 = cb_extraterrestrial_w_m2(&site, h / 24 % CB_YEAR_DAYS, h % 24);
        weather->hour[h] = (cb_weather_hour){
            .air_temperature_c = air_c,
            .dew_point_c = air_c - 2.0 - fabs(sin(h * 0.1)),
            .solar_w_m2 = sun_w_m2 * (0.5 + 0.2 * sin(h * 0.011)),
            .wind_m_s = 4.0 + 3.0 * sin(h * 0.37),
            .longwave_w_m2 = 250 + 70 * sin(h * 0.0031),
            .precipitation_kg_m2 = rain ? fabs(2.0 * sin(h * 0.9)) : NAN,
            .snow_depth_m = snow ? fabs(0.4 * sin(h * 0.002)) : NAN,
        };
    }
    return weather;
}

static cb_weather_hour hour_at(const void *context, long hour)
{
    return ((const cb_weather *)context)->hour[hour];
}

static cb_weather_csv csv_of(const cb_weather *weather)
{
    return (cb_weather_csv){.at = hour_at,
                            .context = weather,
                            .hours = (long)weather->years * CB_YEAR_HOURS,
                            .first_year = 2001,
                            .first_month = 1,
                            .first_day = 1};
}

/// A design that reads the columns written.
static cb_design reading(const char *path, const bool written[CB_COLUMN_COUNT])
{
    cb_design design = cold_plain_design();
    design.weather.format = CB_WEATHER_COLUMNS;
    design.weather.file = path;
    cb_weather_columns *map = &design.weather.columns;
    const struct {
        const char **name, **unit;
    } place[CB_COLUMN_COUNT] = {
        {&map->air_temperature, &map->air_temperature_unit},
        {&map->dew_point, &map->dew_point_unit},
        {&map->solar, &map->solar_unit},
        {&map->wind, &map->wind_unit},
        {&map->longwave, NULL},
        {&map->precipitation, &map->precipitation_unit},
        {&map->snow_depth, &map->snow_depth_unit},
    };
    for (int i = 0; i < CB_COLUMN_COUNT; i++) {
        const cb_weather_column_name *name = cb_weather_column_of((cb_weather_column)i);
        if (written[i]) {
            *place[i].name = name->heading;
        }
        if (written[i] && place[i].unit) {
            *place[i].unit = name->unit;
        }
    }
    map->first_month = 1;
    map->first_day = 1;
    return design;
}

static void same_hours(const cb_weather *got, const cb_weather *want)
{
    assert_int_equal(got->years, want->years);
    for (int h = 0; h < want->years * CB_YEAR_HOURS; h++) {
        const cb_weather_hour *a = &got->hour[h], *b = &want->hour[h];
        // Half of the last digit printed, and what binary makes of it.
        close_to("air", a->air_temperature_c, b->air_temperature_c, 0.005001);
        close_to("dew point", a->dew_point_c, b->dew_point_c, 0.005001);
        close_to("solar", a->solar_w_m2, b->solar_w_m2, 0.05001);
        close_to("wind", a->wind_m_s, b->wind_m_s, 0.005001);
        close_to("longwave", a->longwave_w_m2, b->longwave_w_m2, 0.05001);
        if (isnan(b->precipitation_kg_m2)) {
            assert_true(isnan(a->precipitation_kg_m2));
        } else {
            close_to("precipitation", a->precipitation_kg_m2, b->precipitation_kg_m2, 0.0005001);
        }
        if (isnan(b->snow_depth_m)) {
            assert_true(isnan(a->snow_depth_m));
        } else {
            close_to("snow depth", a->snow_depth_m, b->snow_depth_m, 0.00005001);
        }
    }
}

static void round_trip(bool rain, bool snow)
{
    lines l = lines_create();
    cb_weather *weather = invented(rain, snow), *again = NULL;
    const cb_weather_csv csv = csv_of(weather);
    bool written[CB_COLUMN_COUNT];
    cb_error error = {0};
    FILE *stream = fopen(l.path, "w");
    assert_non_null(stream);
    assert_int_equal(cb_weather_write_csv(&csv, stream, written, &error), CB_OK);
    assert_int_equal(fclose(stream), 0);
    assert_int_equal(written[CB_COLUMN_PRECIPITATION], rain);
    assert_int_equal(written[CB_COLUMN_SNOW_DEPTH], snow);
    cb_units *units = NULL;
    assert_int_equal(cb_units_create(&units, NULL), CB_OK);
    const cb_design design = reading(l.path, written);
    if (cb_weather_create(&again, &design, units, &error) != CB_OK) {
        fail_msg("%s:%d: %s", error.file, error.line, error.message);
    }
    same_hours(again, weather);
    cb_units_destroy(units);
    cb_weather_destroy(again);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void what_is_written_is_read_back(void **state)
{
    (void)state;
    round_trip(true, true);
    round_trip(true, false);
    round_trip(false, false);
}

static void values_that_are_no_numbers_are_refused(void **state)
{
    (void)state;
    static const struct {
        cb_weather_column column;
        double value;
        const char *says;
    } row[] = {
        {CB_COLUMN_AIR_TEMPERATURE, NAN, "hour 5: air temperature (degC) is nan"},
        {CB_COLUMN_SOLAR, INFINITY, "hour 5: solar (W/m2) is inf"},
        {CB_COLUMN_PRECIPITATION, NAN, "in every hour or in none"},
        {CB_COLUMN_SNOW_DEPTH, 0.1, "hour 5: snow depth (m) is 0.1"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_weather *weather = invented(true, false);
        const cb_weather_csv csv = csv_of(weather);
        cb_weather_hour *hour = &weather->hour[5];
        double *const value[CB_COLUMN_COUNT] = {
            &hour->air_temperature_c, &hour->dew_point_c,   &hour->solar_w_m2,
            &hour->wind_m_s,          &hour->longwave_w_m2, &hour->precipitation_kg_m2,
            &hour->snow_depth_m};
        *value[row[i].column] = row[i].value;
        FILE *stream = tmpfile();
        assert_non_null(stream);
        cb_error error = {0};
        assert_int_equal(cb_weather_write_csv(&csv, stream, NULL, &error), CB_BAD_INPUT);
        says(error.message, row[i].says);
        assert_int_equal(ftell(stream), 0); // nothing was written
        fclose(stream);
        cb_weather_destroy(weather);
    }
}

static void a_full_disk_and_a_wrong_call_are_told(void **state)
{
    (void)state;
    cb_weather *weather = invented(false, false);
    cb_weather_csv csv = csv_of(weather);
    cb_error error = {0};
    FILE *full = fopen("/dev/full", "w");
    if (full) {
        assert_int_equal(cb_weather_write_csv(&csv, full, NULL, &error), CB_IO);
        says(error.message, "No space left");
        fclose(full);
    }
    FILE *stream = tmpfile();
    assert_non_null(stream);
    csv.hours = CB_YEAR_HOURS - 1;
    assert_int_equal(cb_weather_write_csv(&csv, stream, NULL, &error), CB_BAD_CALL);
    csv.hours = CB_YEAR_HOURS;
    csv.first_month = 2;
    csv.first_day = 29;
    assert_int_equal(cb_weather_write_csv(&csv, stream, NULL, &error), CB_BAD_CALL);
    assert_int_equal(cb_weather_write_csv(&csv, NULL, NULL, &error), CB_BAD_CALL);
    assert_int_equal(cb_weather_write_csv(NULL, stream, NULL, &error), CB_BAD_CALL);
    fclose(stream);
    cb_weather_destroy(weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_is_read_back),
        cmocka_unit_test(values_that_are_no_numbers_are_refused),
        cmocka_unit_test(a_full_disk_and_a_wrong_call_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
