// SPDX-License-Identifier: MIT
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/output.h"
#include "cli/weather.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int fail(const cli_weather_options *options, const char *path, const char *what)
{
    cb_error error = {0};
    cb_fail(&error, CB_IO, "%s %s", path, what);
    return cli_fail(&options->common, &error);
}

static bool is_same_file(const char *one, const char *other)
{
    struct stat a, b;
    return stat(one, &a) == 0 && stat(other, &b) == 0 && a.st_dev == b.st_dev &&
           a.st_ino == b.st_ino;
}

/// Opens a file that must not exist or, with --force, may replace what is no input. O_EXCL: looking
/// first and opening later could overwrite.
static FILE *open_new(const cli_weather_source *source, const cli_weather_options *all,
                      cb_error *error)
{
    const cli_options *options = &all->common;
    const char *path = options->output;
    if (all->site_of && is_same_file(path, all->site_of)) {
        cb_fail(error, CB_IO, "%s is the design of --site-of; name another file with -o", path);
        return NULL;
    }
    if (options->force && cli_output_allowed(path, source->design, true, error) != CB_OK) {
        return NULL;
    }
    const int handle = open(path, O_WRONLY | O_CREAT | (options->force ? O_TRUNC : O_EXCL), 0666);
    if (handle < 0) {
        const int cause = errno;
        cb_fail(error, CB_IO,
                cause == EEXIST ? "%s exists already; --force replaces it"
                                : "%s could not be written: %s",
                path, strerror(cause));
        return NULL;
    }
    FILE *stream = fdopen(handle, "w");
    if (!stream) {
        close(handle);
        cb_fail(error, CB_IO, "%s could not be written: %s", path, strerror(errno));
    }
    return stream;
}

/// The path to write into a design: its own folder's files by name, others whole. Owned.
static char *path_for_design(const cb_design *design, const char *output)
{
    char *whole = realpath(output, NULL);
    char *home = design->path[0] ? realpath(design->path, NULL) : NULL;
    if (whole && home) {
        const char *name = strrchr(whole, '/') + 1;
        const size_t folder = (size_t)(name - whole);
        const char *last = strrchr(home, '/');
        if ((size_t)(last - home) + 1 == folder && strncmp(whole, home, folder) == 0) {
            memmove(whole, name, strlen(name) + 1);
        }
    }
    free(home);
    return whole;
}

static void print_quoted(const char *text)
{
    putchar('"');
    for (; *text; text++) {
        if (*text == '"' || *text == '\\') {
            putchar('\\');
        }
        putchar(*text);
    }
    putchar('"');
}

/// The block that reads the file back.
static void print_block(const cb_weather_csv *csv, const cb_design *design, const char *path,
                        const bool written[CB_COLUMN_COUNT])
{
    fputs("\nweather:\n  file: ", stdout);
    print_quoted(path);
    fputs("\n  format: columns\n  columns:\n", stdout);
    for (int i = 0; i < CB_COLUMN_COUNT; i++) {
        if (!written[i]) {
            continue;
        }
        const cb_weather_column_name *name = cb_weather_column_of((cb_weather_column)i);
        printf("    %s: {column: \"%s\"", name->key, name->heading);
        printf(name->unit ? ", unit: %s}" : "}", name->unit);
        puts(i == CB_COLUMN_LONGWAVE && !cli_longwave_is_measured(design)
                 ? "  # reckoned from clouds, not measured"
                 : "");
    }
    printf("    hour: beginning\n    first: %02d-%02d\n", csv->first_month, csv->first_day);
}

static int close_and_tell(const cli_weather_source *source, const cli_weather_options *options,
                          const cb_weather_csv *csv, const bool written[CB_COLUMN_COUNT])
{
    char *path = path_for_design(source->design, options->common.output);
    if (!path) {
        return fail(options, options->common.output, "could not be found again");
    }
    const long years = csv->hours / CB_YEAR_HOURS;
    printf("Wrote %s: %ld hours, %ld year%s. The years in its time column, from %d on, are only\n"
           "counted; none has a 29 February. To read it in a design:\n",
           options->common.output, csv->hours, years, years == 1 ? "" : "s", csv->first_year);
    print_block(csv, source->design, path, written);
    free(path);
    return CLI_HELD;
}

int cli_weather_write(const cli_weather_source *source, const cli_weather_options *options,
                      const cb_weather_csv *csv)
{
    cb_error error = {0};
    bool written[CB_COLUMN_COUNT];
    FILE *stream = open_new(source, options, &error);
    if (!stream) {
        return cli_fail(&options->common, &error);
    }
    cb_status status = cb_weather_write_csv(csv, stream, written, &error);
    if (fclose(stream) != 0 && status == CB_OK) {
        status = cb_fail(&error, CB_IO, "the weather could not be written: %s", strerror(errno));
    }
    if (status != CB_OK) {
        remove(options->common.output); // half of a file is of no use
        const cb_error bare = error;
        cb_fail_at(&error, bare.status, options->common.output, 0, 0, "%s", bare.message);
        return cli_fail(&options->common, &error);
    }
    return close_and_tell(source, options, csv, written);
}
