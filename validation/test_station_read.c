// SPDX-License-Identifier: MIT
// Reading of stations; every file here is invented.
#include "test_station.h"

#include "station_index.h"
#include "station_text.h"

#include <zlib.h>

static station_list read_text(const char *text)
{
    char path[64];
    write_file(path, text);
    station_list list = {0};
    cb_error error = {0};
    if (station_read(&list, path, &error) != CB_OK) {
        fail_msg("%s:%d: %s", error.file, error.line, error.message);
    }
    remove(path);
    return list;
}

static void dates_are_read_as_written(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        long day;
        int minute; // -1: no date
    } row[] = {
        {"1970-01-01", 0, 0},
        {"1969-12-31", -1, 0},
        {"2000-03-01", 11017, 0},
        {"20200229", 18321, 0},
        {"2020-02-30", 0, -1},
        {"1900-02-29", 0, -1},
        {"10/2/14 12:05", 16345, 725},
        {"10/2/2014 1:05 PM", 16345, 785},
        {"2022-01-01 23:00:00", 18993, 1380},
        {"2022-01-01T23:30Z", 18993, 1410},
        {"13/2/14", 0, -1},
        {"yesterday", 0, -1},
        {"2022-01-01 25:00", 0, -1},
        {"", 0, -1},
    };
    for (size_t n = 0; n < sizeof row / sizeof *row; n++) {
        long day = -99;
        int minute = -99;
        const bool is_date = station_date(row[n].text, &day, &minute);
        if (is_date != (row[n].minute >= 0) ||
            (is_date && (day != row[n].day || minute != row[n].minute))) {
            fail_msg("\"%s\": got %d, day %ld, minute %d", row[n].text, is_date, day, minute);
        }
    }
}

static void calendar_turns_days_back_into_dates(void **state)
{
    (void)state;
    for (long day = -40000; day < 40000; day++) {
        int year, month, day_of_month, day_of_year;
        long again;
        station_calendar(day, &year, &month, &day_of_month, &day_of_year);
        assert_true(station_day_number(year, month, day_of_month, &again));
        assert_int_equal(again, day);
        assert_in_range(day_of_year, 0, 364);
    }
}

static void missing_values_are_no_numbers(void **state)
{
    (void)state;
    static const char *const missing[] = {"", "NA", "nan", "-9999", "-9999.0", "-99.000", "-"};
    double value;
    for (size_t n = 0; n < sizeof missing / sizeof *missing; n++) {
        assert_true(station_number(missing[n], &value));
        must_be_missing(missing[n], value);
    }
    assert_true(station_number("-9.5", &value));
    must_be("-9.5", value, -9.5, 0.0);
    assert_false(station_number("5 degC", &value));
    assert_false(station_number("inf", &value));
}

static void hourly_profile_has_depths_in_order(void **state)
{
    (void)state;
    char text[8192] = "station,time_cst,T100cm,T5cm,T20cm\n";
    for (int hour = 0; hour < 48; hour++) {
        add_text(text, sizeof text, "Invented,1/%d/15 %d:00,%s,%d,-9999\n", 1 + hour / 24,
                 hour % 24, hour == 30 ? "" : "8.5", hour);
    }
    station_list list = read_text(text);
    assert_int_equal(list.count, 1);
    const station *one = &list.one[0];
    assert_string_equal(one->name, "Invented");
    assert_int_equal(one->per_day, 24);
    assert_int_equal(one->days, 2);
    assert_int_equal(one->depths, 2); // nothing was ever measured at 20 cm
    must_be("first depth", one->depth_m[0], 0.05, 1e-12);
    must_be("second depth", one->depth_m[1], 1.0, 1e-12);
    must_be("day 1 at 5 cm", one->daily_c[0][0], 11.5, 1e-12);
    must_be("day 2 at 5 cm", one->daily_c[0][1], 35.5, 1e-12);
    must_be_missing("hour 30 at 1 m", one->soil_c[1][30]);
    must_be("day 2 at 1 m without an hour", one->daily_c[1][1], 8.5, 1e-12);
    assert_null(one->value[STATION_AIR_C]);
    station_list_free(&list);
}

