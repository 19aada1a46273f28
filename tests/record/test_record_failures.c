// SPDX-License-Identifier: MIT
#include "record/sample.h"

#include "base/clock.h"
#include "record/h5.h"

#include <errno.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", error->file, error->message);
    }
}

static void expect(cb_status got, cb_status want, const cb_error *error, const char *path,
                   const char *text)
{
    if (got != want || error->status != want || strcmp(error->file, path) != 0 ||
        !strstr(error->message, text)) {
        fail_msg("got status %d, file '%s', message '%s'; want %d, '%s', '...%s...'", (int)got,
                 error->file, error->message, (int)want, path, text);
    }
}

static void write_run(const sample *s, long days)
{
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, 0, days, &error), &error);
    const cb_quality quality = sample_quality();
    must(cb_record_finish(record, &quality, true, &error), &error);
    cb_record_close(record);
}

// ---- killed ----------------------------------------------------------------------------------

static int whole_months(const sample *s, long hours)
{
    int months = 0;
    while (24 * sample_month_end(s, months) < hours) {
        months++;
    }
    assert_int_equal(24 * sample_month_end(s, months), hours);
    return months;
}

static void check_hours(const cb_run_data *data)
{
    for (long h = 0; h < data->hours; h++) {
        const cb_hour want = sample_hour(h);
        if (data->entering_water_c[h] != want.entering_water_c ||
            data->air_temperature_c[h] != want.weather.air_temperature_c ||
            data->unmet_load_w[h] != want.unmet_load_w) {
            fail_msg("hour %ld: got %.17g degC, want %.17g", h, data->entering_water_c[h],
                     want.entering_water_c);
        }
    }
    for (long d = 0; d < data->days; d++) {
        if (!(fabs(data->coil_depth_c[d] - 0.125 - sample_slice_value(0, d, 0)) < 1e-6)) {
            fail_msg("day %ld: got %.9g degC", d, data->coil_depth_c[d]);
        }
    }
}

// The way that record.h names for those who have no other.
static void clear_with_h5clear(const sample *s)
{
    enum { NOT_FOUND = 127 };
    char command[200];
    snprintf(command, sizeof command, "h5clear -s --increment=0 '%s'", s->path);
    const int status = system(command);
    if (WEXITSTATUS(status) == NOT_FOUND) {
        print_message("skipped: h5clear is not here\n");
        return;
    }
    assert_int_equal(status, 0);
    assert_true(sample_opens_plainly(s));
    cb_error error;
    cb_run_data *data = NULL;
    must(cb_record_read(&data, s->path, &error), &error);
    check_hours(data);
    cb_run_data_destroy(data);
}

static double seconds_per_month(void)
{
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    const double start_s = cbx_clock_s();
    write_run(s, CB_YEAR_DAYS);
    const double end_s = cbx_clock_s();
    sample_destroy(s);
    return (end_s - start_s) / CB_MONTHS;
}

// The child does nothing but append, so most kills strike within an append.
static void killed_run_opens_with_whole_months(void **state)
{
    (void)state;
    enum { KILLS = 15 };
    const double month_s = seconds_per_month();
    int plain = 0;
    int longest = 0;
    for (int i = 0; i < KILLS; i++) {
        sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
        sample_write_and_kill(s, 3L * CB_YEAR_DAYS, false, 0.6 * month_s * i);
        plain += sample_opens_plainly(s);
        cb_error error;
        cb_run_data *data = NULL;
        must(cb_record_read(&data, s->path, &error), &error);
        assert_false(data->complete);
        const int months = whole_months(s, data->hours);
        longest = months > longest ? months : longest;
        check_hours(data);
        cb_run_data_destroy(data);
        if (i % 6 == 2) {
            clear_with_h5clear(s);
        }
        if (i % 6 != 5) { // the rest waits a second for a writer that might be alive
            sample_destroy(s);
            continue;
        }
        // Findings of what there is: also ends the mark of the writer that is gone.
        const cb_finding finding = {.code = "test", .margin = 1.0, .run_hour = -1};
        must(cb_record_write_findings(s->path, &finding, 1, &error), &error);
        assert_true(sample_opens_plainly(s));
        must(cb_record_read(&data, s->path, &error), &error);
        check_hours(data);
        cb_run_data_destroy(data);
        sample_destroy(s);
    }
    print_message("%d of %d killed within an append; longest run %d months\n", KILLS - plain, KILLS,
                  longest);
    assert_true(longest > 0);
}

