// SPDX-License-Identifier: MIT
#include "study/journal.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char heading[] = "coilbed study ";
static const char ending[] = ".cases";
enum { KEY_LENGTH = 64 };

struct cbx_journal {
    int file;
    char *path;
};

static cb_status fail_io(const char *path, const char *what, cb_error *error)
{
    return cb_fail_at(error, CB_IO, path, 0, 0, "the journal cannot be %s: %s", what,
                      strerror(errno));
}

static cb_status no_memory(cb_error *error)
{
    return cb_fail(error, CB_NO_MEMORY, "no memory for the study's journal");
}

char *cbx_journal_path(const cb_study_job *job)
{
    const size_t size = strlen(job->output) + sizeof ending + 40;
    char *path = malloc(size);
    if (path && job->shares > 0) {
        snprintf(path, size, "%s%s-%d-of-%d", job->output, ending, job->share, job->shares);
    } else if (path) {
        snprintf(path, size, "%s%s", job->output, ending);
    }
    return path;
}

// ---- writing ---------------------------------------------------------------------------------

// One process at a time; the lock goes with the process, however it ends.
static cb_status lock(const cbx_journal *journal, cb_error *error)
{
    struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    if (fcntl(journal->file, F_SETLK, &whole) == 0) {
        return CB_OK;
    }
    if (errno == EACCES || errno == EAGAIN) {
        return cb_fail_at(error, CB_IO, journal->path, 0, 0,
                          "another process is at work on these cases");
    }
    return errno == ENOLCK || errno == EINVAL || errno == ENOTSUP
               ? CB_OK // a file system without locks
               : fail_io(journal->path, "locked", error);
}

static cb_status write_line(const cbx_journal *journal, const char *text, cb_error *error)
{
    const size_t length = strlen(text);
    char *line = malloc(length + 2);
    if (!line) {
        return no_memory(error);
    }
    snprintf(line, length + 2, "%s\n", text);
    const ssize_t written = write(journal->file, line, length + 1);
    free(line);
    if (written != (ssize_t)length + 1 || fsync(journal->file) != 0) {
        errno = written >= 0 && written != (ssize_t)length + 1 ? ENOSPC : errno;
        return fail_io(journal->path, "written", error);
    }
    return CB_OK;
}

// Cuts off what a kill left of the last line; *empty if nothing is left.
static cb_status trim(const cbx_journal *journal, bool *empty, cb_error *error)
{
    struct stat facts;
    if (fstat(journal->file, &facts) != 0) {
        return fail_io(journal->path, "read", error);
    }
    off_t end = facts.st_size;
    char last = '\0';
    while (end > 0 && pread(journal->file, &last, 1, end - 1) == 1 && last != '\n') {
        end--;
    }
    *empty = end == 0;
    if (end != facts.st_size && ftruncate(journal->file, end) != 0) {
        return fail_io(journal->path, "mended", error);
    }
    return CB_OK;
}

