// SPDX-License-Identifier: MIT
// A run that was interrupted and taken up again ends in the file of one that never was.
#include "record/same_values.h"
#include "record/sample.h"

#include "base/clock.h"
#include "coilbed/version.h"
#include "record/h5.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { EVERY_DAYS = 7, RUN_DAYS = 2 * CB_YEAR_DAYS };

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", error->file, error->message);
    }
}

static void finish(cb_record *record, bool complete)
{
    cb_error error = {0};
    const cb_quality quality = sample_quality();
    must(cb_record_finish(record, &quality, complete, &error), &error);
    cb_record_close(record);
}

// Writes `days` days and leaves the record open.
// @param monthly  every month is appended by itself; else they wait for one another
static cb_record *begin_with(const sample *s, long days, bool monthly)
{
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    if (monthly) {
        sample_append_monthly(record);
    }
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, 0, days, &error), &error);
    return record;
}

static cb_record *begin(const sample *s, long days)
{
    return begin_with(s, days, false);
}

static sample *uninterrupted(int start_day, long days)
{
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    s->design.run.start_day = start_day;
    finish(begin(s, days), true);
    return s;
}

// Takes the run up and checks that it goes on from its last whole month with that checkpoint.
static cb_record *resume(const sample *s, cb_checkpoint *from)
{
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_resume(&record, s->path, &s->header, from, &error), &error);
    assert_int_equal(from->size, SAMPLE_CHECKPOINT);
    for (size_t i = 0; i < from->size; i++) {
        if (from->value[i] != sample_checkpoint_value(from->hours_done, i)) {
            fail_msg("value %zu: got %.17g, want %.17g", i, from->value[i],
                     sample_checkpoint_value(from->hours_done, i));
        }
    }
    cb_run_data *data = NULL;
    must(cb_record_read(&data, s->path, &error), &error);
    assert_false(data->complete);
    assert_int_equal(data->hours, from->hours_done);
    assert_int_equal(data->days, from->hours_done / 24);
    assert_int_equal(data->quality.steps, 0);
    cb_run_data_destroy(data);
    return record;
}

static long resume_and_end(const sample *s, long days)
{
    cb_error error = {0};
    cb_checkpoint from;
    cb_record *record = resume(s, &from);
    const long day = from.hours_done / 24;
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, day, days, &error), &error);
    finish(record, true);
    return day;
}

// ---- the same file ---------------------------------------------------------------------------

// @param closed  interrupted in good order, with every hour and findings; else dropped
static void interrupt(const sample *s, long day, bool closed)
{
    cb_record *record = begin(s, day);
    if (!closed) {
        cb_record_close(record);
        return;
    }
    finish(record, false);
    cb_error error = {0};
    const cb_finding finding = {.code = "incomplete", .run_hour = -1};
    must(cb_record_write_findings(s->path, &finding, 1, &error), &error);
}

static void interrupted_run_ends_in_the_same_file(void **state)
{
    (void)state;
    enum { DAYS = 420 };
    static const struct {
        int start_day;
        long stopped, resumed; // days
        bool closed;
    } row[] = {
        {1, 31, 31, false},    // after the first month
        {1, 100, 92, false},   // within the fourth
        {1, 100, 92, true},    // whose days, findings and summaries are cut off again
        {1, 365, 365, false},  // at the year's end
        {15, 20, 17, true},    // the first month began within a month
        {15, 370, 351, false}, // between a year's end and its month's
        {15, 372, 351, true},  // the same
        {15, 390, 382, true},  // the second year's first month began in the first
    };
    sample *want = NULL;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        if (!want || want->design.run.start_day != row[i].start_day) {
            if (want) {
                sample_destroy(want);
            }
            want = uninterrupted(row[i].start_day, DAYS);
        }
        sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
        s->design.run.start_day = row[i].start_day;
        interrupt(s, row[i].stopped, row[i].closed);
        assert_int_equal(resume_and_end(s, DAYS), row[i].resumed);
        assert_true(assert_same_values(s->path, want->path) > 100);
        sample_destroy(s);
    }
    sample_destroy(want);
}

static void run_can_be_interrupted_again_and_again(void **state)
{
    (void)state;
    sample *want = uninterrupted(1, 400);
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    cb_record_close(begin(s, 40));
    for (int i = 0; i < 6; i++) {
        cb_error error = {0};
        cb_checkpoint from;
        cb_record *record = resume(s, &from);
        const long day = from.hours_done / 24;
        const cb_sink sink = cb_record_sink(record);
        must(sample_feed(s, &sink, day, day + 15L * i, &error), &error);
        if (i % 2 == 0) {
            finish(record, false);
        } else {
            cb_record_close(record);
        }
    }
    resume_and_end(s, 400);
    assert_same_values(s->path, want->path);
    sample_destroy(s);
    sample_destroy(want);
}

