// SPDX-License-Identifier: MIT
#include "weather/calendar.h"
#include "weather/random.h"
#include "weather/sky.h"
#include "weather/support.h"

static double day_ra_mj(cb_site site, int month, int day)
{
    double sum = 0;
    for (int hour = 0; hour < 24; hour++) {
        sum += cb_extraterrestrial_w_m2(&site, cb_day_of_year(month, day), hour) * 3600e-6;
    }
    return sum;
}

// Allen et al. 1998, FAO Irrigation and Drainage Paper 56. `exact` is the paper's own arithmetic
// carried to ten digits, `printed` what the paper prints.
static void extraterrestrial_radiation_of_fao56_examples(void **state)
{
    (void)state;
    static const struct {
        const char *source;
        cb_site site;
        int month, day;
        double exact, printed, half_digit;
    } row[] = {
        {"example 8, 20 S, 3 September", {-20, 0, 0, 0}, 9, 3, 32.19399588, 32.2, 0.05},
        {"example 10, Rio, 15 May", {-22.9, 0, 0, 0}, 5, 15, 25.11102777, 25.1, 0.05},
        {"example 18, Uccle, 6 July", {50.8, 0, 0, 0}, 7, 6, 41.08837556, 41.09, 0.005},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const double got = day_ra_mj(row[i].site, row[i].month, row[i].day);
        close_to(row[i].source, got, row[i].exact, 2e-8);
        close_to(row[i].source, got, row[i].printed, row[i].half_digit);
    }
    const cb_site ndiaye = {16 + 13 / 60.0, -(16 + 15 / 60.0), 8, -1};
    // The paper rounds 1/15 to 0.06667 and prints three decimals.
    close_to("example 19, N'Diaye, 1 October 14-15 h [MJ/m2]",
             cb_extraterrestrial_w_m2(&ndiaye, cb_day_of_year(10, 1), 14) * 3600e-6, 3.543416689,
             1e-5);
}

static void a_day_sums_the_same_whatever_the_time_zone(void **state)
{
    (void)state;
    for (double zone = -12; zone <= 14; zone += 1) {
        close_to("Uccle in another zone", day_ra_mj((cb_site){50.8, 4.35, 100, zone}, 7, 6),
                 41.08837556, 1e-7);
    }
}

static void sun_stands_over_and_under_the_poles(void **state)
{
    (void)state;
    const cb_site north = {90, 0, 0, 0};
    // At a pole the sun's height is the declination all day.
    const double june = sin(0.409 * sin(2 * 3.14159265358979323846 * 172 / 365.0 - 1.39));
    for (int hour = 0; hour < 24; hour++) {
        close_to("cos zenith at the pole, 21 June",
                 cb_sun_cos_zenith(&north, cb_day_of_year(6, 21), hour), june, 1e-9);
        close_to("cos zenith at the pole, 21 December",
                 cb_sun_cos_zenith(&north, cb_day_of_year(12, 21), hour), 0, 0);
    }
}

static void noon_is_highest_and_night_is_dark(void **state)
{
    (void)state;
    const cb_site site = {46.9, -90, 274, -6};
    const int day = cb_day_of_year(4, 15); // the equation of time is nearly 0
    assert_true(cb_sun_cos_zenith(&site, day, 11) > cb_sun_cos_zenith(&site, day, 9));
    close_to("before and after noon", cb_sun_cos_zenith(&site, day, 11),
             cb_sun_cos_zenith(&site, day, 12), 2e-3);
    close_to("midnight", cb_sun_cos_zenith(&site, day, 0), 0, 0);
}

