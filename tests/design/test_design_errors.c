// SPDX-License-Identifier: MIT
#include "workshop.h"

static void slips_name_their_place_and_what_would_do(void **state)
{
    static const slip_row row[] = {
        {"depth: 6 ft", "depth: 6", "depth: 6", 10,
         "field.depth: \"6\" has no unit: a length is wanted, write e.g. 6 ft or 1.8 m"},
        {"    pitch:", "    pich:", "    pich:", 5,
         "unknown key \"pich\" in field.coil; did you mean \"pitch\"?"},
        {"depth: 6 ft", "depth: 60 ft", "depth: 60", 10,
         "field.depth: 60 ft is outside 0.984 ft to 26.2 ft (0.300 m to 8.00 m)"},
        {"depth: 6 ft", "depth: 6 kW", "depth: 6", 10, "\"6 kW\" is a power: a length is wanted"},
        {"depth: 6 ft", "depth:", "  depth:", 3, "field.depth holds no value: write e.g. 6 ft"},
        {"depth: 6 ft", "depth: [6 ft]", "depth: [", 11, "field.depth holds a list: write e.g."},
        {"  depth: 6 ft", "", "field:", 1, "field.depth is missing: write e.g. 6 ft or 1.8 m"},
        {"site:\n", "Site:\n", "Site:", 1, "unknown key \"Site\"; did you mean \"site\"?"},
        {"site:\n", "whereabouts:\n", "whereabouts:", 1,
         "unknown key \"whereabouts\"; the keys are coilbed, name, site, "},
        {"  layers: ", "  cover: gravel\n  layers: ", "  cover", 3,
         "unknown key \"cover\" in ground; it belongs in ground.surface"},
        {"water: 25 %", "water: damp", "water: damp", 46,
         "write e.g. 20 % or 0.2; for a word write moisture: dry, damp, wet or saturated"},
        {"  basis: volume", "  concentration: 3 %", "  concentration: 3 %", 3,
         "key \"concentration\" is given twice, first on line"},
        {"layout: flat_coil", "layout: flat_col", "layout:", 11,
         "\"flat_col\" is not one of flat_coil, upright_coil, straight; did you mean "
         "\"flat_coil\"?"},
        {"material: loam", "material: gravy", "material: gravy", 33,
         "ground.layers[0].material: \"gravy\" is not one of sand, loamy_sand, sandy_loam, loam, "},
        {"material: loam", "material: clay_lome", "material: clay_lome", 33,
         "did you mean \"clay_loam\"?"},
        {"water: 25 %", "moisture: moist", "moisture: moist", 49,
         "ground.layers[0].moisture: \"moist\" is not one of dry, damp, wet, saturated"},
        {"water: 25 %", "water: -1 %", "water: -1 %", 46,
         "ground.layers[0].water: -1 % is outside 0 % to 97.0 %"},
        {"water: 25 %", "dry_density: 1400", "dry_density", 52,
         "\"1400\" has no unit: a density is wanted, write e.g. 95 lb/ft3 or 1500 kg/m3"},
        {"water: 25 %", "sand: 40", "sand: 40", 45,
         "ground.layers[0].sand: 40 is outside 0 % to 100 %"},
        {"water: 25 %", "conductivity_model: johanson", "conductivity_model", 59,
         "is not one of johansen, cote_konrad, lu; did you mean \"johansen\"?"},
        {"  layers: ", "  surface: {cover: grass}\n  layers: ", "  surface", 20,
         "\"grass\" is not one of short_grass, sparse_grass, bare_soil, mulch, gravel, pavement"},
        {"  layers: ", "  surface: {snow_kept: 120 %}\n  layers: ", "  surface", 24,
         "ground.surface.snow_kept: 120 % is outside 0 % to 100 %"},
        {"{year: 3, ", "{year: 3, snow: 400 %, ", "snow: 400", 23,
         "weather.hard_winters[0].snow: 400 % is outside 0 % to 300 %"},
        {"  hard_winters: ", "  hot_summers: [{year: 1, one_in: 9, rain: 1 mm}]\n  hard_winters: ",
         "rain: 1 mm", 44, "weather.hot_summers[0].rain: "},
        {"  hard_winters: ", "  hot_summers: [{year: 1, one_in: 9, heat: 1}]\n  hard_winters: ",
         "hot_summers", 38, "unknown key \"heat\" in weather.hot_summers[0]"},
        {"coilbed: 1", "coilbed: 2", "coilbed: 2", 10, "this program reads format 1"},
        {"trenches: 6", "trenches: 6.5", "trenches", 13, "\"6.5\" is not a whole number"},
        {"trenches: 6", "trenches: 0", "trenches", 13, "0 is outside 1 to 40"},
        {"year: last", "year: lst", "year: lst", 14, "neither a whole number nor the word last"},
        {"start: 07-01", "start: 02-29", "start:", 10, "\"02-29\" is no month and day"},
        {"start: 07-01", "start: 7-1", "start:", 10, "\"7-1\" is no month and day"},
        {"freeze_margin: 10 delta_degF", "freeze_margin: 10 degF", "freeze_margin:", 18,
         "\"10 degF\" is a temperature: a temperature difference is wanted"},
        {"stages: [5 kW, 5 kW]", "stages: [5 kW, 5 ft]", "stages:", 18,
         "backup.stages[1]: \"5 ft\" is a length: an electric power is wanted"},
        {"stages: [5 kW, 5 kW]", "stages: 5 kW", "stages:", 11, "backup.stages holds one value"},
        {"stages: [5 kW, 5 kW]", "stages: [1 W, 1 W, 1 W, 1 W, 1 W, 1 W, 1 W]", "stages:", 3,
         "backup.stages has 7 entries: 0 to 6 are accepted"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        check_slip(*state, &row[i]);
    }
}

static void values_that_contradict_each_other_are_refused(void **state)
{
    static const slip_row row[] = {
        {"spacing: 12 ft", "spacing: 2 ft", "spacing", 12,
         "field.spacing: trenches 2.00 ft (0.610 m) apart and 3.00 ft (0.914 m) wide overlap"},
        {"width: 3 ft", "width: 2 ft", "width: 2", 10,
         "field.width: a trench 24.0 in (610 mm) wide does not hold a coil of 36.0 in (914 mm)"},
        {"down_to: 1 ft, ", "", "{material: loam", 8, "only the last layer may leave it out"},
        {"{material: clay", "{down_to: 6 in, material: clay", "{down_to: 6 in", 17,
         "0.500 ft (0.152 m) is not below the layer above, 1.00 ft (0.305 m)"},
        {"{material: clay", "{down_to: 1 ft, material: clay", "{down_to: 1 ft, material: clay", 17,
         "1.00 ft (0.305 m) is not below the layer above, 1.00 ft (0.305 m)"},
        {"return: in_trench", "return: in_trench\n    return_across: 20 in", "return_across", 20,
         "a trench 36.0 in (914 mm) wide does not hold pipe that reaches 20.0 in (508 mm) from its "
         "middle"},
        {"return: in_trench", "return: as_coil\n    return_depth: 6 ft", "return_depth", 19,
         "it lies where the coil of circuit [0] lies"},
        {"layout: flat_coil", "layout: upright_coil\n  circuits: [{raised: 5 ft}]", "circuits", 15,
         "its top would lie at -0.500 ft (-0.152 m)"},
        {"layout: flat_coil", "layout: flat_coil\n  circuits: [{}, {across: 1 in}]", "circuits", 19,
         "a trench 36.0 in (914 mm) wide does not hold"},
        {"layout: flat_coil", "layout: flat_coil\n  lengths: [90 ft, 80 ft]", "lengths", 3,
         "2 lengths are given for 6 trenches: one each is wanted"},
        {"size: 3/4 in", "size: 3/4 in, per_circuit: 500 ft", "per_circuit", 37,
         "and 500 ft (152 m) is at hand: a wider pitch or shorter trenches would do"},
        {"entering_water: 30 degF", "entering_water: 20 degF",
         "entering_water: 20 degF, "
         "capacity: 18.2",
         26, "heat_pumps[0].heating[1].entering_water: must rise from point to point: "},
        {"capacity: 18.2", "capacity: 15.8", "entering_water: 30 degF", 45,
         "heat_pumps[0].heating[1].capacity: must rise with the entering water in heating"},
        {"capacity: 26.7", "capacity: 27.7", "capacity: 27.7", 45,
         "heat_pumps[0].cooling[1].capacity: must fall with the entering water in cooling"},
        {"power: 1.53 kW", "power: 5 kW", "power: 5 kW", 65,
         "heat_pumps[0].heating[0].power: must be below the heat delivered"},
        {"  power: 245 W ", "  curve: [{flow: 0 gpm, head: 30 ft, power: 150 W}] #", "  curve:", 3,
         "pumps.curve: one point is no curve, two or more are wanted"},
        {"  power: 245 W ",
         "  curve:\n    - {flow: 0 gpm, head: 30 ft, power: 150 W}\n"
         "    - {flow: 9 gpm, head: 31 ft, power: 160 W} #",
         "- {flow: 9 gpm", 27,
         "such a pump can run at two flows: 31.0 ft (9.45 m) after 30.0 ft (9.14 m)"},
        {"  power: 245 W ",
         "  curve:\n    - {flow: 9 gpm, head: 30 ft, power: 150 W}\n"
         "    - {flow: 9 gpm, head: 21 ft, power: 160 W} #",
         "- {flow: 9 gpm, head: 21", 14, "pumps.curve[1].flow: must rise from point to point"},
        {"  power: 245 W ",
         "  curve: [{flow: 0 gpm, head: 30 ft, power: 150 W}, {flow: 9 gpm, head: 2 ft, power: 160 "
         "W}]\n  speed_control: variable\n  lowest_speed: 60 %\n  speed: 50 % #",
         "  lowest_speed", 17, "pumps.lowest_speed: 60 % is above speed, 50 %"},
        {"  power: 245 W ", "  # ", "pumps:", 1, "pumps.power is missing: write e.g. 2.1 kW"},
        {"pumps:", "piping: {circuit_fittings: -1}\npumps:", "piping:", 28,
         "piping.circuit_fittings: -1 is outside 0 to 1000"},
        {"pumps:",
         "piping:\n  units: [{flow: 5 gpm, drop: 2 psi}, {flow: 9 gpm, drop: 3 psi}]\npumps:",
         "  units:", 59, "piping.units[1].drop: must rise in proportion to the flow or faster"},
        {"pumps:", "piping:\n  headers: {sizes: [{size: 1 in}, {size: 2 in}]}\npumps:", "  headers",
         22, "piping.headers.sizes[0].take_offs: only the last size may serve the rest"},
        {"pumps:", "piping: {headers: {sizes: [{size: 2 in, take_offs: 5}]}}\npumps:", "piping:",
         52,
         "piping.headers.sizes[0].take_offs: all sizes together serve 5 circuits, and the field "
         "has "
         "6; leave the last one out or write rest"},
        {"year: 3", "year: 11", "year: 11", 14,
         "the run has 10 years, there is no year 11; write last or 1 to 10"},
        {"  hard_winters: ", "  hot_summers: [{year: 11, one_in: 9}]\n  hard_winters: ", "year: 11",
         24, "the run has 10 years, there is no year 11; write last or 1 to 10"},
        {"type: propylene_glycol", "type: water", "concentration", 18,
         "fluid.concentration: water holds no antifreeze"},
        {"heating_balance: 58 degF", "heating_balance: 74 degF", "cooling_balance", 22,
         "heating and cooling would run together"},
        {"entering_minimum: 25 degF     # of the units, from the maker\n  entering_maximum: 95 "
         "degF",
         "entering_minimum: 66 degF\n  entering_maximum: 60 degF", "entering_minimum: 66", 21,
         "66.0 degF (18.9 degC) is not below entering_maximum, 60.0 degF (15.6 degC)"},
        {"  normals: cold-plain.yaml ",
         "  file: a.csv\n  format: tmy3\n  normals: cold-plain.yaml ", "file: a.csv", 9,
         "weather.file: normals are given too, one of them is wanted"},
        {"  normals: cold-plain.yaml ", "  # ", "weather:", 1,
         "weather: neither normals nor file is given, one is needed"},
        {"  load_line: ",
         "  loads: {file: a, heating_column: b, cooling_column: c, unit: W}\n"
         "  load_line: ",
         "  loads:", 3, "house.loads: load_line is given too, one of them is wanted"},
        {"  layers: ", "  backfill: {material: sand, width: 1 ft, height: 7 ft}\n  layers: ",
         "  backfill:", 51, "ground.backfill.height: 7.00 ft (2.13 m) stands out of a trench"},
        {"  layers: ", "  backfill: {material: sand, width: 13 ft, height: 1 ft}\n  layers: ",
         "  backfill:", 37, "13.0 ft (3.96 m) is more than the trenches' spacing"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        check_slip(*state, &row[i]);
    }
}

static void a_bad_override_is_named(void **state)
{
    static const struct {
        cb_override set;
        const char *message;
    } row[] = {
        {{"field.depth", "6"}, "--set field.depth=6: field.depth: \"6\" has no unit"},
        {{"field.dept", "6 ft"},
         "--set field.dept=6 ft: unknown key \"dept\" in field; did you mean \"depth\"?"},
        {{"ground.layers[5].water", "20 %"},
         "--set ground.layers[5].water=20 %: the list has 2 entries, [5] is past its end"},
        {{"field.depth[0]", "6 ft"}, "--set field.depth[0]=6 ft: there is no list for [0]"},
        {{"name.x", "6 ft"}, "--set name.x=6 ft: there is no block to hold \"x\" there"},
        {{"field..depth", "6 ft"}, "the path is not of the form"},
        {{"", "6 ft"}, "the path is not of the form"},
        {{"ground.layers[", "6 ft"}, "the path is not of the form"},
        {{"ground.layers[-1].water", "6 %"}, "the path is not of the form"},
        {{"field.depth", "[6"}, "--set field.depth=[6: not valid YAML"},
        {{"field.depth", ""}, "--set field.depth=: the text holds no values"},
        {{"field.spacing", "2 ft"}, "--set field.spacing=2 ft: field.spacing: trenches"},
        {{"field.layout", "straight"}, "field.straight is missing"},
    };
    const workshop *w = *state;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design *design = NULL;
        cb_error error = {0};
        const cb_status status =
            cb_design_parse(&design, fixture_design(), w->name, &row[i].set, 1, w->units, &error);
        if (status != CB_BAD_INPUT || !strstr(error.message, row[i].message)) {
            fail_msg("%s=%s: got \"%s\", want \"%s\"", row[i].set.path, row[i].set.value,
                     error.message, row[i].message);
        }
    }
}

static void a_pipe_near_the_bottom_is_refused(void **state)
{
    const workshop *w = *state;
    static const cb_override set[] = {{"ground.bottom", "8 m"}, {"field.depth", "18 ft"}};
    cb_design *design = NULL;
    cb_error error = {0};
    assert_int_equal(cb_design_parse(&design, fixture_design(), w->name, set, 2, w->units, &error),
                     CB_BAD_INPUT);
    assert_string_equal(error.message,
                        "--set field.depth=18 ft: field.depth: 18.0 ft (5.49 m) is not between the "
                        "surface and 16.4 ft (5.00 m), 9.84 ft (3.00 m) above ground.bottom");
}

static void texts_that_are_no_design_are_refused(void **state)
{
    static const struct {
        const char *text;
        int line, column;
        const char *message;
    } row[] = {
        {"", 1, 1, "the text holds no values"},
        {"# only a comment\n", 1, 1, "the text holds no values"},
        {"6 ft", 1, 1, "a block of keys is wanted"},
        {"- a\n- b\n", 1, 3, "a block of keys is wanted"},
        {"a: 1\n---\nb: 2\n", 1, 1, "more than one YAML document"},
        {"coilbed: 1\nname: \xff\xfe\n", 2, 7, "a byte here is not UTF-8 text"},
        {"coilbed: 1\nname: \"a\\0b\"\n", 2, 8, "a zero byte cannot stand in a text"},
        {"coilbed: 1\nname: 'x\n", 2, 8, "not valid YAML"},
        {"coilbed: *none\n", 1, 11, "an alias without its anchor"},
        {"? [a, b]\n: 3\n", 1, 4, "a key must be a plain word"},
        {"a: &a {b: *a}\n", 1, 8, "nested too deeply"},
    };
    const workshop *w = *state;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design *design = NULL;
        cb_error error = {0};
        const cb_status status =
            cb_design_parse(&design, row[i].text, w->name, NULL, 0, w->units, &error);
        if (status != CB_BAD_INPUT || !strstr(error.message, row[i].message) ||
            error.line != row[i].line || error.column != row[i].column) {
            fail_msg("\"%s\": got %d:%d: %s, want %d:%d: %s", row[i].text, error.line, error.column,
                     error.message, row[i].line, row[i].column, row[i].message);
        }
    }
}

