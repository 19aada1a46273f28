// SPDX-License-Identifier: MIT
#include "weather/calendar.h"
#include "weather/sky.h"
#include "weather/smooth.h"
#include "weather/support.h"

static cb_weather *generate(const cb_design *design)
{
    cb_weather *weather = NULL;
    cb_error error = {0};
    if (cb_weather_create(&weather, design, NULL, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    return weather;
}

typedef struct month_statistics {
    double air_c, range_k, solar_j_day, dew_c, wind_m_s, deviation_k;
} month_statistics;

static month_statistics statistics(const cb_weather *weather, const cb_normals *normals, int month)
{
    month_statistics s = {0};
    double course[CB_YEAR_DAYS]; // departures are from the course through the months' means
    cbx_smooth_months(normals->air_temperature_c, 1, course);
    const int days = cbx_month_days[month], first = cb_day_of_year(month + 1, 1);
    double square = 0;
    for (int day = first; day < first + days; day++) {
        double low = 1e9, high = -1e9, mean = 0;
        for (int h = 24 * day; h < 24 * day + 24; h++) {
            const cb_weather_hour *hour = &weather->hour[h];
            mean += hour->air_temperature_c / 24;
            low = fmin(low, hour->air_temperature_c);
            high = fmax(high, hour->air_temperature_c);
            s.solar_j_day += hour->solar_w_m2 * 3600 / days;
            s.dew_c += hour->dew_point_c / 24 / days;
            s.wind_m_s += hour->wind_m_s / 24 / days;
        }
        s.air_c += mean / days;
        s.range_k += (high - low) / days;
        square += (mean - course[day]) * (mean - course[day]) / days;
    }
    s.deviation_k = sqrt(square);
    return s;
}

static void months_meet_their_normals(void **state)
{
    (void)state;
    for (unsigned seed = 1; seed <= 5; seed++) {
        cb_design design = cold_plain_design();
        design.weather.seed = seed;
        const cb_normals *n = &design.weather.normals;
        cb_weather *weather = generate(&design);
        for (int m = 0; m < CB_MONTHS; m++) {
            const month_statistics s = statistics(weather, n, m);
            close_to("air", s.air_c, n->air_temperature_c[m], 1e-9);
            close_to("solar", s.solar_j_day / n->solar_j_m2_day[m], 1, 1e-9);
            close_to("dew point", s.dew_c, n->dew_point_c[m], 1e-6);
            close_to("wind", s.wind_m_s, n->wind_m_s[m], 1e-6);
            close_to("daily range", s.range_k / n->daily_range_k[m], 1, 0.03);
            close_to("day-to-day deviation", s.deviation_k / n->day_to_day_k[m], 1, 0.03);
        }
        cb_weather_destroy(weather);
    }
}

static void hours_are_physical_and_continuous(void **state)
{
    (void)state;
    cb_design design = cold_plain_design();
    cb_weather *weather = generate(&design);
    double jump = 0, lowest = 0, windiest = 0;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        const cb_weather_hour *h = &weather->hour[i];
        const cb_weather_hour *next = &weather->hour[(i + 1) % CB_YEAR_HOURS];
        const double clear = cbx_clear_sky_share(&design.site) *
                             cb_extraterrestrial_w_m2(&design.site, i / 24, i % 24);
        assert_true(h->dew_point_c <= h->air_temperature_c - 0.099);
        assert_true(h->solar_w_m2 >= 0 && h->solar_w_m2 <= clear);
        assert_true(h->wind_m_s >= 0);
        assert_true(h->longwave_w_m2 >=
                    cb_sky_longwave_w_m2(h->air_temperature_c, h->dew_point_c, 0) - 1e-9);
        assert_true(h->longwave_w_m2 <=
                    cb_sky_longwave_w_m2(h->air_temperature_c, h->dew_point_c, 1) + 1e-9);
        jump = fmax(jump, fabs(next->air_temperature_c - h->air_temperature_c));
        lowest = fmin(lowest, h->air_temperature_c);
        windiest = fmax(windiest, h->wind_m_s);
    }
    print_message("lowest %.1f degC, windiest %.1f m/s, largest step %.2f K/h\n", lowest, windiest,
                  jump);
    assert_true(jump < 5); // no steps at midnights or month ends
    assert_true(-45 < lowest && lowest < -25);
    assert_true(15 < windiest && windiest < 30);
    says(weather->description, "a test plain, seed 7");
    cb_weather_destroy(weather);
}

// Correlation of neighbouring days' mean temperatures, month means taken off.
static double memory(const cb_weather *weather)
{
    double daily[CB_YEAR_DAYS] = {0}, month[CB_MONTHS], product = 0, square = 0;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        daily[i / 24] += weather->hour[i].air_temperature_c / 24;
    }
    cbx_month_means(daily, 1, month);
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        int m = 0, of_month = 0;
        cbx_month_day(day, &m, &of_month);
        daily[day] -= month[m - 1];
    }
    for (int day = 0; day < CB_YEAR_DAYS - 1; day++) {
        product += daily[day] * daily[day + 1];
        square += daily[day] * daily[day];
    }
    return product / square;
}

