// SPDX-License-Identifier: MIT
// Levels, fans, flow, backup's limit and hot water: what is read, assumed and refused.
#include "workshop.h"

#include <math.h>

static const double KBTU_H_W = 293.07107017222;

static void near(const char *what, double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        fail_msg("%s: got %.15g, want %.15g", what, got, want);
    }
}

// The fixture with a unit, backup and tank that say everything.
#define STAGED                                                                                     \
    "  - name: Barn\n"                                                                             \
    "    heating:\n"                                                                               \
    "      - {entering_water: 20 degF, capacity: 14 kBTU/h, power: 1.4 kW, flow: 3 gpm}\n"         \
    "      - {entering_water: 80 degF, capacity: 28 kBTU/h, power: 1.7 kW, flow: 3 gpm}\n"         \
    "      - {entering_water: 20 degF, capacity: 15 kBTU/h, power: 1.4 kW, flow: 6 gpm}\n"         \
    "      - {entering_water: 80 degF, capacity: 30 kBTU/h, power: 1.7 kW, flow: 6 gpm}\n"         \
    "    part_load:\n"                                                                             \
    "      - rating: {heating: [{entering_water: 5 degC, capacity: 2 kW, power: 0.4 kW}]}\n"       \
    "      - heating:\n"                                                                           \
    "          - {entering_water: 20 degF, capacity: 11 kBTU/h, power: 1.0 kW}\n"                  \
    "          - {entering_water: 80 degF, capacity: 20 kBTU/h, power: 1.2 kW}\n"                  \
    "    cycling_loss: 13 %\n"                                                                     \
    "    fan: 210 W\n"                                                                             \
    "    fan_in_table: no\n"                                                                       \
    "    lockout_recovery: 7 delta_degF\n"
#define TANK                                                                                       \
    "hot_water:\n"                                                                                 \
    "  volume: 80 gal\n"                                                                           \
    "  insulation: 16 h.ft2.degF/BTU\n"                                                            \
    "  surface: 30 ft2\n"                                                                          \
    "  room_temperature: 60 degF\n"                                                                \
    "  draw: 55 gal\n"                                                                             \
    "  draw_temperature: 110 degF\n"                                                               \
    "  draw_by_hour: [0,0,0,0,0,0,3,2,1,1,1,1,1,1,1,1,1,2,3,2,1,1,0,0]\n"                          \
    "  element: 3.5 kW\n"                                                                          \
    "  set_point: 125 degF\n"                                                                      \
    "  band: 4 delta_degF\n"                                                                       \
    "  desuperheaters:\n"                                                                          \
    "    - {unit: Barn, heat: 3 kBTU/h, rated_at: 118 degF, hot_gas: 155 degF, limit: 133 degF, "  \
    "most: 17 %}\n"

static char *full_farm(void)
{
    char *text = farm_with("  - name: Upper floor\n", STAGED "  - name: Upper floor\n");
    const char *backup = strstr(text, "backup:\n");
    assert_non_null(backup);
    const size_t size = strlen(text) + sizeof TANK + 100;
    char *full = malloc(size);
    assert_non_null(full);
    snprintf(full, size, "%.*s%sbackup:\n  outdoor_limit: 25 degF\n  emergency_share: 30 %%\n%s",
             (int)(backup - text), text, TANK, backup + strlen("backup:\n"));
    free(text);
    return full;
}

static cb_design *parse(const workshop *w, const char *text)
{
    cb_design *d = NULL;
    cb_error error = {0};
    if (cb_design_parse(&d, text, w->name, NULL, 0, w->units, &error) != CB_OK) {
        fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.message);
    }
    return d;
}

