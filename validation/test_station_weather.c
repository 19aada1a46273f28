// SPDX-License-Identifier: MIT
// The rules that make hourly weather of a station; every series here is invented.
#include "test_station.h"

#include "station_day.h"
#include "station_fill.h"
#include "station_text.h"
#include "station_weather.h"

#include "coilbed/yard.h"

enum { DAYS = 1461, YEAR = 365 };
static const double pi = 3.14159265358979323846;
static const long first_of_2001 = 11323;

static double wave(int day)
{
    return 10.0 + 12.0 * cos(2.0 * pi * (day - 200) / 365.2425);
}

typedef struct series {
    double value[DAYS];
    bool gap[DAYS], filled[DAYS];
} series;

static station_gaps gaps_of(series *s, int days)
{
    return (station_gaps){s->value, days, 1, first_of_2001, s->gap, s->filled};
}

static void short_gaps_become_straight_lines(void **state)
{
    (void)state;
    series s = {0};
    for (int day = 0; day < YEAR; day++) {
        s.value[day] = day >= 100 && day < 110 ? NAN : (double)day * day;
    }
    const station_gaps gaps = gaps_of(&s, YEAR);
    assert_true(station_fill(&gaps));
    for (int day = 100; day < 110; day++) {
        const double want = 99.0 * 99.0 + (110.0 * 110.0 - 99.0 * 99.0) * (day - 99) / 11.0;
        must_be("in the gap", s.value[day], want, 1e-9);
        assert_true(s.filled[day]);
    }
    assert_false(s.filled[99] || s.filled[110]);
}

static void long_gaps_of_one_year_follow_the_harmonic(void **state)
{
    (void)state;
    series s = {0};
    for (int day = 0; day < YEAR; day++) {
        s.value[day] = day >= 150 && day < 200 ? NAN : wave(day);
    }
    s.value[YEAR - 1] = NAN; // no neighbour on one side
    const station_gaps gaps = gaps_of(&s, YEAR);
    assert_true(station_fill(&gaps));
    for (int day = 0; day < YEAR; day++) {
        must_be("day", s.value[day], wave(day), 1e-7);
    }
}

static void long_gaps_of_several_years_take_the_other_years(void **state)
{
    (void)state;
    series s = {0};
    for (int day = 0; day < DAYS; day++) { // a shape with no harmonic to it
        const int of_year = day % YEAR;
        s.value[day] = of_year >= 100 && of_year < 160 ? 7.0 : 1.0;
    }
    for (int day = 2 * YEAR + 110; day < 2 * YEAR + 150; day++) {
        s.value[day] = NAN;
    }
    const station_gaps gaps = gaps_of(&s, DAYS);
    assert_true(station_fill(&gaps));
    for (int day = 2 * YEAR + 110; day < 2 * YEAR + 150; day++) {
        must_be("day", s.value[day], 7.0, 1e-9);
    }
}

static void rain_is_filled_with_its_mean(void **state)
{
    (void)state;
    series s = {0};
    for (int day = 0; day < YEAR; day++) {
        s.value[day] = day == 50 ? NAN : day % 2 ? 0.0 : 6.0;
    }
    const station_gaps gaps = gaps_of(&s, YEAR);
    assert_true(station_fill_rain(&gaps));
    must_be("rain", s.value[50], 14.0 * 6.0 / 30.0, 1e-9);
}

static void half_a_year_is_too_little(void **state)
{
    (void)state;
    series s = {0};
    for (int day = 0; day < YEAR; day++) {
        s.value[day] = day < STATION_LEAST_DAYS - 1 ? 1.0 : NAN;
    }
    const station_gaps gaps = gaps_of(&s, YEAR);
    assert_false(station_fill(&gaps));
    assert_false(station_fill_rain(&gaps));
    must_be_missing("nothing was filled", s.value[YEAR - 1]);
}

static void hours_keep_the_mean_of_the_day(void **state)
{
    (void)state;
    const cb_site site = station_site(45.0, 300.0);
    const station_day_air air = {
        .low_c = -4.0, .mean_c = 3.1, .high_c = 9.0, .high_before_c = 7.0, .low_after_c = -2.0};
    double hour_c[STATION_DAY_HOURS], solar[STATION_DAY_HOURS], sum_c = 0.0, sum_w_m2 = 0.0;
    station_day_air_c(&site, 79, &air, hour_c);
    station_day_solar_w_m2(&site, 79, 150.0, solar);
    int coldest = 0, warmest = 0, brightest = 0;
    for (int n = 0; n < STATION_DAY_HOURS; n++) {
        sum_c += hour_c[n];
        sum_w_m2 += solar[n];
        coldest = hour_c[n] < hour_c[coldest] ? n : coldest;
        warmest = hour_c[n] > hour_c[warmest] ? n : warmest;
        brightest = solar[n] > solar[brightest] ? n : brightest;
    }
    must_be("mean air", sum_c / 24.0, 3.1, 1e-9);
    must_be("mean solar", sum_w_m2 / 24.0, 150.0, 1e-9);
    must_be("range", hour_c[warmest] - hour_c[coldest], 13.0, 0.5);
    assert_in_range(coldest, 5, 6); // sunrise at the equinox
    assert_in_range(warmest, 14, 15);
    assert_in_range(brightest, 11, 12);
    must_be("night", solar[0], 0.0, 0.0);
}

