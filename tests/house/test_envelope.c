// SPDX-License-Identifier: MIT
#include "house/cottage.h"
#include "house/envelope.h"

typedef struct fixture {
    cb_units *units;
    cb_design *design; // the cottage
    cb_weather *weather;
    cb_run_weather *run;
} fixture;

static int set_up(void **state)
{
    fixture *f = calloc(1, sizeof *f);
    char *text = cottage_with(NULL, NULL);
    *state = f;
    const bool ok = cb_units_create(&f->units, NULL) == CB_OK &&
                    cottage_read(&f->design, text, f->units, NULL) == CB_OK &&
                    cb_weather_create(&f->weather, f->design, f->units, NULL) == CB_OK &&
                    cb_run_weather_create(&f->run, f->weather, f->design, NULL) == CB_OK;
    free(text);
    return ok ? 0 : -1;
}

static int tear_down(void **state)
{
    fixture *f = *state;
    cb_run_weather_destroy(f->run);
    cb_weather_destroy(f->weather);
    cb_design_destroy(f->design);
    cb_units_destroy(f->units);
    free(f);
    return 0;
}

static cb_house *make_house(fixture *f)
{
    cb_house *house = NULL;
    cb_error error = {0};
    if (cb_house_create(&house, f->design, f->run, f->units, &error) != CB_OK) {
        fail_msg("%s:%d:%d %s", error.file, error.line, error.column, error.message);
    }
    return house;
}

/// Outdoors the same all year, black night, sky as warm as the air.
static void set_steady(fixture *f, double air_c, double wind_m_s)
{
    const double air_k = air_c + 273.15;
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        f->weather->hour[hour] =
            (cb_weather_hour){.air_temperature_c = air_c,
                              .dew_point_c = air_c - 2,
                              .wind_m_s = wind_m_s,
                              .longwave_w_m2 = 5.670374419e-8 * air_k * air_k * air_k * air_k};
    }
    f->design->weather.hard_winter_count = 0;
    cb_run_weather_destroy(f->run);
    assert_int_equal(cb_run_weather_create(&f->run, f->weather, f->design, NULL), CB_OK);
}

static const double foot2_m2 = 0.3048 * 0.3048;
static const double us_u = 5.678263341113488; // BTU/h/ft2/degF in W/m2/K

// By hand from the cottage's text; the slab by ISO 13370: B' = 2 A/P = 15 ft, d_t = 0.3 + 1.5 (0.21
// + 10/5.678).
static void losses_follow_from_areas(void **state)
{
    fixture *f = *state;
    cbx_envelope e;
    assert_int_equal(cbx_envelope_prepare(&e, f->design, NULL), CB_OK);
    const cb_house_losses losses = cbx_envelope_losses(&e);
    close_to("walls", losses.walls_w_k, (1500 - 40 - 160) * foot2_m2 * 0.06 * us_u, 1e-9);
    close_to("roof", losses.roof_w_k, (900 - 10) * foot2_m2 * 0.03 * us_u, 1e-9);
    close_to("doors", losses.doors_w_k, 40 * foot2_m2 * 1.8, 1e-9);
    close_to("windows", losses.windows_w_k, 170 * foot2_m2 * 1.8, 1e-9);
    close_to("fans", losses.ventilation_w_k, 1200 * 0.3 * 60 * 0.3048 * 0.3048 * 0.3048 / 60, 1e-9);
    const double b = 15 * 0.3048, d = 0.3 + 1.5 * (0.21 + 10 / us_u);
    close_to("slab", losses.floor_w_k,
             900 * foot2_m2 * 3 / (3.14159265358979323846 * b + d) *
                 log(3.14159265358979323846 * b / d + 1),
             1e-9);
    // Leakage area of 3 air changes at 50 Pa, then Q = A sqrt(C_s dT + C_w U2), two storeys.
    const double volume = 1800 * foot2_m2 * 8 * 0.3048;
    const double area_cm2 = 1e4 * 3 * volume / 3600 * pow(0.08, 0.65) * sqrt(0.15);
    const cb_weather_hour cold = {.air_temperature_c = -20, .wind_m_s = 5};
    close_to("leaks", cbx_envelope_leakage_m3_s(&e, &cold, 20, 25),
             1e-3 * area_cm2 * sqrt(0.000290 * 40 + 0.000231 * 25), 1e-12);
}