enum { READ_WELL = 0, READ_REFUSED = 1, READ_WRONG = 2, OPENED_NOT = 3 };

// A reader in another process: opens the file, says so, waits, and reads the first month.
static int hold_open_and_read(const sample *s, unsigned mode, int ready, int go_on)
{
    static double got[100 * 24];
    char byte = 'r';
    H5Eset_auto2(H5E_DEFAULT, NULL, NULL);
    const hid_t file = H5Fopen(s->path, mode, H5P_DEFAULT);
    const hid_t dataset = H5Dopen2(file, "/loop/entering_water_temperature", H5P_DEFAULT);
    if (write(ready, &byte, 1) != 1 || read(go_on, &byte, 1) != 1 || dataset < 0) {
        return OPENED_NOT;
    }
    if (H5Dread(dataset, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, got) < 0) {
        return READ_REFUSED;
    }
    for (long h = 0; h < 31 * 24; h++) {
        if (got[h] != sample_hour(h).entering_water_c) {
            return READ_WRONG;
        }
    }
    return READ_WELL;
}

static int read_beside_a_run(unsigned mode)
{
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    cb_error error;
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    sample_append_monthly(record);
    assert_true(sample_opens_plainly(s));
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, 0, 40, &error), &error);
    assert_true(sample_opens_plainly(s));
    int ready[2];
    int go_on[2];
    assert_int_equal(pipe(ready) + pipe(go_on), 0);
    const pid_t child = fork();
    if (child == 0) {
        _exit(hold_open_and_read(s, mode, ready[1], go_on[0]));
    }
    char byte = 0;
    assert_int_equal(read(ready[0], &byte, 1), 1);
    must(sample_feed(s, &sink, 40, 100, &error), &error);
    assert_int_equal(write(go_on[1], &byte, 1), 1);
    int status = -1;
    waitpid(child, &status, 0);
    for (int end = 0; end < 2; end++) {
        close(ready[end]);
        close(go_on[end]);
    }
    cb_run_data *data = NULL;
    must(cb_record_read(&data, s->path, &error), &error);
    assert_int_equal(whole_months(s, data->hours), 3);
    check_hours(data);
    cb_run_data_destroy(data);
    cb_record_close(record);
    sample_destroy(s);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void readers_and_the_run_leave_each_other_alone(void **state)
{
    (void)state;
    const int plain = read_beside_a_run(H5F_ACC_RDONLY);
    print_message("a plain reader's answer: %s\n", plain == READ_WELL ? "right" : "open it again");
    assert_true(plain == READ_WELL || plain == READ_REFUSED);
    assert_int_equal(read_beside_a_run(H5F_ACC_RDONLY | H5F_ACC_SWMR_READ), READ_WELL);
}

// ---- places that cannot be written -----------------------------------------------------------

static void touch(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
}

