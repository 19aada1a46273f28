// SPDX-License-Identifier: MIT
/// `coilbed vary`, end to end on studies whose cases take a second or two.
#include "cli/program.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

// A coil of 36 in does not fit a trench of 2 ft.
static const char study[] = "design: yard.yaml\n"
                            "scheme: factorial\n"
                            "set:\n"
                            "  run.accuracy: draft\n"
                            "  run.years: 1\n"
                            "  run.slices: 1\n"
                            "  field.trenches: 1\n"
                            "  weather.hard_winters: [{year: last, one_in: 20}]\n"
                            "vary:\n"
                            "  field.width: [2 ft, 3 ft]\n"
                            "  field.depth: [5 ft, 6 ft]\n";

static int study_setup(void **state)
{
    const int failed = starter_setup(state);
    write_file("study.yaml", study);
    return failed;
}

static void assert_same_bytes(const char *one, const char *other)
{
    char command[200];
    snprintf(command, sizeof command, "cmp %s %s", one, other);
    if (system(command) != 0) { // NOLINT(concurrency-mt-unsafe)
        fail_msg("%s and %s differ", one, other);
    }
}

static void cases_that_fail_are_recorded_and_shares_make_the_same_file(void **state)
{
    (void)state;
    program whole = program_run(ARGUMENTS("vary", "--units", "si", "study.yaml"));
    assert_status(&whole, 4);
    assert_contains(whole.out, "5 ft            failed: --set field.width=2 ft: field.width");
    assert_contains(whole.out, "The study is in study.h5.");
    assert_contains(whole.err, "2 of 4 cases failed; the first is case 0");
    assert_contains(whole.err, "4 of 4 cases done, 2 failed");
    assert_false(file_exists("study.h5.cases"));

    program ended = program_run(ARGUMENTS("vary", "-o", "parts.h5", "--gather", "study.yaml"));
    assert_status(&ended, 2);
    assert_contains(ended.err, "4 of 4 cases are not there yet, the first of them case 0");
    program_free(&ended);
    ended = program_run(ARGUMENTS("vary", "-o", "parts.h5", "--share", "2/2", "study.yaml"));
    assert_status(&ended, 4);
    assert_contains(ended.err, "2 of 2 cases done");
    assert_true(file_exists("parts.h5.cases-2-of-2"));
    assert_false(file_exists("parts.h5"));
    program_free(&ended);
    ended = program_run(ARGUMENTS("vary", "-o", "parts.h5", "--gather", "study.yaml"));
    assert_status(&ended, 2);
    assert_contains(ended.err, "2 of 4 cases are not there yet, the first of them case 0");
    program_free(&ended);
    ended = program_run(
        ARGUMENTS("vary", "-o", "parts.h5", "--gather", "--set", "run.years=2", "study.yaml"));
    assert_status(&ended, 2);
    assert_contains(ended.err, "of other --set options");
    program_free(&ended);
    ended = program_run(
        ARGUMENTS("vary", "-o", "parts.h5", "--resume", "--share", "1/2", "-q", "study.yaml"));
    assert_status(&ended, 4);
    assert_string_equal(ended.out, "");
    program_free(&ended);
    ended = program_run(ARGUMENTS("vary", "-o", "parts.h5", "--share", "9/9", "study.yaml"));
    assert_status(&ended, 0); // more shares than cases: there is nothing for it to do
    program_free(&ended);
    ended = program_run(ARGUMENTS("vary", "-o", "parts.h5", "--gather", "study.yaml"));
    assert_status(&ended, 4);
    assert_same_bytes("study.h5", "parts.h5");
    assert_false(file_exists("parts.h5.cases-1-of-2"));
    assert_false(file_exists("parts.h5.cases-9-of-9"));
    program_free(&ended);
    program_free(&whole);
    ended = program_run(ARGUMENTS("vary", "--json", "-q", "study.yaml"));
    assert_status(&ended, 4);
    assert_json(
        ended.out,
        ARGUMENTS(
            "o[\"scheme\"] == \"factorial\" and o[\"seed\"] is None and o[\"statistics\"] is None",
            "o[\"failed_cases\"] == 2 and o[\"exit_status\"] == 4 and o[\"output\"] == "
            "\"study.h5\"",
            "[f[\"path\"] for f in o[\"factors\"]] == [\"field.width\", \"field.depth\"]",
            "[c[\"status\"] for c in o[\"cases\"]] == [\"failed\"] * 2 + [\"ok\"] * 2",
            "\"does not hold a coil\" in o[\"cases\"][0][\"message\"]",
            "abs(o[\"cases\"][3][\"values\"][\"field.depth\"] - 1.8288) < 1e-9",
            "o[\"cases\"][3][\"headline\"][\"coldest_fluid\"] > "
            "o[\"cases\"][2][\"headline\"][\"coldest_fluid\"]",
            "o[\"cases\"][0][\"headline\"] == {} and o[\"numbers\"][\"coldest_fluid\"] == "
            "\"degree_Celsius\"",
            "any(f[\"code\"] == \"freeze_margin\" for f in o[\"cases\"][3][\"findings\"])"));
    program_free(&ended);
}

