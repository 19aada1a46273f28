// SPDX-License-Identifier: MIT
#include "speed.h"

#include "coilbed/record.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

cb_status speed_case_open(speed_case *one, const cb_override *set, size_t count, cb_error *error)
{
    cb_override all[SPEED_MOST_SET + 1] = {{"weather.normals", cb_starter_climate()}};
    *one = (speed_case){0};
    for (size_t n = 0; n < count; n++) {
        all[n + 1] = set[n];
    }
    cb_status status = cb_units_create(&one->units, error);
    if (status == CB_OK) {
        status = cb_design_parse(&one->design, cb_starter_design(), "starter.yaml", all, count + 1,
                                 one->units, error);
    }
    if (status == CB_OK) {
        status = cb_weather_create(&one->weather, one->design, one->units, error);
    }
    if (status == CB_OK) {
        status = cb_run_weather_create(&one->run_weather, one->weather, one->design, error);
    }
    if (status == CB_OK) {
        status = cb_house_create(&one->house, one->design, one->run_weather, one->units, error);
    }
    return status;
}

void speed_case_close(speed_case *one)
{
    one->house = cb_house_destroy(one->house);
    one->run_weather = cb_run_weather_destroy(one->run_weather);
    one->weather = cb_weather_destroy(one->weather);
    one->design = cb_design_destroy(one->design);
    one->units = cb_units_destroy(one->units);
}

// ---- the sink --------------------------------------------------------------------------------

typedef struct watcher {
    const speed_plan *plan;
    speed_result *result;
    cb_sink record;
    int slices;
    long days; // done
} watcher;

static int year_of(long hour)
{
    const long year = hour / CB_YEAR_HOURS;
    return year < SPEED_MOST_YEARS ? (int)year : SPEED_MOST_YEARS - 1;
}

static cb_status on_hour(void *context, const cb_hour *hour, cb_error *error)
{
    watcher *self = context;
    speed_result *result = self->result;
    const int year = year_of(hour->run_hour);
    if (year >= result->years) {
        result->years = year + 1;
        result->coldest_c[year] = INFINITY;
    }
    if (hour->pump_fraction > 0.1) {
        result->coldest_c[year] = fmin(result->coldest_c[year], hour->entering_water_c);
    }
    result->heat_j[year] += hour->heat_from_ground_w * 3600.0;
    result->simulated_years = (double)(hour->run_hour + 1) / CB_YEAR_HOURS;
    if (!self->record.hour) {
        return CB_OK;
    }
    const speed_stage before = speed_clock_enter(SPEED_RECORD);
    const cb_status status = self->record.hour(self->record.context, hour, error);
    speed_clock_enter(before);
    return status;
}

static cb_status on_day(void *context, const cb_day *day, cb_error *error)
{
    watcher *self = context;
    const int year = year_of(day->run_day * 24);
    self->days = day->run_day;
    for (int s = 0; s < self->slices; s++) {
        self->result->ice_m[year] = fmax(self->result->ice_m[year], day->ice_radius_m[s]);
    }
    if (!self->record.day) {
        return CB_OK;
    }
    const speed_stage before = speed_clock_enter(SPEED_RECORD);
    const cb_status status = self->record.day(self->record.context, day, error);
    speed_clock_enter(before);
    return status;
}

static cb_status on_month(void *context, const cb_checkpoint *checkpoint, cb_error *error)
{
    const watcher *self = context;
    if (!self->record.month) {
        return CB_OK;
    }
    const speed_stage before = speed_clock_enter(SPEED_RECORD);
    const cb_status status = self->record.month(self->record.context, checkpoint, error);
    speed_clock_enter(before);
    return status;
}

static bool on_stop(void *context)
{
    const watcher *self = context;
    return self->plan->days > 0 && self->days >= self->plan->days;
}

// ---- one run ---------------------------------------------------------------------------------

static cb_status make_record(cb_record **out, const speed_plan *plan, const speed_case *one,
                             const cb_engine *engine, cb_error *error)
{
    const cb_record_header header = {.design = one->design,
                                     .weather = one->weather,
                                     .run_weather = one->run_weather,
                                     .sections = cb_engine_sections(engine),
                                     .undisturbed_c = cb_engine_undisturbed_c(engine),
                                     .ground = cb_engine_ground_summary(engine),
                                     .freeze_c = -5.0}; // for the file's attribute only
    return cb_record_create(out, plan->record, &header, error);
}

static cb_status run_engine(const speed_plan *plan, const speed_case *one, cb_engine *engine,
                            speed_result *result, cb_error *error)
{
    watcher self = {.plan = plan, .result = result};
    self.slices = cb_engine_sections(engine)->slices;
    cb_record *record = NULL;
    cb_status status = CB_OK;
    if (plan->record) {
        status = make_record(&record, plan, one, engine, error);
        self.record = record ? cb_record_sink(record) : (cb_sink){0};
    }
    const cb_sink sink = {
        .context = &self, .hour = on_hour, .day = on_day, .month = on_month, .stop = on_stop};
    if (status == CB_OK) {
        status = cb_engine_run(engine, &sink, NULL, &result->quality, error);
        status = status == CB_STOPPED && plan->days > 0 ? CB_OK : status;
    }
    const speed_stage before = speed_clock_enter(SPEED_RECORD);
    if (record && status == CB_OK) {
        status = cb_record_finish(record, &result->quality, true, error);
    }
    cb_record_close(record);
    speed_clock_enter(before);
    return status;
}

