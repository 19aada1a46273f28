// SPDX-License-Identifier: MIT
/// Usage, options, exit statuses and `coilbed new`.
#include "cli/program.h"

#include "coilbed/version.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { MOST = 6 };

static void every_command_explains_itself(void **state)
{
    (void)state;
    static const struct {
        const char *arguments[MOST];
        const char *wanted[MOST];
    } row[] = {
        {{"--help"}, {"usage: coilbed", "new", "check", "run", "findings"}},
        {{"new", "--help"}, {"usage: coilbed new [options] FILE", "--quiet", "Exit status"}},
        {{"check", "--help"},
         {"usage: coilbed check", "--units us|si", "--set", "--schema", "--ground"}},
        {{"run", "--help"}, {"usage: coilbed run", "--output", "--force", "--json", "130"}},
        {{"findings", "-h"}, {"usage: coilbed findings [options] OUT.h5", "--json", "--units"}},
        {{"--version"}, {"coilbed " CB_VERSION}},
        {{"run", "--version"}, {"coilbed " CB_VERSION}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(row[i].arguments);
        assert_status(&ended, 0);
        for (int w = 0; w < MOST && row[i].wanted[w]; w++) {
            assert_contains(ended.out, row[i].wanted[w]);
        }
        assert_string_equal(ended.err, "");
        program_free(&ended);
    }
}

static void wrong_usage_says_what_is_wrong(void **state)
{
    (void)state;
    static const struct {
        const char *arguments[MOST];
        const char *wanted;
    } row[] = {
        {{NULL}, "usage: coilbed COMMAND"},
        {{"chek", "a.yaml"}, "coilbed: 'chek' is not a command"},
        {{"check"}, "FILE is missing; usage: coilbed check"},
        {{"run", "a.yaml", "b.yaml"}, "'b.yaml' is too much"},
        {{"check", "--colour", "a.yaml"}, "there is no option --colour here"},
        {{"check", "-x", "a.yaml"}, "there is no option -x here"},
        {{"new", "--units", "si", "a.yaml"}, "there is no option --units here"},
        {{"run", "--ground", "a.yaml"}, "there is no option --ground here"},
        {{"check", "--ground"}, "FILE is missing; usage: coilbed check"},
        {{"check", "--ground", "none.yaml"}, "none.yaml"},
        {{"run", "a.yaml", "-o"}, "option -o needs a value"},
        {{"run", "a.yaml", "--set"}, "option --set needs a value"},
        {{"check", "--units", "metric", "a.yaml"}, "--units 'metric': write us or si"},
        {{"check", "--set", "field.depth", "a.yaml"}, "--set 'field.depth': write PATH=VALUE"},
        {{"check", "--set", "=6 ft", "a.yaml"}, "--set '=6 ft': write PATH=VALUE"},
        {{"check", ""}, "check: the name of FILE is empty"},
        {{"run", "a.yaml", "-o", ""}, "-o: the name of the file is empty"},
        {{"check", "none.yaml"}, "none.yaml"},
        {{"run", "none.yaml"}, "none.yaml"},
        {{"findings", "none.h5"}, "none.h5"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(row[i].arguments);
        assert_status(&ended, 1);
        assert_contains(ended.err, row[i].wanted);
        assert_string_equal(ended.out, "");
        program_free(&ended);
    }
}

static void new_writes_design_and_climate_and_says_what_next(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("new", "yard.yaml"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "coilbed check yard.yaml");
    assert_contains(ended.out, "coilbed run yard.yaml");
    assert_true(file_exists("yard.yaml"));
    assert_true(file_exists("cold-plain.yaml"));
    program_free(&ended);
    ended = program_run(ARGUMENTS("new", "--quiet", "second.yaml")); // shares the climate
    assert_status(&ended, 0);
    assert_string_equal(ended.out, "");
    program_free(&ended);
}

static void new_prints_commands_that_a_shell_takes(void **state)
{
    (void)state;
    static const struct {
        const char *name, *wanted;
    } row[] = {
        {"my yard.yaml", "coilbed check 'my yard.yaml'  "},
        {"it's.yaml", "coilbed check 'it'\\''s.yaml'  "},
        {"-yard.yaml", "coilbed check ./-yard.yaml  "},
        {"$HOME", "coilbed run '$HOME'  "},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(ARGUMENTS("new", "--", row[i].name));
        assert_status(&ended, 0);
        assert_contains(ended.out, row[i].wanted);
        program_free(&ended);
    }
}

static void new_leaves_no_climate_without_its_design(void **state)
{
    (void)state;
    static const char *const name[] = {"cold-plain.yaml", "./cold-plain.yaml", "missing/"};
    for (size_t i = 0; i < sizeof name / sizeof *name; i++) {
        program ended = program_run(ARGUMENTS("new", name[i]));
        assert_status(&ended, 1);
        assert_false(file_exists("cold-plain.yaml"));
        program_free(&ended);
    }
    char long_name[400] = {0};
    memset(long_name, 'x', sizeof long_name - 1);
    program ended = program_run(ARGUMENTS("new", long_name));
    assert_status(&ended, 1);
    assert_contains(ended.err, "File name too long");
    assert_false(file_exists("cold-plain.yaml"));
    program_free(&ended);
}

static void new_never_overwrites(void **state)
{
    (void)state;
    static const char mine[] = "mine\n";
    static const char *const kept[] = {"yard.yaml", "cold-plain.yaml"};
    for (size_t i = 0; i < 2; i++) {
        write_file(kept[i], mine);
        program ended = program_run(ARGUMENTS("new", "yard.yaml"));
        assert_status(&ended, 1);
        assert_contains(ended.err, kept[i]);
        assert_contains(ended.err, "exists already");
        char *now = read_file(kept[i]);
        assert_string_equal(now, mine);
        free(now);
        program_free(&ended);
        assert_false(file_exists(kept[1 - i])); // nothing else was written either
        assert_int_equal(remove(kept[i]), 0);
    }
}

static void new_needs_a_folder_that_exists(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("new", "nowhere/yard.yaml"));
    assert_status(&ended, 1);
    assert_contains(ended.err, "nowhere/");
    assert_contains(ended.err, "No such file or directory");
    program_free(&ended);
}

static void a_full_disk_under_standard_output_is_reported(void **state)
{
    (void)state;
    if (!file_exists("/dev/full")) {
        print_message("skipped: no /dev/full here\n");
        return;
    }
    program ended = program_run_into(ARGUMENTS("--help"), "/dev/full");
    assert_int_equal(ended.status, 1);
    assert_contains(ended.err, "standard output could not be written: No space left on device");
    program_free(&ended);
}

/// A process that opens a pipe for reading and goes away.
static pid_t start_fleeting_reader(const char *pipe_path)
{
    const pid_t reader = fork();
    if (reader == 0) {
        close(open(pipe_path, O_RDONLY));
        _exit(0);
    }
    assert_true(reader > 0);
    return reader;
}

static void a_reader_that_went_away_is_no_failure(void **state)
{
    (void)state;
    program made = program_run(ARGUMENTS("new", "yard.yaml"));
    assert_status(&made, 0);
    program_free(&made);
    assert_int_equal(mkfifo("pipe", 0600), 0);
    const pid_t reader = start_fleeting_reader("pipe");
    program ended = program_run_into(ARGUMENTS("check", "yard.yaml"), "pipe");
    assert_status(&ended, 0);
    assert_string_equal(ended.err, "");
    program_free(&ended);
    assert_int_equal(waitpid(reader, NULL, 0), reader);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_command_explains_itself, folder_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(wrong_usage_says_what_is_wrong, folder_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(new_writes_design_and_climate_and_says_what_next,
                                        folder_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(new_prints_commands_that_a_shell_takes, folder_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(new_leaves_no_climate_without_its_design, folder_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(a_reader_that_went_away_is_no_failure, folder_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(new_never_overwrites, folder_setup, folder_teardown),
        cmocka_unit_test_setup_teardown(new_needs_a_folder_that_exists, folder_setup,
                                        folder_teardown),
        cmocka_unit_test_setup_teardown(a_full_disk_under_standard_output_is_reported, folder_setup,
                                        folder_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