static void samples_are_told_as_json_too(void **state)
{
    (void)state;
    write_file("study.yaml", "design: yard.yaml\nscheme: latin_hypercube\nsamples: 3\nset:\n"
                             "  run.accuracy: draft\n  run.years: 1\n  run.slices: 1\n"
                             "  field.trenches: 1\n  weather.hard_winters: []\n"
                             "vary:\n  field.depth: uniform(5, 8) ft\n");
    program ended = program_run(ARGUMENTS("vary", "--json", "-q", "study.yaml"));
    assert_status(&ended, 0);
    assert_json(
        ended.out,
        ARGUMENTS("o[\"statistics\"][\"samples\"] == 3 and o[\"seed\"] is not None",
                  "o[\"statistics\"][\"quantile_shares\"] == [0.05, 0.25, 0.5, 0.75, 0.95]",
                  "o[\"statistics\"][\"distributions\"][\"coldest_fluid\"][\"quantiles\"][2] == "
                  "sorted(c[\"headline\"][\"coldest_fluid\"] for c in o[\"cases\"])[1]",
                  "o[\"statistics\"][\"distributions\"][\"coldest_fluid\"][\"factors\"]"
                  "[\"field.depth\"][\"rank_correlation\"] > 0.4",
                  "o[\"statistics\"][\"probability_of_crossing\"][\"freeze_margin\"][\"cases\"] "
                  "== 3"));
    program_free(&ended);
}

static void runs_are_kept_if_asked_for(void **state)
{
    (void)state;
    replace_block("study.yaml", "vary:", "keep_runs: yes\nvary:\n  field.depth: [6 ft]\n");
    program ran = program_run(ARGUMENTS("vary", "-q", "study.yaml"));
    assert_status(&ran, 0);
    program_free(&ran);
    ran = program_run(ARGUMENTS("findings", "study.h5.runs/case-000000.h5"));
    assert_contains(ran.out, "fluid");
    program_free(&ran);
}

static int lines_of(const char *path)
{
    int lines = 0;
    char *text = read_file(path);
    for (const char *at = text; at && (at = strchr(at, '\n')); at++) {
        lines++;
    }
    free(text);
    return lines;
}

static void ctrl_c_keeps_what_is_done(void **state)
{
    (void)state;
    const struct timespec pause = {.tv_nsec = 50000000};
    program running = program_start(ARGUMENTS("vary", "--jobs", "1", "study.yaml"));
    // The two cases that are refused are there at once.
    while (lines_of("study.h5.cases") < 3) {
        nanosleep(&pause, NULL);
    }
    assert_int_equal(kill(running.pid, SIGINT), 0);
    program_wait(&running);
    assert_status(&running, 128 + SIGINT);
    assert_contains(running.err, "go on with --resume");
    assert_false(file_exists("study.h5"));
    assert_false(file_exists("study.h5.cases.scratch"));
    program_free(&running);

    running = program_run(ARGUMENTS("vary", "study.yaml"));
    assert_status(&running, 2);
    assert_contains(running.err, "or forget them with --force");
    program_free(&running);
    replace_line("study.yaml", "field.depth", 1, "field.depth: [5 ft, 7 ft]");
    running = program_run(ARGUMENTS("vary", "--resume", "study.yaml"));
    assert_status(&running, 2);
    assert_contains(running.err, "study.h5.cases:1:1: these cases are of another study");
    program_free(&running);
}

