// SPDX-License-Identifier: MIT
#define _XOPEN_SOURCE 700 // nftw
#include "study/bench.h"

#include <ftw.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static int write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    if (!file) {
        return -1;
    }
    fputs(text, file);
    return fclose(file);
}

int bench_open(void **state)
{
    bench *b = calloc(1, sizeof *b);
    if (!b || cb_units_create(&b->units, NULL) != CB_OK) {
        return -1;
    }
    snprintf(b->folder, sizeof b->folder, "/tmp/coilbed-study-XXXXXX");
    if (!mkdtemp(b->folder)) {
        return -1;
    }
    char climate[96];
    snprintf(climate, sizeof climate, "%s/cold-plain.yaml", b->folder);
    snprintf(b->cache, sizeof b->cache, "%s/deep/cache", b->folder);
    snprintf(b->path, sizeof b->path, "%s/yard.yaml", b->folder);
    snprintf(b->run, sizeof b->run, "%s/yard.h5", b->folder);
    *state = b;
    return write_file(climate, cb_starter_climate()) || write_file(b->path, cb_starter_design());
}

static int remove_entry(const char *path, const struct stat *info, int kind, struct FTW *place)
{
    (void)info;
    (void)kind;
    (void)place;
    return remove(path);
}

int bench_close(void **state)
{
    bench *b = *state;
    cb_units_destroy(b->units);
    const int result = nftw(b->folder, remove_entry, 16, FTW_DEPTH | FTW_PHYS);
    free(b);
    return result;
}

cb_case_source bench_source(bench *b, const cb_override *more)
{
    // An eighth of the starter's loads, units and pumps on one of its trenches.
    static const cb_override fast[] = {
        {"run.accuracy", "draft"},
        {"run.years", "1"},
        {"run.slices", "1"},
        {"weather.hard_winters", "[]"},
        {"field.trenches", "1"},
        {"field.header_volume", "2.5 gal"},
        {"house.load_line.heating_design", "3.25 kBTU/h"},
        {"house.load_line.cooling_design", "2 kBTU/h"},
        {"pumps.power", "31 W"},
        {"heat_pumps", "[{name: Small, heating: ["
                       "{entering_water: 20 degF, capacity: 3.35 kBTU/h, power: 0.325 kW}, "
                       "{entering_water: 80 degF, capacity: 6.85 kBTU/h, power: 0.39 kW}], "
                       "cooling: ["
                       "{entering_water: 50 degF, capacity: 5.9 kBTU/h, power: 0.22 kW}, "
                       "{entering_water: 110 degF, capacity: 4.3 kBTU/h, power: 0.49 kW}]}]"}};
    b->set_count = sizeof fast / sizeof *fast;
    memcpy(b->set, fast, sizeof fast);
    for (; more && more->path; more++) {
        assert_true(b->set_count < BENCH_MOST);
        b->set[b->set_count++] = *more;
    }
    return (cb_case_source){.path = b->path, .set = b->set, .set_count = b->set_count};
}

cb_status bench_run(void *context, const cb_case_source *source, const char *value, cb_case **out,
                    cb_error *error)
{
    bench *b = context;
    (void)value;
    const cb_case_order order = {.source = *source, .cache = b->cache};
    return cb_case_run(out, &order, b->units, error);
}

void bench_must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s:%d:%d: %s", error->file, error->line, error->column, error->message);
    }
}

void bench_expect(const char *what, double got, double want, double tolerance)
{
    const bool same = isnan(want) ? isnan(got) : fabs(got - want) <= tolerance;
    if (!same) {
        fail_msg("%s: got %.12g, want %.12g within %g", what, got, want, tolerance);
    }
}
