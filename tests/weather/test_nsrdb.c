// SPDX-License-Identifier: MIT
#include "weather/limits.h"
#include "weather/sky.h"
#include "weather/support.h"

static const double pi = 3.14159265358979323846;
static const int month_days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

// Cosine of the sun's zenith angle at an instant [h of local standard time], FAO-56 eq. 24, 31-33.
static double cos_zenith(const cb_site *site, int day_of_year, double time_h)
{
    const double day = day_of_year + 1, b = 2 * pi * (day - 81) / 364;
    const double declination = 0.409 * sin(2 * pi * day / 365 - 1.39);
    const double season_h = 0.1645 * sin(2 * b) - 0.1255 * cos(b) - 0.025 * sin(b);
    const double solar_h = time_h + site->longitude_deg / 15 - site->time_zone_h + season_h;
    const double latitude = site->latitude_deg * pi / 180;
    return fmax(0, sin(latitude) * sin(declination) +
                       cos(latitude) * cos(declination) * cos(pi / 12 * (solar_h - 12)));
}

typedef struct file_kind {
    int step, minute; // minutes between rows, minute of the first
    int first_year, years;
    bool leap_days; // 29 February in years that have one
    double zone_h;  // of the stamps
} file_kind;

static cb_site fargo(void)
{
    return cold_plain_design().site;
}

// An instant's sun; the air tells day and hour of the stamp: day of a 365-day year / 10 - 10 +
// hour / 1000 + 0.0001 for every year after the first.
static void add_row(lines *l, const file_kind *kind, int year, int month, int day, int minute)
{
    cb_site site = fargo();
    const int day_of_year = cb_day_of_year(month, day);
    site.time_zone_h = kind->zone_h;
    const double sun = 800 * cos_zenith(&site, day_of_year < 0 ? 59 : day_of_year, minute / 60.0);
    const double air = day_of_year < 0 ? 55
                                       : day_of_year / 10.0 - 10 + minute / 60 / 1000.0 +
                                             (year - kind->first_year) * 0.0001;
    lines_add(l, "%d,%d,%d,%d,%d,0,%.4f,-40.5,0,%.6f,50,2.5,,", year, month, day, minute / 60,
              minute % 60, sun, air);
}

static lines make_file(const file_kind *kind)
{
    lines l = lines_create();
    lines_add(&l, "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,"
                  "Local Time Zone,Dew Point Units,GHI Units,Temperature Units,Relative Humidity "
                  "Units,Wind Speed Units,Fill Flag 0,");
    lines_add(&l, "NSRDB,1,-,-,-,46.9,-96.8,%g,274,-6,c,w/m2,c,%%,m/s,N/A,", kind->zone_h);
    lines_add(&l, "Year,Month,Day,Hour,Minute,DHI,GHI,Dew Point,Fill Flag,Temperature,Relative "
                  "Humidity,Wind Speed,,");
    for (int year = kind->first_year; year < kind->first_year + kind->years; year++) {
        for (int month = 1; month <= 12; month++) {
            const bool leap = kind->leap_days && month == 2 && year % 4 == 0;
            for (int day = 1; day <= month_days[month - 1] + (leap ? 1 : 0); day++) {
                for (int minute = kind->minute; minute < 1440; minute += kind->step) {
                    add_row(&l, kind, year, month, day, minute);
                }
            }
        }
    }
    return l;
}

static cb_design design_of(const lines *l)
{
    cb_design design = cold_plain_design();
    design.weather.format = CB_WEATHER_NSRDB;
    design.weather.file = l->path;
    return design;
}

static cb_weather *read_good(const lines *l)
{
    const cb_design design = design_of(l);
    cb_weather *weather = NULL;
    cb_error error = {0};
    lines_write(l, "\n");
    if (cb_weather_create(&weather, &design, NULL, &error) != CB_OK) {
        fail_msg("%d:%d %s", error.line, error.column, error.message);
    }
    return weather;
}

