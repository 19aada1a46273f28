// SPDX-License-Identifier: MIT
#include "weather/support.h"

static cb_weather *typical;

static int make_typical(void **state)
{
    (void)state;
    const cb_design design = cold_plain_design();
    return cb_weather_create(&typical, &design, NULL, NULL) == CB_OK ? 0 : -1;
}

static int drop_typical(void **state)
{
    (void)state;
    typical = cb_weather_destroy(typical);
    return 0;
}

static cb_design hard_design(cb_hard_winter winter)
{
    cb_design design = cold_plain_design();
    design.weather.winter_deviation_k = 2.2;
    design.weather.hard_winter_count = 1;
    design.weather.hard_winter[0] = winter;
    return design;
}

static cb_run_weather *shape(const cb_design *design)
{
    cb_run_weather *run = NULL;
    cb_error error = {0};
    if (cb_run_weather_create(&run, typical, design, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    return run;
}

// Departure of a run hour from the typical year.
static double departure(const cb_run_weather *run, long hour)
{
    return cb_run_weather_at(run, hour).air_temperature_c -
           cb_typical_weather_at(run, hour).air_temperature_c;
}

static void an_unshaped_run_repeats_the_year_from_its_start(void **state)
{
    (void)state;
    cb_design design = cold_plain_design();
    static const int start[][3] = {{1, 1, 0}, {7, 1, 181}, {12, 31, 364}};
    for (size_t i = 0; i < sizeof start / sizeof *start; i++) {
        design.run.start_month = start[i][0];
        design.run.start_day = start[i][1];
        cb_run_weather *run = shape(&design);
        for (long hour = -9000; hour < 4 * CB_YEAR_HOURS; hour += 7) {
            const long index = (24L * start[i][2] + hour + 10L * CB_YEAR_HOURS) % CB_YEAR_HOURS;
            const cb_weather_hour got = cb_run_weather_at(run, hour);
            assert_memory_equal(&got, &typical->hour[index], sizeof got);
            const cb_weather_hour same = cb_typical_weather_at(run, hour);
            assert_memory_equal(&same, &typical->hour[index], sizeof same);
        }
        assert_int_equal(cb_run_weather_note_count(run), 0);
        run = cb_run_weather_destroy(run);
        assert_null(run);
    }
}

// z(N) sigma with z of P = 1 - 1/N (normal distribution; Abramowitz & Stegun table 26.5 and 26.6
// give z to five digits).
static void winter_mean_is_lowered_by_its_return_period(void **state)
{
    (void)state;
    static const struct {
        double one_in, z;
    } row[] = {{2, 0},
               {10, 1.2815515655446004},
               {20, 1.6448536269514722},
               {50, 2.0537489106318225},
               {100, 2.3263478740408408}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = hard_design(
            (cb_hard_winter){.year = 2, .one_in_years = row[i].one_in, .snow_share = 1});
        cb_run_weather *run = shape(&design);
        double sum = 0;
        int hours = 0;
        for (long hour = 0; hour < 3 * CB_YEAR_HOURS; hour++) {
            const cb_moment at = cb_run_moment(&design.run, hour);
            const bool core = at.month == 12 || at.month <= 2;
            const double k = departure(run, hour);
            if (at.run_year == 2 && core) {
                close_to("December to February", k, -2.2 * row[i].z, 1e-12);
                sum += k;
                hours++;
            } else if (at.run_year != 2 || (at.month != 11 && at.month != 3)) {
                close_to("outside November to March of year 2", k, 0, 0);
            }
        }
        assert_int_equal(hours, 90 * 24);
        close_to("mean departure", sum / hours, -2.2 * row[i].z, 1e-12);
        cb_run_weather_destroy(run);
    }
}

static void shaping_fades_in_and_out(void **state)
{
    (void)state;
    cb_design design =
        hard_design((cb_hard_winter){.year = 1, .one_in_years = 20, .snow_share = 1});
    cb_run_weather *run = shape(&design);
    const double full = 2.2 * 1.6448536269514722;
    const long november = 24L * (31 + 31 + 30 + 31), march = november + 24L * (30 + 90);
    close_to("mid-November", departure(run, november + 360), -full * 360.5 / 720, 1e-12);
    close_to("mid-March", departure(run, march + 372), -full * (1 - 372.5 / 744), 1e-12);
    double step = 0;
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        step = fmax(step, fabs(departure(run, hour + 1) - departure(run, hour)));
    }
    close_to("largest step [K/h]", step, full / 720, 1e-12);
    cb_run_weather_destroy(run);
}

static void other_weather_follows(void **state)
{
    (void)state;
    cb_design design =
        hard_design((cb_hard_winter){.year = 2, .one_in_years = 20, .snow_share = 1});
    cb_run_weather *run = shape(&design);
    for (long hour = 0; hour < 3 * CB_YEAR_HOURS; hour++) {
        const cb_weather_hour got = cb_run_weather_at(run, hour);
        const cb_weather_hour was = cb_typical_weather_at(run, hour);
        close_to("dew point depression", got.air_temperature_c - got.dew_point_c,
                 was.air_temperature_c - was.dew_point_c, 1e-9);
        close_to("solar", got.solar_w_m2, was.solar_w_m2, 0);
        close_to("wind", got.wind_m_s, was.wind_m_s, 0);
        close_to("precipitation", got.precipitation_kg_m2, was.precipitation_kg_m2, 0);
        close_to("sky emissivity",
                 got.longwave_w_m2 / pow(got.air_temperature_c + 273.15, 4) /
                     (was.longwave_w_m2 / pow(was.air_temperature_c + 273.15, 4)),
                 1, 1e-12);
    }
    cb_run_weather_destroy(run);
}

static const cb_hard_winter snap_winter = {.year = 2,
                                           .one_in_years = 20,
                                           .has_cold_snap = true,
                                           .cold_snap_c = -41,
                                           .snap_days = 5,
                                           .snow_share = 1};

static void cold_snap_reaches_its_temperature_on_the_coldest_day(void **state)
{
    (void)state;
    static const double days[] = {1, 2.5, 5, 14, 30};
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        cb_hard_winter winter = snap_winter;
        winter.snap_days = days[i];
        cb_design design = hard_design(winter), plain = hard_design(winter);
        plain.weather.hard_winter[0].has_cold_snap = false;
        cb_run_weather *run = shape(&design), *without = shape(&plain);
        double lowest = 1e9, coldest = 1e9, dipped = 0, deepest = 0, jump = 0, jump_without = 0;
        long coldest_day = -1, deepest_hour = -1;
        for (long day = 365; day < 2 * 365; day++) {
            double mean = 0;
            for (long hour = 24 * day; hour < 24 * day + 24; hour++) {
                const double air = cb_run_weather_at(run, hour).air_temperature_c;
                const double plain_air = cb_run_weather_at(without, hour).air_temperature_c;
                mean += plain_air / 24;
                lowest = fmin(lowest, air);
                dipped += air < plain_air ? 1 : 0;
                if (air - plain_air < deepest - 1e-9) {
                    deepest = air - plain_air;
                    deepest_hour = hour;
                }
                jump = fmax(jump, fabs(cb_run_weather_at(run, hour + 1).air_temperature_c - air));
                jump_without =
                    fmax(jump_without,
                         fabs(cb_run_weather_at(without, hour + 1).air_temperature_c - plain_air));
            }
            const cb_moment at = cb_run_moment(&design.run, 24 * day);
            if ((at.month == 12 || at.month <= 2) && mean < coldest) {
                coldest = mean;
                coldest_day = day;
            }
        }
        close_to("lowest hour", lowest, -41, 1e-9);
        close_to("hours of the dip", dipped, 24 * days[i], 2);
        close_to("middle of the dip", (double)deepest_hour, 24.0 * (double)coldest_day + 11.5, 0.6);
        // The steepest part of a raised cosine falls by pi depth / length.
        assert_true(jump <= jump_without + 3.1416 * -deepest / (24 * days[i]));
        cb_run_weather_destroy(run);
        cb_run_weather_destroy(without);
    }
}