// So taken, three TMY3 years have 0.72, 0.69 and 0.79, 25 years of the first station 0.68.
static void departures_last_for_days(void **state)
{
    (void)state;
    const int seeds = 8;
    double mean = 0;
    for (int seed = 1; seed <= seeds; seed++) {
        cb_design design = cold_plain_design();
        design.weather.seed = (unsigned)seed;
        cb_weather *weather = generate(&design);
        mean += memory(weather) / seeds;
        cb_weather_destroy(weather);
    }
    print_message("correlation of neighbouring days %.3f\n", mean);
    close_to("correlation of neighbouring days", mean, 0.69, 0.04);
}

static void no_seed_makes_an_extreme_year(void **state)
{
    (void)state;
    double coldest = 0, mildest = -99;
    for (unsigned seed = 1; seed <= 12; seed++) {
        cb_design design = cold_plain_design();
        design.weather.seed = seed;
        cb_weather *weather = generate(&design);
        double lowest = 0;
        for (int i = 0; i < CB_YEAR_HOURS; i++) {
            lowest = fmin(lowest, weather->hour[i].air_temperature_c);
        }
        coldest = fmin(coldest, lowest);
        mildest = fmax(mildest, lowest);
        cb_weather_destroy(weather);
    }
    print_message("lowest hours of 12 seeds %.1f to %.1f degC\n", coldest, mildest);
    assert_true(mildest - coldest < 6);
}

static void clear_winter_days_are_cold(void **state)
{
    (void)state;
    double together = 0;
    for (unsigned seed = 1; seed <= 8; seed++) {
        cb_design design = cold_plain_design();
        design.weather.seed = seed;
        cb_weather *weather = generate(&design);
        for (int day = 0; day < 31; day++) {
            double air = 0, solar = 0;
            for (int h = 24 * day; h < 24 * day + 24; h++) {
                air += weather->hour[h].air_temperature_c / 24;
                solar += weather->hour[h].solar_w_m2 * 3600;
            }
            together += (air + 13) * (solar - 6e6);
        }
        cb_weather_destroy(weather);
    }
    assert_true(together < 0);
}

static void the_seed_decides(void **state)
{
    (void)state;
    cb_design design = cold_plain_design();
    cb_weather *first = generate(&design), *again = generate(&design);
    assert_memory_equal(first->hour, again->hour, CB_YEAR_HOURS * sizeof *first->hour);
    assert_int_equal(strlen(first->sha256), 64);
    assert_string_equal(first->sha256, again->sha256);
    cb_weather_destroy(again);
    design.weather.seed++;
    again = generate(&design);
    assert_string_not_equal(first->sha256, again->sha256);
    cb_weather_destroy(again);
    design.weather.seed--;
    design.weather.normals.precipitation_kg_m2[11]++; // the digest is of all hours, to the last
    again = generate(&design);
    assert_string_not_equal(first->sha256, again->sha256);
    for (int i = 0; i < CB_YEAR_HOURS; i++) { // rain is drawn last and disturbs nothing else
        assert_true(first->hour[i].wind_m_s == again->hour[i].wind_m_s);
        assert_true(first->hour[i].air_temperature_c == again->hour[i].air_temperature_c);
    }
    cb_weather_destroy(again);
    cb_weather_destroy(first);
}

