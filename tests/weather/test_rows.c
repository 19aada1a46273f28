// SPDX-License-Identifier: MIT
/// Files of declared columns whose rows span several years, are parts of hours, or show dates in
/// other ways.
#include "weather/support.h"

static const int month_days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

static cb_units *units;

// How a row shows when it is; every way takes year, month, day, hour, minute.
typedef struct way {
    const char *names, *stamp;
} way;

static const way iso = {"when,T,RH,sun,wind,rain", "%1$d-%2$02d-%3$02d %4$02d:%5$02d"};
static const way undated = {"when,T,RH,sun,wind,rain", "x"};

typedef struct file_kind {
    const way *shows;
    int step, first_year, years;
    bool leap_days, ending;
} file_kind;

// Air tells the hour of a 365-day year and, with year / 10, the year; 29 February reads 50.
static double tag(int year, int day_of_year, int minute)
{
    return day_of_year < 0 ? 50 : day_of_year / 20.0 + minute / 60 / 1000.0 + year / 10.0;
}

static void add_row(lines *l, const file_kind *kind, int year, int month, int day, int minute)
{
    char stamp[96] = "";
    const int shown = minute + (kind->ending ? kind->step : 0);
    snprintf(stamp, sizeof stamp, kind->shows->stamp, year, month, day, shown / 60, shown % 60);
    const bool day_time = minute >= 6 * 60 && minute < 18 * 60;
    // Within the hour the air rises by 0.0001 K a minute about its tag, so that a mean shows.
    const double inside = (minute % 60 + kind->step / 2.0 - 30) * 1e-4;
    lines_add(l, "%s,%.6f,50,%d,2,%.3f", stamp,
              tag(year - kind->first_year, cb_day_of_year(month, day), minute) + inside,
              day_time ? 300 : 0, 0.1 * (minute % 60 / kind->step + 1));
}

static lines make_file(const file_kind *kind)
{
    lines l = lines_create();
    lines_add(&l, "%s", kind->shows->names);
    for (int year = kind->first_year; year < kind->first_year + kind->years; year++) {
        for (int month = 1; month <= 12; month++) {
            const bool leap = kind->leap_days && month == 2 && year % 4 == 0;
            for (int day = 1; day <= month_days[month - 1] + (leap ? 1 : 0); day++) {
                for (int minute = 0; minute < 1440; minute += kind->step) {
                    add_row(&l, kind, year, month, day, minute);
                }
            }
        }
    }
    return l;
}

static cb_design design_of(const lines *l, bool ending)
{
    cb_design design = cold_plain_design();
    design.weather.format = CB_WEATHER_COLUMNS;
    design.weather.file = l->path;
    design.weather.columns = (cb_weather_columns){.air_temperature = "T",
                                                  .relative_humidity = "RH",
                                                  .solar = "sun",
                                                  .wind = "wind",
                                                  .precipitation = "rain",
                                                  .hour_ending = ending,
                                                  .first_month = 1,
                                                  .first_day = 1};
    return design;
}

static cb_status read_lines(const lines *l, bool ending, cb_weather **weather, cb_error *error)
{
    const cb_design design = design_of(l, ending);
    lines_write(l, "\n");
    *error = (cb_error){0};
    return cb_weather_create(weather, &design, units, error);
}

static void every_way_to_show_time_is_followed(void **state)
{
    (void)state;
    static const way ways[] = {
        {"date,T,RH,sun,wind,rain", "%2$02d/%3$02d/%1$d %4$02d:%5$02d"},
        {"date,T,RH,sun,wind,rain", "%3$02d/%2$02d/%1$d %4$02d:%5$02d"},
        {"date,T,RH,sun,wind,rain", "%3$d.%2$d.%1$d %4$d:%5$02d"},
        {"when,T,RH,sun,wind,rain", "%1$d%2$02d%3$02d:%4$02d%5$02d"},
        {"when,T,RH,sun,wind,rain", "%1$d%2$02d%3$02dT%4$02d:%5$02d"},
        {"Date,Hour,T,RH,sun,wind,rain", "%1$d%2$02d%3$02d,%4$d"},
        {"Date,time,T,RH,sun,wind,rain", "%2$d/%3$d/%1$d,%4$02d:%5$02d"},
        {"Year,Month,Day,Hour,T,RH,sun,wind,rain", "%1$d,%2$d,%3$d,%4$d"},
        {"Month,Day,Hour,T,RH,sun,wind,rain", "%2$d,%3$d,%4$d"},
        {"date,T,RH,sun,wind,rain", "%1$d/%2$d/%3$d"},
    };
    for (size_t w = 0; w < sizeof ways / sizeof *ways; w++) {
        for (int ending = 0; ending < 2; ending++) {
            const bool no_time = w == sizeof ways / sizeof *ways - 1;
            const file_kind kind = {&ways[w], 60, 2015, 3, true, ending && !no_time};
            lines l = make_file(&kind);
            cb_weather *weather = NULL;
            cb_error error;
            if (read_lines(&l, kind.ending, &weather, &error) != CB_OK) {
                fail_msg("way %zu: %d:%d %s", w, error.line, error.column, error.message);
            }
            assert_int_equal(weather->years, 3);
            for (int i = 0; i < 3 * CB_YEAR_HOURS; i++) {
                close_to("air", weather->hour[i].air_temperature_c,
                         tag(i / CB_YEAR_HOURS, i / 24 % CB_YEAR_DAYS, i % 24 * 60), 1e-9);
            }
            says(weather->description, "3 years read from");
            says(weather->description, "29 February dropped");
            cb_weather_destroy(weather);
            lines_destroy(&l);
        }
    }
}

