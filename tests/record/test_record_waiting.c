// SPDX-License-Identifier: MIT
// Months that come fast wait for one another before they are appended.
#include "record/same_values.h"
#include "record/sample.h"

#include "record/writer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static const double for_ever_s = 1e9;

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", error->file, error->message);
    }
}

static cb_record *begin(const sample *s, double patience_s, long days)
{
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    record->patience_s = patience_s;
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, 0, days, &error), &error);
    return record;
}

static void go_on(const sample *s, cb_record *record, long first, long end)
{
    cb_error error = {0};
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, first, end, &error), &error);
}

static void finish(cb_record *record)
{
    cb_error error = {0};
    const cb_quality quality = sample_quality();
    must(cb_record_finish(record, &quality, true, &error), &error);
    cb_record_close(record);
}

static void assert_stored_months(const sample *s, int months)
{
    cb_error error = {0};
    cb_run_data *data = NULL;
    must(cb_record_read(&data, s->path, &error), &error);
    if (data->hours != 24L * sample_month_end(s, months)) {
        fail_msg("got %ld hours, want the %ld of %d months", data->hours,
                 24L * sample_month_end(s, months), months);
    }
    assert_int_equal(data->days, sample_month_end(s, months));
    cb_run_data_destroy(data);
}

// For as many as the file holds, at most CBX_WAITING_MONTHS; a finished year waits for nothing.
static void fast_months_wait_for_one_another(void **state)
{
    (void)state;
    static const struct {
        int fed, stored; // months
    } row[] = {{1, 1}, {2, 2},  {3, 2},   {4, 4},   {7, 4},
               {8, 8}, {11, 8}, {12, 12}, {23, 12}, {24, 24}};
    sample *s = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
    cb_record *record = begin(s, for_ever_s, 0);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        go_on(s, record, i > 0 ? sample_month_end(s, row[i - 1].fed) : 0,
              sample_month_end(s, row[i].fed));
        assert_stored_months(s, row[i].stored);
        assert_true(sample_opens_plainly(s));
    }
    cb_record_close(record);
    sample_destroy(s);
}

static void slow_months_do_not_wait(void **state)
{
    (void)state;
    sample *s = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
    cb_record *record = begin(s, 0.0, 0);
    for (int months = 1; months <= 8; months++) {
        go_on(s, record, sample_month_end(s, months - 1), sample_month_end(s, months));
        assert_stored_months(s, months);
    }
    cb_record_close(record);
    sample_destroy(s);
}

// Daily sections of a month that leave no room for another month.
static void large_sections_do_not_wait(void **state)
{
    (void)state;
    enum { NZ = 90, NX = 90 };
    sample *s = sample_create(1, NZ, NX);
    const size_t month = sizeof(float) * CBX_SECTION_STATES * SAMPLE_SLICES * NZ * NX * 31;
    assert_true(month < CBX_SECTION_BYTES && 2 * month > CBX_SECTION_BYTES);
    cb_record *record = begin(s, for_ever_s, 0);
    for (int months = 1; months <= 3; months++) {
        go_on(s, record, sample_month_end(s, months - 1), sample_month_end(s, months));
        assert_stored_months(s, months);
    }
    cb_record_close(record);
    sample_destroy(s);
}

static void closing_appends_the_months_that_wait(void **state)
{
    (void)state;
    sample *s = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
    cb_record *record = begin(s, for_ever_s, sample_month_end(s, 7) + 10);
    assert_stored_months(s, 4);
    cb_record_close(record);
    assert_stored_months(s, 7);
    sample_destroy(s);
}

static void a_killed_run_loses_only_what_waits(void **state)
{
    (void)state;
    enum { DAYS = 400 };
    sample *want = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
    finish(begin(want, 0.0, DAYS));
    static const struct {
        long killed; // days
        int stored;  // months
    } row[] = {{45, 1}, {100, 2}, {220, 4}, {380, 12}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        sample *s = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
        fflush(NULL);
        const pid_t child = fork();
        if (child == 0) {
            begin(s, for_ever_s, row[i].killed);
            _exit(0); // with the record open, as a kill leaves it
        }
        int status = -1;
        waitpid(child, &status, 0);
        assert_int_equal(status, 0);
        assert_true(sample_opens_plainly(s));
        assert_stored_months(s, row[i].stored);

        cb_error error = {0};
        cb_record *record = NULL;
        cb_checkpoint from;
        must(cb_record_resume(&record, s->path, &s->header, &from, &error), &error);
        assert_int_equal(from.hours_done, 24L * sample_month_end(s, row[i].stored));
        record->patience_s = for_ever_s;
        go_on(s, record, from.hours_done / 24, DAYS);
        finish(record);
        assert_true(assert_same_values(s->path, want->path) > 100);
        sample_destroy(s);
    }
    sample_destroy(want);
}

// A file whose chunks are not this program's, as after h5repack, is filled by HDF5's own means.
static void a_run_laid_out_anew_is_resumed(void **state)
{
    (void)state;
    enum { NOT_FOUND = 127, DAYS = 400 };
    sample *want = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
    finish(begin(want, 0.0, DAYS));
    sample *s = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
    cb_record_close(begin(s, 0.0, 100));
    char command[500];
    snprintf(command, sizeof command,
             "h5repack -L -l loop/flow_rate,loop/reynolds_number:CHUNK=100 "
             "-f plant/pump_power:NONE '%s' '%s/new.h5' && mv '%s/new.h5' '%s'",
             s->path, s->folder, s->folder, s->path);
    const int status = system(command);
    if (WEXITSTATUS(status) == NOT_FOUND) {
        print_message("skipped: h5repack is not here\n");
    } else {
        assert_int_equal(status, 0);
        cb_error error = {0};
        cb_record *record = NULL;
        cb_checkpoint from;
        must(cb_record_resume(&record, s->path, &s->header, &from, &error), &error);
        go_on(s, record, from.hours_done / 24, DAYS);
        finish(record);
        assert_true(assert_same_values(s->path, want->path) > 100);
    }
    sample_destroy(s);
    sample_destroy(want);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fast_months_wait_for_one_another),
        cmocka_unit_test(slow_months_do_not_wait),
        cmocka_unit_test(large_sections_do_not_wait),
        cmocka_unit_test(closing_appends_the_months_that_wait),
        cmocka_unit_test(a_killed_run_loses_only_what_waits),
        cmocka_unit_test(a_run_laid_out_anew_is_resumed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