// ISO 13370 by hand, 80 m2 with 36 m of edge 2 m deep: B' = 4.444 m, d_t = 0.3 + 1.5 (0.21 + 1) =
// 2.115 m, d_w = 1.5 (0.17 + 2) = 3.255 m. Floor: 3 / (pi B' + 3.115) ln(pi B' / 3.115 + 1); wall
// per metre: 3/pi (1 + 0.5 d_t / (d_t + 2)) ln(2 / d_w + 1). Without depth it is the slab again.
static void a_basement_loses_by_floor_and_walls(void **state)
{
    fixture *f = *state;
    cb_envelope *given = &f->design->house.envelope;
    given->slab_area_m2 = 80;
    given->slab_perimeter_m = 36;
    given->slab_resistance_m2k_w = 1;
    given->basement_resistance_m2k_w = 2;
    const double pi = 3.14159265358979323846, b = 2 * 80 / 36.0;
    static const double depth_m[] = {2, 0, 1e-9};
    double want[3] = {80 * 3 / (pi * b + 3.115) * log(pi * b / 3.115 + 1) +
                          36 * 3 / pi * (1 + 0.5 * 2.115 / 4.115) * log(2 / 3.255 + 1),
                      80 * 3 / (pi * b + 2.115) * log(pi * b / 2.115 + 1)};
    want[2] = want[1];
    for (int i = 0; i < 3; i++) {
        cbx_envelope e;
        given->slab_depth_m = depth_m[i];
        assert_int_equal(cbx_envelope_prepare(&e, f->design, NULL), CB_OK);
        close_to("ground", e.floor.h_w_k, want[i], 1e-7);
    }
    // The wave outdoors reaches a deep floor less, but the walls more.
    const double reach = sqrt(8760.0 * 3600 * 1.5 / (pi * 3e6)), at_floor = exp(-2 / reach);
    cbx_envelope e;
    given->slab_depth_m = 2;
    assert_int_equal(cbx_envelope_prepare(&e, f->design, NULL), CB_OK);
    cbx_envelope_season(&e, f->run);
    const double periodic =
        0.37 * 36 * 1.5 *
        (at_floor * log(reach / 2.115 + 1) + 2 * (1 - at_floor) * log(reach / 3.255 + 1));
    double cosine = 0, sine = 0;
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        const double turn = 2 * pi * (hour + 0.5) / CB_YEAR_HOURS;
        cosine += 2 * cos(turn) * f->weather->hour[hour].air_temperature_c / CB_YEAR_HOURS;
        sine += 2 * sin(turn) * f->weather->hour[hour].air_temperature_c / CB_YEAR_HOURS;
    }
    close_to("periodic", e.floor.swing_k * e.floor.h_w_k, hypot(cosine, sine) * periodic, 1e-7);
}

// Constant weather: every hour of a house without setback is the steady state of its network.
static void steady_weather_gives_the_steady_load(void **state)
{
    fixture *f = *state;
    cb_envelope *given = &f->design->house.envelope;
    given->heating_night_c = given->heating_day_c = 20;
    given->gains_w = 0;
    set_steady(f, -10, 4);
    cbx_envelope e;
    assert_int_equal(cbx_envelope_prepare(&e, f->design, NULL), CB_OK);
    const cb_weather_hour w = f->weather->hour[0];
    const double air = 1200 * (0.3 * given->ventilation_m3_s +
                               cbx_envelope_leakage_m3_s(&e, &w, 20, given->cooling_day_c));
    const cbx_network *n = &e.network;
    const double through = n->h_w_w_k + 1 / (1 / n->h_ms_w_k + 1 / n->h_em_w_k);
    const double want = 30 * (air + 1 / (1 / n->h_is_w_k + 1 / through));
    cb_house *house = make_house(f);
    for (long hour = 0; hour < house->hours; hour += 97) {
        close_to("heating", house->heating_w[hour], want, 1e-6 * want);
        assert_true(house->cooling_w[hour] == 0);
    }
    cb_house_destroy(house);
}