// ---- killed ----------------------------------------------------------------------------------

static long stored_hours(const sample *s)
{
    cb_error error = {0};
    cb_run_data *data = NULL;
    if (access(s->path, F_OK) != 0) {
        return 0;
    }
    must(cb_record_read(&data, s->path, &error), &error);
    const long hours = data->hours;
    cb_run_data_destroy(data);
    return hours;
}

static double seconds_per_month(void)
{
    const double start_s = cbx_clock_s();
    sample *s = uninterrupted(1, CB_YEAR_DAYS);
    const double end_s = cbx_clock_s();
    sample_destroy(s);
    return (end_s - start_s) / CB_MONTHS;
}

// A child does nothing but append, so most kills strike within an append. The next one waits a
// second for a writer that might be alive, and is killed while it cuts the file back, or later.
static void killed_run_ends_in_the_same_file(void **state)
{
    (void)state;
    enum { KILLS = 5 };
    static const double wait_s = 1.0;
    const double month_s = seconds_per_month();
    sample *want = uninterrupted(1, RUN_DAYS);
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    int marked = 0;
    for (int i = 0; i < KILLS; i++) {
        // A file of one month, as on a busy machine, may have no checkpoint yet.
        for (int months = 6; i == 0 && stored_hours(s) <= 31L * 24; months *= 2) {
            sample_write_and_kill(s, RUN_DAYS, false, months * month_s);
        }
        const bool wait = !sample_opens_plainly(s);
        marked += wait;
        sample_write_and_kill(s, RUN_DAYS, true, (wait ? wait_s : 0.0) + (0.2 + 1.3 * i) * month_s);
    }
    const long hours = stored_hours(s);
    const long day = resume_and_end(s, RUN_DAYS);
    print_message("%d of %d killed within an append or a resumption, the last after day %ld\n",
                  marked, KILLS, day);
    // A kill between the counters and the checkpoint costs that month.
    assert_true(day * 24 <= hours && day * 24 >= hours - 31L * 24);
    assert_same_values(s->path, want->path);
    sample_destroy(s);
    sample_destroy(want);
}

// Each state that a kill can leave between the writes of a checkpoint, made by hand.
static void torn_checkpoint_is_passed_over(void **state)
{
    (void)state;
    sample *want = uninterrupted(1, 400);
    static const int torn[] = {1, 2};
    for (size_t i = 0; i < sizeof torn / sizeof *torn; i++) {
        sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
        cb_record_close(begin_with(s, 100, true)); // slot 1 holds the third, slot 2 the second
        char path[80];
        const int64_t none = -1;
        const double wrong = 1e300;
        cb_error error = {0};
        cbx_h5 h5;
        cbx_h5_begin(&h5, s->path);
        cbx_h5_open_append(&h5, false);
        snprintf(path, sizeof path, "/checkpoint/hours_done_%d", torn[i]);
        cbx_h5_write_rows(&h5, path, H5T_NATIVE_INT64, 0, 1, &none);
        snprintf(path, sizeof path, "/checkpoint/values_%d", torn[i]);
        cbx_h5_write_rows(&h5, path, H5T_NATIVE_DOUBLE, 5000, 1, &wrong);
        must(cbx_h5_end(&h5, &error), &error);
        assert_int_equal(resume_and_end(s, 400), sample_month_end(s, torn[i] == 1 ? 2 : 3));
        assert_same_values(s->path, want->path);
        sample_destroy(s);
    }
    sample_destroy(want);
}

static void run_that_is_resumed_elsewhere_stops(void **state)
{
    (void)state;
    sample *want = uninterrupted(1, 400);
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    cb_record *first = begin_with(s, 40, true);
    cb_error error = {0};
    cb_checkpoint from;
    cb_record *second = resume(s, &from);
    const cb_sink old = cb_record_sink(first);
    assert_int_equal(sample_feed(s, &old, 40, 70, &error), CB_IO);
    assert_non_null(strstr(error.message, "another process has resumed it"));
    cb_record_close(first);
    const cb_sink sink = cb_record_sink(second);
    must(sample_feed(s, &sink, from.hours_done / 24, 400, &error), &error);
    finish(second, true);
    assert_same_values(s->path, want->path);
    sample_destroy(s);
    sample_destroy(want);
}

// ---- refused ---------------------------------------------------------------------------------

