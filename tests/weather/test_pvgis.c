// SPDX-License-Identifier: MIT
#include "weather/limits.h"
#include "weather/sky.h"
#include "weather/support.h"

static const int month_days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
static const int year_of[] = {2018, 2007, 2009, 2013, 2008, 2006,
                              2011, 2010, 2020, 2006, 2007, 2016};

enum { FIRST_ROW = 18 }; // 0-based line

// A well-formed file of 45 N, 8 E: air tells the hour of the year in UTC.
static lines good_file(void)
{
    lines l = lines_create();
    lines_add(&l, "Latitude (decimal degrees): 45.000");
    lines_add(&l, "Longitude (decimal degrees): 8.000");
    lines_add(&l, "Elevation (m): 250.0");
    lines_add(&l, "Irradiance Time Offset (h): 0.2");
    lines_add(&l, "month,year");
    for (int month = 1; month <= 12; month++) {
        lines_add(&l, "%d,%d", month, year_of[month - 1]);
    }
    lines_add(&l, "time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP");
    for (int month = 1, i = 0; month <= 12; month++) {
        for (int hour = 0; hour < 24 * month_days[month - 1]; hour++, i++) {
            lines_add(&l, "%d%02d%02d:%02d00,%.3f,80.0,%s,-0.0,0.0,300.5,3.25,257.0,99870.0",
                      year_of[month - 1], month, hour / 24 + 1, hour % 24, i * 0.004,
                      hour % 24 == 11 ? "600.0" : "0.0");
        }
    }
    lines_add(&l, "%s", "");
    lines_add(&l, "T2m: 2-m air temperature (degree Celsius)");
    lines_add(&l, "%s", "");
    lines_add(&l, "notes, of any kind");
    return l;
}

static cb_design design_of(const lines *l, double zone_h)
{
    cb_design design = cold_plain_design();
    design.weather.format = CB_WEATHER_PVGIS;
    design.weather.file = l->path;
    design.site = (cb_site){45, 8, 250, zone_h};
    return design;
}

static cb_weather *read_good(const lines *l, double zone_h)
{
    const cb_design design = design_of(l, zone_h);
    cb_weather *weather = NULL;
    cb_error error = {0};
    lines_write(l, "\r\n");
    if (cb_weather_create(&weather, &design, NULL, &error) != CB_OK) {
        fail_msg("%d:%d %s", error.line, error.column, error.message);
    }
    return weather;
}