static void bad_places_are_named_with_their_reason(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    char plain_file[120];
    snprintf(plain_file, sizeof plain_file, "%s/plain", s->folder);
    touch(plain_file, "not a folder\n");
    static const struct {
        const char *tail, *reason;
    } row[] = {
        {"/none/run.h5", "cannot create the file: No such file or directory"},
        {"/plain/run.h5", "cannot create the file: Not a directory"},
        {"", "cannot create the file: it is a folder"},
        {"/../../dev/full", "cannot create the file: it exists and is no regular file"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        char path[160];
        snprintf(path, sizeof path, "%s%s", s->folder, row[i].tail);
        cb_error error = {0};
        cb_record *record = (cb_record *)s;
        const cb_status status = cb_record_create(&record, path, &s->header, &error);
        expect(status, CB_IO, &error, path, row[i].reason);
        assert_null(record);
    }
    sample_destroy(s);
}

static long file_size(const char *path)
{
    struct stat facts;
    return stat(path, &facts) == 0 ? (long)facts.st_size : -1;
}

static long with_size_limit(const sample *s, rlim_t bytes, cb_error *error, cb_status *status)
{
    struct rlimit before;
    getrlimit(RLIMIT_FSIZE, &before);
    signal(SIGXFSZ, SIG_IGN);
    const struct rlimit tight = {bytes, before.rlim_max};
    setrlimit(RLIMIT_FSIZE, &tight);
    cb_record *record = NULL;
    *status = cb_record_create(&record, s->path, &s->header, error);
    if (*status == CB_OK) {
        const cb_sink sink = cb_record_sink(record);
        *status = sample_feed(s, &sink, 0, 400, error);
        const cb_quality quality = sample_quality();
        cb_error second;
        assert_int_equal(cb_record_finish(record, &quality, false, &second), CB_IO);
    }
    cb_record_close(record);
    setrlimit(RLIMIT_FSIZE, &before);
    signal(SIGXFSZ, SIG_DFL);
    return file_size(s->path);
}

static void old_run_survives_a_failed_creation(void **state)
{
    (void)state;
    sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 31);
    const long size = file_size(s->path);
    cb_error error = {0};
    cb_status status = CB_OK;
    assert_int_equal(with_size_limit(s, 4096, &error, &status), size);
    expect(status, CB_IO, &error, s->path, strerror(EFBIG));
    cb_run_data *data = NULL;
    must(cb_record_read(&data, s->path, &error), &error);
    assert_true(data->complete);
    cb_run_data_destroy(data);
    char command[120];
    snprintf(command, sizeof command, "test $(ls '%s' | wc -l) = 1", s->folder);
    assert_int_equal(system(command), 0); // nothing half-made is left
    sample_destroy(s);
}

// In a child, whose words at its end are looked at too: HDF5 must not complain behind our back.
static void refused_write_stops_the_run_and_keeps_its_months(void **state)
{
    (void)state;
    static sample *s; // static: the child leaves it behind, which is no leak
    s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    char said[120];
    snprintf(said, sizeof said, "%s/stderr", s->folder);
    fflush(NULL);
    const pid_t child = fork();
    if (child == 0) {
        for (int number = SIGILL; number <= SIGSEGV; number++) {
            signal(number, SIG_DFL); // a crash must not come back into the test runner
        }
        if (!freopen(said, "w", stderr)) {
            _exit(2);
        }
        cb_error error = {0};
        cb_status status = CB_OK;
        with_size_limit(s, 1000000, &error, &status);
        const bool ok = status == CB_IO && strstr(error.message, strerror(EFBIG)) &&
                        strcmp(error.file, s->path) == 0;
        if (!ok) {
            fprintf(stderr, "status %d, '%s'\n", (int)status, error.message);
        }
        exit(ok ? 0 : 1); // not _exit: HDF5's own end is part of the claim
    }
    int status = 0;
    waitpid(child, &status, 0);
    if (status != 0 || file_size(said) != 0) {
        char command[200];
        snprintf(command, sizeof command, "head -c 2000 '%s'", said);
        fail_msg("child ended with %d, its stderr holds %ld bytes, %d", status, file_size(said),
                 system(command));
    }
    cb_error error;
    cb_run_data *data = NULL;
    must(cb_record_read(&data, s->path, &error), &error);
    assert_false(data->complete);
    assert_true(whole_months(s, data->hours) >= 1);
    check_hours(data);
    cb_run_data_destroy(data);
    sample_destroy(s);
}

static void full_disk_stops_the_run_and_keeps_its_months(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    char command[200];
    snprintf(command, sizeof command, "mount -t tmpfs -o size=1m coilbed-test '%s' 2>/dev/null",
             s->folder);
    if (system(command) != 0) {
        print_message("skipped: no small file system can be mounted here\n");
        sample_destroy(s);
        return;
    }
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    const cb_sink sink = cb_record_sink(record);
    const cb_status status = sample_feed(s, &sink, 0, 800, &error);
    cb_record_close(record);
    expect(status, CB_IO, &error, s->path, "No space left on device");
    const bool plain = sample_opens_plainly(s);
    cb_run_data *data = NULL;
    const cb_status read = cb_record_read(&data, s->path, &error);
    const long hours = data ? data->hours : 0;
    cb_run_data_destroy(data);
    snprintf(command, sizeof command, "umount '%s'", s->folder);
    assert_int_equal(system(command), 0);
    assert_true(plain);
    assert_int_equal(read, CB_OK);
    assert_true(whole_months(s, hours) >= 1);
    sample_destroy(s);
}