static void mild_weather_needs_nothing(void **state)
{
    fixture *f = *state;
    f->design->house.envelope.gains_w = 100;
    f->design->house.envelope.heating_night_c = 5;
    f->design->house.envelope.heating_day_c = 15;
    set_steady(f, 21, 2);
    cb_house *house = make_house(f);
    for (long hour = 0; hour < house->hours; hour++) {
        assert_true(house->heating_w[hour] == 0 && house->cooling_w[hour] == 0);
    }
    cb_house_destroy(house);
}

// The year before the run has washed out the guess of the first mass temperature.
static void the_first_hours_are_as_a_year_later(void **state)
{
    fixture *f = *state;
    f->design->house.envelope.mass = CB_MASS_VERY_HEAVY;
    f->design->weather.hard_winter_count = 0;
    cb_run_weather_destroy(f->run);
    assert_int_equal(cb_run_weather_create(&f->run, f->weather, f->design, NULL), CB_OK);
    cb_house *house = make_house(f);
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        close_to("heating", house->heating_w[CB_YEAR_HOURS + hour], house->heating_w[hour], 1e-6);
        close_to("cooling", house->cooling_w[CB_YEAR_HOURS + hour], house->cooling_w[hour], 1e-6);
    }
    cb_house_destroy(house);
}

static double year_sum(const double *load_w, int year)
{
    double sum = 0;
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        sum += load_w[(year - 1) * (long)CB_YEAR_HOURS + hour];
    }
    return sum;
}

static double annual(fixture *f, bool cooling)
{
    cb_house *house = make_house(f);
    const double sum = year_sum(cooling ? house->cooling_w : house->heating_w, 1);
    cb_house_destroy(house);
    return sum;
}

static void loads_follow_the_shaped_winter(void **state)
{
    fixture *f = *state;
    cb_house *house = make_house(f);
    assert_true(year_sum(house->heating_w, 3) > 1.1 * year_sum(house->heating_w, 2));
    close_to("year 2 as year 1", year_sum(house->heating_w, 2), year_sum(house->heating_w, 1), 1);
    cb_house_destroy(house);
}

// What each part does to the year's sums, in the direction it must.
static void each_part_pulls_its_way(void **state)
{
    fixture *f = *state;
    cb_envelope *e = &f->design->house.envelope;
    const cb_envelope before = *e;
    const double heating = annual(f, false), cooling = annual(f, true);
    e->heat_recovery = 0;
    assert_true(annual(f, false) > 1.03 * heating);
    *e = before;
    e->heating_night_c = e->heating_day_c;
    assert_true(annual(f, false) > 1.01 * heating);
    *e = before;
    e->window[0].azimuth_deg = 0; // the large south windows turned north
    assert_true(annual(f, false) > 1.03 * heating && annual(f, true) < 0.9 * cooling);
    *e = before;
    e->latent_share = 0;
    close_to("sensible", annual(f, true), 0.8 * cooling, 1e-6 * cooling);
    *e = before;
    e->mass = CB_MASS_VERY_LIGHT;
    assert_true(annual(f, true) > cooling);
    *e = before;
    e->shelter = CB_SHELTER_NONE;
    assert_true(annual(f, false) > 1.02 * heating);
    *e = before;
    e->airing_1_h = 0;
    const double closed = annual(f, true);
    assert_true(closed > 1.01 * cooling);
    close_to("airing spares no heat", annual(f, false), heating, 0);
    *e = before;
}