static void expect_refusal(const sample *s, cb_status want, const char *text)
{
    cb_error error = {0};
    cb_record *record = (cb_record *)&error;
    cb_checkpoint from = {.hours_done = 1};
    const cb_status got = cb_record_resume(&record, s->path, &s->header, &from, &error);
    if (got != want || !strstr(error.message, text) || strcmp(error.file, s->path) != 0) {
        fail_msg("got status %d, file '%s', message '%s'; want %d, '...%s...'", (int)got,
                 error.file, error.message, (int)want, text);
    }
    assert_null(record);
    assert_null(from.value);
    assert_int_equal(from.hours_done, 0);
}

static void what_cannot_be_resumed_is_said_so(void **state)
{
    (void)state;
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    expect_refusal(s, CB_IO, "No such file or directory");
    cb_record_close(begin(s, 20));
    expect_refusal(s, CB_BAD_INPUT, "holds no whole month yet");
    cb_record_close(begin(s, 100));

    s->design.run.years = 4;
    expect_refusal(s, CB_BAD_INPUT,
                   "was made from a different design ('years: 3' there, 'years: 4' now)");
    s->design.run.years = 3;
    s->weather->sha256[0] = 'b';
    expect_refusal(s, CB_BAD_INPUT,
                   "was made with different weather (SHA-256 aaaaaaaaaaaa... there, "
                   "baaaaaaaaaaa... now)");
    s->weather->sha256[0] = 'a';
    s->sections.nx--;
    expect_refusal(s, CB_BAD_INPUT, "/ground/x has 5 values where this design has 4");
    s->sections.nx++;

    cb_checkpoint from;
    cb_record *record = resume(s, &from); // the refusals left it as it was
    assert_int_equal(from.hours_done, 24L * sample_month_end(s, 3));
    finish(record, true);
    expect_refusal(s, CB_BAD_INPUT, "is complete; nothing to resume");
    sample_destroy(s);
}

static void another_version_is_refused(void **state)
{
    (void)state;
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    cb_record_close(begin(s, 40));
    const hid_t file = H5Fopen(s->path, H5F_ACC_RDWR, H5P_DEFAULT);
    H5Adelete(file, "program_version");
    const hid_t type = cbx_h5_text_type(sizeof "0.0.0");
    const hid_t scalar = H5Screate(H5S_SCALAR);
    const hid_t attribute =
        H5Acreate2(file, "program_version", type, scalar, H5P_DEFAULT, H5P_DEFAULT);
    assert_true(H5Awrite(attribute, type, "0.0.0") >= 0);
    H5Aclose(attribute);
    H5Sclose(scalar);
    H5Tclose(type);
    H5Fclose(file);
    expect_refusal(s, CB_BAD_INPUT, "was made by coilbed 0.0.0 and this is coilbed " CB_VERSION);
    sample_destroy(s);
}

static void file_cut_short_is_said_so(void **state)
{
    (void)state;
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    cb_record_close(begin(s, 40));
    assert_int_equal(truncate(s->path, 30000), 0);
    expect_refusal(s, CB_IO, "is cut short: only 30000 of its ");
    cb_error error = {0};
    cb_run_data *data = NULL;
    assert_int_equal(cb_record_read(&data, s->path, &error), CB_IO);
    assert_non_null(strstr(error.message, "is cut short: only 30000 of its "));
    sample_destroy(s);
}

static void bad_calls_are_refused(void **state)
{
    (void)state;
    sample *s = sample_create(EVERY_DAYS, SAMPLE_NZ, SAMPLE_NX);
    cb_error error = {0};
    cb_record *record = NULL;
    cb_checkpoint from;
    cb_record_header header = s->header;
    header.weather = NULL;
    assert_int_equal(cb_record_resume(NULL, s->path, &s->header, &from, &error), CB_BAD_CALL);
    assert_int_equal(cb_record_resume(&record, s->path, &s->header, NULL, &error), CB_BAD_CALL);
    assert_int_equal(cb_record_resume(&record, s->path, &header, &from, &error), CB_BAD_CALL);
    assert_int_equal(cb_record_resume(&record, NULL, &s->header, &from, &error), CB_BAD_CALL);
    sample_destroy(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(interrupted_run_ends_in_the_same_file),
        cmocka_unit_test(run_can_be_interrupted_again_and_again),
        cmocka_unit_test(killed_run_ends_in_the_same_file),
        cmocka_unit_test(torn_checkpoint_is_passed_over),
        cmocka_unit_test(run_that_is_resumed_elsewhere_stops),
        cmocka_unit_test(what_cannot_be_resumed_is_said_so),
        cmocka_unit_test(another_version_is_refused),
        cmocka_unit_test(file_cut_short_is_said_so),
        cmocka_unit_test(bad_calls_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