// Instants of a clear sun, whatever their step and stamps, must give the hour means of the same sun
// and no lag. The plain mean of the rows at :00 and :30 would run 0.25 h early.
static void sun_is_centred_in_its_hour(void **state)
{
    (void)state;
    static const struct {
        file_kind kind;
        double tolerance_w_m2; // at sunrise, where the sun has a kink; second order else
    } row[] = {
        {{60, 0, 2017, 1, false, -6}, 20},
        {{60, 30, 2017, 1, false, -6}, 20},
        {{30, 0, 2017, 1, false, -6}, 6},
        {{30, 15, 2017, 1, false, -6}, 6},
    };
    const cb_site site = fargo();
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = make_file(&row[i].kind);
        cb_weather *weather = read_good(&l);
        assert_int_equal(weather->years, 1);
        double late_h = 9, worst = 0;
        assert_true(cbx_sun_late_h(weather, &site, &late_h));
        close_to("late [h]", late_h, 0, 0.003);
        for (int h = 0; h < CB_YEAR_HOURS; h++) {
            worst = fmax(worst, fabs(weather->hour[h].solar_w_m2 -
                                     800 * cb_sun_cos_zenith(&site, h / 24, h % 24)));
        }
        close_to("worst hour [W/m2]", worst, 0, row[i].tolerance_w_m2);
        assert_null(strstr(weather->description, "caution"));
        cb_weather_destroy(weather);
        lines_destroy(&l);
    }
}

static double tag(int year, int day, int hour)
{
    return day / 10.0 - 10 + hour / 1000.0 + year * 0.0001;
}

static void years_follow_each_other_without_leap_days(void **state)
{
    (void)state;
    static const file_kind kinds[] = {{60, 30, 2015, 3, true, -6}, {60, 30, 2015, 3, false, -6}};
    for (size_t k = 0; k < 2; k++) {
        lines l = make_file(&kinds[k]);
        cb_weather *weather = read_good(&l);
        assert_int_equal(weather->years, 3);
        for (int i = 0; i < 3 * CB_YEAR_HOURS; i++) {
            close_to("air", weather->hour[i].air_temperature_c,
                     tag(i / CB_YEAR_HOURS, i / 24 % CB_YEAR_DAYS, i % 24), 1e-9);
            assert_true(isnan(weather->hour[i].precipitation_kg_m2));
            assert_true(isnan(weather->hour[i].snow_depth_m));
        }
        says(weather->description, "3 years of 46.90, -96.80");
        assert_int_equal(strstr(weather->description, "29 February") != NULL, k == 0);
        cb_weather_destroy(weather);
        lines_destroy(&l);
    }
}

