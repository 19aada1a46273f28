// SPDX-License-Identifier: MIT
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/weather.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

static FILE *open_new(const char *path, bool force)
{
    const int handle =
        open(path, O_WRONLY | O_CREAT | (force ? O_TRUNC : O_EXCL), 0666); // no look first
    FILE *stream = handle >= 0 ? fdopen(handle, "w") : NULL;
    if (!stream && handle >= 0) {
        close(handle);
    }
    return stream;
}

static void print_columns(const char *path, const cb_weather_csv *csv,
                          const bool written[CB_COLUMN_COUNT])
{
    printf("Wrote %s. In a design it is read by\n\nweather:\n  file: %s\n  format: columns\n"
           "  columns:\n",
           path, path);
    for (int n = 0; n < CB_COLUMN_COUNT; n++) {
        const cb_weather_column_name *name = cb_weather_column_of((cb_weather_column)n);
        if (!written[n]) {
            continue;
        }
        printf("    %s: {column: \"%s\"", name->key, name->heading);
        if (name->unit) {
            printf(", unit: %s", name->unit);
        }
        puts("}");
    }
    printf("    first: %02d-%02d\n", csv->first_month, csv->first_day);
}

static void print_notes(const cli_options *options, const cb_run_weather *run)
{
    for (int n = 0; n < cb_run_weather_note_count(run); n++) {
        char text[CLI_SHOWN_SIZE];
        cb_run_weather_note(run, n, options->units, text, sizeof text);
        printf("%s\n", text);
    }
}

int cli_weather_write(const cli_options *options, const cb_weather_csv *csv,
                      const cli_weather_input *input)
{
    FILE *stream = open_new(options->output, options->force);
    if (!stream) {
        return errno == EEXIST
                   ? cli_complain("%s exists already; it was left as it is (--force replaces it)",
                                  options->output)
                   : cli_complain("%s could not be written: %s", options->output, strerror(errno));
    }
    bool written[CB_COLUMN_COUNT];
    cb_error error = {0};
    const cb_status status = cb_weather_write_csv(csv, stream, written, &error);
    if (fclose(stream) != 0 && status == CB_OK) {
        return cli_complain("%s could not be written: %s", options->output, strerror(errno));
    }
    if (status != CB_OK) {
        return cli_fail(options, &error);
    }
    if (!options->quiet) {
        print_columns(options->output, csv, written);
        if (csv->context == input->run_weather) {
            print_notes(options, input->run_weather);
        }
    }
    return CLI_HELD;
}
