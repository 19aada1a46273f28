// SPDX-License-Identifier: MIT
// A soil that contradicts itself is refused where the design says so.
#include "ground/table.h"

#include <stdlib.h>

static int units_open(void **state)
{
    cb_units *units = NULL;
    const cb_status status = cb_units_create(&units, NULL);
    *state = units;
    return status == CB_OK ? 0 : -1;
}

static int units_close(void **state)
{
    cb_units_destroy(*state);
    return 0;
}

// The starter with its second layer replaced by `line`. Owned by the caller.
static char *starter_with(const char *line, int *line_number)
{
    static const char start[] = "    - {material: clay";
    const char *text = cb_starter_design(), *at = strstr(text, start);
    assert_non_null(at);
    const char *end = strchr(at, '\n');
    const size_t size = strlen(text) + strlen(line) + 1;
    char *made = malloc(size);
    assert_non_null(made);
    snprintf(made, size, "%.*s%s%s", (int)(at - text), text, line, end);
    *line_number = 1;
    for (const char *c = text; c < at; c++) {
        *line_number += *c == '\n';
    }
    return made;
}

// As read, with what `set` overrides; NULL for nothing.
static cb_design *read_starter(cb_units *units, const char *text, const cb_override *set)
{
    const cb_override overrides[] = {{"weather.normals", cb_starter_climate()},
                                     set ? *set : (cb_override){0}};
    cb_design *design = NULL;
    cb_error error = {0};
    if (cb_design_parse(&design, text, "yard.yaml", overrides, set ? 2 : 1, units, &error) !=
        CB_OK) {
        fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.message);
    }
    return design;
}

static void the_key_at_fault_is_named_with_its_place(void **state)
{
    static const struct {
        const char *layer;
        const char *at; ///< the place: where this stands in the line
        const char *message;
    } row[] = {
        {"    - {material: clay, water: 58 %}", "58 %",
         "ground.layers[1].water: clay holds at most 55.6 % of its volume as water, not 58.0 %"},
        {"    - {material: sand, water_by_mass: 0.3}", "0.3",
         "ground.layers[1].water_by_mass: sand holds at most 25.5 % of its dry mass as water"},
        {"    - {material: clay, water: 20 %, moisture: wet}", "wet",
         "ground.layers[1].moisture: water is given too, one of them is wanted"},
        {"    - {material: clay, moisture: wet, water_by_mass: 20 %}", "20 %",
         "ground.layers[1].water_by_mass: moisture is given too, one of them is wanted"},
        {"    - {material: clay, water: 20 %, dry_season_water: 21 %}", "21 %",
         "ground.layers[1].dry_season_water: 21.0 % is outside 0 % to the water otherwise, 20.0 %"},
        {"    - {material: clay, dry_density: 2700 kg/m3}", "2700",
         "ground.layers[1].dry_density: 2700 kg/m3 (168.6 lb/ft3) is not between 0 and that of "
         "the"},
        {"    - {material: clay, dry_density: 1800 kg/m3, water: 40 %}", "40 %",
         "ground.layers[1].water: clay holds at most 33.3 % of its volume as water, not 40.0 %"},
        {"    - {sand: 40 %, silt: 40 %, clay: 30 %}", "30 %",
         "ground.layers[1].clay: sand, silt and clay sum to 110 %"},
        {"    - {sand: 40 %, silt: 40 %}", "40 %,", // the first that is there
         "ground.layers[1].sand: sand, silt and clay are given together: clay is missing"},
        {"    - {material: sand, sand: 40 %, silt: 40 %, clay: 20 %}", "sand,",
         "ground.layers[1].material: sand, but the shares of sand, silt and clay are those of "
         "loam"},
        {"    - {water: 20 %}", "water",
         "ground.layers[1].material: material is missing, and so are the shares"},
        {"    - {material: peat, conductivity_model: lu}", "lu",
         "ground.layers[1].conductivity_model: lu is for mineral soil, not for peat"},
    };
    for (size_t n = 0; n < COUNT(row); n++) {
        int line;
        char *text = starter_with(row[n].layer, &line);
        cb_design *design = read_starter(*state, text, NULL);
        const int column = (int)(strstr(row[n].layer, row[n].at) - row[n].layer) + 1;
        cb_soil soil;
        cb_error error = {0};
        assert_int_equal(cb_soil_of_layer(&soil, design, 0, &error), CB_OK);
        const cb_status status = cb_soil_of_layer(&soil, design, 1, &error);
        if (status != CB_BAD_INPUT || error.line != line || error.column != column ||
            !strstr(error.message, row[n].message)) {
            fail_msg("%s: got %d:%d: %s\nwant %d:%d: %s", row[n].layer, error.line, error.column,
                     error.message, line, column, row[n].message);
        }
        cb_design_destroy(design);
        free(text);
    }
}

static void the_backfill_has_its_place_too(void **state)
{
    const cb_override set = {"ground.backfill",
                             "{material: sand, water: 50 %, width: 1 ft, height: 1 ft}"};
    cb_design *design = read_starter(*state, cb_starter_design(), &set);
    cb_soil soil;
    cb_error error = {0};
    assert_int_equal(cb_soil_of_layer(&soil, design, 2, &error), CB_BAD_INPUT);
    expect_message(&error, "--set ground.backfill={material: sand, water: 50 %");
    expect_message(&error, ": ground.backfill.water: sand holds at most 40.7 %");
    cb_design_destroy(design);
}

static void a_layer_says_its_water_in_any_way(void **state)
{
    static const struct {
        const char *layer;
        double water; ///< of clay with 5/9 pores and 1200 kg/m3
    } row[] = {
        {"{material: clay, water: 21 %}", 0.21},
        {"{material: clay, water_by_mass: 20 %}", 0.24},
        {"{material: clay, moisture: dry}", 0.2 * 5 / 9},
        {"{material: clay, moisture: damp}", 0.5 * 5 / 9},
        {"{material: clay, moisture: wet}", 0.8 * 5 / 9},
        {"{material: clay, moisture: saturated}", 5.0 / 9},
        {"{material: clay}", 0.71 * 5 / 9},
    };
    for (size_t n = 0; n < COUNT(row); n++) {
        const cb_override set = {"ground.layers[1]", row[n].layer};
        cb_design *design = read_starter(*state, cb_starter_design(), &set);
        cb_soil soil;
        cb_error error = {0};
        if (cb_soil_of_layer(&soil, design, 1, &error) != CB_OK) {
            fail_msg("%s: %s", row[n].layer, error.message);
        }
        expect_near(row[n].layer, soil.water_fraction, row[n].water, 1e-12);
        cb_design_destroy(design);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_key_at_fault_is_named_with_its_place),
        cmocka_unit_test(the_backfill_has_its_place_too),
        cmocka_unit_test(a_layer_says_its_water_in_any_way),
    };
    return cmocka_run_group_tests(tests, units_open, units_close);
}
