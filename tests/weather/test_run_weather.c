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
        cb_design design = hard_design((cb_hard_winter){.year = 2, .one_in_years = row[i].one_in});
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
    cb_design design = hard_design((cb_hard_winter){.year = 1, .one_in_years = 20});
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
    cb_design design = hard_design((cb_hard_winter){.year = 2, .one_in_years = 20});
    cb_run_weather *run = shape(&design);
    for (long hour = 0; hour < 3 * CB_YEAR_HOURS; hour++) {
        const cb_weather_hour got = cb_run_weather_at(run, hour);
        const cb_weather_hour was = cb_typical_weather_at(run, hour);
        close_to("dew point depression", got.air_temperature_c - got.dew_point_c,
                 was.air_temperature_c - was.dew_point_c, 1e-9);
        close_to("solar", got.solar_w_m2, was.solar_w_m2, 0);
        close_to("wind", got.wind_m_s, was.wind_m_s, 0);
        close_to("sky emissivity",
                 got.longwave_w_m2 / pow(got.air_temperature_c + 273.15, 4) /
                     (was.longwave_w_m2 / pow(was.air_temperature_c + 273.15, 4)),
                 1, 1e-12);
    }
    cb_run_weather_destroy(run);
}

static const cb_hard_winter snap_winter = {
    .year = 2, .one_in_years = 20, .has_cold_snap = true, .cold_snap_c = -41, .snap_days = 5};

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
        cb_design design = hard_design((cb_hard_winter){.year = row[i].year, .one_in_years = 20});
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
    cb_design design = hard_design((cb_hard_winter){.year = 1, .one_in_years = 20});
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
    design.weather.hard_winter[1] = (cb_hard_winter){.year = -1, .one_in_years = 50};
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
        {{.year = 0, .one_in_years = 20}, "run year 0; expected 1 to 3, or -1 for the last"},
        {{.year = 4, .one_in_years = 20}, "run year 4; expected 1 to 3"},
        {{.year = -2, .one_in_years = 20}, "run year -2"},
        {{.year = 1, .one_in_years = 1.5}, "a return period of 1.5 years; expected 2 to"},
        {{.year = 1, .one_in_years = NAN}, "a return period of nan years"},
        {{.year = 1, .one_in_years = 20, .has_cold_snap = true, .cold_snap_c = -20, .snap_days = 5},
         "the cold snap to -20 degC is warmer than the winter of run year 1 already is, which "
         "falls to -3"},
        {{.year = 1, .one_in_years = 20, .has_cold_snap = true, .cold_snap_c = -41, .snap_days = 0},
         "a cold snap of 0 days; expected 1 to 30"},
        {{.year = 1, .one_in_years = 20, .has_cold_snap = true, .cold_snap_c = NAN, .snap_days = 5},
         "a cold snap to nan degC; expected -90 to 60"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = hard_design(row[i].winter);
        cb_run_weather *run = (cb_run_weather *)&design;
        cb_error error = {0};
        cb_run_weather_create(&run, typical, &design, &error);
        assert_null(run);
        refused(&error, &(refusal){CB_BAD_INPUT, -1, -1, row[i].message});
    }
    cb_design design = hard_design((cb_hard_winter){.year = 3, .one_in_years = 20});
    design.weather.hard_winter_count = 2;
    design.weather.hard_winter[1] = (cb_hard_winter){.year = -1, .one_in_years = 5};
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
    };
    return cmocka_run_group_tests(tests, make_typical, drop_typical);
}