// The winter belongs to the run year that holds its 16 January.
static void winters_belong_to_the_year_of_their_january(void **state)
{
    (void)state;
    static const struct {
        int month, day, year; // start of the run, year of the hard winter
        long first, last;     // first and last lowered run day
    } row[] = {
        {7, 1, 1, 123, 123 + 150}, // 1 November to 31 March
        {7, 1, 3, 2 * 365 + 123, 2 * 365 + 123 + 150},
        {1, 1, 2, 365 - 61, 365 + 89},
        {1, 1, 1, 0, 89}, // begun before the run: only January on
        {1, 16, 1, 0, 74},
        {1, 17, 1, 288, 288 + 150}, // the January of this year is the one at its end
        {12, 1, 1, 0, 120},
        {2, 1, 3, 2 * 365 + 273, 3 * 365 - 1}, // cut by the end of the run
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design =
            hard_design((cb_hard_winter){.year = row[i].year, .one_in_years = 20, .snow_share = 1});
        design.run.start_month = row[i].month;
        design.run.start_day = row[i].day;
        cb_run_weather *run = shape(&design);
        long first = -1, last = -1;
        for (long day = -400; day < 5 * 365; day++) {
            if (departure(run, 24 * day + 12) < 0) {
                first = first < 0 ? day : first;
                last = day;
            }
        }
        if (first != row[i].first || last != row[i].last) {
            fail_msg("start %d/%d, year %d: lowered on days %ld to %ld, want %ld to %ld",
                     row[i].month, row[i].day, row[i].year, first, last, row[i].first, row[i].last);
        }
        cb_run_weather_destroy(run);
    }
}

