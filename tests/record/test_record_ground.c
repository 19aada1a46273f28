// SPDX-License-Identifier: MIT
// The soil of a run and its origin read back as they were written.
#include "record/sample.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { DAYS = 65, EVERY = 3 };

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", error->file, error->message);
    }
}

static void check(const char *what, double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        fail_msg("%s: got %.10g, want %.10g", what, got, want);
    }
}

static int setup(void **state)
{
    sample *s = sample_create(EVERY, SAMPLE_NZ, SAMPLE_NX);
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, 0, DAYS, &error), &error);
    const cb_quality quality = sample_quality();
    must(cb_record_finish(record, &quality, false, &error), &error);
    cb_record_close(record);
    *state = s;
    return 0;
}

static int teardown(void **state)
{
    sample_destroy(*state);
    return 0;
}

static cb_run_ground *read_ground(const sample *s)
{
    cb_error error = {0};
    cb_run_ground *ground = NULL;
    must(cb_record_read_ground(&ground, s->path, &error), &error);
    return ground;
}

static void axes_and_days_read_back(void **state)
{
    const sample *s = *state;
    cb_run_ground *ground = read_ground(s);
    assert_int_equal(ground->slices, SAMPLE_SLICES);
    assert_int_equal(ground->nz, SAMPLE_NZ);
    assert_int_equal(ground->nx, SAMPLE_NX);
    for (int k = 0; k <= SAMPLE_NZ; k++) {
        check("depth of an edge", ground->z_edge_m[k], s->sections.z_edge_m[k], 0.0);
    }
    for (int i = 0; i <= SAMPLE_NX; i++) {
        check("place of an edge", ground->x_edge_m[i], s->sections.x_edge_m[i], 0.0);
    }
    for (int k = 0; k < SAMPLE_NZ; k++) {
        check("coldest day of a depth", ground->lowest_c[k], s->ground.depth[k + 1].lowest_c, 0.0);
        check("the run's warmest", ground->run_highest_c[k], s->ground.depth[k + 1].run_highest_c,
              0.0);
    }
    assert_int_equal(ground->days, DAYS);
    for (long d = 0; d < ground->days; d++) {
        assert_int_equal(ground->run_day[d], d);
        assert_int_equal(ground->kept[d], d % EVERY == 0);
        for (int slice = 0; slice < SAMPLE_SLICES; slice++) {
            check("pipe wall", ground->pipe_wall_c[d * SAMPLE_SLICES + slice],
                  sample_slice_value(1, d, slice), 1e-5);
        }
    }
    assert_int_equal(ground->undisturbed_days, DAYS);
    check("undisturbed ground", ground->undisturbed_c[10 * SAMPLE_NZ + 2],
          s->undisturbed_c[10 * SAMPLE_NZ + 2], 1e-5);
    cb_run_ground_destroy(ground);
}

static void sections_are_those_of_their_day_and_slice(void **state)
{
    const sample *s = *state;
    enum { CELLS = SAMPLE_NZ * SAMPLE_NX };
    cb_run_ground *ground = read_ground(s);
    const long row[] = {0, 9, 63};
    float temperature_c[3 * CELLS], ice[3 * CELLS];
    for (int slice = 0; slice < SAMPLE_SLICES; slice++) {
        cb_error error = {0};
        const cb_section_request request = {row, 3, slice};
        must(cb_record_read_sections(s->path, ground, &request, temperature_c, ice, &error),
             &error);
        for (size_t r = 0; r < 3; r++) {
            for (size_t c = 0; c < CELLS; c++) {
                const size_t place = (size_t)slice * CELLS + c;
                check("temperature", (double)temperature_c[r * CELLS + c],
                      sample_temperature_c(row[r], place), 1e-5);
                check("ice", (double)ice[r * CELLS + c], sample_ice_fraction(row[r], place), 1e-6);
            }
        }
    }
    cb_run_ground_destroy(ground);
}

static void sections_that_are_not_kept_are_refused(void **state)
{
    const sample *s = *state;
    cb_run_ground *ground = read_ground(s);
    static const struct {
        long row;
        int slice;
    } wrong[] = {{1, 0}, {-3, 0}, {DAYS + 1, 0}, {0, SAMPLE_SLICES}, {0, -1}};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        cb_error error = {0};
        float temperature_c[SAMPLE_NZ * SAMPLE_NX], ice[SAMPLE_NZ * SAMPLE_NX];
        const cb_section_request request = {&wrong[i].row, 1, wrong[i].slice};
        const cb_status got =
            cb_record_read_sections(s->path, ground, &request, temperature_c, ice, &error);
        if (got != CB_BAD_CALL) {
            fail_msg("row %ld of slice %d: got status %d", wrong[i].row, wrong[i].slice, got);
        }
    }
    cb_run_ground_destroy(ground);
}

static void the_origin_is_what_the_header_said(void **state)
{
    const sample *s = *state;
    cb_error error = {0};
    cb_run_origin *origin = NULL;
    must(cb_record_read_origin(&origin, s->path, &error), &error);
    assert_string_equal(origin->weather_sha256, s->weather->sha256);
    assert_string_equal(origin->weather_description, s->weather->description);
    assert_string_equal(origin->libraries, s->header.libraries ? s->header.libraries : "");
    assert_int_equal(strlen(origin->design_sha256), 64);
    assert_int_equal(strlen(origin->created), strlen("2001-01-01T00:00:00Z"));
    cb_run_origin_destroy(origin);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(axes_and_days_read_back),
        cmocka_unit_test(sections_are_those_of_their_day_and_slice),
        cmocka_unit_test(sections_that_are_not_kept_are_refused),
        cmocka_unit_test(the_origin_is_what_the_header_said),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