static void daily_table_holds_several_stations(void **state)
{
    (void)state;
    station_list list = read_text(
        "wban,name,lst_date,longitude,latitude,t_daily_max,t_daily_min,t_daily_avg,p_daily_calc,"
        "solarad_daily,rh_daily_avg,soil_moisture_5_daily,soil_temp_5_daily,soil_temp_100_daily\n"
        "00001,\"Invented, A\",2020-01-01,-90.5,40.25,3,-1,1,0.0,8.64,50,0.2,2.5,9\n"
        "00002,Invented B,2020-01-01,-91,41,3,-1,1,0.0,8.64,50,0.2,3.5,9\n"
        "00001,\"Invented, A\",2020-01-03,-90.5,40.25,,,,,,,,,\n"
        "00001,\"Invented, A\",2020-01-02,-90.5,40.25,5,1,3,2.5,4.32,60,0.2,4.5,8\n");
    assert_int_equal(list.count, 2);
    const station *one = &list.one[0];
    assert_string_equal(one->name, "Invented, A");
    assert_int_equal(one->per_day, 1);
    assert_int_equal(one->days, 3);
    must_be("latitude", one->latitude_deg, 40.25, 1e-12);
    must_be("solar", one->value[STATION_SOLAR_W_M2][0], 100.0, 1e-9);
    must_be("rain", one->value[STATION_RAIN_MM][1], 2.5, 1e-12);
    must_be("soil", one->soil_c[0][1], 4.5, 1e-12);
    must_be_missing("third day", one->value[STATION_AIR_C][2]);
    assert_int_equal(list.one[1].days, 1);
    station_list_free(&list);
}

static void network_text_needs_no_names(void **state)
{
    (void)state;
    station_list list = read_text(
        "99999 20180102 0700 20180102 0000 2.4 -100.0 40.0 1.0 1.5 2.6 0.6 0.2 5 3 0 0 0 0 C "
        "-5.3 0 -4.5 0 -5.8 0 50 0 0.072 0.189 0.141 0.181 0.220 1.3 1.5 1.3 1.9 4.0\n"
        "99999 20180102 0800 20180102 0100 2.4 -100.0 40.0 1.0 -9999.0 2.6 0.6 0.4 20 0 0 0 0 0 C "
        "-5.3 0 -4.5 0 -5.8 0 -9999 0 -99.000 0.189 0.141 0.181 0.220 1.2 1.5 1.3 1.9 -9999.0\n");
    const station *one = &list.one[0];
    assert_int_equal(one->depths, 5);
    // 00:00 ends the last hour of the day before.
    int year, month, day, of_year;
    station_calendar(one->first_day, &year, &month, &day, &of_year);
    assert_int_equal(10000 * year + 100 * month + day, 20180101);
    must_be("air", one->value[STATION_AIR_C][0], 1.5, 1e-12);
    must_be("end of the hour in place of its mean", one->value[STATION_AIR_C][1], 1.0, 1e-12);
    must_be_missing("solar that is flagged", one->value[STATION_SOLAR_W_M2][0]);
    station_list_free(&list);

    list = read_text("99999 20200101 2.4 -100.0 40.0 3.0 -1.0 1.0 1.2 0.0 8.64 C 1 -1 0 80 40 60 "
                     "0.1 0.1 0.1 0.1 0.1 2.5 2.6 2.7 2.8 -9999.0\n"
                     "99999 20200102 2.4 -100.0 40.0 3.0 -1.0 1.1 -9999.0 0.0 8.64 C 1 -1 0 80 40 "
                     "60 0.1 0.1 0.1 0.1 0.1 2.5 2.6 2.7 2.8 9.0\n");
    one = &list.one[0];
    assert_int_equal(one->days, 2);
    must_be("mean air", one->value[STATION_AIR_C][0], 1.2, 1e-12);
    must_be("middle of lowest and highest in its place", one->value[STATION_AIR_C][1], 1.1, 1e-12);
    must_be("solar", one->value[STATION_SOLAR_W_M2][1], 100.0, 1e-9);
    must_be_missing("1 m", one->soil_c[4][0]);
    station_list_free(&list);
}

