// SPDX-License-Identifier: MIT
#include "coilbed/plant.h"
#include "weather/support.h"

// 8.77 - 0.150 L + 0.000734 L^2 by hand.
static void cop_follows_the_lift(void **state)
{
    (void)state;
    static const double row[][2] = {{20, 6.0636}, {30, 4.9306}, {40, 3.9444}, {60, 2.4124}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        close_to("COP", cb_generic_cop(row[i][0]), row[i][1], 1e-12);
    }
}

typedef struct rating_case {
    bool cooling;
    int count;
    cb_performance_point point[CB_MAX_RATINGS];
} rating_case;

// Invented units.
static const rating_case cases[] = {
    {false, 1, {{0, 8000, 2200, 0, 0}}},
    {false, 1, {{1.5, 8000, 2200, 0, 0}}},
    {false, 1, {{25, 12000, 2400, 0, 0}}},
    {false, 3, {{0, 8000, 2200, 0, 0}, {10, 10300, 2300, 0, 0}, {20, 12500, 2400, 0, 0}}},
    {true, 1, {{25, 9000, 1800, 0, 0}}},
    {true, 1, {{5, 9000, 1200, 0, 0}}},
    {true,
     4,
     {{10, 10000, 1300, 0, 0},
      {15, 9900, 1450, 0, 0},
      {25, 9000, 1800, 0, 0},
      {30, 8500, 2050, 0, 0}}},
};
enum { CASES = sizeof cases / sizeof *cases };

