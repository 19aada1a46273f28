// SPDX-License-Identifier: MIT
#include "cli/resume.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>

cb_status cli_resume_allowed(const char *path, cb_error *error)
{
    struct stat found;
    if (stat(path, &found) != 0 && errno == ENOENT) {
        return cb_fail(error, CB_IO,
                       "%s does not exist, so there is no run to resume; without --resume a new "
                       "run begins",
                       path);
    }
    return CB_OK; // whatever else is wrong is told by who writes to it
}

/// A word that a shell takes as it stands, or as much of it in quotes as needs them.
static void print_word(const char *word, FILE *stream)
{
    static const char safe[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                               "_-+=./:,@%";
    if (*word && word[strspn(word, safe)] == '\0') {
        fputs(word, stream);
        return;
    }
    fputc('\'', stream);
    for (; *word; word++) {
        if (*word == '\'') {
            fputs("'\\''", stream);
        } else {
            fputc(*word, stream);
        }
    }
    fputc('\'', stream);
}

static void print_file(const char *path, FILE *stream)
{
    if (*path == '-') {
        fputs("./", stream); // not an option
    }
    print_word(path, stream);
}

void cli_tell_resume(const cli_options *options, const char *path, FILE *stream)
{
    fputs("To continue it:\n  coilbed run ", stream);
    print_file(options->operand, stream);
    for (size_t i = 0; i < options->set_count; i++) {
        fputs(" --set ", stream);
        print_word(options->set[i].path, stream);
        fputc('=', stream);
        print_word(options->set[i].value, stream);
    }
    fputs(" --resume -o ", stream);
    print_file(path, stream);
    fputc('\n', stream);
}