cb_status cbx_journal_open(cbx_journal **out, const char *path, const char *key, cb_error *error)
{
    *out = NULL;
    cbx_journal *journal = calloc(1, sizeof *journal);
    char *own = journal ? strdup(path) : NULL;
    if (!own) {
        free(journal);
        return no_memory(error);
    }
    journal->path = own;
    journal->file = open(path, O_RDWR | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
    bool empty = false;
    cb_status status = journal->file >= 0 ? lock(journal, error) : fail_io(path, "opened", error);
    if (status == CB_OK) {
        status = trim(journal, &empty, error);
    }
    if (status == CB_OK && empty) {
        char first[sizeof heading + KEY_LENGTH];
        snprintf(first, sizeof first, "%s%s", heading, key);
        status = write_line(journal, first, error);
    }
    *out = status == CB_OK ? journal : cbx_journal_close(journal);
    return status;
}

cbx_journal *cbx_journal_close(cbx_journal *journal)
{
    if (journal) {
        if (journal->file >= 0) {
            close(journal->file);
        }
        free(journal->path);
        free(journal);
    }
    return NULL;
}

cb_status cbx_journal_append(cbx_journal *journal, size_t index, const cb_study_result *result,
                             cb_error *error)
{
    char *line = cbx_journal_line(index, result);
    const cb_status status = line ? write_line(journal, line, error) : no_memory(error);
    free(line);
    return status;
}

// ---- reading ---------------------------------------------------------------------------------

/// What reading a journal needs beside its path.
typedef struct reading {
    const char *key;
    cb_study_result *results;
    size_t count;
    cb_error *error;
} reading;

static cb_status take_line(const reading *r, const char *path, int number, const char *line)
{
    size_t index = 0;
    cb_study_result result;
    if (!cbx_journal_parse(line, &index, &result) || index >= r->count) {
        return cb_fail_at(r->error, CB_BAD_INPUT, path, number, 1,
                          "the journal is damaged: this line is not a case of the study");
    }
    if (result.state != CB_STUDY_LOST || r->results[index].state == CB_STUDY_MISSING) {
        r->results[index] = result;
    }
    return CB_OK;
}

static cb_status check_heading(const reading *r, const char *path, const char *line)
{
    const size_t length = sizeof heading - 1;
    if (strncmp(line, heading, length) != 0 || strcmp(line + length, r->key) != 0) {
        return cb_fail_at(r->error, CB_BAD_INPUT, path, 1, 1,
                          "these cases are of another study, design or weather, of other --set "
                          "options, or of another version of coilbed; --force forgets them");
    }
    return CB_OK;
}

static cb_status read_journal(const reading *r, const char *path)
{
    FILE *file = fopen(path, "r");
    if (!file) {
        return fail_io(path, "read", r->error);
    }
    char *line = NULL;
    size_t room = 0;
    cb_status status = CB_OK;
    for (int number = 1; status == CB_OK; number++) {
        const ssize_t length = getline(&line, &room, file);
        if (length <= 0 || line[length - 1] != '\n') {
            break; // the end, or what a kill left of a line
        }
        line[length - 1] = '\0';
        status = number == 1 ? check_heading(r, path, line) : take_line(r, path, number, line);
    }
    free(line);
    fclose(file);
    return status;
}

// ---- all of them -----------------------------------------------------------------------------

static bool all_digits(const char *text, size_t length)
{
    return length > 0 && strspn(text, "0123456789") >= length;
}

// "" and "-3-of-10" are what a journal's name may go on with.
static bool is_share(const char *rest)
{
    const char *of = *rest == '-' ? strstr(rest + 1, "-of-") : NULL;
    return !*rest || (of && all_digits(rest + 1, (size_t)(of - rest) - 1) &&
                      all_digits(of + 4, strlen(of + 4)));
}

typedef cb_status visit_journal(const void *context, const char *path);

static cb_status visit_all(const char *output, visit_journal *visit, const void *context,
                           size_t *found, cb_error *error)
{
    const char *slash = strrchr(output, '/');
    const char *name = slash ? slash + 1 : output;
    const int folder_length = slash ? (int)(slash - output) + 1 : 0;
    char folder[4096], path[4096 + 256];
    snprintf(folder, sizeof folder, "%.*s", folder_length, output);
    DIR *directory = opendir(*folder ? folder : ".");
    if (!directory) {
        return cb_fail_at(error, CB_IO, output, 0, 0, "its folder cannot be read: %s",
                          strerror(errno));
    }
    cb_status status = CB_OK;
    *found = 0;
    // NOLINTNEXTLINE(concurrency-mt-unsafe): the stream is this function's own
    for (struct dirent *at; status == CB_OK && (at = readdir(directory));) {
        const size_t length = strlen(name), tail = length + sizeof ending - 1;
        if (strncmp(at->d_name, name, length) == 0 && strlen(at->d_name) >= tail &&
            strncmp(at->d_name + length, ending, sizeof ending - 1) == 0 &&
            is_share(at->d_name + tail)) {
            snprintf(path, sizeof path, "%s%s", folder, at->d_name);
            (*found)++;
            status = visit ? visit(context, path) : CB_OK;
        }
    }
    closedir(directory);
    return status;
}

static cb_status visit_read(const void *context, const char *path)
{
    return read_journal(context, path);
}

static cb_status visit_remove(const void *context, const char *path)
{
    cb_error *error = ((const reading *)context)->error;
    return unlink(path) == 0 ? CB_OK : fail_io(path, "removed", error);
}

cb_status cbx_journals_read(const char *output, const char *key, cb_study_result *results,
                            size_t count, size_t *found, cb_error *error)
{
    const reading r = {.key = key, .results = results, .count = count, .error = error};
    return visit_all(output, key ? visit_read : NULL, &r, found, error);
}

cb_status cbx_journals_remove(const char *output, cb_error *error)
{
    const reading r = {.error = error};
    size_t found = 0;
    return visit_all(output, visit_remove, &r, &found, error);
}