static void southern_winters_are_june_to_august(void **state)
{
    (void)state;
    cb_design design =
        hard_design((cb_hard_winter){.year = 1, .one_in_years = 20, .snow_share = 1});
    design.site.latitude_deg = -43;
    design.run.start_month = 1;
    cb_run_weather *run = shape(&design);
    const double full = 2.2 * 1.6448536269514722;
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        const cb_moment at = cb_run_moment(&design.run, 24L * day);
        const double k = departure(run, 24L * day);
        if (at.month >= 6 && at.month <= 8) {
            close_to("June to August", k, -full, 1e-12);
        } else if (at.month < 5 || at.month > 9) {
            close_to("October to April", k, 0, 0);
        }
    }
    char note[256];
    cb_run_weather_note(run, 0, CB_UNITS_SI, note, sizeof note);
    says(note, "June-August lowered by 3.6 K");
    cb_run_weather_destroy(run);
}

static void notes_say_what_was_done(void **state)
{
    (void)state;
    cb_design design = hard_design(snap_winter);
    design.weather.hard_winter_count = 2;
    design.weather.hard_winter[1] =
        (cb_hard_winter){.year = -1, .one_in_years = 50, .snow_share = 1};
    cb_run_weather *run = shape(&design);
    char note[256];
    assert_int_equal(cb_run_weather_note_count(run), 2);
    cb_run_weather_note(run, 0, CB_UNITS_SI, note, sizeof note);
    print_message("%s\n", note);
    says(note,
         "Year 2: December-February lowered by 3.6 K (1 in 20 years), cold snap to -41.0 degC "
         "for 5 days around ");
    cb_run_weather_note(run, 0, CB_UNITS_US, note, sizeof note);
    print_message("%s\n", note);
    says(note, "lowered by 6.5 ");
    says(note, "cold snap to -41.8 degF");
    cb_run_weather_note(run, 1, CB_UNITS_SI, note, sizeof note);
    says(note, "Year 3: December-February lowered by 4.5 K (1 in 50 years)");
    assert_null(strstr(note, "snap"));
    cb_run_weather_note(run, 2, CB_UNITS_SI, note, sizeof note);
    assert_string_equal(note, "");
    cb_run_weather_note(run, 0, CB_UNITS_SI, note, 8); // short buffers are cut, terminated
    assert_string_equal(note, "Year 2:");
    cb_run_weather_destroy(run);

    design.run.start_month = 1;
    design.weather.hard_winter[0].year = 1;
    run = shape(&design);
    cb_run_weather_note(run, 0, CB_UNITS_SI, note, sizeof note);
    says(note, "the run starts within this winter");
    cb_run_weather_destroy(run);
}

