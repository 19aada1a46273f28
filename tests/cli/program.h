// SPDX-License-Identifier: MIT
/// Runs the built program in a folder of its own, as a person would.
#ifndef TESTS_CLI_PROGRAM_H
#define TESTS_CLI_PROGRAM_H

#include <stdbool.h>
#include <sys/types.h>

/// What one call of the program left behind; free with program_free.
typedef struct program {
    pid_t pid;
    int status;      ///< exit status; 128 + signal if one killed it
    char *out, *err; ///< all it printed
} program;

/// A new empty folder, the current one from now on. Matches cmocka's setup and teardown.
int folder_setup(void **state);
int folder_teardown(void **state);
/// As folder_setup, with the starter in yard.yaml.
int starter_setup(void **state);

/// Runs `coilbed` with NULL-terminated arguments and waits for it.
program program_run(const char *const *arguments);
/// As program_run, standard output going to a file that exists, e.g. "/dev/full".
program program_run_into(const char *const *arguments, const char *out_path);
program program_start(const char *const *arguments);
void program_wait(program *running);
void program_free(program *ended);

/// Fails the test, showing both streams, unless the exit status is `status`.
void assert_status(const program *ended, int status);
/// Fails the test, showing `text`, unless it contains `wanted`.
void assert_contains(const char *text, const char *wanted);

/// Fails the test unless `text` is one JSON document for `python3 -m json.tool`, no key of it
/// stands twice in one object, and every Python `claim` about it, `o`, is true; ends with NULL.
/// Without python3 it says "skipped".
void assert_json(const char *text, const char *const *claims);

/// Turns every run of blanks and line ends into one blank: what is said, however it is wrapped.
void unwrap(char *text);

char *read_file(const char *path); ///< owned by the caller; NULL if there is none
void write_file(const char *path, const char *text);
bool file_exists(const char *path);

/// In a YAML file, replaces the n-th line (1 the first) that begins with `start`, list dash and
/// indent apart; those are kept. Returns the line's number.
int replace_line(const char *path, const char *start, int nth, const char *line);
/// Replaces a top-level block of a YAML file, from the line that begins with `start` to the next
/// line that begins with a letter, by `text`.
void replace_block(const char *path, const char *start, const char *text);

#define ARGUMENTS(...) ((const char *const[]){__VA_ARGS__, NULL})

#endif
