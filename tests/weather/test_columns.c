// SPDX-License-Identifier: MIT
#include "weather/sky.h"
#include "weather/support.h"

static const int common_year[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

typedef struct file_kind {
    int month;         // of the first row, its 1st
    bool leap;         // the file's year has 29 February
    bool ending;       // stamps close their hour
    const char *head;  // row of names
    const char *stamp; // format of month, day, hour; NULL: the rows show no time
} file_kind;

static const char usual_head[] = "when,Tair,RH,sun,wind";
static const char usual_stamp[] = "2015-%02d-%02d %02d:00";

// Air temperature of a row says which hour of the file's calendar it is: month + day / 100 +
// hour / 10000.
static double tag(int month, int day, int hour)
{
    return month + day / 100.0 + hour / 10000.0;
}

static void add_hour(lines *l, const file_kind *kind, int month, int day, int hour)
{
    char stamp[64] = "";
    if (kind->stamp) {
        // A closing stamp of the last hour reads 24:00 of the same day.
        snprintf(stamp, sizeof stamp, kind->stamp, month, day, kind->ending ? hour + 1 : hour);
    }
    lines_add(l, "%s,%.4f,50,100,2", stamp, tag(month, day, hour));
}

static lines make_file(const file_kind *kind)
{
    lines l = lines_create();
    lines_add(&l, "%s", kind->head);
    for (int i = 0; i < 12; i++) {
        const int m = (kind->month - 1 + i) % 12;
        const int days = common_year[m] + (kind->leap && m == 1 ? 1 : 0);
        for (int day = 1; day <= days; day++) {
            for (int hour = 0; hour < 24; hour++) {
                add_hour(&l, kind, m + 1, day, hour);
            }
        }
    }
    return l;
}

static cb_design columns_design(const char *path)
{
    cb_design design = cold_plain_design();
    design.weather.format = CB_WEATHER_COLUMNS;
    design.weather.file = path;
    design.weather.columns = (cb_weather_columns){.air_temperature = "Tair",
                                                  .relative_humidity = "RH",
                                                  .solar = "sun",
                                                  .wind = "wind",
                                                  .first_month = 1,
                                                  .first_day = 1};
    return design;
}

static cb_units *units;

static cb_weather *read_good(const cb_design *design)
{
    cb_weather *weather = NULL;
    cb_error error = {0};
    if (cb_weather_create(&weather, design, units, &error) != CB_OK) {
        fail_msg("%d:%d %s", error.line, error.column, error.message);
    }
    return weather;
}

static void every_hour_finds_its_place(void **state)
{
    (void)state;
    static const file_kind kinds[] = {
        {1, false, false, usual_head, usual_stamp},
        {1, false, true, usual_head, usual_stamp},
        {7, false, false, usual_head, usual_stamp},
        {1, true, false, usual_head, usual_stamp},
        {7, true, true, usual_head, usual_stamp},
        {1, true, false, usual_head, NULL},
        {3, true, true, usual_head, NULL},
        {1, false, true, "hour,Tair,RH,sun,wind", "%3$d"},
    };
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        lines l = make_file(&kinds[k]);
        lines_write(&l, k % 2 ? "\r\n" : "\n");
        cb_design design = columns_design(l.path);
        design.weather.columns.hour_ending = kinds[k].ending;
        design.weather.columns.first_month = kinds[k].month;
        cb_weather *weather = read_good(&design);
        int i = 0;
        for (int month = 1; month <= 12; month++) {
            for (int day = 1; day <= common_year[month - 1]; day++) {
                for (int hour = 0; hour < 24; hour++, i++) {
                    close_to("air", weather->hour[i].air_temperature_c, tag(month, day, hour),
                             1e-9);
                }
            }
        }
        assert_int_equal(strstr(weather->description, "29 February dropped") != NULL,
                         kinds[k].leap);
        cb_weather_destroy(weather);
        lines_destroy(&l);
    }
}

