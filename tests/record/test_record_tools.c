// SPDX-License-Identifier: MIT
// The programs a user has open a run: xarray, ncdump, h5dump, and our own example.
#include "record/sample.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

#include <cmocka.h>

enum { DAYS = 400, SKIPPED = 77, NOT_FOUND = 127 };

static sample *run;

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", error->file, error->message);
    }
}

static int write_run(void **state)
{
    (void)state;
    run = sample_create(7, SAMPLE_NZ, SAMPLE_NX);
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, run->path, &run->header, &error), &error);
    const cb_sink sink = cb_record_sink(record);
    must(sample_feed(run, &sink, 0, DAYS, &error), &error);
    const cb_quality quality = sample_quality();
    must(cb_record_finish(record, &quality, true, &error), &error);
    cb_record_close(record);
    const cb_finding finding[] = {{.code = "freeze_margin",
                                   .severity = 0,
                                   .kind = CB_TEMPERATURE,
                                   .run_hour = 5,
                                   .sentence = "Frei bei −8,5 °C."},
                                  {.code = "drift",
                                   .severity = 1,
                                   .kind = CB_TEMPERATURE_DIFFERENCE,
                                   .run_hour = -1,
                                   .sentence = "It drifts."}};
    must(cb_record_write_findings(run->path, finding, 2, &error), &error);
    return 0;
}

static int remove_run(void **state)
{
    (void)state;
    sample_destroy(run);
    return 0;
}

// Runs a command that prints to `said` in the sample's folder; its exit status.
static int command(const char *said, const char *format, ...)
{
    char line[900];
    char whole[1100];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    snprintf(whole, sizeof whole, "%s >'%s/%s' 2>&1", line, run->folder, said);
    const int status = system(whole);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static void show(const char *said)
{
    char whole[200];
    snprintf(whole, sizeof whole, "head -c 4000 '%s/%s'", run->folder, said);
    fflush(NULL);
    if (system(whole) != 0) {
        print_message("nothing was said\n");
    }
}

static bool holds(const char *said, const char *text)
{
    char line[2000];
    char path[120];
    bool found = false;
    snprintf(path, sizeof path, "%s/%s", run->folder, said);
    FILE *file = fopen(path, "r");
    while (file && !found && fgets(line, sizeof line, file)) {
        found = strstr(line, text);
    }
    if (file) {
        fclose(file);
    }
    return found;
}

static void xarray_opens_it_with_dates_and_units(void **state)
{
    (void)state;
    const int status =
        command("said", PYTHON " '%s/tests/record/open_run.py' '%s' %d %d %d %d %d", SOURCE_FOLDER,
                run->path, DAYS * 24, DAYS, SAMPLE_SLICES, SAMPLE_NZ, SAMPLE_NX);
    if (status == SKIPPED || status == NOT_FOUND) {
        print_message("skipped: python3 with xarray, h5netcdf and h5py is not here\n");
        return;
    }
    if (status != 0) {
        show("said");
        fail_msg("the script ended with %d", status);
    }
}

static void ncdump_opens_it(void **state)
{
    (void)state;
    const int status = command("said", "ncdump -t -v time,day '%s'", run->path);
    if (status == NOT_FOUND) {
        print_message("skipped: ncdump is not here\n");
        return;
    }
    if (status != 0) {
        show("said");
        fail_msg("ncdump ended with %d", status);
    }
    static const char *const text[] = {
        "time = UNLIMITED ; // (9600 currently)",
        "double entering_water_temperature(time) ;",
        "entering_water_temperature:units = \"degree_Celsius\" ;",
        "float section_temperature(day, slice, z, x) ;",
        "float undisturbed_temperature(day, depth) ;",
        "\"2001-10-01\", \"2001-10-01 01\"",
        ":Conventions = \"CF-1.8\" ;",
        ":energy_audit_relative = 2.5e-07 ;",
    };
    for (size_t i = 0; i < sizeof text / sizeof *text; i++) {
        if (!holds("said", text[i])) {
            fail_msg("ncdump does not say '%s'", text[i]);
        }
    }
}

static void h5dump_opens_it(void **state)
{
    (void)state;
    const int status = command("said", "h5dump -p -d /loop/flow_rate -s 5 -c 2 '%s'", run->path);
    if (status == NOT_FOUND) {
        print_message("skipped: h5dump is not here\n");
        return;
    }
    if (status != 0) {
        show("said");
        fail_msg("h5dump ended with %d", status);
    }
    assert_true(holds("said", "0.405, 0.406"));
    assert_true(holds("said", "FLETCHER32"));
}

static void example_draws_a_picture(void **state)
{
    (void)state;
    const int there = command("said", PYTHON " -c 'import xarray, h5netcdf, matplotlib'");
    if (there != 0) {
        print_message("skipped: python3 with xarray, h5netcdf and matplotlib is not here\n");
        return;
    }
    const char *tool = SOURCE_FOLDER "/tools/read_run.py";
    int status =
        command("said", PYTHON " '%s' '%s' -y 2 -o '%s/year.png'", tool, run->path, run->folder);
    if (status != 0) {
        show("said");
        fail_msg("the example ended with %d", status);
    }
    assert_true(holds("said", "above the freezing point"));
    assert_int_equal(command("said", "test -s '%s/year.png'", run->folder), 0);
    status = command("said", PYTHON " '%s' '%s' -y 3", tool, run->path);
    assert_int_equal(status, 1);
    assert_true(holds("said", "it holds years 1 to 2"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(xarray_opens_it_with_dates_and_units),
        cmocka_unit_test(ncdump_opens_it),
        cmocka_unit_test(h5dump_opens_it),
        cmocka_unit_test(example_draws_a_picture),
    };
    return cmocka_run_group_tests(tests, write_run, remove_run);
}