static cb_performance_table table_of(const rating_case *c)
{
    cb_performance_table table;
    cb_error error = {0};
    if (cb_generic_table(&table, c->point, c->count, c->cooling, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    return table;
}

static void rating_points_come_back_exactly(void **state)
{
    (void)state;
    for (int i = 0; i < CASES; i++) {
        cb_design design = {.path = "", .heat_pump_count = 1};
        cb_design_heat_pump *pump = &design.heat_pump[0];
        *pump =
            (cb_design_heat_pump){.low_lockout_c = -30, .high_lockout_c = 70, .table_margin_k = 2};
        *(cases[i].cooling ? &pump->cooling : &pump->heating) = table_of(&cases[i]);
        cb_plant *plant = NULL;
        assert_int_equal(cb_plant_create(&plant, &design, NULL), CB_OK);
        for (int k = 0; k < cases[i].count; k++) {
            const cb_performance_point *p = &cases[i].point[k];
            double capacity_w, power_w;
            cb_plant_unit_at(plant, 0, cases[i].cooling, p->entering_c, &capacity_w, &power_w);
            close_to("capacity", capacity_w, p->capacity_w, 0);
            close_to("power", power_w, p->power_w, 0);
        }
        cb_plant_destroy(plant);
    }
}

static void tables_cover_their_span_and_keep_apart(void **state)
{
    (void)state;
    for (int i = 0; i < CASES; i++) {
        const cb_performance_table table = table_of(&cases[i]);
        const double least = cases[i].cooling ? 5 : -10, most = cases[i].cooling ? 50 : 25;
        close_to("first", table.point[0].entering_c, least, 0);
        close_to("last", table.point[table.count - 1].entering_c, most, 0);
        for (int k = 1; k < table.count; k++) {
            const double apart = table.point[k].entering_c - table.point[k - 1].entering_c;
            if (!(apart >= 2 && apart <= 7)) {
                fail_msg("case %d: points %d and %d are %g K apart", i, k - 1, k, apart);
            }
        }
    }
}

// One point: heating at constant power goes as the COP of the lift to 40 degC; cooling as the COP
// from 5 degC less 1, at 1 % less capacity per kelvin.
static void one_point_carries_the_relations_shape(void **state)
{
    (void)state;
    const cb_performance_table heating = table_of(&cases[0]), cooling = table_of(&cases[4]);
    for (int k = 0; k < heating.count; k++) {
        const cb_performance_point *p = &heating.point[k];
        close_to("heat", p->capacity_w,
                 8000 * cb_generic_cop(40 - p->entering_c) / cb_generic_cop(40), 1e-9);
        close_to("power", p->power_w, 2200, 1e-9);
    }
    for (int k = 0; k < cooling.count; k++) {
        const cb_performance_point *p = &cooling.point[k];
        close_to("cooling", p->capacity_w, 9000 * (1 - 0.01 * (p->entering_c - 25)), 1e-9);
        close_to("ratio", p->capacity_w / p->power_w,
                 5 * (cb_generic_cop(p->entering_c - 5) - 1) / (cb_generic_cop(20) - 1), 1e-9);
    }
}

static void points_of_no_machine_are_refused(void **state)
{
    (void)state;
    static const struct {
        rating_case given;
        const char *message;
    } row[] = {
        {{false, 1, {{-11, 8000, 2200, 0, 0}}},
         "rating point 1 at -11 degC; expected -10 to 25 degC"},
        {{true, 1, {{NAN, 8000, 2200, 0, 0}}}, "at nan degC; expected 5 to 50 degC"},
        {{false, 2, {{0, 8000, 2200, 0, 0}, {1, 8100, 2200, 0, 0}}},
         "point 2 at 1 degC; expected 2 degC or"},
        {{false, 1, {{0, 2000, 2200, 0, 0}}}, "a capacity of 2000 W and a power of 2200 W"},
        {{true, 1, {{25, 9000, 0, 0, 0}}}, "expected both above 0"},
        {{true, 1, {{25, INFINITY, 1000, 0, 0}}}, "a capacity of inf W"},
        // A part-load point: half the capacity with warmer water.
        {{false, 2, {{0, 8000, 2200, 0, 0}, {5, 5000, 1100, 0, 0}}},
         "points of another load do not belong here"},
        {{true, 2, {{20, 5000, 700, 0, 0}, {25, 9000, 1800, 0, 0}}},
         "capacity must fall with warmer water"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_performance_table table = {.count = 5};
        cb_error error = {0};
        assert_int_equal(cb_generic_table(&table, row[i].given.point, row[i].given.count,
                                          row[i].given.cooling, &error),
                         CB_BAD_INPUT);
        assert_int_equal(table.count, 0);
        says(error.message, row[i].message);
    }
    cb_performance_table table;
    assert_int_equal(cb_generic_table(&table, cases[0].point, 0, false, NULL), CB_BAD_CALL);
    assert_int_equal(cb_generic_table(&table, cases[0].point, 5, false, NULL), CB_BAD_CALL);
    assert_int_equal(cb_generic_table(NULL, cases[0].point, 1, false, NULL), CB_BAD_CALL);
}

// ---- in a design -----------------------------------------------------------------------------

/// The starter's text with these heat pumps. Owned by the caller.
static char *starter_with(const char *heat_pumps)
{
    const char *starter = cb_starter_design();
    const char *from = strstr(starter, "heat_pumps:\n"), *to = strstr(starter, "backup:\n");
    assert_true(from && to);
    const size_t size = strlen(starter) + strlen(heat_pumps) + 1;
    char *text = calloc(1, size);
    assert_non_null(text);
    snprintf(text, size, "%.*s%s%s", (int)(from - starter), starter, heat_pumps, to);
    return text;
}

static cb_status read_text(cb_design **out, const char *text, cb_error *error)
{
    cb_units *units = NULL;
    assert_int_equal(cb_units_create(&units, NULL), CB_OK);
    const cb_override climate = {"weather.normals", cb_starter_climate()};
    const cb_status status = cb_design_parse(out, text, "farm.yaml", &climate, 1, units, error);
    cb_units_destroy(units);
    return status;
}

static const char rated[] =
    "heat_pumps:\n"
    "  - name: an invented unit\n"
    "    rating:\n"
    "      heating: [{entering_water: 0 degC, capacity: 8 kW, power: 2.2 kW}]\n"
    "      cooling: [{entering_water: 25 degC, capacity: 9 kW, power: 1.8 kW}]\n"
    "    correction: {heating_capacity: 0.97, cooling_power: 1.02}\n";

static void a_rating_makes_tables_and_echoes(void **state)
{
    (void)state;
    char *text = starter_with(rated);
    cb_design *design = NULL, *again = NULL;
    cb_error error = {0};
    if (read_text(&design, text, &error) != CB_OK) {
        fail_msg("%d:%d %s", error.line, error.column, error.message);
    }
    const cb_performance_table heating = table_of(&cases[0]), cooling = table_of(&cases[4]);
    assert_memory_equal(&design->heat_pump[0].heating, &heating, sizeof heating);
    assert_memory_equal(&design->heat_pump[0].cooling, &cooling, sizeof cooling);
    char *echo = cb_design_echo(design);
    if (read_text(&again, echo, &error) != CB_OK) {
        fail_msg("%d:%d %s\n%s", error.line, error.column, error.message, echo);
    }
    assert_memory_equal(&again->heat_pump[0].heating, &heating, sizeof heating);
    char *twice = cb_design_echo(again);
    assert_string_equal(twice, echo);
    cb_design_destroy(again);
    free(twice);
    free(echo);

    cb_plant *plant = NULL;
    assert_int_equal(cb_plant_create(&plant, design, NULL), CB_OK);
    double capacity_w, power_w;
    cb_plant_unit_at(plant, 0, false, 0, &capacity_w, &power_w);
    close_to("corrected heat", capacity_w, 0.97 * 8000, 1e-9);
    close_to("power as it was", power_w, 2200, 1e-9);
    cb_plant_unit_at(plant, 0, true, 25, &capacity_w, &power_w);
    close_to("cooling as it was", capacity_w, 9000, 1e-9);
    close_to("corrected power", power_w, 1.02 * 1800, 1e-9);
    cb_plant_destroy(plant);
    cb_design_destroy(design);
    free(text);
}

static void bad_ratings_are_refused_at_their_line(void **state)
{
    (void)state;
    static const struct {
        const char *find, *replace;
        int line; // after that of "heat_pumps:"
        const char *message;
    } row[] = {
        {"entering_water: 0 degC", "entering_water: -12 degC", 3,
         "heat_pumps[0].rating.heating: rating point 1 at -12 degC; expected -10 to 25 degC"},
        {"power: 1.8 kW", "power: -1.8 kW", 4, "-1.8 kW is outside"},
        {"    correction: {", "    correction: {flow: 1, ", 5, "unknown key \"flow\""},
        {"heating_capacity: 0.97", "heating_capacity: 0", 5, "0 is outside 0.500 to 1.50"},
        {"    correction",
         "    heating: []\n    cooling: [{entering_water: 10 degC, capacity: 9 kW, "
         "power: 1 kW}, {entering_water: 20 degC, capacity: 8 kW, power: 2 kW}]\n"
         "    correction",
         2, "heat_pumps[0].rating: a table is given too, one of them is wanted"},
        {"heating: [{entering_water: 0 degC, capacity: 8 kW, power: 2.2 kW}]",
         "heating: [{entering_water: 0 degC, capacity: 8 kW, power: 9 kW}]", 3,
         "a capacity of 8000 W and a power of 9000 W"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        char pumps[1024];
        const char *at = strstr(rated, row[i].find);
        assert_non_null(at);
        snprintf(pumps, sizeof pumps, "%.*s%s%s", (int)(at - rated), rated, row[i].replace,
                 at + strlen(row[i].find));
        char *text = starter_with(pumps);
        int first = 1;
        for (const char *c = text; c < strstr(text, "heat_pumps:\n"); c++) {
            first += *c == '\n';
        }
        cb_design *design = NULL;
        cb_error error = {0};
        read_text(&design, text, &error);
        assert_null(design);
        refused(&error, &(refusal){CB_BAD_INPUT, first + row[i].line, -1, row[i].message});
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cop_follows_the_lift),
        cmocka_unit_test(rating_points_come_back_exactly),
        cmocka_unit_test(tables_cover_their_span_and_keep_apart),
        cmocka_unit_test(one_point_carries_the_relations_shape),
        cmocka_unit_test(points_of_no_machine_are_refused),
        cmocka_unit_test(a_rating_makes_tables_and_echoes),
        cmocka_unit_test(bad_ratings_are_refused_at_their_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