// A closing stamp of 00:00 in the first row belongs to the last hour of the day before.
static void first_row_may_close_the_day_before(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "%s", usual_head);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        lines_add(&l, "%02d:00,%.3f,50,100,2", i % 24, i * 0.001);
    }
    lines_write(&l, "\n");
    cb_design design = columns_design(l.path);
    design.weather.columns.hour_ending = true;
    cb_weather *weather = read_good(&design);
    close_to("31 December 23 h", weather->hour[8759].air_temperature_c, 0, 1e-9);
    close_to("1 January 0 h", weather->hour[0].air_temperature_c, 0.001, 1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void hours_may_be_counted_through_the_year(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "Hour,Tair,RH,sun,wind");
    for (int i = 1; i <= CB_YEAR_HOURS; i++) {
        lines_add(&l, "%d,%.3f,50,100,2", i, i * 0.001);
    }
    lines_write(&l, "\n");
    cb_design design = columns_design(l.path);
    design.weather.columns.hour_ending = true;
    cb_weather *weather = read_good(&design);
    close_to("1 January 0 h", weather->hour[0].air_temperature_c, 0.001, 1e-9);
    close_to("31 December 23 h", weather->hour[8759].air_temperature_c, 8.760, 1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void units_are_converted(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "# made for a test");
    lines_add(&l, "# two header lines");
    lines_add(&l, "\"T, outdoor\",Tdew,sun,\"wind \"\"10 m\"\"\",clouds");
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        lines_add(&l, "%d,5,0.25,10,40", i % 2 ? 14 : 50);
    }
    lines_write(&l, "\n");
    cb_design design = columns_design(l.path);
    design.weather.columns = (cb_weather_columns){.air_temperature = "T, outdoor",
                                                  .air_temperature_unit = "degF",
                                                  .dew_point = "Tdew",
                                                  .dew_point_unit = "degF",
                                                  .solar = "sun",
                                                  .solar_unit = "kW/m2",
                                                  .wind = "wind \"10 m\"",
                                                  .wind_unit = "mph",
                                                  .cloud = "clouds",
                                                  .cloud_unit = "percent",
                                                  .header_lines = 2,
                                                  .first_month = 1,
                                                  .first_day = 1};
    cb_weather *weather = read_good(&design);
    close_to("50 degF", weather->hour[0].air_temperature_c, 10, 1e-12);
    close_to("14 degF", weather->hour[1].air_temperature_c, -10, 1e-12);
    close_to("5 degF", weather->hour[0].dew_point_c, -15, 1e-12);
    close_to("0.25 kW/m2", weather->hour[0].solar_w_m2, 250, 1e-12);
    close_to("10 mph", weather->hour[0].wind_m_s, 4.4704, 1e-12);
    close_to("40 % clouds", weather->hour[0].longwave_w_m2, cb_sky_longwave_w_m2(10, -15, 0.4),
             1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

// At 50 % humidity and 10 degC: e = 0.5 es, checked by putting the dew point back in.
static void dew_point_follows_from_humidity(void **state)
{
    (void)state;
    for (double air = -40; air <= 40; air += 10) {
        for (double humidity = 0.05; humidity <= 1; humidity += 0.05) {
            const double dew = cbx_dew_point_c(air, humidity);
            const double es = exp(17.27 * air / (air + 237.3));
            close_to("e / es", exp(17.27 * dew / (dew + 237.3)) / es, humidity, 1e-12);
        }
    }
}

// A file whose sun is everywhere half of the clear sky has clouds of one half.
static void clouds_follow_from_solar(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "Tair,RH,sun,wind");
    cb_design design = columns_design(l.path);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        const double clear = cbx_clear_sky_share(&design.site) *
                             cb_extraterrestrial_w_m2(&design.site, i / 24, i % 24);
        lines_add(&l, "5,100,%.9f,2", 0.5 * clear);
    }
    lines_write(&l, "\n");
    cb_weather *weather = read_good(&design);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        close_to("longwave", weather->hour[i].longwave_w_m2, cb_sky_longwave_w_m2(5, 5, 0.5), 1e-6);
    }
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