// Constant gains on a mild day: cooling is what the closed house needs less what two air changes
// take from air at its set point, by hand; with enough of them nothing is left.
static void open_windows_spare_cooling(void **state)
{
    fixture *f = *state;
    cb_envelope *e = &f->design->house.envelope;
    e->gains_w = 6000;
    e->gain_weight_count = 0;
    e->airing_1_h = 0;
    set_steady(f, 22, 2);
    cb_house *closed = make_house(f);
    e->airing_1_h = 2;
    cb_house *open = make_house(f);
    const double volume = 1800 * foot2_m2 * 8 * 0.3048;
    const double spared = 1200 * 2 * volume / 3600 * (e->cooling_day_c - 22) / 0.8;
    assert_true(closed->cooling_w[100] > 1.2 * spared);
    close_to("spared", closed->cooling_w[100] - open->cooling_w[100], spared, 1e-6);
    e->airing_1_h = 20;
    cb_house_destroy(open);
    open = make_house(f);
    assert_true(open->cooling_w[100] == 0 && open->heating_w[100] == 0);
    cb_house_destroy(open);
    cb_house_destroy(closed);
}

// Night from 22 to 6 h: full setback from 1 to 3 h, straight lines of three hours before and after.
static void set_points_move_in_straight_lines(void **state)
{
    fixture *f = *state;
    cbx_envelope e;
    assert_int_equal(cbx_envelope_prepare(&e, f->design, NULL), CB_OK);
    const cb_envelope *given = &f->design->house.envelope;
    const double step_k = given->heating_day_c - given->heating_night_c;
    static const double share[24] = {
        2.5 / 3, 1, 1, 2.5 / 3, 0.5, 0.5 / 3, [22] = 0.5 / 3, [23] = 0.5};
    for (int hour = 0; hour < 24; hour++) {
        const cbx_outdoors outdoors = {.weather = f->weather->hour[hour], .hour = hour};
        close_to("set point", cbx_envelope_drive(&e, &outdoors).heating_set_c,
                 given->heating_day_c - share[hour] * step_k, 1e-12);
        close_to("asked for", cb_house_set_point_c(f->design, false, hour + 0.5),
                 given->heating_day_c - share[hour] * step_k, 1e-12);
        close_to("in cooling", cb_house_set_point_c(f->design, true, hour + 0.5),
                 given->cooling_day_c, 1e-12);
    }
    f->design->house.model = CB_HOUSE_LOAD_LINE;
    assert_true(isnan(cb_house_set_point_c(f->design, false, 12)));
    f->design->house.model = CB_HOUSE_ENVELOPE;
}

// The soil under the slab is warmest after the air is, and swings less.
static void the_slabs_soil_follows_late(void **state)
{
    fixture *f = *state;
    cbx_envelope e;
    assert_int_equal(cbx_envelope_prepare(&e, f->design, NULL), CB_OK);
    double mean = 0;
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        // A cosine of 15 K, warmest on 17 July, 00:00 (day 197).
        const double turn = 2 * 3.14159265358979323846 * (hour + 0.5 - 197 * 24) / CB_YEAR_HOURS;
        f->weather->hour[hour].air_temperature_c = 6 + 15 * cos(turn);
        mean += f->weather->hour[hour].air_temperature_c / CB_YEAR_HOURS;
    }
    cbx_envelope_season(&e, f->run);
    close_to("mean", e.floor.mean_c, mean, 1e-9);
    // The run starts on 1 July, day 181: 16 days and a month of 8760 / 12 h later.
    close_to("warmest", e.floor.warmest_h, 16 * 24 + 730, 1e-6);
    const double d = 0.3 + 1.5 * (0.21 + 10 / us_u);
    const double reach = sqrt(8760.0 * 3600 * 1.5 / (3.14159265358979323846 * 3e6));
    close_to("swing", e.floor.swing_k * e.floor.h_w_k,
             15 * 0.37 * 120 * 0.3048 * 1.5 * log(reach / d + 1), 1e-9);
}

static void design_loads_are_the_usual_sum(void **state)
{
    fixture *f = *state;
    cb_envelope *given = &f->design->house.envelope;
    given->heating_design_c = -25;
    given->cooling_design_c = 33;
    set_steady(f, 5, 6);
    cb_house *house = make_house(f);
    cb_design_loads loads;
    assert_int_equal(cb_house_design_loads(&loads, f->design, f->run, house, NULL), CB_OK);
    const cb_house_losses *l = &loads.losses;
    const double indoor = given->heating_day_c;
    assert_int_equal(loads.basis, CB_BASIS_ENVELOPE);
    close_to("heating", loads.heating_w,
             (l->walls_w_k + l->roof_w_k + l->windows_w_k + l->doors_w_k + l->ventilation_w_k +
              l->leakage_w_k) *
                     (indoor + 25) +
                 l->floor_w_k * (indoor - 5),
             1e-6);
    close_to("share", loads.sensible_share, 0.8, 1e-12);
    assert_true(loads.cooling_w > 1000 && loads.cooling_w < 15000);
    given->cooling_design_c = 38;
    const double mild_w = loads.cooling_w;
    assert_int_equal(cb_house_design_loads(&loads, f->design, f->run, house, NULL), CB_OK);
    assert_true(loads.cooling_w > mild_w + 500);
    cb_house_destroy(house);
}