static void other_climates_can_be_made(void **state)
{
    (void)state;
    // Polar night, a steady tropical coast, and the southern hemisphere.
    cb_design design = cold_plain_design();
    design.site = (cb_site){78, 15, 10, 1};
    double clear_j[CB_YEAR_DAYS] = {0}, *solar_j = design.weather.normals.solar_j_m2_day;
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        clear_j[i / 24] += 3600 * cbx_clear_sky_share(&design.site) *
                           cb_extraterrestrial_w_m2(&design.site, i / 24, i % 24);
    }
    cbx_month_means(clear_j, 1, solar_j);
    for (int m = 0; m < CB_MONTHS; m++) {
        solar_j[m] *= 0.5;
    }
    cb_weather *weather = generate(&design);
    const cb_normals *normals = &design.weather.normals;
    for (int m = 1; m < 10; m++) {
        close_to("polar sun", statistics(weather, normals, m).solar_j_day / solar_j[m], 1, 1e-6);
    }
    close_to("polar January", statistics(weather, normals, 0).solar_j_day, 0, 0);
    cb_weather_destroy(weather);

    design.site = (cb_site){-1, 37, 1600, 3};
    for (int m = 0; m < CB_MONTHS; m++) {
        cb_normals *n = &design.weather.normals;
        n->air_temperature_c[m] = 24;
        n->dew_point_c[m] = 23;
        n->solar_j_m2_day[m] = 18e6;
        n->day_to_day_k[m] = 0;
        n->daily_range_k[m] = 6;
        n->wind_m_s[m] = 0;
    }
    weather = generate(&design);
    const month_statistics s = statistics(weather, &design.weather.normals, 3);
    close_to("air", s.air_c, 24, 1e-9);
    close_to("dew point near saturation", s.dew_c, 23, 0.05);
    close_to("range", s.range_k, 6, 0.2);
    close_to("no wind", s.wind_m_s, 0, 0);
    close_to("no departures", s.deviation_k, 0, 0.2);
    cb_weather_destroy(weather);
}

// ---- precipitation ---------------------------------------------------------------------------

static double day_kg_m2(const cb_weather *weather, int day)
{
    double sum = 0;
    for (int h = 24 * day; h < 24 * day + 24; h++) {
        sum += weather->hour[h].precipitation_kg_m2;
    }
    return sum;
}

static double day_clearness(const cb_design *design, const cb_weather *weather, int day)
{
    double solar = 0, clear = 0;
    for (int hour = 0; hour < 24; hour++) {
        solar += weather->hour[24 * day + hour].solar_w_m2;
        clear += cb_extraterrestrial_w_m2(&design->site, day, hour);
    }
    return solar / clear;
}

// Wet days are round(1.2 sqrt(mm)); the exponential quantiles -ln((rank + 1/2) / wet), worked out
// by hand for three wet days: ln 6, ln 2, ln 1.2 share the month as 0.6774, 0.2621, 0.0690 of
// their sum 2.66723 (1.791759 + 0.693147 + 0.182322).
static void months_have_their_precipitation_on_cloudy_days(void **state)
{
    (void)state;
    static const int wet_days[] = {5, 5, 6, 7, 10, 12, 11, 9, 9, 8, 6, 5};
    for (unsigned seed = 1; seed <= 5; seed++) {
        cb_design design = cold_plain_design();
        design.weather.seed = seed;
        cb_weather *weather = generate(&design);
        for (int m = 0; m < CB_MONTHS; m++) {
            const int first = cb_day_of_year(m + 1, 1), days = cbx_month_days[m];
            double sum = 0;
            int wet = 0;
            for (int day = first; day < first + days; day++) {
                const double amount = day_kg_m2(weather, day);
                sum += amount;
                wet += amount > 0 ? 1 : 0;
                for (int other = first; other < first + days; other++) {
                    const double other_amount = day_kg_m2(weather, other);
                    if (day_clearness(&design, weather, day) <
                        day_clearness(&design, weather, other) - 1e-9) {
                        assert_true(amount >= other_amount); // the cloudier day gets more
                        assert_true(amount > other_amount || amount == 0);
                    }
                }
            }
            close_to("month", sum, design.weather.normals.precipitation_kg_m2[m], 1e-9);
            assert_int_equal(wet, wet_days[m]);
        }
        cb_weather_destroy(weather);
    }
}

static int falling(const void *a, const void *b)
{
    const double left = *(const double *)a, right = *(const double *)b;
    return (left < right) - (left > right);
}