typedef void spoil(lines *l, cb_weather_columns *map);

static void no_column(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->air_temperature = "Tout";
}
static void no_wind(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->wind = NULL;
}
static void no_moisture(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->relative_humidity = NULL;
}
static void wrong_unit(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->air_temperature_unit = "mph";
}
static void long_unit(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->wind_unit =
        "furlongs_per_fortnight_furlongs_per_fortnight_furlongs_per_fortnight_furlongs";
}
static void wrong_cloud_unit(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->cloud = "RH";
    map->cloud_unit = "oktas";
}
static void no_such_day(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->first_month = 2;
    map->first_day = 29;
}
static void fahrenheit_taken_for_celsius(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_change(l, 4000, ",50,100,2", ",50,100,2");
    snprintf(l->text[4000], LINE_SIZE, "2015-06-16 15:00,86,50,100,2");
}
static void celsius_after_conversion(lines *l, cb_weather_columns *map)
{
    map->air_temperature_unit = "degF";
    snprintf(l->text[4000], LINE_SIZE, "2015-06-16 15:00,150,50,100,2");
}
static void dry_as_nothing(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_change(l, 4000, ",50,100,2", ",0,100,2");
}
static void wetter_than_wet(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_change(l, 4000, ",50,100,2", ",104.5,100,2");
}
static void gap(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_remove(l, 4000);
}
static void twice(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_repeat(l, 4000);
}
static void clock_lost(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_change(l, 4000, "15:00", "noon");
}
static void half_hours(lines *l, cb_weather_columns *map)
{
    (void)map;
    for (int i = 1; i <= 8760; i++) {
        snprintf(l->text[i], LINE_SIZE, "%02d:%02d,5,50,100,2", i / 2 % 24, i % 2 * 30);
    }
}
static void one_row_short(lines *l, cb_weather_columns *map)
{
    (void)map;
    l->count--;
}
static void one_row_more(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_add(l, "2016-01-01 00:00,1,50,100,2");
}
static void header_longer_than_file(lines *l, cb_weather_columns *map)
{
    (void)l;
    map->header_lines = 9000;
}

// Line 4001 is row 3999: 16 June 15:00, air 6.1615 degC.
static void mistakes_are_refused_at_their_place(void **state)
{
    (void)state;
    static const struct {
        spoil *change;
        refusal want;
    } row[] = {
        {no_column,
         {CB_BAD_INPUT, 1, 1,
          "no column \"Tout\" (asked for by "
          "weather.columns.air_temperature.column); the columns are "
          "\"when\", \"Tair\", \"RH\", \"sun\", \"wind\""}},
        {no_wind, {CB_BAD_INPUT, 0, 0, "wind speed column"}},
        {no_moisture, {CB_BAD_INPUT, 0, 0, "dew point or relative humidity column"}},
        {wrong_unit, {CB_BAD_INPUT, 0, 0, "\"mph\" (column \"Tair\") is not a unit of"}},
        {long_unit, {CB_BAD_INPUT, 0, 0, "is not a unit of"}},
        {wrong_cloud_unit, {CB_BAD_INPUT, 0, 0, "expected fraction, percent or tenths"}},
        {no_such_day, {CB_BAD_INPUT, 0, 0, "month 2 day 29, is not in a year of 8760 hours"}},
        {fahrenheit_taken_for_celsius,
         {CB_BAD_INPUT, 4001, 18,
          "86 in column \"Tair\" is 86 degC, "
          "outside -90 to 60 degC"}},
        {celsius_after_conversion,
         {CB_BAD_INPUT, 4001, 18,
          "150 in column \"Tair\" is 65.5556 "
          "degC, outside"}},
        {dry_as_nothing, {CB_BAD_INPUT, 4001, 25, "0 in column \"RH\""}},
        {wetter_than_wet, {CB_BAD_INPUT, 4001, 25, "is above the air temperature"}},
        {gap,
         {CB_BAD_INPUT, 4001, 1,
          "expected 15:00, found \"2015-06-16 16:00\": an hour is "
          "missing"}},
        {twice, {CB_BAD_INPUT, 4002, 1, "an hour is repeated"}},
        {clock_lost, {CB_BAD_INPUT, 4001, 1, "\"2015-06-16 noon\" is not a time of day"}},
        {half_hours, {CB_BAD_INPUT, 3, 1, "rows come more often than once an hour"}},
        {one_row_short,
         {CB_BAD_INPUT, 8760, -1,
          "ends after 8759 data rows; expected 8760 or "
          "8784"}},
        {one_row_more, {CB_BAD_INPUT, 8762, -1, "ends after 8761 data rows"}},
        {header_longer_than_file, {CB_BAD_INPUT, 8761, -1, "within its 9000 header lines"}},
    };
    static const file_kind kind = {1, false, false, usual_head, usual_stamp};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = make_file(&kind);
        cb_design design = columns_design(l.path);
        row[i].change(&l, &design.weather.columns);
        lines_write(&l, "\n");
        cb_weather *weather = (cb_weather *)&l;
        cb_error error = {0};
        cb_weather_create(&weather, &design, units, &error);
        assert_null(weather);
        refused(&error, &row[i].want);
        lines_destroy(&l);
    }
}