static void everything_is_read_in_si(void **state)
{
    char *text = full_farm();
    cb_design *d = parse(*state, text);
    const cb_design_heat_pump *unit = &d->heat_pump[1];
    const double gpm_m3_s = 3.785411784e-3 / 60;
    assert_int_equal(unit->heating.count, 4);
    near("flow", unit->heating.point[0].flow_m3_s, 3 * gpm_m3_s, 1e-15);
    near("flow", unit->heating.point[3].flow_m3_s, 6 * gpm_m3_s, 1e-15);
    assert_int_equal(unit->level_count, 2);
    assert_true(unit->level[0].has_rating && !unit->level[1].has_rating);
    assert_true(unit->level[0].heating.count > 4); // the generic curve
    near("level", unit->level[1].heating.point[1].capacity_w, 20 * KBTU_H_W, 1e-6);
    near("cycling loss", unit->cycling_loss, 0.13, 1e-15);
    near("fan", unit->fan_w, 210, 1e-12);
    assert_true(unit->fan_beside);
    near("recovery", unit->lockout_recovery_k, 7 / 1.8, 1e-12);
    assert_true(d->backup.has_outdoor_limit);
    near("outdoor limit", d->backup.outdoor_limit_c, -7 / 1.8, 1e-12);
    near("emergency share", d->backup.emergency_share, 0.3, 1e-15);
    const cb_design_hot_water *w = &d->hot_water;
    assert_true(w->given);
    near("volume", w->volume_m3, 80 * 3.785411784e-3, 1e-12);
    near("loss, 30 ft2 over R-16", w->loss_w_k, 30.0 / 16 * 0.5275279264, 1e-8);
    near("draw", w->draw_m3, 55 * 3.785411784e-3, 1e-12);
    near("wanted", w->draw_c, 78 / 1.8, 1e-12);
    assert_int_equal(w->draw_weight_count, 24);
    near("seven in the morning", w->draw_weight[7], 2, 0);
    near("set point", w->set_point_c, 93 / 1.8, 1e-12);
    near("band", w->band_k, 4 / 1.8, 1e-12);
    assert_int_equal(w->desuperheater_count, 1);
    assert_string_equal(w->desuperheater[0].unit, "Barn");
    near("heat", w->desuperheater[0].heat_w, 3 * KBTU_H_W, 1e-7);
    near("most", w->desuperheater[0].most_share, 0.17, 1e-15);
    cb_design_destroy(d);
    free(text);
}

static void echo_reads_back_to_the_same(void **state)
{
    char *text = full_farm();
    cb_design *first = parse(*state, text);
    char *echo = cb_design_echo(first);
    cb_design *second = parse(*state, echo);
    char *again = cb_design_echo(second);
    assert_string_equal(again, echo);
    const cb_design_heat_pump *a = &first->heat_pump[1], *b = &second->heat_pump[1];
    assert_memory_equal(&a->heating, &b->heating, sizeof a->heating);
    assert_memory_equal(&a->level, &b->level, sizeof a->level);
    assert_memory_equal(&first->backup, &second->backup, sizeof first->backup);
    near("loss", second->hot_water.loss_w_k, first->hot_water.loss_w_k, 0);
    assert_string_equal(second->hot_water.desuperheater[0].unit, "Barn");
    free(again);
    free(echo);
    cb_design_destroy(second);
    cb_design_destroy(first);
    free(text);
}

// What is not said is as before, but for the cycling loss.
static void defaults_are_stated(void **state)
{
    char *text = farm_with("backup:\n", "hot_water: {volume: 0.2 m3, draw: 200 L}\nbackup:\n");
    cb_design *d = parse(*state, text);
    const cb_design_heat_pump *unit = &d->heat_pump[0];
    assert_int_equal(unit->level_count, 0);
    assert_true(isnan(unit->heating.point[0].flow_m3_s));
    near("cycling loss", unit->cycling_loss, 0.1, 1e-15);
    near("recovery", unit->lockout_recovery_k, 0.5, 1e-15);
    near("fan", unit->fan_w, 0, 0);
    assert_false(unit->fan_beside);
    assert_false(d->backup.has_outdoor_limit);
    // Three times as high as wide: 0.2 m3 = 3 pi/4 w^3, surface 3.5 pi w^2.
    const double pi = 3.14159265358979, width = cbrt(0.2 / (0.75 * pi));
    near("surface", d->hot_water.surface_m2, 3.5 * pi * width * width, 1e-12);
    near("loss", d->hot_water.loss_w_k, d->hot_water.surface_m2 / d->hot_water.insulation_m2k_w,
         1e-12);
    assert_int_equal(d->hot_water.draw_weight_count, 0);
    const cb_source source = cb_design_where(d, "heat_pumps[0].cycling_loss");
    assert_non_null(strstr(source.reason, "from memory"));
    cb_design_destroy(d);
    free(text);

    text = farm_with("backup:\n",
                     "hot_water: {volume: 0.2 m3, draw: 200 L, standby_loss: 90 W}\nbackup:\n");
    d = parse(*state, text);
    near("by the standby loss", d->hot_water.loss_w_k, 2, 1e-12);
    cb_design_destroy(d);
    free(text);

    d = parse(*state, fixture_design());
    assert_false(d->hot_water.given);
    char *echo = cb_design_echo(d);
    assert_null(strstr(echo, "hot_water"));
    assert_null(strstr(echo, "outdoor_limit"));
    assert_null(strstr(echo, "flow: ")); // only flow_per_circuit
    free(echo);
    cb_design_destroy(d);
}

