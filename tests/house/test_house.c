// SPDX-License-Identifier: MIT
#include "coilbed/house.h"
#include "weather/support.h"

typedef struct fixture {
    cb_design design;
    cb_weather *weather; // outdoor air set by each test
    cb_run_weather *run;
    cb_units *units;
} fixture;

static const cb_load_line example_line = {.heating_design_w = 12000,
                                          .heating_design_c = -25,
                                          .heating_balance_c = 15,
                                          .cooling_design_w = 6000,
                                          .cooling_design_c = 32,
                                          .cooling_balance_c = 22};

static int set_up(void **state)
{
    fixture *f = calloc(1, sizeof *f);
    f->design = cold_plain_design();
    f->weather = cb_weather_blank(1);
    f->design.run = (cb_design_run){.years = 2, .start_month = 1, .start_day = 1};
    f->design.house.model = CB_HOUSE_LOAD_LINE;
    f->design.house.line = example_line;
    *state = f;
    return cb_units_create(&f->units, NULL) == CB_OK &&
                   cb_run_weather_create(&f->run, f->weather, &f->design, NULL) == CB_OK
               ? 0
               : -1;
}

static int tear_down(void **state)
{
    fixture *f = *state;
    cb_run_weather_destroy(f->run);
    cb_weather_destroy(f->weather);
    cb_units_destroy(f->units);
    free(f);
    return 0;
}

static void set_air(fixture *f, double (*air_c)(int hour))
{
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        f->weather->hour[i].air_temperature_c = air_c(i);
    }
}

static cb_house *make_house(fixture *f)
{
    cb_house *house = NULL;
    cb_error error = {0};
    if (cb_house_create(&house, &f->design, f->run, f->units, &error) != CB_OK) {
        fail_msg("%s:%d:%d %s", error.file, error.line, error.column, error.message);
    }
    return house;
}

static const double outdoor[] = {-25, 15, 14, -35, 32, 22, 23, 18, 40};

static double listed_air(int hour)
{
    return outdoor[hour % 9];
}

// By hand: 12 kW over 40 K is 300 W/K below 15 degC, 6 kW over 10 K is 600 W/K above 22 degC.
static void load_line_without_lag(void **state)
{
    fixture *f = *state;
    static const double heating[] = {12000, 0, 300, 15000, 0, 0, 0, 0, 0};
    static const double cooling[] = {0, 0, 0, 0, 6000, 0, 600, 0, 10800};
    set_air(f, listed_air);
    cb_house *house = make_house(f);
    assert_int_equal(house->hours, 2 * CB_YEAR_HOURS);
    for (long i = 0; i < house->hours; i++) {
        const long hour = i % CB_YEAR_HOURS;
        close_to("heating", house->heating_w[i], heating[hour % 9], 1e-9);
        close_to("cooling", house->cooling_w[i], cooling[hour % 9], 1e-9);
    }
    house = cb_house_destroy(house);
    assert_null(house);
}

static void a_share_of_the_house_is_that_share_of_every_hour(void **state)
{
    fixture *f = *state;
    set_air(f, listed_air);
    cb_house *whole = make_house(f);
    f->design.house.share = 0.4;
    cb_house *part = make_house(f);
    for (long i = 0; i < whole->hours; i++) {
        close_to("heating", part->heating_w[i], 0.4 * whole->heating_w[i], 1e-9);
        close_to("cooling", part->cooling_w[i], 0.4 * whole->cooling_w[i], 1e-9);
    }
    cb_design_loads loads;
    assert_int_equal(cb_house_design_loads(&loads, &f->design, f->run, part, NULL), CB_OK);
    close_to("design load", loads.heating_w, 4800, 1e-9);
    cb_house_destroy(part);
    cb_house_destroy(whole);
}

// 0 degC but for one hour at -20 degC (hour 100 of the year).
static double one_cold_hour(int hour)
{
    return hour == 100 ? -20 : 0;
}

// By hand, tau = 10 h: kept = exp(-0.1) = 0.904837; mean of the cold hour
// -20 (1 - 10 (1 - 0.904837)) = -0.967484 degC, its end -20 (1 - 0.904837) = -1.903252 degC.
// The next hour's mean is -1.903252 * 10 (1 - 0.904837) = -1.811186 degC.
static void load_line_lags_behind_the_air(void **state)
{
    fixture *f = *state;
    f->design.house.line.time_constant_s = 36000;
    set_air(f, one_cold_hour);
    cb_house *house = make_house(f);
    close_to("hour before", house->heating_w[99], 300 * 15, 1e-6);
    close_to("cold hour", house->heating_w[100], 300 * (15 + 0.967484), 1e-3);
    close_to("hour after", house->heating_w[101], 300 * (15 + 1.811186), 1e-3);
    close_to("ten hours later", (house->heating_w[111] - 4500) / (house->heating_w[101] - 4500),
             exp(-1), 1e-9);
    cb_house_destroy(house);
}