// Hour k of a sorted year: 87 hours are colder than the 1 % temperature.
static void design_temperatures_come_from_the_weather(void **state)
{
    fixture *f = *state;
    cb_house *house = make_house(f);
    cb_design_loads loads;
    assert_int_equal(cb_house_design_loads(&loads, f->design, f->run, house, NULL), CB_OK);
    int colder = 0, warmer = 0;
    for (int hour = 0; hour < CB_YEAR_HOURS; hour++) {
        colder += f->weather->hour[hour].air_temperature_c < loads.heating_outdoor_c;
        warmer += f->weather->hour[hour].air_temperature_c > loads.cooling_outdoor_c;
    }
    assert_int_equal(colder, 87);
    assert_int_equal(warmer, 87);
    cb_house_destroy(house);
}

static void assert_echoes(const fixture *f, const cb_design *design)
{
    char *echo = cb_design_echo(design);
    cb_design *again = NULL;
    cb_error error = {0};
    if (cb_design_parse(&again, echo, "echo.yaml", NULL, 0, f->units, &error) != CB_OK) {
        fail_msg("%d:%d %s\n%s", error.line, error.column, error.message, echo);
    }
    assert_int_equal(again->house.model, CB_HOUSE_ENVELOPE);
    assert_memory_equal(again->house.envelope.window, design->house.envelope.window,
                        sizeof again->house.envelope.window);
    char *twice = cb_design_echo(again);
    assert_string_equal(echo, twice);
    free(twice);
    free(echo);
    cb_design_destroy(again);
}

static void an_envelope_echoes_to_the_same_bits(void **state)
{
    fixture *f = *state;
    assert_echoes(f, f->design);
    cb_design bare = *f->design; // without what a house may lack
    bare.memory = NULL;
    memset(bare.house.envelope.window, 0, sizeof bare.house.envelope.window);
    bare.house.envelope.gain_weight_count = bare.house.envelope.window_count = 0;
    bare.house.envelope.doors.area_m2 = bare.house.envelope.slab_area_m2 = 0;
    assert_echoes(f, &bare);
}

