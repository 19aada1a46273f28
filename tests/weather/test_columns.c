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
static void irregular(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_change(l, 4000, "15:00", "14:30");
}
static void forty_minutes(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_change(l, 2, "01:00", "00:40");
}
static void a_day_lost(lines *l, cb_weather_columns *map)
{
    (void)map;
    memmove(l->text[4000], l->text[4024], (size_t)(l->count - 4024) * LINE_SIZE);
    l->count -= 24;
}
static void dated_otherwise(lines *l, cb_weather_columns *map)
{
    (void)map;
    lines_change(l, 4000, "06-16", "06-31");
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
        {half_hours,
         {CB_BAD_INPUT, 8761, 0,
          "ends after 8760 data rows; expected 17520 or 17568 rows, one every 30 minutes"}},
        {irregular, {CB_BAD_INPUT, 4001, 1, "rows come more often than once an hour"}},
        {forty_minutes, {CB_BAD_INPUT, 3, 1, "rows come more often than once an hour"}},
        {a_day_lost,
         {CB_BAD_INPUT, 4001, 1,
          "expected 15:00 of 16 June, found \"2015-06-17 15:00\": an hour is missing"}},
        {dated_otherwise, {CB_BAD_INPUT, 4001, 1, "\"2015-06-31 15:00\" is not a date"}},
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
    lines l = lines_create();
    if (!lines_measured(&l, "pvgis_tmy_45N_8E_2005_2023", 8778)) {
        lines_destroy(&l);
        return;
    }
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

// What no run needs is NaN unless the file has it; measured longwave takes the sky model's place.
static void rain_snow_and_longwave_are_read(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "Tair,RH,sun,wind,rain (in),snow [cm],sky (W/m^2)");
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        lines_add(&l, "-5,50,100,2,0.01,%d,%d.5", i % 100, 200 + i % 7);
    }
    lines_write(&l, "\n");
    cb_design design = columns_design(l.path);
    cb_weather *weather = read_good(&design);
    assert_true(isnan(weather->hour[9].precipitation_kg_m2));
    assert_true(isnan(weather->hour[9].snow_depth_m));
    says(weather->description, "clouds estimated from its solar");
    assert_null(strstr(weather->description, "precipitation"));
    cb_weather_destroy(weather);
    cb_weather_columns *map = &design.weather.columns;
    map->precipitation = "rain (in)";
    map->precipitation_unit = "in";
    map->snow_depth = "snow [cm]";
    map->snow_depth_unit = "cm";
    map->longwave = "sky (W/m^2)";
    weather = read_good(&design);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        close_to("0.01 in", weather->hour[i].precipitation_kg_m2, 0.254, 1e-12);
        close_to("cm", weather->hour[i].snow_depth_m, i % 100 / 100.0, 1e-12);
        close_to("longwave", weather->hour[i].longwave_w_m2, 200.5 + i % 7, 1e-12);
    }
    says(weather->description, "sky longwave as measured, with 2225 mm of precipitation a year");
    cb_weather_destroy(weather);
    lines_destroy(&l);
}

static void impossible_rain_snow_and_longwave_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *row, *message;
    } row[] = {
        {"-5,50,100,2,-0.1,0,200", "-0.1 in column \"rain\" is -0.1 mm, outside 0 to 500 mm"},
        {"-5,50,100,2,501,0,200", "501 in column \"rain\" is 501 mm, outside 0 to 500 mm"},
        {"-5,50,100,2,0,-0.01,200", "-0.01 in column \"snow\" is -0.01 m, outside 0 to 20 m"},
        {"-5,50,100,2,0,21,200", "21 in column \"snow\" is 21 m, outside 0 to 20 m"},
        {"-5,50,100,2,0,0,39", "39 in column \"sky\" is 39 W/m2, outside 40 to 700 W/m2"},
        {"-5,50,100,2,,0,200", "column \"rain\" is empty"},
        {"-5,50,100,2,-9999,0,200", "-9999 in column \"rain\" is a missing-value code"},
        {"-5,50,100,2,0,nan,200", "\"nan\" in column \"snow\" is not a number"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = lines_create();
        lines_add(&l, "Tair,RH,sun,wind,rain,snow,sky");
        for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
            lines_add(&l, "%s", hour == 77 ? row[i].row : "-5,50,100,2,0,0,200");
        }
        lines_write(&l, "\n");
        cb_design design = columns_design(l.path);
        design.weather.columns.precipitation = "rain";
        design.weather.columns.snow_depth = "snow";
        design.weather.columns.longwave = "sky";
        cb_weather *weather = NULL;
        cb_error error = {0};
        cb_weather_create(&weather, &design, units, &error);
        const refusal want = {CB_BAD_INPUT, 79, -1, row[i].message};
        refused(&error, &want);
        lines_destroy(&l);
    }
}