static void a_missing_file_is_an_io_error_with_its_place(void **state)
{
    const workshop *w = *state;
    cb_design *design = NULL;
    cb_error error = {0};
    assert_int_equal(cb_design_read(&design, "/nonexistent.yaml", NULL, 0, w->units, &error),
                     CB_IO);
    assert_non_null(strstr(error.message, "/nonexistent.yaml cannot be opened"));
    assert_int_equal(cb_design_read(&design, w->folder, NULL, 0, w->units, &error), CB_IO);
    char *text = farm_with("cold-plain.yaml", "warm-hill.yaml");
    assert_int_equal(cb_design_parse(&design, text, w->name, NULL, 0, w->units, &error), CB_IO);
    assert_int_equal(error.status, CB_IO);
    assert_int_equal(error.line, line_of(text, "normals:"));
    assert_non_null(strstr(error.message, "warm-hill.yaml cannot be opened"));
    free(text);
    assert_int_equal(cb_design_parse(&design, NULL, w->name, NULL, 0, w->units, &error),
                     CB_BAD_CALL);
    assert_int_equal(cb_design_read(&design, NULL, NULL, 0, w->units, &error), CB_BAD_CALL);
    assert_int_equal(cb_design_read(&design, w->name, NULL, 1, w->units, &error), CB_BAD_CALL);
}

