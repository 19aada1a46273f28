// SPDX-License-Identifier: MIT
/// A study of depth, pitch and soil conductivity on the starter, killed twice on its way, ends in
/// the same bytes as one that was left alone.
#include "cli/program.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static const char study[] = "design: yard.yaml\n"
                            "scheme: factorial\n"
                            "set:\n"
                            "  run.accuracy: draft\n"
                            "  run.years: 1\n"
                            "  run.slices: 1\n"
                            "  weather.hard_winters: [{year: last, one_in: 20}]\n"
                            "vary:\n"
                            "  field.depth: [5 ft, 6 ft, 7 ft]\n"
                            "  field.coil.pitch: [1.5 ft, 2 ft, 3 ft]\n"
                            "  ground.layers[1].conductivity: [0.8 W/m/K, 1.2 W/m/K, 1.6 W/m/K]\n";
enum { CASES = 27 };

/// Which cases a journal holds, and how often.
typedef struct held {
    int times[CASES];
    int lines;
} held;

static held read_journal(const char *path)
{
    held found = {0};
    char *text = read_file(path);
    for (char *line = text ? strchr(text, '\n') : NULL; line && strchr(line + 1, '\n');
         line = strchr(line + 1, '\n')) {
        const long index = strtol(line + 1, NULL, 10);
        assert_in_range(index, 0, CASES - 1);
        found.times[index]++;
        found.lines++;
    }
    free(text);
    return found;
}

static void run_until(const char *const *arguments, int lines)
{
    const struct timespec pause = {.tv_nsec = 20000000};
    program running = program_start(arguments);
    while (read_journal("cut.h5.cases").lines < lines) {
        int status = 0;
        if (waitpid(running.pid, &status, WNOHANG) != 0) {
            fail_msg("the study ended by itself, status %d", status);
        }
        nanosleep(&pause, NULL);
    }
    assert_int_equal(kill(running.pid, SIGKILL), 0);
    program_wait(&running);
    assert_int_equal(running.status, 128 + SIGKILL);
    program_free(&running);
}

static void assert_same_bytes(const char *one, const char *other)
{
    char command[200];
    snprintf(command, sizeof command, "cmp %s %s", one, other);
    if (system(command) != 0) { // NOLINT(concurrency-mt-unsafe)
        fail_msg("%s and %s differ", one, other);
    }
}

static void a_killed_study_goes_on_and_ends_in_the_same_bytes(void **state)
{
    (void)state;
    write_file("study.yaml", study);
    program whole =
        program_run(ARGUMENTS("vary", "--quiet", "--jobs", "2", "-o", "whole.h5", "study.yaml"));
    assert_status(&whole, 0);
    assert_true(file_exists("whole.h5"));
    assert_false(file_exists("whole.h5.cases"));

    run_until(ARGUMENTS("vary", "--jobs", "2", "-o", "cut.h5", "study.yaml"), 8);
    assert_false(file_exists("cut.h5"));
    const held before = read_journal("cut.h5.cases");
    run_until(ARGUMENTS("vary", "--jobs", "2", "-o", "cut.h5", "--resume", "study.yaml"), 17);
    const held after = read_journal("cut.h5.cases");
    for (int i = 0; i < CASES; i++) {
        if (after.times[i] > 1 || after.times[i] < before.times[i]) {
            fail_msg("case %d stands %d times in the journal, before %d", i, after.times[i],
                     before.times[i]);
        }
    }
    program refused = program_run(ARGUMENTS("vary", "-o", "cut.h5", "study.yaml"));
    assert_status(&refused, 2);
    assert_contains(refused.err, "go on with --resume");
    program_free(&refused);

    program rest = program_run(
        ARGUMENTS("vary", "--quiet", "--jobs", "2", "-o", "cut.h5", "--resume", "study.yaml"));
    assert_status(&rest, 0);
    assert_string_equal(rest.out, whole.out);
    assert_same_bytes("whole.h5", "cut.h5");
    assert_false(file_exists("cut.h5.cases"));
    assert_false(file_exists("cut.h5.cases.scratch"));
    program_free(&rest);
    program_free(&whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_killed_study_goes_on_and_ends_in_the_same_bytes,
                                        starter_setup, folder_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