static size_t count_of(const cb_override *set)
{
    size_t count = 0;
    while (count < SPEED_MOST_SET && set[count].path) {
        count++;
    }
    return count;
}

static void take_sizes(const speed_plan *plan, speed_result *result)
{
    struct rusage usage;
    struct stat file;
    getrusage(RUSAGE_SELF, &usage);
    result->peak_mb = (double)usage.ru_maxrss / 1024.0;
    if (plan->record && stat(plan->record, &file) == 0) {
        result->file_mb = (double)file.st_size / (1024.0 * 1024.0);
    }
}

static void run_here(const speed_plan *plan, speed_result *result)
{
    char threads[16];
    snprintf(threads, sizeof threads, "%d", plan->threads);
    setenv("COILBED_THREADS", threads, 1);
    speed_knob = (speed_knobs){plan->cell_factor, plan->tolerance_factor};
    speed_case one;
    cb_error error = {0};
    cb_engine *engine = NULL;
    cb_status status = speed_case_open(&one, plan->set, count_of(plan->set), &error);
    const double cpu = speed_cpu_seconds(), wall = speed_seconds();
    speed_clock_start();
    if (status == CB_OK) {
        status = cb_engine_create(&engine, one.design, one.run_weather, one.house, &error);
    }
    const double run_cpu = speed_cpu_seconds(), run_wall = speed_seconds();
    if (status == CB_OK) {
        status = run_engine(plan, &one, engine, result, &error);
    }
    speed_clock_read(result->stage_s);
    const double now_cpu = speed_cpu_seconds(), now_wall = speed_seconds();
    const double estimate = result->stage_s[SPEED_ESTIMATE];
    result->cpu_s = now_cpu - cpu;
    result->wall_s = now_wall - wall;
    result->run_cpu_s = now_cpu - run_cpu - estimate;
    result->run_wall_s = now_wall - run_wall - (plan->days > 0 ? 0.0 : estimate);
    result->ok = status == CB_OK;
    snprintf(result->trouble, sizeof result->trouble, "%.255s", error.message);
    take_sizes(plan, result);
    cb_engine_destroy(engine);
    speed_case_close(&one);
}

static bool read_whole(int from, void *into, size_t bytes)
{
    char *at = into;
    while (bytes > 0) {
        const ssize_t got = read(from, at, bytes);
        if (got <= 0) {
            return false;
        }
        at += got;
        bytes -= (size_t)got;
    }
    return true;
}

static bool write_whole(int to, const void *from, size_t bytes)
{
    const char *at = from;
    while (bytes > 0) {
        const ssize_t put = write(to, at, bytes);
        if (put <= 0) {
            return false;
        }
        at += put;
        bytes -= (size_t)put;
    }
    return true;
}

speed_result speed_measure(const speed_plan *plan)
{
    speed_result result = {.trouble = "the run's process failed"};
    int pipes[2];
    fflush(NULL); // so that the child has nothing to write again
    if (pipe(pipes) != 0) {
        return result;
    }
    const pid_t child = fork();
    if (child == 0) {
        close(pipes[0]);
        speed_result own = {0};
        run_here(plan, &own);
        _exit(write_whole(pipes[1], &own, sizeof own) ? 0 : 1);
    }
    close(pipes[1]);
    if (child < 0 || !read_whole(pipes[0], &result, sizeof result)) {
        result.ok = false;
    }
    close(pipes[0]);
    if (child > 0) {
        waitpid(child, NULL, 0);
    }
    if (!result.ok) {
        fprintf(stderr, "coilbed-bench: %s\n", result.trouble);
    }
    return result;
}

speed_error speed_compare(const speed_result *result, const speed_result *reference)
{
    speed_error error = {0};
    const int years = result->years < reference->years ? result->years : reference->years;
    if (!result->ok || !reference->ok || years == 0) {
        return (speed_error){NAN, NAN, NAN};
    }
    for (int n = 0; n < years; n++) {
        if (isfinite(reference->coldest_c[n])) {
            error.coldest_k =
                fmax(error.coldest_k, fabs(result->coldest_c[n] - reference->coldest_c[n]));
        }
        error.heat_relative =
            fmax(error.heat_relative,
                 fabs(result->heat_j[n] - reference->heat_j[n]) / fabs(reference->heat_j[n]));
        error.ice_m = fmax(error.ice_m, fabs(result->ice_m[n] - reference->ice_m[n]));
    }
    return error;
}