static double warm_december(int hour)
{
    return hour >= 8760 - 48 ? 10 : -10;
}

// What the last hours of December leave behind is there on 1 January of the first year, as in the
// second.
static void load_line_starts_periodic(void **state)
{
    fixture *f = *state;
    static const double tau_h[] = {0, 0.01, 10, 48, 2000};
    for (size_t i = 0; i < sizeof tau_h / sizeof *tau_h; i++) {
        f->design.house.line.time_constant_s = tau_h[i] * 3600;
        set_air(f, warm_december);
        cb_house *house = make_house(f);
        for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
            close_to("second year as the first", house->heating_w[CB_YEAR_HOURS + hour],
                     house->heating_w[hour], 1e-6);
        }
        if (tau_h[i] == 48) { // after 48 h at 10 degC: 10 - 20 / e; mean of the next hour
            const double start = 10 - 20 * exp(-1), mean = -expm1(-1.0 / 48) * 48;
            close_to("first hour", house->heating_w[0], 300 * (15 + 10 - (start + 10) * mean),
                     1e-6);
        }
        cb_house_destroy(house);
    }
}

static void long_lag_keeps_the_mean(void **state)
{
    fixture *f = *state;
    f->design.house.line.heating_balance_c = 60; // always heating: the mean load is that of the
    f->design.house.line.cooling_design_w = 0;   // mean air, whatever the lag
    set_air(f, listed_air);
    double mean_air = 0;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        mean_air += listed_air(i) / CB_YEAR_HOURS;
    }
    f->design.house.line.time_constant_s = 200 * 3600;
    cb_house *house = make_house(f);
    double mean = 0;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        mean += house->heating_w[i] / CB_YEAR_HOURS;
        assert_true(house->cooling_w[i] == 0);
    }
    close_to("mean load", mean, 12000.0 / 85 * (60 - mean_air), 1e-6);
    cb_house_destroy(house);
}

static void loads_follow_a_hard_winter(void **state)
{
    fixture *f = *state;
    set_air(f, one_cold_hour);
    f->design.weather.winter_deviation_k = 2;
    f->design.weather.hard_winter_count = 1;
    f->design.weather.hard_winter[0] =
        (cb_hard_winter){.year = 2, .one_in_years = 20, .snow_share = 1};
    cb_run_weather_destroy(f->run);
    assert_int_equal(cb_run_weather_create(&f->run, f->weather, &f->design, NULL), CB_OK);
    cb_house *house = make_house(f);
    close_to("January of year 1", house->heating_w[10], 4500, 1e-9);
    close_to("January of year 2", house->heating_w[CB_YEAR_HOURS + 10],
             300 * (15 + 2 * 1.6448536269514722), 1e-9);
    cb_house_destroy(house);
}

