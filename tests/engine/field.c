// SPDX-License-Identifier: MIT
#include "engine/field.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

enum { MOST_OVERRIDES = 24 };

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s:%d:%d: %s", error->file, error->line, error->column, error->message);
    }
}

void field_open(test_field *field, const cb_override *overrides, size_t count)
{
    cb_error error = {0};
    cb_override all[MOST_OVERRIDES] = {{"weather.normals", cb_starter_climate()},
                                       {"weather.hard_winters", "[]"}};
    assert_true(count + 2 <= MOST_OVERRIDES);
    for (size_t n = 0; n < count; n++) {
        all[n + 2] = overrides[n];
    }
    *field = (test_field){0};
    must(cb_units_create(&field->units, &error), &error);
    must(cb_design_parse(&field->design, cb_starter_design(), "starter.yaml", all, count + 2,
                         field->units, &error),
         &error);
    must(cb_weather_create(&field->weather, field->design, field->units, &error), &error);
    must(cb_run_weather_create(&field->run_weather, field->weather, field->design, &error), &error);
    must(cb_house_create(&field->house, field->design, field->run_weather, field->units, &error),
         &error);
}

cbx_system *field_system(const test_field *field)
{
    static const cb_yard_hour hour = {.exchange = {.intake_w_m2 = 30.0, .h_w_m2k = 15.0}};
    static const cbx_undisturbed still = {.hours = -1, .hour = (cb_yard_hour *)&hour};
    cb_error error = {0};
    cbx_system *system;
    must(cbx_system_create(&system, field->design, field->run_weather, field->house, &error),
         &error);
    system->forcing.ground = &still;
    return system;
}

void field_close(test_field *field)
{
    cb_house_destroy(field->house);
    cb_run_weather_destroy(field->run_weather);
    cb_weather_destroy(field->weather);
    cb_design_destroy(field->design);
    cb_units_destroy(field->units);
}

void field_run(const cb_override *overrides, size_t count, const cb_sink *sink)
{
    test_field f;
    cb_engine *engine;
    cb_quality quality;
    cb_error error = {0};
    field_open(&f, overrides, count);
    must(cb_engine_create(&engine, f.design, f.run_weather, f.house, &error), &error);
    assert_int_equal(cb_engine_run(engine, sink, NULL, &quality, &error), CB_STOPPED);
    cb_engine_destroy(engine);
    field_close(&f);
}