static void replaced_file_is_not_appended_to(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    cb_error error = {0};
    cb_record *first = NULL;
    cb_record *second = NULL;
    must(cb_record_create(&first, s->path, &s->header, &error), &error);
    must(cb_record_create(&second, s->path, &s->header, &error), &error);
    const cb_sink sink = cb_record_sink(first);
    expect(sample_feed(s, &sink, 0, 40, &error), CB_IO, &error, s->path, "replaced by another");
    unlink(s->path);
    const cb_sink other = cb_record_sink(second);
    expect(sample_feed(s, &other, 0, 40, &error), CB_IO, &error, s->path,
           "No such file or directory");
    cb_record_close(first);
    cb_record_close(second);
    sample_destroy(s);
}

// ---- bad calls and bad numbers ---------------------------------------------------------------

static void gaps_and_bad_numbers_are_refused(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    const cb_sink sink = cb_record_sink(record);
    cb_hour hour = sample_hour(1);
    expect(sink.hour(record, &hour, &error), CB_BAD_CALL, &error, "", "run hour 1 where 0 is due");
    hour = sample_hour(0);
    hour.leaving_water_c = NAN;
    expect(sink.hour(record, &hour, &error), CB_NUMERICS, &error, "",
           "loop/leaving_water_temperature of run hour 0 is nan");
    hour = sample_hour(0);
    hour.reynolds = INFINITY;
    expect(sink.hour(record, &hour, &error), CB_NUMERICS, &error, "", "reynolds_number");
    hour.reynolds = NAN; // the pump did not run
    must(sink.hour(record, &hour, &error), &error);
    expect(sink.hour(record, &hour, &error), CB_BAD_CALL, &error, "", "run hour 0 where 1 is due");
    const cb_checkpoint late = {.hours_done = 2};
    expect(sink.month(record, &late, &error), CB_BAD_CALL, &error, "", "holds 1 hours");
    cb_record_close(record);
    sample_destroy(s);
}

static void incomplete_headers_are_refused(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    cb_error error = {0};
    cb_record *record = (cb_record *)s;
    cb_record_header header = s->header;
    header.undisturbed_c = NULL;
    expect(cb_record_create(&record, s->path, &header, &error), CB_BAD_CALL, &error, "",
           "full header");
    assert_null(record);
    cb_ground_summary other = s->ground;
    other.count--; // of another grid
    const cb_ground_summary *const wrong[] = {NULL, &other};
    for (size_t i = 0; i < 2; i++) {
        header = s->header;
        header.ground = wrong[i];
        expect(cb_record_create(&record, s->path, &header, &error), CB_BAD_CALL, &error, "",
               "full header");
    }
    expect(cb_record_create(NULL, s->path, &s->header, &error), CB_BAD_CALL, &error, "", "result");
    expect(cb_record_read(NULL, s->path, &error), CB_BAD_CALL, &error, "", "place for the run");
    expect(cb_record_write_findings(NULL, NULL, 0, &error), CB_BAD_CALL, &error, "", "a path");
    assert_null(cb_record_close(NULL));
    assert_null(cb_run_data_destroy(NULL));
    sample_destroy(s);
}

// ---- reading what is no run ------------------------------------------------------------------

static void expect_read(const char *path, cb_status want, const char *text)
{
    cb_error error = {0};
    cb_run_data *data = (cb_run_data *)&error;
    const cb_status status = cb_record_read(&data, path, &error);
    expect(status, want, &error, path, text);
    assert_null(data);
}

static void what_is_no_run_is_said_so(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    expect_read(s->path, CB_IO, "No such file or directory");
    expect_read(s->folder, CB_IO, "it is a folder");
    touch(s->path, "name: a text file\n");
    expect_read(s->path, CB_IO, "is not an HDF5 file");
    cb_error error = {0};
    expect(cb_record_write_findings(s->path, NULL, 0, &error), CB_IO, &error, s->path,
           "is not an HDF5 file");
    const hid_t file = H5Fcreate(s->path, H5F_ACC_TRUNC, H5P_DEFAULT, H5P_DEFAULT);
    H5Fclose(file);
    expect_read(s->path, CB_BAD_INPUT, "attribute program of / is missing");
    sample_destroy(s);
}