static void impossible_lines_are_refused(void **state)
{
    fixture *f = *state;
    static const struct {
        double cb_load_line_value;
        size_t offset;
        const char *message;
    } row[] = {
        {-1, offsetof(cb_load_line, heating_design_w), "a heating load of -1 W"},
        {NAN, offsetof(cb_load_line, cooling_design_w), "a cooling load of nan W"},
        {15, offsetof(cb_load_line, heating_design_c), "must be below the heating balance point"},
        {NAN, offsetof(cb_load_line, heating_balance_c), "must be below the heating balance"},
        {21, offsetof(cb_load_line, cooling_design_c), "must be above the cooling balance point"},
        {14, offsetof(cb_load_line, cooling_balance_c), "where the house still heats"},
        {-1, offsetof(cb_load_line, time_constant_s), "a time constant of -1 s"},
        {INFINITY, offsetof(cb_load_line, time_constant_s), "a time constant of inf s"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        f->design.house.line = example_line;
        memcpy((char *)&f->design.house.line + row[i].offset, &row[i].cb_load_line_value,
               sizeof(double));
        cb_house *house = (cb_house *)f;
        cb_error error = {0};
        cb_house_create(&house, &f->design, f->run, f->units, &error);
        assert_null(house);
        refused(&error, &(refusal){CB_BAD_INPUT, -1, -1, row[i].message});
    }
}

// A file whose heating load tells the row and whose cooling load is 1 kW at noon.
static lines load_file(long rows)
{
    lines l = lines_create();
    lines_add(&l, "hour,\"heat, kW\",cool");
    for (long i = 0; i < rows; i++) {
        lines_add(&l, "%ld,%.3f,%d", i % 24, (double)i * 0.001, i % 24 == 12);
    }
    return l;
}

static void use_file(fixture *f, const char *path)
{
    f->design.house.model = CB_HOUSE_LOAD_FILE;
    f->design.house.file = path;
    f->design.house.heating_column = "heat, kW";
    f->design.house.cooling_column = "cool";
    f->design.house.load_unit = "kW";
}

static void one_year_of_loads_repeats_from_the_start_day(void **state)
{
    fixture *f = *state;
    lines l = load_file(CB_YEAR_HOURS);
    lines_write(&l, "\r\n");
    use_file(f, l.path);
    f->design.run.start_month = 7;
    cb_house *house = make_house(f);
    for (long i = 0; i < house->hours; i++) {
        close_to("heating", house->heating_w[i], (double)((181 * 24 + i) % CB_YEAR_HOURS), 1e-6);
        close_to("cooling", house->cooling_w[i], i % 24 == 12 ? 1000 : 0, 1e-9);
    }
    cb_house_destroy(house);
    lines_destroy(&l);
}

static void whole_runs_of_loads_are_taken_in_order(void **state)
{
    fixture *f = *state;
    lines l = load_file(2 * CB_YEAR_HOURS);
    lines_write(&l, "\n");
    use_file(f, l.path);
    f->design.run.start_month = 7;
    f->design.house.cooling_column = NULL;
    cb_house *house = make_house(f);
    for (long i = 0; i < house->hours; i++) {
        close_to("heating", house->heating_w[i], (double)i, 1e-6);
        close_to("cooling", house->cooling_w[i], 0, 0);
    }
    cb_house_destroy(house);
    lines_destroy(&l);
}

typedef void spoil(lines *l, cb_design_house *house);

static void negative(lines *l, cb_design_house *house)
{
    (void)house;
    lines_change(l, 500, "0.499", "-0.1");
}
static void gap(lines *l, cb_design_house *house)
{
    (void)house;
    lines_remove(l, 500);
}
static void not_a_number(lines *l, cb_design_house *house)
{
    (void)house;
    lines_change(l, 500, "0.499", "nan");
}
static void cut_short(lines *l, cb_design_house *house)
{
    (void)house;
    l->count = 8000;
}
static void wrong_unit(lines *l, cb_design_house *house)
{
    (void)l;
    house->load_unit = "degC";
}
static void no_column(lines *l, cb_design_house *house)
{
    (void)l;
    house->cooling_column = "cooling";
}
static void no_columns(lines *l, cb_design_house *house)
{
    (void)l;
    house->heating_column = house->cooling_column = NULL;
}
static void no_file(lines *l, cb_design_house *house)
{
    (void)l;
    house->file = NULL;
}

// Line 501 is row 499, "19,0.499,0".
static void spoilt_load_files_are_refused_at_their_place(void **state)
{
    fixture *f = *state;
    static const struct {
        spoil *change;
        refusal want;
    } row[] = {
        {negative, {CB_BAD_INPUT, 501, 4, "is -100 W, outside 0 to 1e+07 W"}},
        {gap, {CB_BAD_INPUT, 501, 1, "an hour is missing"}},
        {not_a_number, {CB_BAD_INPUT, 501, 4, "\"nan\" in column \"heat, kW\""}},
        {cut_short, {CB_BAD_INPUT, 8000, -1, "expected 8760 or 17520"}},
        {wrong_unit, {CB_BAD_INPUT, 0, 0, "\"degC\" (column \"heat, kW\") is not a unit of"}},
        {no_column, {CB_BAD_INPUT, 1, 1, "no column \"cooling\""}},
        {no_columns, {CB_BAD_INPUT, 0, 0, "heating or cooling column"}},
        {no_file, {CB_BAD_INPUT, 0, 0, "need a file"}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        lines l = load_file(CB_YEAR_HOURS);
        use_file(f, l.path);
        row[i].change(&l, &f->design.house);
        lines_write(&l, "\n");
        cb_house *house = (cb_house *)f;
        cb_error error = {0};
        cb_house_create(&house, &f->design, f->run, f->units, &error);
        assert_null(house);
        refused(&error, &row[i].want);
        lines_destroy(&l);
    }
    use_file(f, "/nonexistent/loads.csv");
    cb_house *house = NULL;
    assert_int_equal(cb_house_create(&house, &f->design, f->run, f->units, NULL), CB_IO);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)
    const struct CMUnitTest tests[] = {
        TEST(load_line_without_lag),
        TEST(a_share_of_the_house_is_that_share_of_every_hour),
        TEST(load_line_lags_behind_the_air),
        TEST(load_line_starts_periodic),
        TEST(long_lag_keeps_the_mean),
        TEST(loads_follow_a_hard_winter),
        TEST(impossible_lines_are_refused),
        TEST(one_year_of_loads_repeats_from_the_start_day),
        TEST(whole_runs_of_loads_are_taken_in_order),
        TEST(spoilt_load_files_are_refused_at_their_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