static void bad_winters_are_refused(void **state)
{
    (void)state;
    static const struct {
        cb_hard_winter winter;
        const char *message;
    } row[] = {
        {{.year = 0, .one_in_years = 20, .snow_share = 1},
         "run year 0; expected 1 to 3, or -1 for the last"},
        {{.year = 4, .one_in_years = 20, .snow_share = 1}, "run year 4; expected 1 to 3"},
        {{.year = -2, .one_in_years = 20, .snow_share = 1}, "run year -2"},
        {{.year = 1, .one_in_years = 1.5},
         "the return period of a hard winter is 1.5 years; expected 2 to 10000"},
        {{.year = 1, .one_in_years = NAN}, "the return period of a hard winter is nan years"},
        {{.year = 1, .one_in_years = 20, .has_cold_snap = true, .cold_snap_c = -20, .snap_days = 5},
         "the cold snap to -20 degC is warmer than the winter of run year 1 already is, which "
         "falls to -3"},
        {{.year = 1, .one_in_years = 20, .has_cold_snap = true, .cold_snap_c = -41, .snap_days = 0},
         "the length of a cold snap is 0 days; expected 1 to 30"},
        {{.year = 1, .one_in_years = 20, .has_cold_snap = true, .cold_snap_c = NAN, .snap_days = 5},
         "the extreme of a cold snap is nan degC; expected -90 to 60"},
        {{.year = 1, .one_in_years = 20, .snow_share = -0.1},
         "the precipitation share of a hard winter is -0.1 of the usual; expected 0 to 3"},
        {{.year = 1, .one_in_years = 20, .snow_share = 3.1}, "share of a hard winter is 3.1"},
        {{.year = 1, .one_in_years = 20, .snow_share = NAN}, "share of a hard winter is nan"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = hard_design(row[i].winter);
        cb_run_weather *run = (cb_run_weather *)&design;
        cb_error error = {0};
        cb_run_weather_create(&run, typical, &design, &error);
        assert_null(run);
        refused(&error, &(refusal){CB_BAD_INPUT, -1, -1, row[i].message});
    }
    cb_design design =
        hard_design((cb_hard_winter){.year = 3, .one_in_years = 20, .snow_share = 1});
    design.weather.hard_winter_count = 2;
    design.weather.hard_winter[1] =
        (cb_hard_winter){.year = -1, .one_in_years = 5, .snow_share = 1};
    cb_run_weather *run = NULL;
    cb_error error = {0};
    assert_int_equal(cb_run_weather_create(&run, typical, &design, &error), CB_BAD_INPUT);
    says(error.message, "run year 3 already has a hard winter");
    design.weather.hard_winter_count = 1;
    design.weather.winter_deviation_k = NAN;
    assert_int_equal(cb_run_weather_create(&run, typical, &design, &error), CB_BAD_INPUT);
    design = cold_plain_design();
    design.run.start_month = 2;
    design.run.start_day = 29;
    assert_int_equal(cb_run_weather_create(&run, typical, &design, &error), CB_BAD_INPUT);
    says(error.message, "month 2 day 29");
}

// ---- hot summers -----------------------------------------------------------------------------

static cb_design hot_design(cb_hot_summer summer)
{
    cb_design design = cold_plain_design();
    design.run.start_month = 1; // a run year then holds one whole summer
    design.weather.summer_deviation_k = 1.5;
    design.weather.hot_summer_count = 1;
    design.weather.hot_summer[0] = summer;
    return design;
}

static void summer_air_rises_and_its_dew_point_stays(void **state)
{
    (void)state;
    cb_design design =
        hot_design((cb_hot_summer){.year = 2, .one_in_years = 50, .rain_share = 0.5});
    cb_run_weather *run = shape(&design);
    const double full = 1.5 * 2.0537489106318225; // z of 1 in 50, as for the winters
    const long may = CB_YEAR_HOURS + 24L * 120, september = may + 24L * (31 + 92);
    close_to("mid-May", departure(run, may + 372), full * 372.5 / 744, 1e-12);
    close_to("mid-September", departure(run, september + 360), full * (1 - 360.5 / 720), 1e-12);
    double rain = 0, usual_rain = 0;
    for (long hour = 0; hour < 3 * CB_YEAR_HOURS; hour++) {
        const cb_moment at = cb_run_moment(&design.run, hour);
        const cb_weather_hour got = cb_run_weather_at(run, hour);
        const cb_weather_hour was = cb_typical_weather_at(run, hour);
        const bool shaped = at.run_year == 2 && at.month >= 5 && at.month <= 9;
        if (at.run_year == 2 && at.month >= 6 && at.month <= 8) {
            close_to("June to August", departure(run, hour), full, 1e-12);
        } else if (!shaped) {
            assert_memory_equal(&got, &was, sizeof got);
        }
        close_to("dew point", got.dew_point_c, was.dew_point_c, 0);
        close_to("solar", got.solar_w_m2, was.solar_w_m2, 0);
        close_to("wind", got.wind_m_s, was.wind_m_s, 0);
        close_to("sky emissivity",
                 got.longwave_w_m2 / pow(got.air_temperature_c + 273.15, 4) /
                     (was.longwave_w_m2 / pow(was.air_temperature_c + 273.15, 4)),
                 1, 1e-12);
        rain += shaped ? got.precipitation_kg_m2 : 0;
        usual_rain += shaped ? was.precipitation_kg_m2 : 0;
    }
    close_to("usual rain, May to September", usual_rain, 70 + 95 + 80 + 60 + 55, 1e-9);
    close_to("rain", rain, usual_rain / 2, 1e-9);
    cb_run_weather_destroy(run);
}

static void heat_wave_reaches_its_temperature_on_the_hottest_day(void **state)
{
    (void)state;
    static const double days[] = {1, 5, 30};
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        cb_hot_summer summer = {.year = -1,
                                .one_in_years = 10,
                                .has_heat_wave = true,
                                .heat_wave_c = 41,
                                .wave_days = days[i],
                                .rain_share = 1};
        cb_design design = hot_design(summer), plain = hot_design(summer);
        plain.weather.hot_summer[0].has_heat_wave = false;
        cb_run_weather *run = shape(&design), *without = shape(&plain);
        double highest = -99, hottest = -99, raised = 0, most = 0;
        long hottest_day = -1, most_hour = -1;
        for (long day = 2 * 365; day < 3 * 365; day++) {
            double mean = 0;
            for (long hour = 24 * day; hour < 24 * day + 24; hour++) {
                const double air = cb_run_weather_at(run, hour).air_temperature_c;
                const double plain_air = cb_run_weather_at(without, hour).air_temperature_c;
                mean += plain_air / 24;
                highest = fmax(highest, air);
                raised += air > plain_air ? 1 : 0;
                if (air - plain_air > most + 1e-9) {
                    most = air - plain_air;
                    most_hour = hour;
                }
            }
            const cb_moment at = cb_run_moment(&design.run, 24 * day);
            if (at.month >= 6 && at.month <= 8 && mean > hottest) {
                hottest = mean;
                hottest_day = day;
            }
        }
        close_to("highest hour", highest, 41, 1e-9);
        close_to("hours of the wave", raised, 24 * days[i], 2);
        close_to("middle of the wave", (double)most_hour, 24.0 * (double)hottest_day + 11.5, 0.6);
        cb_run_weather_destroy(run);
        cb_run_weather_destroy(without);
    }
}