// Closed form of Brutsaert 1975 with the vapour pressure of FAO-56 eq. 11, to ten digits.
static void clear_sky_longwave_matches_closed_form(void **state)
{
    (void)state;
    static const struct {
        double air_c, humidity, dew_c, longwave, black;
    } row[] = {
        {-10, 0.8, -12.77876059, 171.1558358, 271.9100339},
        {0, 0.8, -3.02701253, 220.296668, 315.6578223},
        {10, 0.6, 2.604870566, 268.3593951, 364.4836072},
        {20, 0.6, 12.00437737, 336.3687196, 418.76592},
        {30, 0.5, 18.43808549, 406.1276767, 478.8969013},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        close_to("dew point", cbx_dew_point_c(row[i].air_c, row[i].humidity), row[i].dew_c, 1e-7);
        close_to("clear sky", cb_sky_longwave_w_m2(row[i].air_c, row[i].dew_c, 0), row[i].longwave,
                 1e-6);
        close_to("overcast is black", cb_sky_longwave_w_m2(row[i].air_c, row[i].dew_c, 1),
                 row[i].black, 1e-6);
        close_to("half and half", cb_sky_longwave_w_m2(row[i].air_c, row[i].dew_c, 0.5),
                 (row[i].longwave + row[i].black) / 2, 1e-6);
    }
}

static void days_of_the_year(void **state)
{
    (void)state;
    static const struct {
        int month, day, want;
    } row[] = {{1, 1, 0},   {2, 28, 58}, {3, 1, 59},  {12, 31, 364}, {2, 29, -1},
               {4, 31, -1}, {0, 1, -1},  {13, 1, -1}, {7, 0, -1},    {7, 1, 181}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const int got = cb_day_of_year(row[i].month, row[i].day);
        if (got != row[i].want) {
            fail_msg("%d/%d: got %d, want %d", row[i].month, row[i].day, got, row[i].want);
        }
    }
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        int month = 0, of_month = 0;
        cbx_month_day(day, &month, &of_month);
        assert_int_equal(cb_day_of_year(month, of_month), day);
    }
}

static void moments_of_a_run_that_starts_in_july(void **state)
{
    (void)state;
    const cb_design_run run = {.years = 2, .start_month = 7, .start_day = 1};
    static const struct {
        long run_hour;
        cb_moment want;
    } row[] = {{0, {1, 7, 1, 0}},
               {24 * 184, {1, 1, 1, 0}},
               {8759, {1, 6, 30, 23}},
               {8760, {2, 7, 1, 0}},
               {-1, {0, 6, 30, 23}}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_moment got = cb_run_moment(&run, row[i].run_hour), want = row[i].want;
        if (got.run_year != want.run_year || got.month != want.month || got.day != want.day ||
            got.hour != want.hour) {
            fail_msg("hour %ld: got year %d, %d/%d %d h", row[i].run_hour, got.run_year, got.month,
                     got.day, got.hour);
        }
    }
}

static void inverse_normal_undoes_the_distribution(void **state)
{
    (void)state;
    close_to("0.975 (1.959964, Abramowitz & Stegun table 26.5)", cbx_inverse_normal(0.975),
             1.959963984540054, 1e-14);
    close_to("0.95", cbx_inverse_normal(0.95), 1.644853626951473, 1e-14);
    for (double z = -8; z <= 8; z += 0.01) {
        // erfc is exact where a probability near 1 is not: test the lower tail and its mirror.
        const double p = 0.5 * erfc(-z / sqrt(2));
        if (z <= 0) {
            close_to("z", cbx_inverse_normal(p), z, 1e-14 * (1 + fabs(z)));
        } else if (z < 4) {
            close_to("z", cbx_inverse_normal(p), z, 2e-12);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(extraterrestrial_radiation_of_fao56_examples),
        cmocka_unit_test(a_day_sums_the_same_whatever_the_time_zone),
        cmocka_unit_test(sun_stands_over_and_under_the_poles),
        cmocka_unit_test(noon_is_highest_and_night_is_dark),
        cmocka_unit_test(clear_sky_longwave_matches_closed_form),
        cmocka_unit_test(days_of_the_year),
        cmocka_unit_test(moments_of_a_run_that_starts_in_july),
        cmocka_unit_test(inverse_normal_undoes_the_distribution),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