#define PART(TEXT) "name: Ground floor\n    part_load: [" TEXT "]\n"
#define LOW_HEAT                                                                                   \
    "heating: [{entering_water: 20 degF, capacity: 8 kBTU/h, power: 0.8 kW}, {entering_water: 80 " \
    "degF, capacity: 15 kBTU/h, power: 0.9 kW}]"
#define COOLS(TEXT) "name: Ground floor\n    " TEXT "\n"
#define ROW(AIR, WATER, CAPACITY)                                                                  \
    "          - {entering_water: " WATER " degF, capacity: " CAPACITY                             \
    " kBTU/h, power: 0.8 kW, entering_air: " AIR "}\n"
#define COLD                                                                                       \
    "        cooling: [{entering_water: 50 degF, capacity: 9 kBTU/h, power: 0.3 kW}, "             \
    "{entering_water: 90 degF, capacity: 8 kBTU/h, power: 0.6 kW}]\n"
#define LEVEL "name: Ground floor\n    part_load:\n      - heating:\n"
#define AT(AIR, COOL, WARM) ROW(AIR, "20", COOL) ROW(AIR, "80", WARM)
#define AIRY(FIRST, SECOND) LEVEL AT(FIRST, "8", "15") AT(SECOND, "7.8", "14.6") COLD
#define WATER(TEXT) "hot_water: {volume: 50 gal, draw: 60 gal" TEXT "}\nbackup:\n"

