// SPDX-License-Identifier: MIT
/// `coilbed run` and `coilbed findings`, end to end on draft runs of the starter.
#include "cli/program.h"

#include "coilbed/record.h"
#include "record/same_values.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static int one_hard_winter_setup(void **state)
{
    const int failed = starter_setup(state);
    if (failed) {
        return failed;
    }
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

static long stored_hours(const char *path)
{
    cb_run_data *data;
    if (cb_record_read(&data, path, NULL) != CB_OK) {
        return 0; // there is no file yet
    }
    const long hours = data->hours;
    cb_run_data_destroy(data);
    return hours;
}

static ino_t inode_of(const char *path)
{
    struct stat facts;
    return stat(path, &facts) == 0 ? facts.st_ino : 0;
}

/// Waits in small steps until the run in `path` is another file than `before` and holds a day. A
/// run settles the ground first, and longer so under load; gives up after two minutes.
static bool wait_for_new(const char *path, ino_t before)
{
    const struct timespec step = {.tv_nsec = 20000000};
    for (int i = 0; i < 6000; i++) {
        if (inode_of(path) != before && stored_hours(path) >= 24) {
            return true;
        }
        nanosleep(&step, NULL);
    }
    return false;
}

static void assert_stopped_in_good_order(int signal_number)
{
    const ino_t before = inode_of("cut.h5");
    program running = program_start(
        ARGUMENTS("run", "--json", DRAFT, "--set", "run.years=100", "-o", "cut.h5", "yard.yaml"));
    assert_true(wait_for_new("cut.h5", before));
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

/// Waits until what the started program says on standard error holds `wanted`.
static bool wait_for_word(const char *wanted)
{
    const struct timespec step = {.tv_nsec = 5000000};
    for (int i = 0; i < 12000; i++) {
        char *said = read_file(".stderr");
        const bool found = said && strstr(said, wanted);
        free(said);
        if (found) {
            return true;
        }
        nanosleep(&step, NULL);
    }
    return false;
}

static void a_run_interrupted_while_the_ground_settles_writes_nothing(void **state)
{
    (void)state;
    write_file(".stderr", "");
    program running = program_start(
        ARGUMENTS("run", "--json", DRAFT, "--set", "run.years=100", "-o", "early.h5", "yard.yaml"));
    assert_true(wait_for_word("settling the undisturbed ground"));
    assert_int_equal(kill(running.pid, SIGINT), 0);
    program_wait(&running);
    assert_status(&running, 128 + SIGINT);
    assert_contains(running.err, "stopped while the ground settled");
    assert_contains(running.err, "nothing was written");
    assert_null(strstr(running.err, "stopped after"));
    assert_json(running.out, ARGUMENTS("o[\"exit_status\"] == 130",
                                       "\"nothing was written\" in o[\"error\"][\"message\"]"));
    assert_false(file_exists("early.h5"));
    program_free(&running);
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

#define SMALL                                                                                      \
    DRAFT, "--set", "run.years=1", "--set", "field.trenches=1", "--set", "run.slices=1", "--set",  \
        "weather.hard_winters=[]"

/// Sends the signal once more than `hours` are stored. A run that ended before fails the test.
static program interrupt_after(const char *const *arguments, const char *path, long hours,
                               int signal_number)
{
    program running = program_start(arguments);
    const struct timespec step = {.tv_nsec = 1000000};
    for (int i = 0; i < 30000 && stored_hours(path) <= hours; i++) {
        nanosleep(&step, NULL);
    }
    assert_int_equal(kill(running.pid, signal_number), 0);
    program_wait(&running);
    assert_status(&running, 128 + signal_number);
    assert_true(stored_hours(path) > hours);
    return running;
}

static void a_resumed_run_ends_in_the_same_values(void **state)
{
    (void)state;
    enum { MARCH = 90 * 24 }; // any hour within the year
    program whole = program_run(ARGUMENTS("run", SMALL, "-o", "whole.h5", "yard.yaml"));
    assert_true(is_verdict(whole.status));

    program cut = interrupt_after(ARGUMENTS("run", "-q", SMALL, "-o", "cut.h5", "yard.yaml"),
                                  "cut.h5", MARCH, SIGKILL);
    program_free(&cut);
    const long killed_after = stored_hours("cut.h5");

    cut = interrupt_after(ARGUMENTS("run", SMALL, "--resume", "-o", "cut.h5", "yard.yaml"),
                          "cut.h5", killed_after, SIGINT);
    assert_contains(cut.err, "going on from year 1 of 1, 1 ");
    assert_contains(cut.out, "The run is in cut.h5, marked incomplete.");
    assert_contains(cut.out, "To continue it:\n  coilbed run yard.yaml --set run.accuracy=draft "
                             "--set run.years=1 --set field.trenches=1 --set run.slices=1 --set "
                             "weather.hard_winters='[]' --resume -o cut.h5\n");
    program_free(&cut);
    assert_run_file("cut.h5", false, 0);

    cut = program_run(ARGUMENTS("run", SMALL, "--resume", "-o", "cut.h5", "yard.yaml"));
    assert_status(&cut, whole.status);
    assert_contains(cut.err, "going on from year 1 of 1, 1 ");
    assert_contains(cut.err, "year 1 of 1 done");
    assert_contains(cut.out, "The run is in cut.h5.");
    program_free(&cut);
    assert_run_file("cut.h5", true, 8760);
    assert_true(assert_same_values("cut.h5", "whole.h5") > 100);
    program_free(&whole);
}

static void what_cannot_be_resumed_is_refused(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("run", SMALL, "-o", "run.h5", "yard.yaml"));
    assert_true(is_verdict(ended.status));
    program_free(&ended);
    static const struct {
        const char *arguments[12];
        int status;
        const char *wanted;
    } row[] = {
        {{"run", "--resume", "yard.yaml"},
         1,
         "yard.h5 does not exist, so there is no run to resume; without --resume a new run begins"},
        {{"run", "--resume", "--force", "yard.yaml"}, 1, "give one of them"},
        {{"run", "--resume", "-o", "yard.yaml", "yard.yaml"}, 1, "is an input of this run"},
        {{"run", "--resume", "--set", "run.accuracy=draft", "-o", "run.h5", "yard.yaml"},
         2,
         "run.h5: is complete; nothing to resume"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        ended = program_run(row[i].arguments);
        assert_status(&ended, row[i].status);
        assert_contains(ended.err, row[i].wanted);
        program_free(&ended);
    }
    assert_run_file("run.h5", true, 8760);

    ended = interrupt_after(ARGUMENTS("run", "-q", SMALL, "-o", "cut.h5", "yard.yaml"), "cut.h5",
                            1000, SIGKILL);
    program_free(&ended);
    ended = program_run(ARGUMENTS("run", "--json", SMALL, "--set", "field.length=40 m", "--resume",
                                  "-o", "cut.h5", "yard.yaml"));
    assert_status(&ended, 2);
    assert_contains(ended.err, "cut.h5: was made from a different design ('length: ");
    assert_contains(ended.err, "'length: 40 m' now)");
    assert_json(ended.out, ARGUMENTS("o[\"error\"][\"file\"] == \"cut.h5\""));
    program_free(&ended);
}

static void findings_names_a_file_that_was_cut_short(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("run", SMALL, "yard.yaml"));
    assert_true(is_verdict(ended.status));
    program_free(&ended);
    static const off_t size[] = {300, 3000, 500000};
    for (int i = 2; i >= 0; i--) {
        assert_int_equal(truncate("yard.h5", size[i]), 0);
        char wanted[80];
        snprintf(wanted, sizeof wanted, "yard.h5: is cut short: only %ld of its ", (long)size[i]);
        ended = program_run(ARGUMENTS("findings", "yard.h5"));
        assert_status(&ended, 1);
        assert_contains(ended.err, wanted);
        assert_null(strstr(ended.err, "eof"));
        program_free(&ended);
    }
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
#define IN_STARTER(test)                                                                           \
    cmocka_unit_test_setup_teardown(test, one_hard_winter_setup, folder_teardown)
    const struct CMUnitTest tests[] = {
        IN_STARTER(output_that_cannot_be_written_is_refused_before_the_run),
        IN_STARTER(findings_refuses_what_is_not_a_run),
        IN_STARTER(a_year_runs_and_is_judged_again_from_its_file),
        IN_STARTER(a_resumed_run_ends_in_the_same_values),
        IN_STARTER(what_cannot_be_resumed_is_refused),
        IN_STARTER(findings_names_a_file_that_was_cut_short),
        IN_STARTER(a_run_interrupted_while_the_ground_settles_writes_nothing),
        IN_STARTER(an_interrupted_run_leaves_a_readable_incomplete_file),
    };
#undef IN_STARTER
    return cmocka_run_group_tests(tests, NULL, NULL);
}
