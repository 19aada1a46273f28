// SPDX-License-Identifier: MIT
#include "report/farm.h"

#include "coilbed/record.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

enum { MOST_OVERRIDES = 16 };

typedef struct counted {
    cb_sink record;
    long day, days;
} counted;

static cb_status take_hour(void *context, const cb_hour *hour, cb_error *error)
{
    const counted *c = context;
    return c->record.hour(c->record.context, hour, error);
}

static cb_status take_day(void *context, const cb_day *day, cb_error *error)
{
    counted *c = context;
    c->day = day->run_day;
    return c->record.day(c->record.context, day, error);
}

static cb_status take_month(void *context, const cb_checkpoint *checkpoint, cb_error *error)
{
    const counted *c = context;
    return c->record.month(c->record.context, checkpoint, error);
}

static bool enough(void *context)
{
    const counted *c = context;
    return c->day >= c->days;
}

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s", error->message);
    }
}

typedef struct inputs {
    cb_units *units;
    cb_design *design;
    cb_weather *weather;
    cb_run_weather *run_weather;
    cb_house *house;
    cb_engine *engine;
} inputs;

static void open_inputs(inputs *in, const cb_override *overrides, size_t count)
{
    cb_error error = {0};
    cb_override all[MOST_OVERRIDES] = {{"weather.normals", cb_starter_climate()},
                                       {"run.accuracy", "draft"},
                                       {"run.slices", "1"},
                                       {"weather.hard_winters", "[]"}};
    size_t used = 4;
    for (size_t i = 0; i < count && used < MOST_OVERRIDES; i++) {
        all[used++] = overrides[i];
    }
    must(cb_units_create(&in->units, &error), &error);
    must(cb_design_parse(&in->design, cb_starter_design(), "farm.yaml", all, used, in->units,
                         &error),
         &error);
    must(cb_weather_create(&in->weather, in->design, in->units, &error), &error);
    must(cb_run_weather_create(&in->run_weather, in->weather, in->design, &error), &error);
    must(cb_house_create(&in->house, in->design, in->run_weather, in->units, &error), &error);
    must(cb_engine_create(&in->engine, in->design, in->run_weather, in->house, &error), &error);
}

static void close_inputs(inputs *in)
{
    cb_engine_destroy(in->engine);
    cb_house_destroy(in->house);
    cb_run_weather_destroy(in->run_weather);
    cb_weather_destroy(in->weather);
    cb_design_destroy(in->design);
    cb_units_destroy(in->units);
}

void farm_run(const char *path, long days, const cb_override *overrides, size_t count)
{
    inputs in = {0};
    open_inputs(&in, overrides, count);
    cb_error error = {0};
    cb_record *record = NULL;
    const cb_record_header header = {.design = in.design,
                                     .weather = in.weather,
                                     .run_weather = in.run_weather,
                                     .sections = cb_engine_sections(in.engine),
                                     .undisturbed_c = cb_engine_undisturbed_c(in.engine),
                                     .ground = cb_engine_ground_summary(in.engine),
                                     .freeze_c = -7.4,
                                     .libraries = "none <named>"};
    must(cb_record_create(&record, path, &header, &error), &error);
    counted c = {.record = cb_record_sink(record), .days = days};
    const cb_sink sink = {&c, take_hour, take_day, take_month, enough};
    cb_quality quality = {0};
    assert_int_equal(cb_engine_run(in.engine, &sink, NULL, &quality, &error), CB_STOPPED);
    must(cb_record_finish(record, &quality, false, &error), &error);
    cb_record_close(record);
    close_inputs(&in);
}