static void a_slip_in_the_climate_names_the_climate_file(void **state)
{
    const workshop *w = *state;
    char name[sizeof w->folder + 32];
    snprintf(name, sizeof name, "%s/short.yaml", w->folder);
    FILE *file = fopen(name, "w");
    assert_non_null(file);
    fputs("name: short\nair_temperature: [1 degC, 2 degC]\n", file);
    fclose(file);
    char *text = farm_with("cold-plain.yaml", "short.yaml");
    cb_design *design = NULL;
    cb_error error = {0};
    assert_int_equal(cb_design_parse(&design, text, w->name, NULL, 0, w->units, &error),
                     CB_BAD_INPUT);
    assert_string_equal(error.file, name);
    assert_int_equal(error.line, 2);
    assert_non_null(strstr(error.message, "has 2 entries: 12 are wanted"));
    free(text);
    remove(name);
}

// Any text must end in a design or in a message, and in nothing else.
static void survives(const workshop *w, const char *text)
{
    cb_design *design = NULL;
    cb_error error = {0};
    const cb_status status = cb_design_parse(&design, text, w->name, NULL, 0, w->units, &error);
    assert_true(status == CB_OK ? design != NULL : design == NULL && error.message[0]);
    cb_design_destroy(design);
}

static void a_truncated_design_never_crashes(void **state)
{
    char *text = farm_with("coilbed", "coilbed");
    for (size_t end = strlen(text); end > 0; end--) {
        if (text[end - 1] == '\n' || end % 7 == 0) {
            text[end] = '\0';
            survives(*state, text);
        }
    }
    free(text);
}

