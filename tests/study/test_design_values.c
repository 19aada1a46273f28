// SPDX-License-Identifier: MIT
/// A design as a flat list of values, in both unit systems.
#include "study/desk.h"

#include "study/design_values.h"

static void values_have_their_paths_and_units(void **state)
{
    static const struct {
        const char *path, *us, *si;
    } row[] = {
        // 6 ft and 24 in are 1.8288 m and 609.6 mm exactly, shown to four digits.
        {"field.depth", "6 ft", "1.829 m"},
        {"field.coil.pitch", "24 in", "609.6 mm"},
        {"ground.layers[1].material", "clay", "clay"},
        {"weather.hard_winters", "none", "none"},
    };
    const workshop *w = *state;
    const cb_override set[] = {
        {"field.depth", "6 ft"}, {"field.coil.pitch", "24 in"}, {"weather.hard_winters", "[]"}};
    cb_error error = {0};
    cb_design *design = NULL;
    cbx_design_values *values = NULL;
    assert_int_equal(cb_design_parse(&design, fixture_design(), w->name, set, 3, w->units, &error),
                     CB_OK);
    char *text = cb_design_echo(design);
    assert_non_null(text);
    if (cbx_design_values_create(&values, design, text, w->units, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    assert_true(values->count > 50);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cbx_design_value *value = cbx_design_values_find(values, row[i].path);
        if (!value) {
            fail_msg("%s is missing", row[i].path);
            return;
        }
        assert_string_equal(value->text[CB_UNITS_US], row[i].us);
        assert_string_equal(value->text[CB_UNITS_SI], row[i].si);
    }
    assert_null(cbx_design_values_find(values, "field.depths"));
    cbx_design_values_destroy(values);
    assert_int_equal(cbx_design_values_create(&values, design, "a: [", w->units, &error),
                     CB_BAD_INPUT);
    assert_null(values);
    free(text);
    cb_design_destroy(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(values_have_their_paths_and_units)};
    return cmocka_run_group_tests(tests, desk_open, desk_close);
}