static void flagged_solar_is_missing(void **state)
{
    (void)state;
    char text[16384] = "";
    for (int hour = 1; hour <= 23; hour++) {
        add_text(text, sizeof text,
                 "99999 20180102 0000 20180102 %02d00 2.4 -100.0 40.0 1.0 1.5 2.6 0.6 0.2 %d %d 0 "
                 "0 0 0 C -5.3 0 -4.5 0 -5.8 0 50 0 0.1 0.1 0.1 0.1 0.1 1.3 1.5 1.3 1.9 4.0\n",
                 hour, 10 * hour, hour == 5 ? 3 : 0);
    }
    station_list list = read_text(text);
    const station *one = &list.one[0];
    assert_int_equal(one->per_day, 24);
    must_be("solar of the hour that ends at 4", one->value[STATION_SOLAR_W_M2][3], 40.0, 1e-9);
    must_be_missing("flagged", one->value[STATION_SOLAR_W_M2][4]);
    station_list_free(&list);
}

static void hourly_table_states_no_units(void **state)
{
    (void)state;
    char text[8192] = "datetime,pressure,tavg,rhavg,prcp,srad,wspd,vwc_5cm,soiltemp_5cm\n";
    for (int hour = 0; hour < 24; hour++) {
        add_text(text, sizeof text, "2022-06-01 %02d:00:00,96.5,15,70,0.5,%s,3,0.2,14\n", hour,
                 hour == 12 ? "3.6" : "");
    }
    station_list list = read_text(text);
    const station *one = &list.one[0];
    must_be("3.6 MJ/m2 in an hour", one->value[STATION_SOLAR_W_M2][12], 1000.0, 1e-9);
    must_be_missing("night", one->value[STATION_SOLAR_W_M2][2]);
    must_be("wind", one->value[STATION_WIND_M_S][0], 3.0, 0.0);
    must_be("5 cm", one->depth_m[0], 0.05, 1e-12);
    station_list_free(&list);
}

static void spikes_go_at_depth_only(void **state)
{
    (void)state;
    char text[4096] = "date,t_air_mean_C,t_10cm_C,t_100cm_C\n";
    for (int day = 1; day <= 20; day++) {
        add_text(text, sizeof text, "1976-03-%02d,5,%s,%s\n", day, day == 9 ? "3.4" : "12.0",
                 day == 9   ? "3.4"
                 : day > 15 ? "13.9"
                            : "12.0");
    }
    station_list list = read_text(text);
    const station *one = &list.one[0];
    must_be("10 cm", one->daily_c[0][8], 3.4, 1e-12);
    must_be_missing("1 m", one->daily_c[1][8]);
    must_be("a step below 2 K stays", one->daily_c[1][16], 13.9, 1e-12);
    must_be("as does what came before it", one->daily_c[1][14], 12.0, 1e-12);
    station_list_free(&list);
}

static void compressed_files_read_the_same(void **state)
{
    (void)state;
    char path[64];
    fclose(new_file(path));
    gzFile file = gzopen(path, "wb");
    gzputs(file, "date,t_air_mean_C,t_10cm_C\n1976-03-01,5,7\n1976-03-02,5,8\n");
    assert_int_equal(gzclose(file), Z_OK);
    station_list list = {0};
    cb_error error = {0};
    assert_int_equal(station_read(&list, path, &error), CB_OK);
    must_be("10 cm", list.one[0].soil_c[0][1], 8.0, 0.0);
    station_list_free(&list);

    assert_int_equal(truncate(path, 30), 0);
    assert_int_equal(station_read(&list, path, &error), CB_IO);
    assert_string_equal(error.file, path);
    assert_int_equal(list.count, 0);
    remove(path);
}

