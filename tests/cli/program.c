// SPDX-License-Identifier: MIT
#define _XOPEN_SOURCE 700 // nftw
#include "cli/program.h"

#include <fcntl.h>
#include <ftw.h>
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

enum { MOST_ARGUMENTS = 32, DEPTH = 16 };
static const char out_name[] = ".stdout";
static const char err_name[] = ".stderr";

int folder_setup(void **state)
{
    const char *parent = getenv("TMPDIR");
    char *path = malloc(4096);
    if (!path) {
        return 1;
    }
    snprintf(path, 4096, "%s/coilbed-cli-XXXXXX", parent ? parent : "/tmp");
    *state = path;
    return mkdtemp(path) && chdir(path) == 0 ? 0 : 1;
}

static int remove_entry(const char *path, const struct stat *info, int kind, struct FTW *place)
{
    (void)info;
    (void)kind;
    (void)place;
    return remove(path);
}

int folder_teardown(void **state)
{
    char *path = *state;
    const int result =
        chdir("/") != 0 || nftw(path, remove_entry, DEPTH, FTW_DEPTH | FTW_PHYS) != 0;
    free(path);
    return result;
}

/// In the child: redirects and becomes the program. Never returns.
static _Noreturn void become_program(const char *const *arguments, const char *out_path)
{
    char *argv[MOST_ARGUMENTS + 2] = {(char[]){"coilbed"}};
    int count = 1;
    for (; *arguments && count <= MOST_ARGUMENTS; arguments++) {
        argv[count++] = strdup(*arguments);
    }
    const int out = open(out_path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    const int err = open(err_name, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (out >= 0 && err >= 0 && dup2(out, STDOUT_FILENO) >= 0 && dup2(err, STDERR_FILENO) >= 0) {
        execv(COILBED_PROGRAM, argv);
    }
    _exit(127);
}

static program start(const char *const *arguments, const char *out_path)
{
    program running = {.pid = fork()};
    if (running.pid == 0) {
        become_program(arguments, out_path);
    }
    assert_true(running.pid > 0);
    return running;
}

program program_start(const char *const *arguments)
{
    return start(arguments, out_name);
}

void program_wait(program *running)
{
    int status = 0;
    assert_int_equal(waitpid(running->pid, &status, 0), running->pid);
    running->status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    running->out = read_file(out_name);
    running->err = read_file(err_name);
    assert_non_null(running->err);
}

program program_run_into(const char *const *arguments, const char *out_path)
{
    program running = start(arguments, out_path);
    program_wait(&running);
    return running;
}

program program_run(const char *const *arguments)
{
    return program_run_into(arguments, out_name);
}

void program_free(program *ended)
{
    free(ended->out);
    free(ended->err);
    *ended = (program){0};
}

void assert_status(const program *ended, int status)
{
    if (ended->status != status) {
        fail_msg("exit status: got %d, want %d\n--- out\n%s--- err\n%s", ended->status, status,
                 ended->out ? ended->out : "", ended->err);
    }
}

void assert_contains(const char *text, const char *wanted)
{
    if (!text || !strstr(text, wanted)) {
        fail_msg("want \"%s\" in:\n%s", wanted, text ? text : "(nothing)");
    }
}

bool file_exists(const char *path)
{
    return access(path, F_OK) == 0;
}

void assert_json(const char *text, const char *const *claims)
{
    if (system("python3 -c pass") != 0) {
        print_message("skipped: no python3\n");
        return;
    }
    write_file("document.json", text);
    if (system("python3 -m json.tool document.json >/dev/null") != 0) {
        fail_msg("not JSON:\n%s", text);
    }
    for (; *claims; claims++) {
        char command[700];
        snprintf(command, sizeof command,
                 "python3 -c 'import json,sys\n"
                 "def unique(p):\n"
                 "  assert len(dict(p)) == len(p), p\n"
                 "  return dict(p)\n"
                 "o=json.load(open(\"document.json\"), object_pairs_hook=unique)\n"
                 "sys.exit(0 if %s else 1)'",
                 *claims);
        if (system(command) != 0) {
            fail_msg("not true: %s\n%s", *claims, text);
        }
    }
}

char *read_file(const char *path)
{
    FILE *stream = fopen(path, "r");
    if (!stream) {
        return NULL;
    }
    char *text = NULL;
    size_t size = 0;
    FILE *memory = open_memstream(&text, &size);
    assert_non_null(memory);
    for (int c = fgetc(stream); c != EOF; c = fgetc(stream)) {
        fputc(c, memory);
    }
    fclose(stream);
    assert_int_equal(fclose(memory), 0);
    return text;
}

void write_file(const char *path, const char *text)
{
    FILE *stream = fopen(path, "w");
    assert_non_null(stream);
    assert_true(fputs(text, stream) >= 0);
    assert_int_equal(fclose(stream), 0);
}

static bool starts(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

int replace_line(const char *path, const char *start, int nth, const char *line)
{
    char *text = read_file(path);
    assert_non_null(text);
    FILE *stream = fopen(path, "w");
    assert_non_null(stream);
    int number = 0;
    int found = 0;
    for (const char *at = text; *at;) {
        const size_t length = strcspn(at, "\n");
        const size_t indent = strspn(at, " -");
        number++;
        if (starts(at + indent, start) && --nth == 0) {
            found = number;
            fprintf(stream, "%.*s%s\n", (int)indent, at, line);
        } else {
            fprintf(stream, "%.*s\n", (int)length, at);
        }
        at += length + (at[length] == '\n');
    }
    assert_int_equal(fclose(stream), 0);
    free(text);
    if (found == 0) {
        fail_msg("%s has no such line beginning with %s", path, start);
    }
    return found;
}

void replace_block(const char *path, const char *start, const char *replacement)
{
    char *text = read_file(path);
    assert_non_null(text);
    FILE *stream = fopen(path, "w");
    assert_non_null(stream);
    bool inside = false;
    bool found = false;
    for (const char *at = text; *at;) {
        const size_t length = strcspn(at, "\n");
        if (starts(at, start)) {
            inside = found = true;
            fputs(replacement, stream);
        } else if (*at >= 'a' && *at <= 'z') {
            inside = false;
        }
        if (!inside) {
            fprintf(stream, "%.*s\n", (int)length, at);
        }
        at += length + (at[length] == '\n');
    }
    assert_int_equal(fclose(stream), 0);
    free(text);
    assert_true(found);
}

int starter_setup(void **state)
{
    if (folder_setup(state) != 0) {
        return 1;
    }
    program ended = program_run(ARGUMENTS("new", "yard.yaml"));
    const int failed = ended.status;
    program_free(&ended);
    return failed;
}

void unwrap(char *text)
{
    char *to = text;
    for (const char *from = text; *from; from++) {
        const bool blank = *from == ' ' || *from == '\n';
        if (!blank) {
            *to++ = *from;
        } else if (to > text && to[-1] != ' ') {
            *to++ = ' ';
        }
    }
    *to = '\0';
}