// The summer belongs to the run year that holds its 16 July.
static void summers_belong_to_the_year_of_their_july(void **state)
{
    (void)state;
    static const struct {
        double latitude;
        int month, day, year; // start of the run, year of the hot summer
        long first, last;     // first and last raised run day
    } row[] = {
        {47, 1, 1, 1, 120, 120 + 152}, // 1 May to 30 September
        {47, 1, 1, 3, 2 * 365 + 120, 2 * 365 + 120 + 152},
        {47, 7, 1, 1, 0, 91}, // begun before the run: July to September
        {47, 7, 1, 2, 365 - 61, 365 + 91},
        {47, 7, 17, 1, 288, 288 + 152},            // the July of this year is the one at its end
        {47, 9, 1, 3, 2 * 365 + 242, 3 * 365 - 1}, // cut by the end of the run
        {-43, 7, 1, 1, 123, 123 + 150},            // 1 November to 31 March
        {-43, 1, 1, 1, 0, 89},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design =
            hot_design((cb_hot_summer){.year = row[i].year, .one_in_years = 20, .rain_share = 1});
        design.site.latitude_deg = row[i].latitude;
        design.run.start_month = row[i].month;
        design.run.start_day = row[i].day;
        cb_run_weather *run = shape(&design);
        long first = -1, last = -1;
        for (long day = -400; day < 5 * 365; day++) {
            if (departure(run, 24 * day + 12) > 0) {
                first = first < 0 ? day : first;
                last = day;
            }
        }
        if (first != row[i].first || last != row[i].last) {
            fail_msg("start %d/%d, year %d: raised on days %ld to %ld, want %ld to %ld",
                     row[i].month, row[i].day, row[i].year, first, last, row[i].first, row[i].last);
        }
        cb_run_weather_destroy(run);
    }
}