static void a_damaged_design_never_crashes(void **state)
{
    static const char ink[] = "\n :-,{}[]\"'#&*!|>%@\t~0a\xff";
    uint32_t random = 2463534242u;
    char *text = farm_with("coilbed", "coilbed");
    const size_t length = strlen(text);
    for (int i = 0; i < 300; i++) {
        random ^= random << 13; // xorshift, Marsaglia 2003
        random ^= random >> 17;
        random ^= random << 5;
        char *spot = &text[random % length];
        const char before = *spot;
        *spot = ink[(random >> 16) % (sizeof ink - 1)];
        survives(*state, text);
        *spot = before;
    }
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slips_name_their_place_and_what_would_do),
        cmocka_unit_test(values_that_contradict_each_other_are_refused),
        cmocka_unit_test(a_bad_override_is_named),
        cmocka_unit_test(a_pipe_near_the_bottom_is_refused),
        cmocka_unit_test(texts_that_are_no_design_are_refused),
        cmocka_unit_test(a_missing_file_is_an_io_error_with_its_place),
        cmocka_unit_test(a_slip_in_the_climate_names_the_climate_file),
        cmocka_unit_test(a_truncated_design_never_crashes),
        cmocka_unit_test(a_damaged_design_never_crashes),
    };
    return cmocka_run_group_tests(tests, workshop_open, workshop_close);
}
