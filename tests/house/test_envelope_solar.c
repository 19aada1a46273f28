// SPDX-License-Identifier: MIT
#include "house/envelope_solar.h"
#include "weather/support.h"

static const cb_site plain = {46.9, -90, 300, -6}; // its zone's meridian

// The three branches, by hand from the coefficients; continuous to the printed digits at 0.22
// (0.9802 on both sides) and 0.80 (0.1650).
static void diffuse_share_follows_erbs(void **state)
{
    (void)state;
    static const double row[][3] = {{0, 1, 0},
                                    {0.1, 0.991, 1e-12},
                                    {0.22, 0.9802, 1e-9},
                                    {0.2200001, 0.9802, 5e-4},
                                    {0.5, 0.65915, 1e-9},
                                    {0.7999999, 0.1650, 1e-3},
                                    {0.9, 0.165, 0},
                                    {1.2, 0.165, 0}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        close_to("diffuse share", cbx_diffuse_share(row[i][0]), row[i][1], row[i][2]);
    }
}

static void a_level_plane_gets_the_horizontal_sum(void **state)
{
    (void)state;
    const cbx_direction level = cbx_plane(123, 0);
    for (int day = 0; day < 365; day += 7) {
        for (int hour = 0; hour < 24; hour++) {
            const double global = 0.6 * cb_extraterrestrial_w_m2(&plain, day, hour) + 1;
            const cbx_sun_hour sun = cbx_sun_split(&plain, day, hour, global);
            close_to("level", cbx_sun_on(&sun, &level, 0.2), global, 1e-9);
        }
    }
}

// The direction agrees with the hour-mean zenith of the weather, and is a unit vector.
static void the_direction_is_that_of_the_projects_sun(void **state)
{
    (void)state;
    for (int day = 0; day < 365; day += 13) {
        for (int hour = 0; hour < 24; hour++) {
            double up = 0;
            for (int i = 0; i < 3600; i++) {
                const cbx_direction sun = cbx_sun_direction(&plain, day, hour + (i + 0.5) / 3600);
                close_to("length", hypot(hypot(sun.east, sun.north), sun.up), 1, 1e-12);
                up += fmax(0, sun.up) / 3600;
            }
            close_to("zenith", up, cb_sun_cos_zenith(&plain, day, hour), 1e-6);
        }
    }
}

// In the morning the sun is in the east; at noon north of the tropic it is in the south.
static void morning_is_east_and_noon_is_south(void **state)
{
    (void)state;
    for (int day = 0; day < 365; day += 30) {
        assert_true(cbx_sun_direction(&plain, day, 9).east > 0);
        assert_true(cbx_sun_direction(&plain, day, 15).east < 0);
        assert_true(cbx_sun_direction(&plain, day, 12).north < 0);
    }
}

// Beam on a plane square to the sun is the normal beam; diffuse and ground by the view factors of
// Liu & Jordan: (1 + cos b)/2 and (1 - cos b)/2.
static void a_plane_gets_beam_sky_and_ground(void **state)
{
    (void)state;
    cbx_sun_hour sun = {.global_w_m2 = 500, .diffuse_w_m2 = 200, .normal_w_m2 = 600, .lit = 1};
    for (int i = 0; i < CBX_SUN_POINTS; i++) {
        sun.sun[i] = cbx_plane(180, 60); // 30 degrees above the southern horizon
    }
    const cbx_direction facing = cbx_plane(180, 60), upright = cbx_plane(180, 90),
                        north = cbx_plane(0, 90);
    close_to("square to the sun", cbx_sun_on(&sun, &facing, 0.2),
             600 + 200 * 0.75 + 500 * 0.2 * 0.25, 1e-9);
    close_to("south wall", cbx_sun_on(&sun, &upright, 0.2),
             600 * cos(30 * 3.14159265358979323846 / 180) + 100 + 50, 1e-9);
    close_to("north wall", cbx_sun_on(&sun, &north, 0.7), 100 + 175, 1e-9);
}

// On a clear January day at 47 degrees north a south wall gets over twice the level sum, from a
// sun 22 degrees high; in June less than half of it.
static void seasons_turn_the_walls(void **state)
{
    (void)state;
    double ratio[2];
    static const int days[] = {14, 166};
    for (int i = 0; i < 2; i++) {
        double level = 0, south = 0, east = 0, west = 0;
        const cbx_direction s = cbx_plane(180, 90), e = cbx_plane(90, 90), w = cbx_plane(270, 90);
        for (int hour = 0; hour < 24; hour++) {
            const double global = 0.75 * cb_extraterrestrial_w_m2(&plain, days[i], hour);
            const cbx_sun_hour sun = cbx_sun_split(&plain, days[i], hour, global);
            level += global;
            south += cbx_sun_on(&sun, &s, 0.0);
            east += cbx_sun_on(&sun, &e, 0.0);
            west += cbx_sun_on(&sun, &w, 0.0);
        }
        ratio[i] = south / level;
        close_to("east and west", east / west, 1, 0.1); // but for the equation of time
    }
    assert_true(ratio[0] > 2.0 && ratio[0] < 3.0);
    assert_true(ratio[1] > 0.2 && ratio[1] < 0.5);
}

// No hour of the year gives a beam above the sun's own, whatever the weather claims.
static void low_suns_stay_within_the_solar_constant(void **state)
{
    (void)state;
    for (int day = 0; day < 365; day++) {
        for (int hour = 0; hour < 24; hour++) {
            const cbx_sun_hour sun = cbx_sun_split(&plain, day, hour, 300);
            assert_true(sun.normal_w_m2 <= CBX_SOLAR_CONSTANT_W_M2 * (1 + 1e-12));
            assert_true(sun.diffuse_w_m2 >= 0 && sun.diffuse_w_m2 <= 300);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(diffuse_share_follows_erbs),
        cmocka_unit_test(a_level_plane_gets_the_horizontal_sum),
        cmocka_unit_test(the_direction_is_that_of_the_projects_sun),
        cmocka_unit_test(morning_is_east_and_noon_is_south),
        cmocka_unit_test(a_plane_gets_beam_sky_and_ground),
        cmocka_unit_test(seasons_turn_the_walls),
        cmocka_unit_test(low_suns_stay_within_the_solar_constant),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
