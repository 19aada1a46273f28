// SPDX-License-Identifier: MIT
#include "coilbed/house.h"
#include "weather/support.h"

// A year whose air is in turn 8.3333, 35, 0, -10 and -30 degC, with loads to match.
static const double air_c[] = {25.0 / 3, 35, 0, -10, -30};
static const double heating_w[] = {4000, 0, 4000, 9000, 9000};
static const double cooling_w[] = {0, 3000, 0, 0, 0};
enum { KINDS = sizeof air_c / sizeof *air_c };

typedef struct fixture {
    double outdoor_c[CB_YEAR_HOURS];
    cb_house house;
    cb_alternatives_given given;
} fixture;

static int set_up(void **state)
{
    fixture *f = calloc(1, sizeof *f);
    f->house = (cb_house){CB_YEAR_HOURS, calloc(CB_YEAR_HOURS, sizeof(double)),
                          calloc(CB_YEAR_HOURS, sizeof(double))};
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        f->outdoor_c[hour] = air_c[hour % KINDS];
    }
    f->given = cb_alternatives_usual(8000);
    *state = f;
    return 0;
}

static int tear_down(void **state)
{
    fixture *f = *state;
    free(f->house.heating_w);
    free(f->house.cooling_w);
    free(f);
    return 0;
}

/// Loads of one of the five kinds of hours alone, or of all (-1): 1752 of each.
static cb_alternatives compare(fixture *f, int kind)
{
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        const int k = hour % KINDS;
        f->house.heating_w[hour] = kind < 0 || kind == k ? heating_w[k] : 0;
        f->house.cooling_w[hour] = kind < 0 || kind == k ? cooling_w[k] : 0;
    }
    cb_alternatives out;
    cb_error error = {0};
    if (cb_house_alternatives(&out, &f->house, f->outdoor_c, &f->given, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    return out;
}

static double cop(double lift)
{
    return 6.81 - 0.121 * lift + 0.000630 * lift * lift;
}

static const double seconds = 1752 * 3600.0;

// By hand: half load at the rating; full cooling at the rating; frosting at 0 degC; beyond the unit
// at -10 degC; standing still at -30 degC.
static void each_hour_is_as_by_hand(void **state)
{
    fixture *f = *state;
    const double rated = cop(40 - 25.0 / 3);
    cb_alternatives out = compare(f, 0);
    close_to("at the rating", out.air_source.heating_electricity_j, seconds * 4000 / 3.4, 1);
    close_to("no backup", out.air_source.backup_electricity_j, 0, 1e-6);
    out = compare(f, 1);
    close_to("cooling", out.air_source.cooling_electricity_j, seconds * 3000 / 3.5, 1);
    out = compare(f, 2);
    close_to("frosting", out.air_source.heating_electricity_j,
             seconds * 4000 / (3.4 * 0.92 * cop(40) / rated), 1);
    out = compare(f, 3);
    const double most_w = 8000 * cop(50) / rated;
    close_to("beyond the unit", out.air_source.backup_electricity_j, seconds * (9000 - most_w), 1);
    close_to("at full power", out.air_source.heating_electricity_j, seconds * 8000 / 3.4, 1);
    out = compare(f, 4);
    close_to("too cold", out.air_source.heating_electricity_j, 0, 0);
    close_to("all backup", out.air_source.backup_electricity_j, seconds * 9000, 1);
}

static void resistance_and_furnace_follow_the_load(void **state)
{
    fixture *f = *state;
    const cb_alternatives out = compare(f, -1);
    close_to("load", out.heating_j, seconds * 26000, 1);
    close_to("resistance", out.resistance.backup_electricity_j, out.heating_j, 0);
    close_to("fuel", out.furnace.fuel_j, out.heating_j / 0.92, 1);
    close_to("fan", out.furnace.heating_electricity_j, 0.02 * out.heating_j, 1);
    close_to("cooling alike", out.furnace.cooling_electricity_j,
             out.air_source.cooling_electricity_j, 0);
    assert_true(out.air_source.heating_electricity_j + out.air_source.backup_electricity_j <
                out.resistance.backup_electricity_j);
}

static void cooling_beyond_the_unit_is_told(void **state)
{
    fixture *f = *state;
    f->given.air.cooling_w = 0;
    f->given.air.cooling_power_w = 0;
    const cb_alternatives out = compare(f, 1);
    close_to("uncooled", out.air_source.uncooled_j, seconds * 3000, 1);
    close_to("no power", out.air_source.cooling_electricity_j, 0, 0);
}

static void machines_that_cannot_be_are_refused(void **state)
{
    fixture *f = *state;
    static const struct {
        size_t offset;
        double value;
        const char *message;
    } row[] = {
        {offsetof(cb_alternatives_given, air.heating_w), -1, "heating capacity [W] is -1"},
        {offsetof(cb_alternatives_given, air.heating_power_w), 9000, "expected 10 to 8000"},
        {offsetof(cb_alternatives_given, air.cooling_power_w), 0, "power in cooling [W] is 0"},
        {offsetof(cb_alternatives_given, air.frost_high_c), -8, "upper end of frosting"},
        {offsetof(cb_alternatives_given, air.defrost_share), NAN, "defrosting is nan"},
        {offsetof(cb_alternatives_given, furnace_efficiency), 1.1, "is 1.1; expected 0.5 to 1"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        f->given = cb_alternatives_usual(8000);
        memcpy((char *)&f->given + row[i].offset, &row[i].value, sizeof(double));
        cb_alternatives out;
        cb_error error = {0};
        cb_house_alternatives(&out, &f->house, f->outdoor_c, &f->given, &error);
        refused(&error, &(refusal){CB_BAD_INPUT, 0, 0, row[i].message});
    }
    assert_int_equal(cb_house_alternatives(NULL, &f->house, f->outdoor_c, &f->given, NULL),
                     CB_BAD_CALL);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)
    const struct CMUnitTest tests[] = {
        TEST(each_hour_is_as_by_hand),
        TEST(resistance_and_furnace_follow_the_load),
        TEST(cooling_beyond_the_unit_is_told),
        TEST(machines_that_cannot_be_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