// A closing stamp may also be written 00:00 of the next day.
static void midnight_may_belong_to_the_next_day(void **state)
{
    (void)state;
    for (int leap_days = 0; leap_days < 2; leap_days++) {
        const file_kind kind = {&iso, 60, 2015, 2, leap_days, true};
        lines l = make_file(&kind);
        for (int i = 1; i < l.count; i++) {
            char *midnight = strstr(l.text[i], " 24:00");
            if (midnight) {
                const char *next = i + 1 < l.count ? l.text[i + 1] : "2017-01-01";
                memcpy(l.text[i], next, 10);
                memcpy(midnight, " 00:00", 6);
            }
        }
        cb_weather *weather = NULL;
        cb_error error;
        if (read_lines(&l, true, &weather, &error) != CB_OK) {
            fail_msg("%d:%d %s", error.line, error.column, error.message);
        }
        for (int i = 0; i < 2 * CB_YEAR_HOURS; i++) {
            close_to("air", weather->hour[i].air_temperature_c,
                     tag(i / CB_YEAR_HOURS, i / 24 % CB_YEAR_DAYS, i % 24 * 60), 1e-9);
        }
        cb_weather_destroy(weather);
        lines_destroy(&l);
    }
}

static void rows_without_dates_are_whole_years(void **state)
{
    (void)state;
    const file_kind kind = {&undated, 60, 2015, 3, false, false};
    lines l = make_file(&kind);
    cb_weather *weather = NULL;
    cb_error error;
    assert_int_equal(read_lines(&l, false, &weather, &error), CB_OK);
    assert_int_equal(weather->years, 3);
    close_to("third year", weather->hour[2 * CB_YEAR_HOURS + 25].air_temperature_c, tag(2, 1, 60),
             1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
    const file_kind leap = {&undated, 60, 2015, 3, true, false};
    l = make_file(&leap);
    read_lines(&l, false, &weather, &error);
    const refusal want = {CB_BAD_INPUT, 26305, 0,
                          "ends after 26304 data rows; expected 8760 or 8784 rows, one every 60 "
                          "minutes, or several whole years of them (leap years among several need "
                          "dates in the rows)"};
    refused(&error, &want);
    lines_destroy(&l);
}

static void parts_of_hours_are_averaged_and_rain_is_summed(void **state)
{
    (void)state;
    static const file_kind kinds[] = {
        {&iso, 30, 2016, 1, true, false},
        {&iso, 30, 2016, 1, true, true},
        {&iso, 30, 2015, 1, true, true},
    };
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        lines l = make_file(&kinds[k]);
        cb_weather *weather = NULL;
        cb_error error;
        if (read_lines(&l, kinds[k].ending, &weather, &error) != CB_OK) {
            fail_msg("%d:%d %s", error.line, error.column, error.message);
        }
        for (int i = 0; i < CB_YEAR_HOURS; i++) {
            close_to("air", weather->hour[i].air_temperature_c, tag(0, i / 24, i % 24 * 60), 1e-9);
            close_to("rain", weather->hour[i].precipitation_kg_m2, 0.1 + 0.2, 1e-12);
        }
        says(weather->description, "rows of 30 minutes averaged");
        says(weather->description, "with 2628 mm of precipitation a year");
        cb_weather_destroy(weather);
        lines_destroy(&l);
    }
}