static void wet_days_have_exponential_amounts_in_six_hours(void **state)
{
    (void)state;
    cb_design design = cold_plain_design();
    design.weather.normals.precipitation_kg_m2[0] = 6; // round(1.2 sqrt(6)) = 3 wet days
    design.weather.normals.precipitation_kg_m2[1] = 0;
    design.weather.normals.precipitation_kg_m2[2] = 0.01; // one wet day at least
    design.weather.normals.precipitation_kg_m2[3] = 4000; // every day at most
    cb_weather *weather = generate(&design);
    double amount[31];
    for (int day = 0; day < 31; day++) {
        amount[day] = day_kg_m2(weather, day);
    }
    qsort(amount, 31, sizeof *amount, falling);
    close_to("wettest", amount[0], 6 * 1.791759469228055 / 2.667228206581956, 1e-9);
    close_to("second", amount[1], 6 * 0.693147180559945 / 2.667228206581956, 1e-9);
    close_to("third", amount[2], 6 * 0.182321556793955 / 2.667228206581956, 1e-9);
    close_to("fourth", amount[3], 0, 0);
    int wet_february = 0, wet_march = 0, wet_april = 0, starts[19] = {0};
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        const bool wet = day_kg_m2(weather, day) > 0;
        wet_february += wet && day >= 31 && day < 59 ? 1 : 0;
        wet_march += wet && day >= 59 && day < 90 ? 1 : 0;
        wet_april += wet && day >= 90 && day < 120 ? 1 : 0;
        int hours = 0, first = -1, last = -1;
        for (int h = 0; h < 24; h++) {
            if (weather->hour[24 * day + h].precipitation_kg_m2 > 0) {
                first = hours == 0 ? h : first;
                last = h;
                hours++;
            }
        }
        assert_int_equal(hours, wet ? 6 : 0);
        if (wet) {
            assert_int_equal(last - first, 5);
            starts[first]++;
        }
    }
    assert_int_equal(wet_february, 0);
    assert_int_equal(wet_march, 1);
    assert_int_equal(wet_april, 30);
    int different = 0;
    for (int i = 0; i < 19; i++) {
        different += starts[i] > 0 ? 1 : 0;
    }
    assert_true(different > 10); // of 19 hours at which a spell may begin
    cb_weather_destroy(weather);
}

static void precipitation_may_be_unknown(void **state)
{
    (void)state;
    cb_design design = cold_plain_design();
    for (int m = 0; m < CB_MONTHS; m++) {
        design.weather.normals.precipitation_kg_m2[m] = NAN;
    }
    cb_weather *weather = generate(&design);
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        assert_true(isnan(weather->hour[i].precipitation_kg_m2));
        assert_true(isnan(weather->hour[i].snow_depth_m));
    }
    cb_weather_destroy(weather);
}

static void impossible_normals_are_refused(void **state)
{
    (void)state;
    enum { AIR, RANGE, SOLAR, DEW, WIND, DEVIATION, RAIN };
    static const struct {
        int what, month;
        double value;
        const char *message;
    } row[] = {
        {AIR, 0, NAN, "air temperature of January is nan degC; expected -70 to 45 degC"},
        {AIR, 6, 70, "air temperature of July is 70 degC"},
        {RANGE, 2, -1, "daily range of March is -1 K"},
        {SOLAR, 11, 20e6, "solar of December is 20 MJ/m2 a day; under the site's sun it can be"},
        {SOLAR, 6, 0, "solar of July is 0 MJ/m2 a day"},
        {DEW, 7, 20, "dew point of August, 20 degC, is not below the air temperature, 20 degC"},
        {WIND, 4, 40, "wind of May is 40 m/s; expected 0 to 15 m/s"},
        {DEVIATION, 9, INFINITY, "day-to-day deviation of October is inf K"},
        {RAIN, 3, -1, "precipitation of April is -1 mm; expected 0 to 4000 mm, in every month"},
        {RAIN, 3, 5000, "precipitation of April is 5000 mm"},
        {RAIN, 0, NAN, "precipitation of January is nan mm; expected 0 to 4000 mm, in every"},
        {RAIN, 11, NAN, "precipitation of December is nan mm"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design design = cold_plain_design();
        cb_normals *n = &design.weather.normals;
        double *series[] = {n->air_temperature_c,  n->daily_range_k, n->solar_j_m2_day,
                            n->dew_point_c,        n->wind_m_s,      n->day_to_day_k,
                            n->precipitation_kg_m2};
        series[row[i].what][row[i].month] = row[i].value;
        cb_weather *weather = (cb_weather *)&design;
        cb_error error = {0};
        cb_weather_create(&weather, &design, NULL, &error);
        assert_null(weather);
        refused(&error, &(refusal){CB_BAD_INPUT, -1, -1, row[i].message});
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(months_meet_their_normals),
        cmocka_unit_test(hours_are_physical_and_continuous),
        cmocka_unit_test(departures_last_for_days),
        cmocka_unit_test(no_seed_makes_an_extreme_year),
        cmocka_unit_test(clear_winter_days_are_cold),
        cmocka_unit_test(the_seed_decides),
        cmocka_unit_test(other_climates_can_be_made),
        cmocka_unit_test(months_have_their_precipitation_on_cloudy_days),
        cmocka_unit_test(wet_days_have_exponential_amounts_in_six_hours),
        cmocka_unit_test(precipitation_may_be_unknown),
        cmocka_unit_test(impossible_normals_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