static void twelve_hour_clocks_are_understood(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "%s", usual_head);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        const int hour = i % 24;
        lines_add(&l, "%d:00:00 %s,%.3f,50,100,2", hour % 12 ? hour % 12 : 12,
                  hour < 12 ? "AM" : "PM", i * 0.001);
    }
    lines_write(&l, "\n");
    cb_design design = columns_design(l.path);
    cb_weather *weather = read_good(&design);
    close_to("13:00", weather->hour[13].air_temperature_c, 0.013, 1e-9);
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

// A public agency's typical year (UTC) that carries its own sky longwave, from a reanalysis: the
// estimate from clouds by solar must come near its mean.
static void sky_longwave_comes_near_a_reanalysis(void **state)
{
    (void)state;
    const char *folder = getenv("COILBED_DATA");
    if (!folder) {
        print_message("skipped: COILBED_DATA is not set\n");
        return;
    }
    lines l = lines_create();
    char command[512];
    snprintf(command, sizeof command,
             "gzip -dc '%s/weather/pvgis_tmy_45N_8E_2005_2023.csv.gz' | head -n 8778 > '%s'",
             folder, l.path);
    assert_int_equal(system(command), 0);
    cb_design design = columns_design(l.path);
    design.site = (cb_site){45, 8, 250, 0};
    design.weather.columns = (cb_weather_columns){.air_temperature = "T2m",
                                                  .relative_humidity = "RH",
                                                  .solar = "G(h)",
                                                  .wind = "WS10m",
                                                  .header_lines = 17,
                                                  .first_month = 1,
                                                  .first_day = 1};
    cb_weather *weather = read_good(&design);
    double longwave = 0;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        longwave += weather->hour[i].longwave_w_m2 / CB_YEAR_HOURS;
    }
    close_to("mean of IR(h) [W/m2]", longwave, 322.07, 6);
    assert_null(strstr(weather->description, "caution"));
    cb_weather_destroy(weather);
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
        cmocka_unit_test(every_hour_finds_its_place),
        cmocka_unit_test(first_row_may_close_the_day_before),
        cmocka_unit_test(hours_may_be_counted_through_the_year),
        cmocka_unit_test(units_are_converted),
        cmocka_unit_test(dew_point_follows_from_humidity),
        cmocka_unit_test(clouds_follow_from_solar),
        cmocka_unit_test(mistakes_are_refused_at_their_place),
        cmocka_unit_test(twelve_hour_clocks_are_understood),
        cmocka_unit_test(sky_longwave_comes_near_a_reanalysis),
    };
    return cmocka_run_group_tests(tests, load_units, unload_units);
}
