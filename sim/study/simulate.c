// SPDX-License-Identifier: MIT
#include "coilbed/case.h"

enum { DAY_HOURS = 24 };

/// The record's sink with the caller's watch around it.
typedef struct watched_sink {
    cb_sink record;
    const cb_watch *watch;
    long hours_done;
    bool resumable; ///< a month's end is in the file
} watched_sink;

static cb_status watched_hour(void *context, const cb_hour *hour, cb_error *error)
{
    watched_sink *sink = context;
    const cb_status status = sink->record.hour(sink->record.context, hour, error);
    if (status == CB_OK) {
        sink->hours_done = hour->run_hour + 1;
        if (sink->hours_done % DAY_HOURS == 0 && sink->watch->day) {
            sink->watch->day(sink->watch->context, sink->hours_done);
        }
    }
    return status;
}

static cb_status watched_day(void *context, const cb_day *day, cb_error *error)
{
    const watched_sink *sink = context;
    return sink->record.day(sink->record.context, day, error);
}

static cb_status watched_month(void *context, const cb_checkpoint *checkpoint, cb_error *error)
{
    watched_sink *sink = context;
    const cb_status status = sink->record.month(sink->record.context, checkpoint, error);
    sink->resumable = sink->resumable || status == CB_OK;
    return status;
}

static bool watched_stop(void *context)
{
    const watched_sink *sink = context;
    return sink->watch->stop && sink->watch->stop(sink->watch->context);
}

/// The file of a run, and where the run begins in it.
typedef struct target {
    cb_record *record;
    cb_checkpoint from; ///< if the run goes on
} target;

static cb_status open_record(target *to, const cb_simulation *what, const cb_engine *engine,
                             cb_error *error)
{
    const cb_inputs *inputs = what->inputs;
    const cb_record_header header = {.design = inputs->design,
                                     .weather = inputs->weather,
                                     .run_weather = inputs->run_weather,
                                     .sections = cb_engine_sections(engine),
                                     .undisturbed_c = cb_engine_undisturbed_c(engine),
                                     .ground = cb_engine_ground_summary(engine),
                                     .freeze_c = inputs->fluid.freeze_c,
                                     .libraries = what->libraries};
    return what->resume ? cb_record_resume(&to->record, what->path, &header, &to->from, error)
                        : cb_record_create(&to->record, what->path, &header, error);
}

/// Runs the engine into the record and closes it, whatever happened in between.
static cb_status fill_record(const target *to, const cb_simulation *what, cb_engine *engine,
                             cb_simulated *done, cb_error *error)
{
    watched_sink watched = {.record = cb_record_sink(to->record),
                            .watch = what->watch,
                            .hours_done = to->from.hours_done,
                            .resumable = what->resume};
    const cb_sink sink = {.context = &watched,
                          .hour = watched_hour,
                          .day = watched_day,
                          .month = watched_month,
                          .stop = watched_stop};
    cb_quality quality = {0};
    const cb_status status =
        cb_engine_run(engine, &sink, what->resume ? &to->from : NULL, &quality, error);
    done->hours_written = watched.hours_done;
    done->resumable = watched.resumable;

    cb_error finish_error = {0};
    const cb_status finish = cb_record_finish(to->record, &quality, status == CB_OK, &finish_error);
    cb_record_close(to->record);
    done->written = finish == CB_OK;
    if (finish != CB_OK && (status == CB_OK || status == CB_STOPPED)) {
        if (error) {
            *error = finish_error;
        }
        return finish;
    }
    return status;
}

static cb_status simulate(const cb_simulation *what, cb_simulated *done, cb_error *error)
{
    const cb_watch *watch = what->watch;
    cb_engine *engine;
    if (watch->begin) {
        watch->begin(watch->context, &what->inputs->design->run);
    }
    if (watch->stage) {
        watch->stage(watch->context, "settling the undisturbed ground");
    }
    cb_status status = cb_engine_create(&engine, what->inputs->design, what->inputs->run_weather,
                                        what->inputs->house, error);
    if (status == CB_OK && watch->stop && watch->stop(watch->context)) {
        status =
            cb_fail(error, CB_STOPPED,
                    "stopped while the ground settled, before the first hour; nothing was written");
    }
    target to = {0};
    if (status == CB_OK) {
        status = open_record(&to, what, engine, error);
    }
    if (status == CB_OK) {
        if (what->resume && watch->resumed) {
            watch->resumed(watch->context, to.from.hours_done);
        }
        status = fill_record(&to, what, engine, done, error);
    }
    cb_engine_destroy(engine);
    return status;
}

cb_status cb_simulate(const cb_simulation *what, cb_simulated *done, cb_error *error)
{
    static const cb_watch nobody = {0};
    if (!what || !done || !what->inputs || !what->inputs->house || !what->path) {
        return cb_fail(error, CB_BAD_CALL, "cb_simulate needs whole inputs and a file");
    }
    *done = (cb_simulated){0};
    cb_simulation watched = *what;
    watched.watch = what->watch ? what->watch : &nobody;
    return simulate(&watched, done, error);
}