static void formulas_give_the_examples_of_their_source(void **state)
{
    (void)state;
    const double mj_day = 0.0864;
    // FAO-56 example 10: Rio de Janeiro, 15 May, 7.1 of 10.9 h: 14.5 MJ/m2.
    const cb_site rio = station_site(-22.9, 0.0);
    must_be("example 10", mj_day * station_angstrom_w_m2(&rio, 134, 7.1 / 10.9), 14.5, 0.1);
    // FAO-56 example 15: Lyon, 15 July, 14.8 to 26.6 degC: 22.3 MJ/m2.
    const cb_site lyon = station_site(45.72, 200.0);
    must_be("example 15", mj_day * station_hargreaves_w_m2(&lyon, 195, 14.8, 26.6), 22.3, 0.1);
    // FAO-56 example 5: 18 to 25 degC at a mean of 68 %: 1.78 kPa.
    must_be("example 5", cb_saturation_kpa(station_dew_point_c(18.0, 25.0, 68.0)), 1.78, 0.005);
    must_be("2 m/s at 2 m", cb_wind_at_2m_m_s(station_usual_wind_m_s(), 10.0), 2.0, 1e-12);
}

static void latitude_shows_in_clear_days(void **state)
{
    (void)state;
    static const double latitude_deg[] = {-38.0, 12.0, 36.5, 60.0};
    for (size_t n = 0; n < sizeof latitude_deg / sizeof *latitude_deg; n++) {
        const cb_site site = station_site(latitude_deg[n], 0.0);
        double solar[YEAR], sunshine[YEAR];
        for (int day = 0; day < YEAR; day++) { // one clear day in five
            const double clear = day % 5 ? 0.4 : 1.0;
            solar[day] = 0.75 * clear * station_day_extraterrestrial_w_m2(&site, day);
            sunshine[day] = 0.95 * clear * cb_daylight_h(site.latitude_deg, day);
        }
        must_be("by solar", station_latitude_by_solar(solar, YEAR, first_of_2001), latitude_deg[n],
                1.0);
        must_be("by sunshine", station_latitude_by_sunshine(sunshine, YEAR, first_of_2001),
                latitude_deg[n], 1.0);
        must_be_missing("too short", station_latitude_by_solar(solar, 100, first_of_2001));
    }
}

// ---- a whole station -------------------------------------------------------------------------

// A year of days at 40 N, 10 to 20 degC, half the extraterrestrial sun, with gaps as told.
typedef struct daily_file {
    bool solar, humidity, sunshine;
    double solar_factor;
    int gap_first, gap_days, days;
} daily_file;

static station_list read_daily(const daily_file *file)
{
    char path[64];
    FILE *stream = new_file(path);
    fputs("date,latitude,t_air_mean_C,t_air_min_C,t_air_max_C,rh_mean_pct,solar_mjm2,sunshine_h,"
          "precip_mm,t_100cm_C\n",
          stream);
    const cb_site site = station_site(40.0, 0.0);
    for (int day = 0; day < file->days; day++) {
        if (day >= file->gap_first && day < file->gap_first + file->gap_days) {
            continue;
        }
        int year, month, day_of_month, of_year;
        station_calendar(first_of_2001 + day, &year, &month, &day_of_month, &of_year);
        const double above = station_day_extraterrestrial_w_m2(&site, of_year);
        fprintf(stream, "%d-%02d-%02d,40,15,10,20,", year, month, day_of_month);
        fprintf(stream, file->humidity ? "50," : ",");
        fprintf(stream, file->solar ? "%.6f," : ",", file->solar_factor * 0.5 * above * 0.0864);
        fprintf(stream, file->sunshine ? "%.6f," : ",", 0.5 * cb_daylight_h(40.0, of_year));
        fprintf(stream, "%s,14\n", day % 4 ? "" : "2.4");
    }
    fclose(stream);
    station_list list = {0};
    cb_error error = {0};
    assert_int_equal(station_read(&list, path, &error), CB_OK);
    remove(path);
    return list;
}