// Two half hours of 300 mm are within the limit, their hour is not.
static void rain_of_an_hour_is_checked_too(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "when,Tair,RH,sun,wind,rain");
    for (int i = 0; i < 2 * CB_YEAR_HOURS; i++) {
        lines_add(&l, "%02d:%02d,-5,50,100,2,%d", i / 2 % 24, i % 2 * 30, i / 2 == 50 ? 300 : 0);
    }
    lines_write(&l, "\n");
    cb_design design = columns_design(l.path);
    design.weather.columns.precipitation = "rain";
    cb_weather *weather = NULL;
    cb_error error = {0};
    cb_weather_create(&weather, &design, units, &error);
    const refusal want = {CB_BAD_INPUT, 0, 0,
                          "the rows of 3 January 02:00 (year 1 of the file) add up to 600 mm"};
    refused(&error, &want);
    lines_destroy(&l);
}

// NULL for the message: the heading agrees, or says nothing that is a unit.
static void a_unit_in_the_heading_must_agree(void **state)
{
    (void)state;
    static const struct {
        const char *air, *air_unit, *solar, *solar_unit, *wind, *wind_unit, *sun;
        int column; // byte of the heading's line
        const char *message;
    } row[] = {
        {"T (F)", "degF", "GHI (W/m^2)", NULL, "v [mph]", "mph", "100", 0, NULL},
        {"T (\u00b0C)", NULL, "GHI [W/m\u00b2]", "W/m2", "v (10 m) (m/s)", NULL, "100", 0, NULL},
        {"T (2 m)", NULL, "G(h)", NULL, "v (NE)", NULL, "100", 0, NULL},
        {"T (in)", NULL, "G (MJ/m2)", "MJ/m2/h", "v (kn)", "knot", "0.36", 0, NULL},
        {"T (F)", NULL, "G", NULL, "v", NULL, "100", 1,
         "the heading \"T (F)\" says F and the design reads it as degC; set "
         "weather.columns.air_temperature.unit"},
        {"T [K]", "degC", "G", NULL, "v", NULL, "100", 1, "says K and the design reads it as degC"},
        {"T", NULL, "GHI (MJ/m2)", NULL, "v", NULL, "1", 6,
         "the heading \"GHI (MJ/m2)\" says MJ/m2, a sum, and the design reads it as W/m2; if a row "
         "holds the sum of an hour, set weather.columns.solar.unit to MJ/m2/h"},
        {"T", NULL, "GHI (kWh/m2)", "W/m2", "v", NULL, "1", 6, "says kWh/m2, a sum"},
        {"T", NULL, "G", NULL, "wind [mph]", NULL, "100", 8,
         "the heading \"wind [mph]\" says mph and the design reads it as m/s; set "
         "weather.columns.wind.unit"},
        {"T", NULL, "G", NULL, "wind (knots)", "m/s", "100", 8, "says knots"},
        {"T", NULL, "G", NULL, "wind (degC)", NULL, "100", 8,
         "says degC, which is temperature; expected speed, as m/s"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = lines_create();
        lines_add(&l, "%s,RH,%s,%s", row[i].air, row[i].solar, row[i].wind);
        for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
            lines_add(&l, "5,50,%s,2", row[i].sun);
        }
        lines_write(&l, "\n");
        cb_design design = columns_design(l.path);
        cb_weather_columns *map = &design.weather.columns;
        map->air_temperature = row[i].air;
        map->air_temperature_unit = row[i].air_unit;
        map->solar = row[i].solar;
        map->solar_unit = row[i].solar_unit;
        map->wind = row[i].wind;
        map->wind_unit = row[i].wind_unit;
        cb_weather *weather = NULL;
        cb_error error = {0};
        const cb_status status = cb_weather_create(&weather, &design, units, &error);
        if (row[i].message) {
            const refusal want = {CB_BAD_INPUT, 1, row[i].column, row[i].message};
            refused(&error, &want);
        } else if (status != CB_OK) {
            fail_msg("row %zu: %d:%d %s", i, error.line, error.column, error.message);
        }
        cb_weather_destroy(weather);
        lines_destroy(&l);
    }
}