static void slips_name_their_place(void **state)
{
    static const slip_row row[] = {
        {"field:\n", "fields:\n", "fields:", 1,
         "unknown key \"fields\"; all units of a design work on its one field: where units have "
         "fields of their own, write a design for each field with its units, and in house.share "},
        {"field:\n", "field:\n- # east\n", "  trenches: 6", 3,
         "field holds a list; all units of a design work on its one field: "},
        {"name: Ground floor\n", "name: Ground floor\n    field: east\n", "    field: east", 5,
         "unknown key \"field\" in heat_pumps[0]; all units of a design work on its one field: "},
        {"name: Ground floor\n", PART("{" LOW_HEAT "}"), "part_load", 18,
         "heat_pumps[0].part_load[0]: cooling is missing: at full load the unit has it"},
        {"name: Ground floor\n",
         PART("{heating: [{entering_water: 20 degF, capacity: 8 kBTU/h, power: 0.8 kW}]}"),
         "part_load", 18, "one point is no table, two or more are wanted"},
        {"name: Ground floor\n",
         "name: Ground floor\n    part_load:\n      - rating:\n          heating: "
         "[{entering_water: 0 degC, capacity: 9 kW, power: 2 kW}]\n          cooling: "
         "[{entering_water: 25 degC, capacity: 5 kW, power: 1 kW}]\n",
         "      - rating", 9,
         "where the level above it gives 4226.08 W; expected each level to give at least 1 % more "
         "than the one below"},
        {"power: 1.53 kW", "power: 1.53 kW, flow: 3 gpm", "    heating:", 5,
         "heat_pumps[0].heating: one point of a flow is no table, two or more are wanted"},
        {"power: 1.53 kW", "power: 1.53 kW, flow: 0 gpm", "flow: 0 gpm", 80,
         "heat_pumps[0].heating[0].flow: 0 gpm is outside "},
        {"name: Ground floor\n", "name: Ground floor\n    cycling_loss: 60 %\n", "cycling_loss", 19,
         "heat_pumps[0].cycling_loss: 60 % is outside 0 % to 50.0 %"},
        {"name: Ground floor\n", "name: Ground floor\n    fan: 1.2 kW\n", "    fan:", 10,
         "heat_pumps[0].fan: 1200 W leave nothing of the "},
        {"backup:\n", "backup:\n  outdoor_limit: 300 degF\n", "outdoor_limit", 18,
         "backup.outdoor_limit: 300 degF is outside -58.0 degF to 104 degF (-50.0 degC to 40.0 "
         "degC)"},
        {"backup:\n", "hot_water: {draw: 60 gal}\nbackup:\n", "hot_water", 1,
         "hot_water.volume is missing: write e.g. 40 gal or 150 L"},
        {"backup:\n", "hot_water: {volume: 0 gal, draw: 60 gal}\nbackup:\n", "hot_water", 21,
         "hot_water.volume: 0 gal is outside 5.28 gal to 2642 gal (20.0 L to 10000 L)"},
        {"backup:\n", WATER(", draw_by_hour: [1, 2, 3]"), "hot_water", 43,
         "hot_water.draw_by_hour: 3 hours; expected none or 24"},
        {"backup:\n", WATER(", draw_by_hour: [0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0]"),
         "hot_water", 43,
         "hot_water.draw_by_hour: all 24 hours are 0; expected at least one above 0"},
        {"backup:\n", WATER(", desuperheaters: [{unit: Cellar, heat: 1 kW}]"), "hot_water", 67,
         "hot_water.desuperheaters[0].unit: \"Cellar\" is no heat pump; there are \"Ground "
         "floor\", \"Upper floor\""},
        {"backup:\n",
         WATER(", desuperheaters: [{unit: Upper floor, heat: 1 kW, hot_gas: 45 degC}]"),
         "hot_water", 61, "hot_gas 45 degC; expected more than rated_at, 48.8889 degC"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        check_slip(*state, &row[i]);
    }
}

static void entering_air_is_read_and_stated(void **state)
{
    char *text = farm_with("name: Ground floor\n", AIRY("60 degF", "70 degF"));
    cb_design *d = parse(*state, text);
    const cb_design_heat_pump *unit = &d->heat_pump[0];
    near("air", unit->level[0].heating.point[0].air_c, 140.0 / 9, 1e-12);
    near("next air", unit->level[0].heating.point[3].air_c, 190.0 / 9, 1e-12);
    assert_true(isnan(unit->heating_air_c));
    const cb_source source = cb_design_where(d, "heat_pumps[0].return_air_heating");
    assert_non_null(strstr(source.reason, "set point"));
    char *echo = cb_design_echo(d);
    assert_non_null(strstr(echo, "entering_air: "));
    assert_null(strstr(echo, "cooling_air")); // no cooling table asks for it
    cb_design *again = parse(*state, echo);
    near("echo", again->heat_pump[0].level[0].heating.point[3].air_c,
         unit->level[0].heating.point[3].air_c, 1e-12);
    cb_design_destroy(again);
    free(echo);
    cb_design_destroy(d);
    free(text);

    d = parse(*state, fixture_design());
    echo = cb_design_echo(d);
    assert_null(strstr(echo, "_air"));
    assert_null(strstr(echo, "humidity"));
    free(echo);
    cb_design_destroy(d);
}

static void entering_air_that_is_no_axis_is_refused(void **state)
{
    static const slip_row row[] = {
        {"name: Ground floor\n", LEVEL AT("70 degF", "8", "15") COLD, "      - heating:\n", 9,
         "heat_pumps[0].part_load[0].heating: one entering air is no table over it, two or more "
         "are wanted"},
        {"name: Ground floor\n", AIRY("70 degF", "70 degF"), "20 degF, capacity: 7.8", 30,
         "heat_pumps[0].part_load[0].heating[2].entering_water: must rise from point to point"},
        {"name: Ground floor\n", AIRY("70 degF", "60 degF"), "20 degF, capacity: 7.8", 90,
         "heat_pumps[0].part_load[0].heating[2].entering_air: must rise from group to group"},
        {"name: Ground floor\n", AIRY("70 degF", "20 degF"), "20 degF, capacity: 7.8", 90,
         "heating[2].entering_air: 20 degF is outside 41.0 degF to 122 degF (5.00 degC to 50.0 "
         "degC)"},
        {"power: 1.53 kW", "power: 1.53 kW, entering_air: 70 degF", "    heating:", 5,
         "heat_pumps[0].heating: one point of an entering air is no table, two or more are wanted"},
        {"name: Ground floor\n", COOLS("return_humidity: 60 %"), "    return_humidity", 22,
         "heat_pumps[0].return_humidity: no cooling table of this unit has entering_air"},
        {"name: Ground floor\n", COOLS("return_air_heating: 65 degF"), "    return_air", 25,
         "heat_pumps[0].return_air_heating: no heating table of this unit has entering_air"},
        {"name: Ground floor\n", COOLS("cooling_air: wet"), "    cooling_air", 18,
         "heat_pumps[0].cooling_air: \"wet\" is not one of wet_bulb, dry_bulb"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        check_slip(*state, &row[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(everything_is_read_in_si),
        cmocka_unit_test(echo_reads_back_to_the_same),
        cmocka_unit_test(defaults_are_stated),
        cmocka_unit_test(slips_name_their_place),
        cmocka_unit_test(entering_air_is_read_and_stated),
        cmocka_unit_test(entering_air_that_is_no_axis_is_refused),
    };
    return cmocka_run_group_tests(tests, workshop_open, workshop_close);
}