// Months of a typical year come from different years.
static void months_may_come_from_different_years(void **state)
{
    (void)state;
    const file_kind kind = {&iso, 60, 2015, 1, false, false};
    lines l = make_file(&kind);
    for (int i = 1; i < l.count; i++) {
        const int month = (l.text[i][5] - '0') * 10 + l.text[i][6] - '0';
        char year[5];
        snprintf(year, sizeof year, "%d", 1990 + 7 * month % 12);
        memcpy(l.text[i], year, 4);
    }
    cb_weather *weather = NULL;
    cb_error error;
    assert_int_equal(read_lines(&l, false, &weather, &error), CB_OK);
    assert_int_equal(weather->years, 1);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

typedef void spoil(lines *l);

static void leave_out_2016(lines *l)
{
    const int start = 1 + CB_YEAR_HOURS, stop = start + 8784;
    memmove(l->text[start], l->text[stop], (size_t)(l->count - stop) * LINE_SIZE);
    l->count -= 8784;
}
static void year_twice(lines *l)
{
    memcpy(l->text[1 + CB_YEAR_HOURS], l->text[1], (size_t)CB_YEAR_HOURS * LINE_SIZE);
    l->count = 1 + 2 * CB_YEAR_HOURS;
}
static void half_of_the_leap_day(lines *l)
{
    const int at = 1 + CB_YEAR_HOURS + 59 * 24 + 12;
    memmove(l->text[at], l->text[at + 12], (size_t)(l->count - at - 12) * LINE_SIZE);
    l->count -= 12;
}
static void ends_in_october(lines *l)
{
    l->count -= 24 * 61;
}

static void years_with_holes_are_refused(void **state)
{
    (void)state;
    static const struct {
        spoil *change;
        refusal want;
    } row[] = {
        {leave_out_2016, {CB_BAD_INPUT, 8762, 1, "the year 2017 follows 2015; expected 2016"}},
        {year_twice, {CB_BAD_INPUT, 8762, 1, "the year 2015 follows 2015; expected 2016"}},
        {half_of_the_leap_day,
         {CB_BAD_INPUT, 1 + 1 + CB_YEAR_HOURS + 59 * 24 + 12, 1,
          "expected 12:00, found \"2016-03-01 00:00\": an hour is missing"}},
        {ends_in_october, {CB_BAD_INPUT, 24841, 0, "or several whole years of them"}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const file_kind kind = {&iso, 60, 2015, 3, true, false};
        lines l = make_file(&kind);
        row[i].change(&l);
        cb_weather *weather = (cb_weather *)&l;
        cb_error error;
        read_lines(&l, false, &weather, &error);
        assert_null(weather);
        refused(&error, &row[i].want);
        lines_destroy(&l);
    }
}

static void a_stated_first_day_must_be_the_files(void **state)
{
    (void)state;
    const file_kind kind = {&iso, 60, 2015, 1, false, false};
    lines l = make_file(&kind);
    lines_write(&l, "\n");
    const char *starter = cb_starter_design(), *from = strstr(starter, "\nweather:");
    assert_non_null(from);
    const char *to = strstr(from, "\nground:");
    assert_non_null(to);
    static const struct {
        const char *first;
        bool good;
    } row[] = {{"01-01", true}, {"07-01", false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const size_t size = strlen(starter) + 1000;
        char *text = malloc(size);
        assert_non_null(text);
        snprintf(text, size,
                 "%.*s\nweather:\n  file: %s\n  format: columns\n  columns:\n"
                 "    air_temperature: {column: T}\n    relative_humidity: {column: RH}\n"
                 "    solar: {column: sun}\n    wind: {column: wind}\n"
                 "    precipitation: {column: rain, unit: in}\n    first: %s\n%s",
                 (int)(from - starter), starter, l.path, row[i].first, to);
        cb_design *design = NULL;
        cb_error error = {0};
        if (cb_design_parse(&design, text, "yard.yaml", NULL, 0, units, &error) != CB_OK) {
            fail_msg("%d:%d %s", error.line, error.column, error.message);
        }
        cb_weather *weather = NULL;
        cb_weather_create(&weather, design, units, &error);
        if (row[i].good) {
            assert_non_null(weather);
            close_to("0.1 in", weather->hour[5].precipitation_kg_m2, 2.54, 1e-9);
        } else {
            assert_null(weather);
            says(error.message, "the first row is dated 1 January, not month 7 day 1");
            assert_true(error.line > 0);
        }
        cb_weather_destroy(weather);
        cb_design_destroy(design);
        free(text);
    }
    lines_destroy(&l);
}

static int load_units(void **state)
{
    (void)state;
    return cb_units_create(&units, NULL) == CB_OK ? 0 : -1;
}

static int unload_units(void **state)
{
    (void)state;
    units = cb_units_destroy(units);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_way_to_show_time_is_followed),
        cmocka_unit_test(midnight_may_belong_to_the_next_day),
        cmocka_unit_test(rows_without_dates_are_whole_years),
        cmocka_unit_test(parts_of_hours_are_averaged_and_rain_is_summed),
        cmocka_unit_test(months_may_come_from_different_years),
        cmocka_unit_test(years_with_holes_are_refused),
        cmocka_unit_test(a_stated_first_day_must_be_the_files),
    };
    return cmocka_run_group_tests(tests, load_units, unload_units);
}