static void universal_time_is_turned_to_the_site(void **state)
{
    (void)state;
    static const file_kind kind = {60, 30, 2017, 1, false, 0};
    lines l = make_file(&kind);
    cb_weather *weather = read_good(&l);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        const int utc = (i + 6) % CB_YEAR_HOURS;
        close_to("air", weather->hour[i].air_temperature_c, tag(0, utc / 24, utc % 24), 1e-9);
    }
    double late_h = 9;
    const cb_site site = fargo();
    assert_true(cbx_sun_late_h(weather, &site, &late_h));
    close_to("late [h]", late_h, 0, 0.003);
    says(weather->description, "turned from UTC+0 h");
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void units_follow_their_line(void **state)
{
    (void)state;
    static const file_kind kind = {60, 30, 2017, 1, false, -6};
    lines l = make_file(&kind);
    lines_change(&l, 1, "c,w/m2,c,%,m/s", "F,kW/m2,F,%,mph");
    int i = 3;
    for (int month = 1; month <= 12; month++) {
        for (int hour = 0; hour < 24 * month_days[month - 1]; hour++, i++) {
            snprintf(l.text[i], LINE_SIZE, "2017,%d,%d,%d,30,0,%s,5,0,50,50,10,,", month,
                     hour / 24 + 1, hour % 24, hour % 24 == 12 ? "0.4" : "0");
        }
    }
    cb_weather *weather = read_good(&l);
    close_to("50 F", weather->hour[12].air_temperature_c, 10, 1e-9);
    close_to("5 F", weather->hour[12].dew_point_c, -15, 1e-9);
    close_to("0.4 kW/m2", weather->hour[12].solar_w_m2, 400, 1e-9);
    close_to("10 mph", weather->hour[12].wind_m_s, 4.4704, 1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void humidity_serves_without_dew_point(void **state)
{
    (void)state;
    static const file_kind kind = {60, 30, 2017, 1, false, -6};
    lines l = make_file(&kind);
    lines_change(&l, 0, "Dew Point Units", "Pressure Units");
    lines_change(&l, 2, "Dew Point", "Pressure");
    cb_weather *weather = read_good(&l);
    close_to("dew", weather->hour[100].dew_point_c, cbx_dew_point_c(tag(0, 4, 4), 0.5), 1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void another_place_is_cautioned(void **state)
{
    (void)state;
    static const file_kind kind = {60, 30, 2017, 1, false, -6};
    lines l = make_file(&kind);
    lines_change(&l, 1, "46.9,-96.8", "46.9,-97.4");
    cb_weather *weather = read_good(&l);
    says(weather->description, "caution: the file was taken at 46.90, -97.40");
    assert_null(strstr(weather->description, "keeps UTC"));
    cb_weather_destroy(weather);
    lines_change(&l, 1, "-97.4", "-96.8");
    lines_change(&l, 1, "-6,c", "-5,c"); // local zone only
    weather = read_good(&l);
    says(weather->description, "caution: the file's place keeps UTC-5 h, the site UTC-6 h");
    assert_null(strstr(weather->description, "was taken at"));
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

typedef void spoil(lines *l);

static void gap(lines *l)
{
    lines_remove(l, 103);
}
static void twice(lines *l)
{
    lines_repeat(l, 103);
}
static void out_of_step(lines *l)
{
    lines_change(l, 103, ",4,30,", ",4,15,");
}
static void not_a_number(lines *l)
{
    lines_change(l, 103, ",-40.5,", ",nan,");
}
static void missing(lines *l)
{
    lines_change(l, 103, ",2.5,", ",-9999,");
}
static void unknown_unit(lines *l)
{
    lines_change(l, 1, "w/m2", "suns");
}
static void other_measure(lines *l)
{
    lines_change(l, 1, "m/s", "c");
}
static void no_unit(lines *l)
{
    lines_change(l, 0, "GHI Units", "Sun Units");
}
static void no_zone(lines *l)
{
    lines_change(l, 0, "Local Time Zone", "Zone");
}
static void bad_latitude(lines *l)
{
    lines_change(l, 1, "46.9", "north");
}
static void no_clock(lines *l)
{
    lines_change(l, 2, "Month", "Moon");
}
static void no_such_date(lines *l)
{
    lines_change(l, 103, "2017,1,5", "2017,1,32");
}
static void year_jumps(lines *l)
{
    lines_change(l, 103, "2017", "2018");
}
static void half_a_year(lines *l)
{
    l->count = 5000;
}
static void head_only(lines *l)
{
    l->count = 1;
}
static void in_megajoules(lines *l)
{
    for (int i = 3; i < l->count; i++) {
        double sun = 9;
        assert_int_equal(sscanf(l->text[i], "%*d,%*d,%*d,%*d,%*d,%*d,%lf", &sun), 1);
        char old[32], megajoules[32];
        snprintf(old, sizeof old, ",%.4f,", sun);
        snprintf(megajoules, sizeof megajoules, ",%.4f,", sun * 0.0036);
        lines_change(l, i, old, megajoules);
    }
}
static void sun_elsewhere(lines *l)
{
    lines_change(l, 1, ",-6,274", ",0,274"); // stamps called UTC that are local time
}

// Line 104 is row 100 (5 January 04:30): "2017,1,5,4,30,0,0.0000,-40.5,0,-9.596000,50,2.5,,".
static void spoilt_files_are_refused_at_their_place(void **state)
{
    (void)state;
    static const struct {
        spoil *change;
        refusal want;
    } row[] = {
        {gap, {CB_BAD_INPUT, 104, 10, "expected 04:30, found \"5\": an hour is missing"}},
        {twice, {CB_BAD_INPUT, 105, 10, "expected 05:30, found \"4\": an hour is repeated"}},
        {out_of_step, {CB_BAD_INPUT, 104, 10, "expected 04:30, found \"4\""}},
        {not_a_number, {CB_BAD_INPUT, 104, 24, "\"nan\" in column \"Dew Point\""}},
        {missing,
         {CB_BAD_INPUT, 104, 45, "-9999 in column \"Wind Speed\" is a missing-value code"}},
        {unknown_unit,
         {CB_BAD_INPUT, 2, 38,
          "GHI Units is \"suns\", which is not known as a unit of heat flux; expected e.g. W/m2"}},
        {other_measure, {CB_BAD_INPUT, 2, -1, "Wind Speed Units is \"c\", which is not known"}},
        {no_unit, {CB_BAD_INPUT, 1, 1, "no label \"GHI Units\""}},
        {no_zone, {CB_BAD_INPUT, 1, 1, "no label \"Local Time Zone\""}},
        {bad_latitude, {CB_BAD_INPUT, 2, 15, "Latitude is \"north\"; expected a number -90 to 90"}},
        {no_clock, {CB_BAD_INPUT, 3, 1, "expected Year, Month, Day, Hour, Minute"}},
        {no_such_date, {CB_BAD_INPUT, 104, 8, "\"32\" is not a date"}},
        {year_jumps, {CB_BAD_INPUT, 104, 1, "the year changes from 2017 to 2018 inside a month"}},
        {half_a_year, {CB_BAD_INPUT, 5000, 0, "ends after 4997 data rows; expected 8760 or 8784"}},
        {head_only, {CB_BAD_INPUT, 1, 0, "ends before its line of values"}},
        {in_megajoules, {CB_BAD_INPUT, 0, 0, "kWh/m2 are possible: check the unit of the solar"}},
        {sun_elsewhere,
         {CB_BAD_INPUT, 0, 0,
          "the file's sun runs 6.0 h early against the site's sun, more than 2.5 h: the file's "
          "own time zone or site.longitude (-96.80 deg) is wrong"}},
    };
    static const file_kind kind = {60, 30, 2017, 1, false, -6};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = make_file(&kind);
        row[i].change(&l);
        lines_write(&l, "\n");
        const cb_design design = design_of(&l);
        cb_weather *weather = (cb_weather *)&l;
        cb_error error = {0};
        cb_weather_create(&weather, &design, NULL, &error);
        assert_null(weather);
        refused(&error, &row[i].want);
        lines_destroy(&l);
    }
}

// Two years of half hours are far apart when one year between them is gone.
static void a_year_that_is_left_out_is_refused(void **state)
{
    (void)state;
    static const file_kind kind = {60, 30, 2015, 3, true, -6};
    lines l = make_file(&kind);
    const int start = 3 + CB_YEAR_HOURS, stop = start + 8784;
    memmove(l.text[start], l.text[stop], (size_t)(l.count - stop) * LINE_SIZE);
    l.count -= 8784;
    lines_write(&l, "\n");
    const cb_design design = design_of(&l);
    cb_weather *weather = NULL;
    cb_error error = {0};
    cb_weather_create(&weather, &design, NULL, &error);
    const refusal want = {CB_BAD_INPUT, start + 1, 1, "the year 2017 follows 2015; expected 2016"};
    refused(&error, &want);
    lines_destroy(&l);
}

// Means of the file's columns computed by another program; the lag is cloud, for the file's own
// clear-sky column has less than 0.002 h of it.
static void a_real_half_hourly_year_is_read(void **state)
{
    (void)state;
    lines l = lines_create();
    if (!lines_measured(&l, "nsrdb_psm3_40.53N_108.54W_2017_30min", 0)) {
        lines_destroy(&l);
        return;
    }
    cb_design design = design_of(&l);
    design.site = (cb_site){40.53, -108.54, 2168, -7};
    cb_weather *weather = NULL;
    cb_error error = {0};
    if (cb_weather_create(&weather, &design, NULL, &error) != CB_OK) {
        fail_msg("%d:%d %s", error.line, error.column, error.message);
    }
    double solar = 0, air = 0, late_h = 9;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        solar += weather->hour[i].solar_w_m2 / CB_YEAR_HOURS;
        air += weather->hour[i].air_temperature_c / CB_YEAR_HOURS;
    }
    assert_true(cbx_sun_late_h(weather, &design.site, &late_h));
    print_message("late by %.3f h, mean air %.6f degC; %s\n", late_h, air, weather->description);
    close_to("mean solar", solar, 199.6406392694064, 1e-9);
    close_to("late [h]", late_h, -0.15, 0.1);
    assert_null(strstr(weather->description, "caution"));
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sun_is_centred_in_its_hour),
        cmocka_unit_test(years_follow_each_other_without_leap_days),
        cmocka_unit_test(universal_time_is_turned_to_the_site),
        cmocka_unit_test(units_follow_their_line),
        cmocka_unit_test(humidity_serves_without_dew_point),
        cmocka_unit_test(another_place_is_cautioned),
        cmocka_unit_test(spoilt_files_are_refused_at_their_place),
        cmocka_unit_test(a_year_that_is_left_out_is_refused),
        cmocka_unit_test(a_real_half_hourly_year_is_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