// The typical year, and again 5 K warmer; snow on the ground all along.
static cb_weather *two_years(void)
{
    cb_weather *two = cb_weather_blank(2);
    assert_non_null(two);
    for (int i = 0; i < 2 * CB_YEAR_HOURS; i++) {
        two->hour[i] = typical->hour[i % CB_YEAR_HOURS];
        two->hour[i].air_temperature_c += i >= CB_YEAR_HOURS ? 5 : 0;
        two->hour[i].snow_depth_m = 0.4;
    }
    return two;
}

static void a_winter_and_a_summer_share_a_year_of_several_typical_ones(void **state)
{
    (void)state;
    cb_weather *two = two_years();
    cb_design design = hot_design((cb_hot_summer){.year = 2,
                                                  .one_in_years = 20,
                                                  .has_heat_wave = true,
                                                  .heat_wave_c = 46,
                                                  .wave_days = 5,
                                                  .rain_share = 0});
    design.weather.winter_deviation_k = 2.2;
    design.weather.hard_winter_count = 2;
    design.weather.hard_winter[0] = snap_winter; // of year 2, in the warmer typical year
    design.weather.hard_winter[0].snow_share = 0;
    design.weather.hard_winter[1] =
        (cb_hard_winter){.year = 3, .one_in_years = 20, .snow_share = 2.5};
    cb_run_weather *run = NULL;
    cb_error error = {0};
    if (cb_run_weather_create(&run, two, &design, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    assert_int_equal(cb_run_weather_note_count(run), 3);
    double lowest = 99, highest = -99;
    for (long hour = 0; hour < 3 * CB_YEAR_HOURS; hour++) {
        const cb_moment at = cb_run_moment(&design.run, hour);
        const cb_weather_hour got = cb_run_weather_at(run, hour);
        const cb_weather_hour was = cb_typical_weather_at(run, hour);
        const bool cold_half = at.month >= 11 || at.month <= 3, first_half = at.month <= 3;
        const bool summer = at.run_year == 2 && at.month >= 5 && at.month <= 9;
        // The winter of year 2 begins in November of year 1.
        const int winter_of = first_half ? at.run_year : at.run_year + 1;
        double fall = 1;
        if (cold_half) {
            fall = winter_of == 2 ? 0 : winter_of == 3 ? 2.5 : 1;
        } else if (summer) {
            fall = 0;
        }
        close_to("rain and snow", got.precipitation_kg_m2, fall * was.precipitation_kg_m2, 1e-12);
        close_to("snow depth", got.snow_depth_m, (summer ? 1 : fall) * 0.4, 1e-12);
        assert_true(!summer || got.dew_point_c <= got.air_temperature_c);
        if (cold_half && winter_of == 2) {
            lowest = fmin(lowest, got.air_temperature_c);
        } else if (summer) {
            highest = fmax(highest, got.air_temperature_c);
        }
    }
    close_to("lowest hour of the winter", lowest, -41, 1e-9);
    close_to("highest hour of the summer", highest, 46, 1e-9);
    cb_run_weather_destroy(run);
    cb_weather_destroy(two);
}

static void an_unknown_precipitation_stays_unknown(void **state)
{
    (void)state;
    cb_design design = hot_design((cb_hot_summer){.year = 1, .one_in_years = 20, .rain_share = 0});
    for (int m = 0; m < CB_MONTHS; m++) {
        design.weather.normals.precipitation_kg_m2[m] = NAN;
    }
    cb_weather *dry = NULL;
    assert_int_equal(cb_weather_create(&dry, &design, NULL, NULL), CB_OK);
    cb_run_weather *run = NULL;
    assert_int_equal(cb_run_weather_create(&run, dry, &design, NULL), CB_OK);
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        assert_true(isnan(cb_run_weather_at(run, hour).precipitation_kg_m2));
    }
    char note[256];
    cb_run_weather_note(run, 0, CB_UNITS_SI, note, sizeof note);
    assert_string_equal(note, "Year 1: June-August raised by 2.5 K (1 in 20 years), precipitation "
                              "unknown and so unchanged");
    cb_run_weather_destroy(run);
    cb_weather_destroy(dry);
}

static void notes_tell_of_rain_and_heat(void **state)
{
    (void)state;
    cb_design design = hot_design((cb_hot_summer){.year = 1,
                                                  .one_in_years = 20,
                                                  .has_heat_wave = true,
                                                  .heat_wave_c = 40,
                                                  .wave_days = 5,
                                                  .rain_share = 0.5});
    design.run.start_month = 7;
    design.weather.winter_deviation_k = 2.2;
    design.weather.hard_winter_count = 1;
    design.weather.hard_winter[0] =
        (cb_hard_winter){.year = 3, .one_in_years = 20, .snow_share = 0};
    cb_run_weather *run = shape(&design);
    char note[256];
    cb_run_weather_note(run, 0, CB_UNITS_SI, note, sizeof note);
    print_message("%s\n", note);
    assert_string_equal(note, "Year 3: December-February lowered by 3.6 K (1 in 20 years), "
                              "no precipitation");
    cb_run_weather_note(run, 1, CB_UNITS_SI, note, sizeof note);
    print_message("%s\n", note);
    says(note, "Year 1: June-August raised by 2.5 K (1 in 20 years), heat wave to 40.0 degC for 5 "
               "days around ");
    says(note, ", 50 % of the usual precipitation; the run starts within this summer");
    cb_run_weather_note(run, 1, CB_UNITS_US, note, sizeof note);
    says(note, "heat wave to 104 degF");
    cb_run_weather_destroy(run);

    design.site.latitude_deg = -43;
    design.weather.hot_summer[0].has_heat_wave = false;
    run = shape(&design);
    cb_run_weather_note(run, 1, CB_UNITS_SI, note, sizeof note);
    says(note, "December-February raised by 2.5 K");
    cb_run_weather_destroy(run);
}

static void bad_summers_are_refused(void **state)
{
    (void)state;
    static const struct {
        cb_hot_summer summer;
        const char *message;
    } row[] = {
        {{.year = 0, .one_in_years = 20}, "a hot summer in run year 0; expected 1 to 3, or -1"},
        {{.year = 4, .one_in_years = 20}, "a hot summer in run year 4"},
        {{.year = 1, .one_in_years = 1}, "the return period of a hot summer is 1 years"},
        {{.year = 1, .one_in_years = 20, .rain_share = -1},
         "the precipitation share of a hot summer is -1 of the usual; expected 0 to 3"},
        {{.year = 1, .one_in_years = 20, .has_heat_wave = true, .heat_wave_c = 20, .wave_days = 5},
         "the heat wave to 20 degC is cooler than the summer of run year 1 already is, which rises "
         "to 3"},
        {{.year = 1, .one_in_years = 20, .has_heat_wave = true, .heat_wave_c = 61, .wave_days = 5},
         "the extreme of a heat wave is 61 degC; expected -90 to 60"},
        {{.year = 1, .one_in_years = 20, .has_heat_wave = true, .heat_wave_c = 41, .wave_days = 31},
         "the length of a heat wave is 31 days; expected 1 to 30"},
    };
    cb_run_weather *run = NULL;
    cb_error error = {0};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = hot_design(row[i].summer);
        run = (cb_run_weather *)&design;
        cb_run_weather_create(&run, typical, &design, &error);
        assert_null(run);
        refused(&error, &(refusal){CB_BAD_INPUT, -1, -1, row[i].message});
    }
    cb_design design = hot_design((cb_hot_summer){.year = 3, .one_in_years = 20});
    design.weather.hot_summer_count = 2;
    design.weather.hot_summer[1] = (cb_hot_summer){.year = -1, .one_in_years = 5};
    assert_int_equal(cb_run_weather_create(&run, typical, &design, &error), CB_BAD_INPUT);
    says(error.message, "run year 3 already has a hot summer");
    design.weather.hot_summer_count = CB_MAX_HOT_SUMMERS + 1;
    assert_int_equal(cb_run_weather_create(&run, typical, &design, &error), CB_BAD_INPUT);
    says(error.message, "9 hot summers; expected 0 to 8");
    design.weather.hot_summer_count = 1;
    design.weather.summer_deviation_k = -1;
    assert_int_equal(cb_run_weather_create(&run, typical, &design, &error), CB_BAD_INPUT);
    says(error.message, "a deviation between summers of -1 K; expected 0 to 10 K");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_unshaped_run_repeats_the_year_from_its_start),
        cmocka_unit_test(winter_mean_is_lowered_by_its_return_period),
        cmocka_unit_test(shaping_fades_in_and_out),
        cmocka_unit_test(other_weather_follows),
        cmocka_unit_test(cold_snap_reaches_its_temperature_on_the_coldest_day),
        cmocka_unit_test(winters_belong_to_the_year_of_their_january),
        cmocka_unit_test(southern_winters_are_june_to_august),
        cmocka_unit_test(notes_say_what_was_done),
        cmocka_unit_test(bad_winters_are_refused),
        cmocka_unit_test(summer_air_rises_and_its_dew_point_stays),
        cmocka_unit_test(heat_wave_reaches_its_temperature_on_the_hottest_day),
        cmocka_unit_test(summers_belong_to_the_year_of_their_july),
        cmocka_unit_test(a_winter_and_a_summer_share_a_year_of_several_typical_ones),
        cmocka_unit_test(an_unknown_precipitation_stays_unknown),
        cmocka_unit_test(notes_tell_of_rain_and_heat),
        cmocka_unit_test(bad_summers_are_refused),
    };
    return cmocka_run_group_tests(tests, make_typical, drop_typical);
}
