// SPDX-License-Identifier: MIT
/// What the starter design promises whatever its numbers are tuned to.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "coilbed/design.h"

static bool has_hard_winter(const cb_design *d, int year)
{
    for (int i = 0; i < d->weather.hard_winter_count; i++) {
        const int given = d->weather.hard_winter[i].year;
        if (given == year || (given == -1 && year == d->run.years)) {
            return true;
        }
    }
    return false;
}

static void the_starter_is_the_kind_of_design_it_says(void **state)
{
    (void)state;
    const cb_override climate = {"weather.normals", cb_starter_climate()};
    cb_units *units = NULL;
    cb_design *d = NULL;
    cb_error error = {0};
    assert_int_equal(cb_units_create(&units, NULL), CB_OK);
    if (cb_design_parse(&d, cb_starter_design(), "starter.yaml", &climate, 1, units, &error) !=
        CB_OK) {
        fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.message);
    }
    assert_true(d->heat_pump_count >= 2);
    assert_true(d->field.trenches >= 2);
    assert_int_equal(d->field.layout, CB_FLAT_COIL);
    assert_int_equal(d->fluid.type, CB_PROPYLENE_GLYCOL);
    assert_true(d->fluid.by_volume);
    if (!(fabs(d->fluid.concentration - 0.2) <= 1e-12)) {
        fail_msg("concentration: got %.12g, want 0.2", d->fluid.concentration);
    }
    assert_int_equal(d->run.years, 10);
    assert_true(has_hard_winter(d, 3));
    assert_true(has_hard_winter(d, d->run.years));
    cb_design_destroy(d);
    cb_units_destroy(units);
}

static void assert_a_comment_says_invented(const char *text)
{
    const char *word = strstr(text, "INVENTED");
    assert_non_null(word);
    const char *line = word;
    while (line > text && line[-1] != '\n') {
        line--;
    }
    assert_int_equal(*line, '#');
}

static void the_starter_says_it_is_invented_and_names_its_climate(void **state)
{
    (void)state;
    assert_a_comment_says_invented(cb_starter_design());
    assert_a_comment_says_invented(cb_starter_climate());
    assert_non_null(strstr(cb_starter_design(), "normals: cold-plain.yaml"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_starter_is_the_kind_of_design_it_says),
        cmocka_unit_test(the_starter_says_it_is_invented_and_names_its_climate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
