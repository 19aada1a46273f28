// SPDX-License-Identifier: MIT
/// `coilbed run` and `coilbed findings`, end to end on draft runs of the starter.
#include "cli/program.h"

#include "coilbed/record.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static int starter_setup(void **state)
{
    if (folder_setup(state) != 0) {
        return 1;
    }
    program ended = program_run(ARGUMENTS("new", "yard.yaml"));
    const int failed = ended.status;
    program_free(&ended);
    replace_block("yard.yaml", "weather:",
                  "weather:\n  normals: cold-plain.yaml\n"
                  "  hard_winters:\n    - {year: last, one_in: 20}\n");
    return failed;
}

#define DRAFT "--set", "run.accuracy=draft"

static void assert_run_file(const char *path, bool complete, long hours)
{
    cb_run_data *data;
    cb_error error = {0};
    if (cb_record_read(&data, path, &error) != CB_OK) {
        fail_msg("%s: %s", path, error.message);
    }
    assert_int_equal(data->complete, complete);
    if (hours > 0) {
        assert_int_equal(data->hours, hours);
    } else {
        assert_true(data->hours >= 24);
    }
    cb_run_data_destroy(data);
}

static bool is_verdict(int status)
{
    return status == 0 || status == 3; // held or broken
}

static void a_year_runs_and_is_judged_again_from_its_file(void **state)
{
    (void)state;
    program ran = program_run(ARGUMENTS("run", DRAFT, "--set", "run.years=1", "yard.yaml"));
    if (!is_verdict(ran.status)) {
        assert_status(&ran, 0);
    }
    assert_contains(ran.err, "year 1 of 1 done");
    assert_contains(ran.out, "The run is in yard.h5.");
    assert_run_file("yard.h5", true, 8760);

    program again = program_run(ARGUMENTS("findings", "yard.h5"));
    assert_status(&again, ran.status);
    if (strncmp(again.out, ran.out, strlen(again.out)) != 0) {
        fail_msg("findings differ:\n%s\n--- from those of the run:\n%s", again.out, ran.out);
    }
    program_free(&again);
    again = program_run(ARGUMENTS("findings", "--json", "--units", "si", "yard.h5"));
    assert_status(&again, ran.status);
    char status[80];
    snprintf(status, sizeof status, "o[\"exit_status\"] == %d", ran.status);
    assert_json(
        again.out,
        ARGUMENTS(status, "o[\"file\"] == \"yard.h5\" and o[\"design_file\"] == \"yard.yaml\"",
                  "o[\"verdict\"] == (\"broken\" if o[\"exit_status\"] else o[\"verdict\"])",
                  "o[\"complete\"] is True and o[\"quality\"][\"steps\"] > 0"));
    program_free(&again);
    assert_contains(ran.out, "coilbed run yard.yaml with"); // drift is never known after a year

    again = program_run(ARGUMENTS("findings", "--verbose", "yard.h5"));
    assert_contains(again.err, "energy audit");
    assert_contains(again.err, "surface heat mismatch");
    program_free(&again);
    program_free(&ran);
}

/// Seconds of waiting in small steps until `path` exists; false after a minute.
static bool wait_for(const char *path)
{
    const struct timespec step = {.tv_nsec = 20000000};
    for (int i = 0; i < 3000 && !file_exists(path); i++) {
        nanosleep(&step, NULL);
    }
    return file_exists(path);
}

static void assert_stopped_in_good_order(int signal_number)
{
    program running = program_start(
        ARGUMENTS("run", "--json", DRAFT, "--set", "run.years=100", "-o", "cut.h5", "yard.yaml"));
    assert_true(wait_for("cut.h5"));
    const struct timespec while_running = {.tv_sec = 3};
    nanosleep(&while_running, NULL);
    assert_int_equal(kill(running.pid, signal_number), 0);
    program_wait(&running);
    assert_status(&running, 128 + signal_number);
    assert_contains(running.err, "stopped after");
    assert_contains(running.err, "cut.h5, marked incomplete");
    char status[80];
    snprintf(status, sizeof status, "o[\"exit_status\"] == %d", 128 + signal_number);
    assert_json(running.out,
                ARGUMENTS(status, "o[\"complete\"] is False and o[\"file\"] == \"cut.h5\"",
                          "o[\"findings\"][0][\"code\"] == \"incomplete\""));
    assert_run_file("cut.h5", false, 0);
    program again = program_run(ARGUMENTS("findings", "cut.h5"));
    assert_int_not_equal(again.status, 0);
    if (again.status != 3) {
        assert_status(&again, 4);
    }
    program_free(&again);
    program_free(&running);
}

static void an_interrupted_run_leaves_a_readable_incomplete_file(void **state)
{
    (void)state;
    assert_stopped_in_good_order(SIGINT);
    assert_stopped_in_good_order(SIGTERM); // replaces the incomplete run of before
}

static void output_that_cannot_be_written_is_refused_before_the_run(void **state)
{
    (void)state;
    static const struct {
        const char *output, *wanted;
    } row[] = {
        {"nowhere/out.h5", "nowhere/out.h5 cannot be written: No such file or directory"},
        {".", "is not a plain file"},
        {"yard.yaml", "yard.yaml is an input of this run"},
        {"./yard.yaml", "is an input of this run"},
        {"cold-plain.yaml", "cold-plain.yaml is an input of this run"},
        {"notes.txt", "notes.txt exists and is not a run of coilbed; --force replaces it"},
    };
    write_file("notes.txt", "mine\n");
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(ARGUMENTS("run", "-o", row[i].output, "yard.yaml"));
        assert_status(&ended, 1);
        assert_contains(ended.err, row[i].wanted);
        assert_string_equal(ended.out, "");
        program_free(&ended);
    }
    program spoken = program_run(ARGUMENTS("run", "--json", "-o", "notes.txt", "yard.yaml"));
    assert_status(&spoken, 1);
    assert_json(spoken.out, ARGUMENTS("\"notes.txt exists\" in o[\"error\"][\"message\"]"));
    program_free(&spoken);
    program forced = program_run(ARGUMENTS("run", "--force", "-o", "yard.yaml", "yard.yaml"));
    assert_status(&forced, 1);
    assert_contains(forced.err, "is an input of this run");
    program_free(&forced);
    char *notes = read_file("notes.txt");
    assert_string_equal(notes, "mine\n");
    free(notes);
    assert_false(file_exists("yard.h5"));
}

static void findings_refuses_what_is_not_a_run(void **state)
{
    (void)state;
    write_file("notes.h5", "not HDF5\n");
    program ended = program_run(ARGUMENTS("findings", "notes.h5"));
    assert_status(&ended, 1);
    assert_contains(ended.err, "notes.h5");
    program_free(&ended);
}

int main(void)
{
#define IN_STARTER(test) cmocka_unit_test_setup_teardown(test, starter_setup, folder_teardown)
    const struct CMUnitTest tests[] = {
        IN_STARTER(output_that_cannot_be_written_is_refused_before_the_run),
        IN_STARTER(findings_refuses_what_is_not_a_run),
        IN_STARTER(a_year_runs_and_is_judged_again_from_its_file),
        IN_STARTER(an_interrupted_run_leaves_a_readable_incomplete_file),
    };
#undef IN_STARTER
    return cmocka_run_group_tests(tests, NULL, NULL);
}