static void a_killed_case_is_recorded_and_run_again_by_resume(void **state)
{
    (void)state;
    const struct timespec pause = {.tv_nsec = 50000000};
    program running = program_start(ARGUMENTS("vary", "--jobs", "1", "-o", "hit.h5", "study.yaml"));
    while (lines_of("hit.h5.cases") < 3) { // the refused ones are there: the third is at work
        nanosleep(&pause, NULL);
    }
    char command[120];
    snprintf(command, sizeof command,
             "kill -9 $(ps -A -o pid= -o ppid= | awk '$2 == %d {print $1}')", (int)running.pid);
    assert_int_equal(system(command), 0); // NOLINT(concurrency-mt-unsafe)
    program_wait(&running);
    assert_status(&running, 4);
    assert_contains(running.out, "failed: its process was ended by signal 9");
    assert_contains(running.err, "3 of 4 cases failed");
    assert_contains(running.err, "--resume runs again what was killed (1)");
    assert_true(file_exists("hit.h5"));
    program_free(&running);
    running = program_run(ARGUMENTS("vary", "--resume", "-o", "hit.h5", "study.yaml"));
    assert_status(&running, 4);
    assert_contains(running.err, "2 of 4 cases failed");
    assert_false(file_exists("hit.h5.cases"));
    program_free(&running);
    running = program_run(ARGUMENTS("vary", "-q", "study.yaml"));
    assert_same_bytes("hit.h5", "study.h5");
    program_free(&running);
}

static void bad_usage_and_bad_studies_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *argument[4];
        int status;
        const char *says;
    } row[] = {
        {{"study.yaml", "other.yaml"}, 1, "name one study"},
        {{NULL}, 1, "name one study"},
        {{"--jobs", "0", "study.yaml"}, 1, "--jobs '0': write a whole number from 1"},
        {{"--max-cases", "few", "study.yaml"}, 1, "--max-cases 'few'"},
        {{"--share", "3/2", "study.yaml"}, 1, "write I/N"},
        {{"--share", "2", "study.yaml"}, 1, "write I/N"},
        {{"--resume", "--force", "study.yaml"}, 1, "give one of them"},
        {{"--json", "--share", "1/2", "study.yaml"}, 1, "give --json with --gather"},
        {{"--gather", "--force", "study.yaml"}, 1, "runs nothing"},
        {{"none.yaml"}, 1, "none.yaml cannot be opened"},
        {{"--max-cases", "3", "study.yaml"},
         2,
         "study.yaml:9:1: the study has 4 cases and 3 are allowed; allow more with --max-cases 4"},
        {{"-o", "yard.yaml", "study.yaml"}, 1, "yard.yaml is an input of this run"},
        {{"-o", "study.yaml", "study.yaml"}, 1, "study.yaml is the study itself"},
        {{"-o", "nowhere/study.h5", "study.yaml"}, 1, "No such file"},
        {{"--set", "field.dpeth=6 ft", "study.yaml"}, 2, "did you mean \"depth\"?"},
    };
    for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
        const char *const *a = row[r].argument;
        program ran = program_run(ARGUMENTS("vary", a[0], a[1], a[2], a[3]));
        assert_status(&ran, row[r].status);
        assert_contains(ran.err, row[r].says);
        program_free(&ran);
    }
    write_file("study.h5", "someone's notes");
    program ran = program_run(ARGUMENTS("vary", "study.yaml"));
    assert_status(&ran, 1);
    assert_contains(ran.err, "study.h5 exists and is not a run of coilbed");
    program_free(&ran);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(cases_that_fail_are_recorded_and_shares_make_the_same_file,
                                        study_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(samples_are_told_as_json_too, study_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(runs_are_kept_if_asked_for, study_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(ctrl_c_keeps_what_is_done, study_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(a_killed_case_is_recorded_and_run_again_by_resume,
                                        study_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(bad_usage_and_bad_studies_are_refused, study_setup,
                                        folder_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
