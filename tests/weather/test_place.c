// SPDX-License-Identifier: MIT
#include "weather/support.h"

static const char *const tmy3[] = {"999999,\"TEST, FIELD\",ND,-6.0,46.933,-96.817,274"};
static const char *const nsrdb[] = {
    "Source,Location ID,Latitude,Longitude,Time Zone,Elevation,Local Time Zone",
    "NSRDB,1,40.53,-108.54,0,2168,-7"};
static const char *const pvgis[] = {"Latitude (decimal degrees): 45.000",
                                    "Longitude (decimal degrees): 8.000", "Elevation (m): 250.0",
                                    "Irradiance Time Offset (h): 0.1", "month,year"};

typedef struct head {
    cb_weather_format format;
    int count;
    const char *const *line;
    int spoilt;          // line to change; -1: none
    const char *with;    // NULL: the line is left out
    const cb_site *site; // NULL: refused
    const char *says;
    int row, column;
} head;

static void check(const head *given)
{
    lines l = lines_create();
    for (int i = 0; i < given->count; i++) {
        const char *line = i == given->spoilt ? given->with : given->line[i];
        if (line) {
            lines_add(&l, "%s", line);
        }
    }
    lines_write(&l, "\n");
    cb_site site = {99, 99, 99, 99};
    cb_error error = {0};
    const cb_status status = cb_weather_file_site(&site, given->format, l.path, &error);
    if (!given->site) {
        assert_int_equal(status, CB_BAD_INPUT);
        says(error.message, given->says);
        assert_int_equal(error.line, given->row);
        assert_int_equal(error.column, given->column);
    } else {
        assert_int_equal(status, CB_OK);
        close_to("latitude", site.latitude_deg, given->site->latitude_deg, 0);
        close_to("longitude", site.longitude_deg, given->site->longitude_deg, 0);
        close_to("elevation", site.elevation_m, given->site->elevation_m, 0);
        close_to("time zone", site.time_zone_h, given->site->time_zone_h, 0);
    }
    lines_destroy(&l);
}

static void the_head_of_a_file_says_where_it_was_taken(void **state)
{
    (void)state;
    static const cb_site field = {46.933, -96.817, 274, -6}, grid = {40.53, -108.54, 2168, -7},
                         square = {45, 8, 250, 1};
    static const head row[] = {
        {CB_WEATHER_TMY3, 1, tmy3, -1, NULL, &field, NULL, 0, 0},
        {CB_WEATHER_NSRDB, 2, nsrdb, -1, NULL, &grid, NULL, 0, 0},
        {CB_WEATHER_PVGIS, 5, pvgis, -1, NULL, &square, NULL, 0, 0},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        check(&row[i]);
    }
}

static void a_head_without_a_place_is_refused_where_it_fails(void **state)
{
    (void)state;
    static const head row[] = {
        {CB_WEATHER_TMY3, 1, tmy3, 0, "9,A,ND,-6.0,96.933,-96.817,274", NULL,
         "the latitude is \"96.933\"; expected a number -90 to 90", 1, 13},
        {CB_WEATHER_TMY3, 1, tmy3, 0, "9,A,ND,-6.0,46.9,-96.8,high", NULL,
         "the elevation is \"high\"", 1, 24},
        {CB_WEATHER_TMY3, 1, tmy3, 0, "9,A,ND", NULL, "the first line has 3 fields; expected the 7",
         1, 1},
        {CB_WEATHER_NSRDB, 2, nsrdb, 0,
         "Source,ID,Latitude,Length,Time Zone,Elevation,Local Time Zone", NULL,
         "no label \"Longitude\"", 1, 1},
        {CB_WEATHER_NSRDB, 2, nsrdb, 1, "NSRDB,1,40.53,-108.54,0,x,-7", NULL, "Elevation is \"x\"",
         2, 25},
        {CB_WEATHER_NSRDB, 2, nsrdb, 1, NULL, NULL, "the file ends before its line of values", 1,
         0},
        {CB_WEATHER_PVGIS, 5, pvgis, 2, NULL, NULL, "no line \"Elevation (m): ...\" was found", 4,
         0},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        check(&row[i]);
    }
}

static void a_format_that_names_no_place_is_a_wrong_call(void **state)
{
    (void)state;
    cb_site site;
    cb_error error = {0};
    assert_int_equal(cb_weather_file_site(&site, CB_WEATHER_COLUMNS, "a.csv", &error), CB_BAD_CALL);
    assert_int_equal(cb_weather_file_site(&site, CB_WEATHER_TMY3, "/no/such.csv", &error), CB_IO);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_head_of_a_file_says_where_it_was_taken),
        cmocka_unit_test(a_head_without_a_place_is_refused_where_it_fails),
        cmocka_unit_test(a_format_that_names_no_place_is_a_wrong_call),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