static station_weather weather_of(const daily_file *file)
{
    station_list list = read_daily(file);
    const station_site_choice choice = {NAN, NAN, NAN};
    station_weather weather;
    cb_error error = {0};
    assert_true(station_has_weather(&list.one[0]));
    if (station_weather_make(&weather, &list.one[0], &choice, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    station_list_free(&list);
    return weather;
}

static double mean_solar(const station_weather *weather)
{
    double sum = 0.0;
    for (long n = 0; n < 24L * weather->days; n++) {
        sum += weather->hour[n].solar_w_m2;
    }
    return sum / (24.0 * weather->days);
}

static double half_above_w_m2(void)
{
    const cb_site site = station_site(40.0, 0.0);
    double sum = 0.0;
    for (int day = 0; day < YEAR; day++) {
        sum += 0.5 * station_day_extraterrestrial_w_m2(&site, day);
    }
    return sum / YEAR;
}

static void days_become_hours_without_gaps(void **state)
{
    (void)state;
    const daily_file file = {.solar = true,
                             .humidity = true,
                             .solar_factor = 1.0,
                             .gap_first = 100,
                             .gap_days = 30,
                             .days = YEAR};
    station_weather weather = weather_of(&file);
    assert_int_equal(weather.days, YEAR);
    assert_int_equal(weather.days_filled, 30);
    must_be("mean solar", mean_solar(&weather), half_above_w_m2(), 0.05);
    const double dew_c = station_dew_point_c(10.0, 20.0, 50.0);
    double rain = 0.0;
    for (long n = 0; n < 24L * YEAR; n++) {
        const cb_weather_hour *hour = &weather.hour[n];
        must_be("air", hour->air_temperature_c, 15.0, 6.0);
        must_be("dew point", hour->dew_point_c, dew_c, 1e-6);
        must_be("wind", hour->wind_m_s, station_usual_wind_m_s(), 1e-12);
        must_be("longwave", hour->longwave_w_m2, 330.0, 60.0);
        must_be_missing("snow depth", hour->snow_depth_m);
        rain += hour->precipitation_kg_m2;
    }
    must_be("blank rain is none: 0.6 mm a day", rain, 0.6 * YEAR, 12.0);
    station_weather_free(&weather);
}

static void short_series_are_filled_on_to_a_year(void **state)
{
    (void)state;
    const daily_file file = {.solar = true, .humidity = true, .solar_factor = 1.0, .days = 300};
    station_weather weather = weather_of(&file);
    assert_int_equal(weather.days, YEAR);
    assert_int_equal(weather.days_filled, YEAR - 300);
    must_be("last hour", weather.hour[24 * YEAR - 1].air_temperature_c, 15.0, 6.0);
    station_weather_free(&weather);
}

static void missing_sun_has_three_substitutes(void **state)
{
    (void)state;
    daily_file file = {.sunshine = true, .humidity = true, .solar_factor = 1.0, .days = YEAR};
    station_weather weather = weather_of(&file);
    assert_string_equal(weather.solar_from, "sunshine");
    must_be("0.25 + 0.50 * 0.5", mean_solar(&weather), half_above_w_m2(), 0.05);
    station_weather_free(&weather);

    file.solar = true; // a pyranometer that reads a third too low is not believed
    file.solar_factor = 0.67;
    weather = weather_of(&file);
    assert_string_equal(weather.solar_from, "sunshine");
    must_be("sunshine", mean_solar(&weather), half_above_w_m2(), 0.05);
    station_weather_free(&weather);

    file.solar_factor = 0.95;
    weather = weather_of(&file);
    assert_string_equal(weather.solar_from, "measurement");
    must_be("measured", mean_solar(&weather), 0.95 * half_above_w_m2(), 0.05);
    station_weather_free(&weather);

    file = (daily_file){.solar_factor = 1.0, .days = YEAR};
    weather = weather_of(&file);
    assert_string_equal(weather.solar_from, "air temperature");
    must_be("0.16 sqrt(10)", mean_solar(&weather), 0.16 * sqrt(10.0) / 0.5 * half_above_w_m2(),
            0.05);
    must_be("the lowest air for a dew point", weather.hour[12].dew_point_c, 10.0, 1e-9);
    station_weather_free(&weather);
}

static void unknown_latitude_is_refused(void **state)
{
    (void)state;
    const daily_file file = {.humidity = true, .days = YEAR};
    station_list list = read_daily(&file);
    list.one[0].latitude_deg = NAN;
    const station_site_choice choice = {NAN, NAN, NAN}, chosen = {40.0, NAN, 5.0};
    station_weather weather;
    cb_error error = {0};
    assert_int_equal(station_weather_make(&weather, &list.one[0], &choice, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "--latitude"));
    assert_int_equal(station_weather_make(&weather, &list.one[0], &chosen, &error), CB_OK);
    must_be("wind as chosen", weather.hour[0].wind_m_s, 5.0, 0.0);
    station_weather_free(&weather);
    station_list_free(&list);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(short_gaps_become_straight_lines),
        cmocka_unit_test(long_gaps_of_one_year_follow_the_harmonic),
        cmocka_unit_test(long_gaps_of_several_years_take_the_other_years),
        cmocka_unit_test(rain_is_filled_with_its_mean),
        cmocka_unit_test(half_a_year_is_too_little),
        cmocka_unit_test(hours_keep_the_mean_of_the_day),
        cmocka_unit_test(formulas_give_the_examples_of_their_source),
        cmocka_unit_test(latitude_shows_in_clear_days),
        cmocka_unit_test(days_become_hours_without_gaps),
        cmocka_unit_test(short_series_are_filled_on_to_a_year),
        cmocka_unit_test(missing_sun_has_three_substitutes),
        cmocka_unit_test(unknown_latitude_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