static void missing_dataset_is_named(void **state)
{
    (void)state;
    static const char *const name[] = {"/loop/flow_rate", "/ground/ice_radius", "/hours_done",
                                       "/design/resolved_text", "/loop/freeze_temperature"};
    for (size_t i = 0; i < sizeof name / sizeof *name; i++) {
        sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
        write_run(s, 2);
        const hid_t file = H5Fopen(s->path, H5F_ACC_RDWR, H5P_DEFAULT);
        H5Ldelete(file, name[i], H5P_DEFAULT);
        H5Fclose(file);
        expect_read(s->path, CB_BAD_INPUT, name[i]);
        sample_destroy(s);
    }
}

static void damage_is_noticed(void **state)
{
    (void)state;
    sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 60);
    hid_t file = H5Fopen(s->path, H5F_ACC_RDWR, H5P_DEFAULT);
    const hid_t dataset = H5Dopen2(file, "/loop/flow_rate", H5P_DEFAULT);
    haddr_t at = HADDR_UNDEF;
    hsize_t size = 0;
    const hid_t space = H5Dget_space(dataset);
    assert_true(H5Dget_chunk_info(dataset, space, 1, NULL, NULL, &at, &size) >= 0);
    H5Sclose(space);
    const hsize_t rows = 3;
    H5Dclose(dataset);
    H5Fclose(file);
    FILE *bytes = fopen(s->path, "r+b");
    fseek(bytes, (long)at + (long)size / 2, SEEK_SET);
    const int old = fgetc(bytes);
    fseek(bytes, -1, SEEK_CUR);
    fputc(old ^ 0x10, bytes);
    fclose(bytes);
    expect_read(s->path, CB_IO, "cannot read /loop/flow_rate");
    write_run(s, 60);
    file = H5Fopen(s->path, H5F_ACC_RDWR, H5P_DEFAULT);
    const hid_t shortened = H5Dopen2(file, "/house/heating_load", H5P_DEFAULT);
    H5Dset_extent(shortened, &rows);
    H5Dclose(shortened);
    H5Fclose(file);
    expect_read(s->path, CB_BAD_INPUT, "/house/heating_load holds 3 rows of 1 values where 1440");
    sample_destroy(s);
}

// ---- memory ----------------------------------------------------------------------------------

// -1 where it cannot be told; a sanitizer keeps freed memory back, so it cannot be told either.
static long resident_kb(void)
{
#ifdef __SANITIZE_ADDRESS__
    return -1;
#else
    FILE *file = fopen("/proc/self/statm", "r");
    long pages = -1;
    if (file) {
        if (fscanf(file, "%*s %ld", &pages) != 1) {
            pages = -1;
        }
        fclose(file);
    }
    return pages < 0 ? -1 : pages * (sysconf(_SC_PAGESIZE) / 1024);
#endif
}

static void memory_does_not_grow_with_the_run(void **state)
{
    (void)state;
    sample *s = sample_create(1, 40, 30);
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(s, &sink, 0, CB_YEAR_DAYS / 2, &error), &error);
    const long early = resident_kb();
    must(sample_feed(s, &sink, CB_YEAR_DAYS / 2, 3L * CB_YEAR_DAYS, &error), &error);
    const long late = resident_kb();
    cb_record_close(record);
    if (early < 0) {
        print_message("skipped: the resident memory cannot be told here\n");
    } else {
        // These 2.5 years are 21 MB of sections and series.
        print_message("resident %ld kB after half a year, %ld kB after three\n", early, late);
        assert_true(late - early < 4096);
    }
    sample_destroy(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(killed_run_opens_with_whole_months),
        cmocka_unit_test(readers_and_the_run_leave_each_other_alone),
        cmocka_unit_test(bad_places_are_named_with_their_reason),
        cmocka_unit_test(old_run_survives_a_failed_creation),
        cmocka_unit_test(refused_write_stops_the_run_and_keeps_its_months),
        cmocka_unit_test(full_disk_stops_the_run_and_keeps_its_months),
        cmocka_unit_test(replaced_file_is_not_appended_to),
        cmocka_unit_test(gaps_and_bad_numbers_are_refused),
        cmocka_unit_test(incomplete_headers_are_refused),
        cmocka_unit_test(what_is_no_run_is_said_so),
        cmocka_unit_test(missing_dataset_is_named),
        cmocka_unit_test(damage_is_noticed),
        cmocka_unit_test(memory_does_not_grow_with_the_run),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