// Sums of an hour are power; sums of half an hour are not read as if they were.
static void sums_of_half_hours_are_refused(void **state)
{
    (void)state;
    lines l = lines_create();
    lines_add(&l, "when,Tair,RH,sun (MJ/m2),wind");
    for (int i = 0; i < 2 * CB_YEAR_HOURS; i++) {
        lines_add(&l, "%02d:%02d,-5,50,0.18,2", i / 2 % 24, i % 2 * 30);
    }
    lines_write(&l, "\n");
    cb_design design = columns_design(l.path);
    design.weather.columns.solar = "sun (MJ/m2)";
    design.weather.columns.solar_unit = "MJ/m2/h";
    cb_weather *weather = NULL;
    cb_error error = {0};
    cb_weather_create(&weather, &design, units, &error);
    const refusal want = {CB_BAD_INPUT, 1, 0,
                          "column \"sun (MJ/m2)\" holds sums, and a row is 30 minutes long"};
    refused(&error, &want);
    lines_destroy(&l);
}

// Clear sky of the site, moved by some hours.
static void a_sun_out_of_step_is_cautioned_or_refused(void **state)
{
    (void)state;
    static const struct {
        int late_h;
        const char *caution, *message;
    } row[] = {
        {0, NULL, NULL},
        {1, "caution: its sun runs 1.0 h late", NULL},
        {-2, "caution: its sun runs 2.0 h early", NULL},
        {3, NULL, "the file's sun runs 3.0 h late"},
        {6, NULL,
         "the file's sun runs 6.0 h late against the site's sun, more than 2.5 h: the rows look "
         "like UTC+0 h, the design's site.time_zone is -6 h; set site.time_zone to 0 h"},
        {-5, NULL, "look like UTC-11 h"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = lines_create();
        cb_design design = columns_design(l.path);
        lines_add(&l, "Tair,RH,sun,wind");
        for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
            const int from = (hour - row[i].late_h + CB_YEAR_HOURS) % CB_YEAR_HOURS;
            lines_add(&l, "5,50,%.6f,2",
                      0.6 * cb_extraterrestrial_w_m2(&design.site, from / 24, from % 24));
        }
        lines_write(&l, "\n");
        cb_weather *weather = NULL;
        cb_error error = {0};
        cb_weather_create(&weather, &design, units, &error);
        assert_int_equal(weather == NULL, row[i].message != NULL);
        if (weather) {
            says(weather->description, row[i].caution ? row[i].caution : "");
            assert_int_equal(strstr(weather->description, "caution") != NULL,
                             row[i].caution != NULL);
        } else {
            says(error.message, row[i].message);
            assert_string_equal(error.file, l.path);
        }
        cb_weather_destroy(weather);
        lines_destroy(&l);
    }
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
        cmocka_unit_test(rain_snow_and_longwave_are_read),
        cmocka_unit_test(impossible_rain_snow_and_longwave_are_refused),
        cmocka_unit_test(rain_of_an_hour_is_checked_too),
        cmocka_unit_test(a_unit_in_the_heading_must_agree),
        cmocka_unit_test(sums_of_half_hours_are_refused),
        cmocka_unit_test(a_sun_out_of_step_is_cautioned_or_refused),
        cmocka_unit_test(sky_longwave_comes_near_a_reanalysis),
    };
    return cmocka_run_group_tests(tests, load_units, unload_units);
}
