// SPDX-License-Identifier: MIT
// Written beside its place under another name and moved there at the end, so that a full disk or a
// broken run never leaves half a page.
#include "report/run.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static cb_status cannot_write(const char *path, cb_error *error)
{
    return cb_fail(error, CB_IO, "%s cannot be written: %s", path, strerror(errno));
}

bool cbx_report_same_file(const char *a, const char *b)
{
    struct stat found_a, found_b;
    return stat(a, &found_a) == 0 && stat(b, &found_b) == 0 && found_a.st_dev == found_b.st_dev &&
           found_a.st_ino == found_b.st_ino;
}

bool cbx_report_file_begins(const char *path, const char *with)
{
    enum { LONGEST = 64 };
    char head[LONGEST];
    FILE *file = fopen(path, "rb");
    if (!file) {
        return true; // nothing there that could be lost, or the writing will say why not
    }
    const size_t there = fread(head, 1, strlen(with) < LONGEST ? strlen(with) : LONGEST, file);
    fclose(file);
    return there == 0 || strncmp(head, with, there) == 0;
}

cb_status cbx_report_file_open(cbx_report_file *file, const char *path, cb_error *error)
{
    *file = (cbx_report_file){.path = path};
    struct stat found;
    if (stat(path, &found) == 0 && !S_ISREG(found.st_mode)) {
        return cb_fail(error, CB_IO, "%s is not a plain file; name another one", path);
    }
    const size_t size = strlen(path) + 40;
    file->temporary = malloc(size);
    if (!file->temporary) {
        return cb_fail(error, CB_NO_MEMORY, "out of memory");
    }
    snprintf(file->temporary, size, "%s.%ld.new", path, (long)getpid());
    file->stream = fopen(file->temporary, "w");
    if (!file->stream) {
        const cb_status status = cannot_write(path, error);
        free(file->temporary);
        file->temporary = NULL;
        return status;
    }
    return CB_OK;
}

cb_status cbx_report_file_close(cbx_report_file *file, bool good, cb_error *error)
{
    if (!file->stream) {
        return CB_OK;
    }
    errno = 0;
    bool written = fflush(file->stream) == 0 && !ferror(file->stream);
    written = fclose(file->stream) == 0 && written;
    cb_status status = CB_OK;
    if (!written || (good && rename(file->temporary, file->path) != 0)) {
        status = cannot_write(file->path, error);
    }
    if (!good || status != CB_OK) {
        unlink(file->temporary);
    }
    free(file->temporary);
    *file = (cbx_report_file){0};
    return status;
}