// Air is an instant at the stamp: the hour that starts at 05:00 in UTC has the mean of 05:00 and
// 06:00, and is the hour of 06:00 one zone east.
static void the_year_is_turned_to_the_sites_clock(void **state)
{
    (void)state;
    lines l = good_file();
    static const double zones_h[] = {0, 1, 1.5, -1, 2};
    for (size_t z = 0; z < sizeof zones_h / sizeof *zones_h; z++) {
        cb_weather *weather = read_good(&l, zones_h[z]);
        assert_int_equal(weather->years, 1);
        for (int i = 3; i < CB_YEAR_HOURS - 3; i++) { // not where December meets January
            close_to("air", weather->hour[i].air_temperature_c, (i + 0.5 - zones_h[z]) * 0.004,
                     1e-9);
        }
        close_to("longwave", weather->hour[5].longwave_w_m2, 300.5, 1e-9);
        close_to("wind", weather->hour[5].wind_m_s, 3.25, 1e-9);
        close_to("dew", weather->hour[4000].dew_point_c,
                 cbx_dew_point_c(weather->hour[4000].air_temperature_c, 0.8), 1e-4);
        assert_true(isnan(weather->hour[0].precipitation_kg_m2));
        assert_true(isnan(weather->hour[0].snow_depth_m));
        says(weather->description, "turned from UTC");
        cb_weather_destroy(weather);
    }
    cb_weather *weather = read_good(&l, 1);
    // 23:00 of 31 December and 00:00 of 1 January in UTC, which are years apart in the air.
    close_to("1 January 0 h", weather->hour[0].air_temperature_c, 8759 * 0.004 / 2, 1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

// 600 W/m2 at 11:12 UTC and none at 10:12 and 12:12: a triangle whose hours are known.
static void the_irradiance_offset_moves_the_sun(void **state)
{
    (void)state;
    lines l = good_file();
    cb_weather *weather = read_good(&l, 1);
    const double rise = 0.8 * 0.8 / 2 * 600, fall = 0.2 * 0.2 / 2 * 600;
    close_to("11 h", weather->hour[24 + 11].solar_w_m2, rise, 1e-9);
    close_to("12 h", weather->hour[24 + 12].solar_w_m2, 600 - rise - fall, 1e-9);
    close_to("13 h", weather->hour[24 + 13].solar_w_m2, fall, 1e-9);
    cb_weather_destroy(weather);
    lines_remove(&l, 3); // older files do not state it
    weather = read_good(&l, 1);
    close_to("11 h", weather->hour[24 + 11].solar_w_m2, 300, 1e-9);
    close_to("12 h", weather->hour[24 + 12].solar_w_m2, 300, 1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void another_place_is_cautioned(void **state)
{
    (void)state;
    lines l = good_file();
    lines_change(&l, 0, "45.000", "45.600");
    cb_weather *weather = read_good(&l, 1);
    says(weather->description, "caution: the file was taken at 45.60, 8.00");
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

typedef void spoil(lines *l);

static void gap(lines *l)
{
    lines_remove(l, FIRST_ROW + 100);
}
static void twice(lines *l)
{
    lines_repeat(l, FIRST_ROW + 100);
}
static void not_a_number(lines *l)
{
    lines_change(l, FIRST_ROW + 100, "80.0", "NaN");
}
static void no_humidity(lines *l)
{
    lines_change(l, FIRST_ROW + 100, "80.0", "0.0");
}
static void no_longwave(lines *l)
{
    lines_change(l, FIRST_ROW + 100, "300.5", "-999");
}
static void no_column(lines *l)
{
    lines_change(l, FIRST_ROW - 1, "IR(h)", "G(i)");
}
static void other_year(lines *l)
{
    lines_change(l, 5, "1,2018", "1,2017");
}
static void months_out_of_order(lines *l)
{
    lines_change(l, 6, "2,", "3,");
}
static void no_latitude(lines *l)
{
    lines_remove(l, 0);
}
static void bad_offset(lines *l)
{
    lines_change(l, 3, "0.2", "12");
}
static void no_months(lines *l)
{
    lines_change(l, 4, "month", "moon");
}
static void blank_inside(lines *l)
{
    l->text[FIRST_ROW + 100][0] = '\0';
}
static void clock_lost(lines *l)
{
    lines_change(l, FIRST_ROW, "20180101:0000", "1 January");
}
static void minutes(lines *l)
{
    lines_change(l, FIRST_ROW + 1, "0100", "0030");
}

// Line 119 is row 100: "20180105:0400,0.400,80.0,0.0,-0.0,0.0,300.5,3.25,257.0,99870.0".
static void spoilt_files_are_refused_at_their_place(void **state)
{
    (void)state;
    static const struct {
        spoil *change;
        refusal want;
    } row[] = {
        {gap,
         {CB_BAD_INPUT, 119, 1, "expected 04:00, found \"20180105:0500\": an hour is missing"}},
        {twice, {CB_BAD_INPUT, 120, 1, "an hour is repeated"}},
        {not_a_number, {CB_BAD_INPUT, 119, 21, "\"NaN\" in column \"RH\" is not a number"}},
        {no_humidity, {CB_BAD_INPUT, 119, 21, "0.0 in column \"RH\""}},
        {no_longwave, {CB_BAD_INPUT, 119, -1, "-999 in column \"IR(h)\" is a missing-value code"}},
        {no_column, {CB_BAD_INPUT, 18, 1, "no column \"IR(h)\""}},
        {other_year, {CB_BAD_INPUT, 19, 1, "is not of 2017, the year the file gives for month 1"}},
        {months_out_of_order, {CB_BAD_INPUT, 7, 1, "expected month 2"}},
        {no_latitude, {CB_BAD_INPUT, -1, -1, "no line \"Latitude (decimal degrees): ...\""}},
        {bad_offset, {CB_BAD_INPUT, 4, 1, "\"12\"; expected a number -1 to 1"}},
        {no_months, {CB_BAD_INPUT, -1, -1, "no line \"month,year\""}},
        {blank_inside, {CB_BAD_INPUT, 118, 0, "ends after 100 data rows; expected 8760"}},
        {clock_lost, {CB_BAD_INPUT, 19, 1, "\"1 January\" is not a time such as 20180131:2300"}},
        {minutes, {CB_BAD_INPUT, 20, 1, "expected 01:00, found \"20180101:0030\""}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = good_file();
        row[i].change(&l);
        lines_write(&l, "\n");
        const cb_design design = design_of(&l, 1);
        cb_weather *weather = (cb_weather *)&l;
        cb_error error = {0};
        cb_weather_create(&weather, &design, NULL, &error);
        assert_null(weather);
        refused(&error, &row[i].want);
        lines_destroy(&l);
    }
}

static void a_real_year_is_read(void **state)
{
    (void)state;
    lines l = lines_create();
    if (!lines_measured(&l, "pvgis_tmy_45N_8E_2005_2023", 0)) {
        lines_destroy(&l);
        return;
    }
    const cb_design design = design_of(&l, 1);
    cb_weather *weather = NULL;
    cb_error error = {0};
    if (cb_weather_create(&weather, &design, NULL, &error) != CB_OK) {
        fail_msg("%d:%d %s", error.line, error.column, error.message);
    }
    double longwave = 0, solar = 0, late_h = 9;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        longwave += weather->hour[i].longwave_w_m2 / CB_YEAR_HOURS;
        solar += weather->hour[i].solar_w_m2 / CB_YEAR_HOURS;
    }
    assert_true(cbx_sun_late_h(weather, &design.site, &late_h));
    print_message("late by %.3f h, mean solar %.4f W/m2; %s\n", late_h, solar,
                  weather->description);
    close_to("mean of IR(h) [W/m2]", longwave, 322.07, 0.005); // by another program
    close_to("late [h]", late_h, 0, 0.1);
    assert_null(strstr(weather->description, "caution"));
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_year_is_turned_to_the_sites_clock),
        cmocka_unit_test(the_irradiance_offset_moves_the_sun),
        cmocka_unit_test(another_place_is_cautioned),
        cmocka_unit_test(spoilt_files_are_refused_at_their_place),
        cmocka_unit_test(a_real_year_is_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
