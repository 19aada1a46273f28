// SPDX-License-Identifier: MIT
#include "cli/output.h"

#include "coilbed/dataset.h"
#include "coilbed/record.h"
#include "report/run.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

char *cli_output_path(const cli_options *options, const char *ending)
{
    if (options->output) {
        return strdup(options->output);
    }
    const char *slash = strrchr(options->operand, '/');
    const char *name = slash ? slash + 1 : options->operand;
    const char *dot = strrchr(name, '.');
    const size_t stem = dot && dot > name ? (size_t)(dot - name) : strlen(name);
    const size_t size = stem + strlen(ending) + 1;
    char *path = malloc(size);
    if (path) {
        snprintf(path, size, "%.*s%s", (int)stem, name, ending);
    }
    return path;
}

static bool is_same_file(const struct stat *found, const char *other)
{
    struct stat input;
    return other && stat(other, &input) == 0 && input.st_dev == found->st_dev &&
           input.st_ino == found->st_ino;
}

static bool is_input(const struct stat *found, const cb_design *design)
{
    const char *climate = cb_design_where(design, "weather.normals.air_temperature").file;
    return is_same_file(found, design->path) || is_same_file(found, climate) ||
           is_same_file(found, design->weather.file) || is_same_file(found, design->house.file);
}

/// An earlier run of this program, whole or cut short.
static bool is_run(const char *path)
{
    cb_run_data *data;
    const bool readable = cb_record_read(&data, path, NULL) == CB_OK;
    cb_run_data_destroy(data);
    return readable;
}

static cb_status folder_allowed(const char *path, cb_error *error)
{
    const char *slash = strrchr(path, '/');
    const size_t length = slash ? (size_t)(slash - path) + 1 : 0;
    char *folder = malloc(length + sizeof ".");
    if (!folder) {
        return cb_fail(error, CB_NO_MEMORY, "out of memory");
    }
    // "." for the current folder, "a/b/." otherwise
    snprintf(folder, length + sizeof ".", "%.*s.", (int)length, path);
    const cb_status result =
        access(folder, W_OK | X_OK) == 0
            ? CB_OK
            : cb_fail(error, CB_IO, "%s cannot be written: %s", path, strerror(errno));
    free(folder);
    return result;
}

/// CB_OK if nothing is there and it can be made; `found` is filled if something is.
static cb_status look_at(const char *path, struct stat *found, bool *there, cb_error *error)
{
    *there = stat(path, found) == 0;
    if (*there) {
        return CB_OK;
    }
    return errno == ENOENT
               ? folder_allowed(path, error)
               : cb_fail(error, CB_IO, "%s cannot be written: %s", path, strerror(errno));
}

static cb_status plain_allowed(const char *path, const struct stat *found, cb_error *error)
{
    if (!S_ISREG(found->st_mode)) {
        return cb_fail(error, CB_IO, "%s is not a plain file; name another one with -o", path);
    }
    if (access(path, W_OK) != 0) {
        return cb_fail(error, CB_IO, "%s cannot be written: %s", path, strerror(errno));
    }
    return CB_OK;
}

cb_status cli_output_allowed(const char *path, const cb_design *design, bool force, cb_error *error)
{
    struct stat found;
    bool there;
    cb_status status = look_at(path, &found, &there, error);
    if (status != CB_OK || !there) {
        return status;
    }
    if (is_input(&found, design)) {
        return cb_fail(error, CB_IO, "%s is an input of this run; name another file with -o", path);
    }
    status = plain_allowed(path, &found, error);
    if (status == CB_OK && found.st_size > 0 && !force && !is_run(path)) {
        return cb_fail(error, CB_IO, "%s exists and is not a run of coilbed; --force replaces it",
                       path);
    }
    return status;
}

static bool is_table(const char *path, const char *head)
{
    if (head) {
        return cbx_report_file_begins(path, head);
    }
    char *title = NULL;
    const bool ok = cb_dataset_read_note(&title, path, "title", NULL) == CB_OK && !is_run(path);
    free(title);
    return ok;
}

cb_status cli_table_allowed(const char *path, const char *head, const cli_options *options,
                            cb_error *error)
{
    struct stat found;
    bool there;
    cb_status status = look_at(path, &found, &there, error);
    if (status != CB_OK || !there) {
        return status;
    }
    for (size_t i = 0; i < options->operand_count; i++) {
        if (is_same_file(&found, options->operands[i])) {
            return cb_fail(error, CB_IO, "%s is an input; name another file for the table", path);
        }
    }
    status = plain_allowed(path, &found, error);
    if (status == CB_OK && found.st_size > 0 && !options->force && !is_table(path, head)) {
        return cb_fail(error, CB_IO, "%s exists and is no such table; --force replaces it", path);
    }
    return status;
}