static void wrong_files_are_refused_with_their_place(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int line;
        const char *message;
    } row[] = {
        {"", 1, "empty"},
        {"once upon a time\nthere was a loop\n", 1, "no format this command knows"},
        {"T5cm,T10cm\n1,2\n", 1, "no column for the time"},
        {"date,t_air_mean_C\n2020-01-01,5\n", 1, "no format this command knows"},
        {"date,T5cm\n", 1, "no values"},
        {"date,T5cm\n2020-01-01,5\n\n2020-01-02,5,6\n", 4, "3 values; expected 2"},
        {"date,T5cm\n2020-01-01,5\n2020-01-02,warm\n", 3, "\"warm\" is no number"},
        {"date,T5cm\n2020-01-01,5\n2020-02-30,5\n", 3, "\"2020-02-30\" is no date"},
        {"lst_date,lst_time,T5cm\n20200101,2900,5\n", 2, "\"2900\" is no time of day"},
        {"date,T5cm\n1850-01-01,5\n2190-01-02,5\n", 0, "expected no more than 200 years"},
        {"99999 20200101 2.4 -100.0 40.0 3.0\n", 1, "no format this command knows"},
    };
    for (size_t n = 0; n < sizeof row / sizeof *row; n++) {
        char path[64];
        write_file(path, row[n].text);
        station_list list = {0};
        cb_error error = {0};
        const cb_status status = station_read(&list, path, &error);
        if (status != CB_BAD_INPUT || error.line != row[n].line || strcmp(error.file, path) != 0 ||
            !strstr(error.message, row[n].message)) {
            fail_msg("row %zu: status %d, %s:%d: %s", n, (int)status, error.file, error.line,
                     error.message);
        }
        assert_int_equal(list.count, 0);
        station_list_free(&list);
        remove(path);
    }
}

static void files_that_cannot_be_read_are_named(void **state)
{
    (void)state;
    station_list list = {0};
    cb_error error = {0};
    assert_int_equal(station_read(&list, "/nowhere/at/all.csv", &error), CB_IO);
    assert_string_equal(error.file, "/nowhere/at/all.csv");
    assert_int_equal(station_read(&list, "/tmp", &error), CB_IO);
    char path[64];
    FILE *file = new_file(path);
    fwrite("date\0T5cm\n", 1, 10, file);
    fclose(file);
    assert_int_equal(station_read(&list, path, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "not text"));
    remove(path);
    station_list_free(&list);
}

static void index_leaves_flagged_stations_out(void **state)
{
    (void)state;
    char path[64];
    write_file(path, "wban,name,n_air,flag\n00012,Invented A,366,\n"
                     "00013,Invented B,366,\"probe, loose\"\n");
    station_index index;
    cb_error error = {0};
    assert_int_equal(station_index_read(&index, path, &error), CB_OK);
    const station good = {.id = "12", .name = "Invented A"}, bad = {.id = "13", .name = "any"};
    const station bad_too = {.name = "Invented B"};
    assert_null(station_index_flag(&index, &good));
    assert_string_equal(station_index_flag(&index, &bad), "probe, loose");
    assert_string_equal(station_index_flag(&index, &bad_too), "probe, loose");
    station_index_free(&index);

    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs("wban,remark\n00012,none\n", file);
    fclose(file);
    assert_int_equal(station_index_read(&index, path, &error), CB_BAD_INPUT);
    assert_int_equal(error.line, 1);
    station_index_free(&index);
    remove(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dates_are_read_as_written),
        cmocka_unit_test(calendar_turns_days_back_into_dates),
        cmocka_unit_test(missing_values_are_no_numbers),
        cmocka_unit_test(hourly_profile_has_depths_in_order),
        cmocka_unit_test(daily_table_holds_several_stations),
        cmocka_unit_test(network_text_needs_no_names),
        cmocka_unit_test(flagged_solar_is_missing),
        cmocka_unit_test(hourly_table_states_no_units),
        cmocka_unit_test(spikes_go_at_depth_only),
        cmocka_unit_test(compressed_files_read_the_same),
        cmocka_unit_test(wrong_files_are_refused_with_their_place),
        cmocka_unit_test(files_that_cannot_be_read_are_named),
        cmocka_unit_test(index_leaves_flagged_stations_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