// A slip in the cottage's text; the line is that of `at` in the spoilt text.
static void slips_are_refused_at_their_place(void **state)
{
    fixture *f = *state;
    static const struct {
        const char *find, *replace, *at, *message;
    } row[] = {
        {"walls: {area: 1500 ft2", "walls: {area: -1500 ft2",
         "walls:", "house.envelope.walls.area: -1500 ft2 is outside 1.08 ft2 to"},
        {"u_value: 0.06 BTU", "u_value: 0 BTU",
         "walls:", "house.envelope.walls.u_value: 0 BTU/h/ft2/degF is outside 0.00352"},
        {"walls: {area: 1500 ft2", "walls: {area: 190 ft2",
         "walls:", "windows and doors take 18.58 m2 of walls of 17.65 m2 in all"},
        {"roof: {area: 900 ft2", "roof: {area: 9 ft2",
         "roof:", "roof windows take 0.929 m2 of a roof of 0.8361 m2"},
        {"cooling_setpoint: 76 degF", "cooling_setpoint: 69 degF", "cooling_setpoint",
         "cooling down to 20.56 degC while heating up to 21.11 degC"},
        {"heating_night: 65 degF", "heating_night: 77 degF",
         "  envelope:", "cooling down to 24.44 degC while heating up to 25 degC"},
        {"gains_by_hour: [1, ", "gains_by_hour: [", "gains_by_hour",
         "house.envelope.gains_by_hour: 23 hours; expected none or 24"},
        {"floor_area: 1800 ft2", "floor_area: 1800 ft", "floor_area",
         "\"1800 ft\" is a length: an area is wanted, write e.g. 1600 ft2 or 150 m2"},
        {"mass: medium", "mass: stone", "mass:", "\"stone\" is not one of very_light, light"},
        {"ventilation: 60 cfm", "ventilation: 60 gpm", "ventilation", NULL},
        {"house:\n", "house:\n  loads: {file: a, heating_column: b, cooling_column: c, unit: W}\n",
         "  loads:", "house.loads: envelope is given too, one of them is wanted"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        char *text = cottage_with(row[i].find, row[i].replace);
        cb_design *design = NULL;
        cb_house *house = NULL;
        cb_error error = {0};
        if (cottage_read(&design, text, f->units, &error) == CB_OK) {
            cb_house_create(&house, design, f->run, f->units, &error);
        }
        if (row[i].message) {
            refused(&error,
                    &(refusal){CB_BAD_INPUT, cottage_line(text, row[i].at), -1, row[i].message});
            assert_null(house);
        } else {
            assert_int_equal(error.status, CB_OK); // a flow is a flow
        }
        cb_house_destroy(house);
        cb_design_destroy(design);
        free(text);
    }
}

static void spoilt_structs_are_refused(void **state)
{
    fixture *f = *state;
    static const struct {
        size_t offset;
        double value;
        const char *message;
    } row[] = {
        {offsetof(cb_envelope, floor_area_m2), NAN, "floor_area is nan m2; expected 10 to 10000"},
        {offsetof(cb_envelope, walls.u_w_m2k), 0, "walls.u_value is 0 W/m2/K; expected 0.02 to 10"},
        {offsetof(cb_envelope, roof.area_m2), -3, "roof.area is -3 m2"},
        {offsetof(cb_envelope, slab_perimeter_m), 0, "slab.perimeter is 0 m; expected 1 to 2000"},
        {offsetof(cb_envelope, window[1].g_value), 1.2, "g_value is 1.2; expected 0 to 1"},
        {offsetof(cb_envelope, window[2].tilt_deg), INFINITY, "tilt is inf deg"},
        {offsetof(cb_envelope, latent_share), 1, "latent_share is 1; expected 0 to 0.6"},
        {offsetof(cb_envelope, gain_weight[3]), -1, "-1 for hour 3; expected 0 to 1000"},
        {offsetof(cb_envelope, cooling_night_c), 18.2, "the cooling set point must be the higher"},
        {offsetof(cb_envelope, heating_day_c), 99, "heating_setpoint is 99 degC"},
        {offsetof(cb_envelope, slab_soil_w_mk), NAN, "slab.soil_conductivity is nan W/m/K"},
    };
    const cb_envelope before = f->design->house.envelope;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        memcpy((char *)&f->design->house.envelope + row[i].offset, &row[i].value, sizeof(double));
        cb_house *house = (cb_house *)f;
        cb_error error = {0};
        cb_house_create(&house, f->design, f->run, f->units, &error);
        assert_null(house);
        refused(&error, &(refusal){CB_BAD_INPUT, -1, -1, row[i].message});
        f->design->house.envelope = before;
    }
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)
    const struct CMUnitTest tests[] = {
        TEST(losses_follow_from_areas),
        TEST(a_basement_loses_by_floor_and_walls),
        TEST(steady_weather_gives_the_steady_load),
        TEST(mild_weather_needs_nothing),
        TEST(the_first_hours_are_as_a_year_later),
        TEST(loads_follow_the_shaped_winter),
        TEST(each_part_pulls_its_way),
        TEST(open_windows_spare_cooling),
        TEST(set_points_move_in_straight_lines),
        TEST(the_slabs_soil_follows_late),
        TEST(design_loads_are_the_usual_sum),
        TEST(design_temperatures_come_from_the_weather),
        TEST(an_envelope_echoes_to_the_same_bits),
        TEST(slips_are_refused_at_their_place),
        TEST(spoilt_structs_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
