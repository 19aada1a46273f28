// SPDX-License-Identifier: MIT
#include "station_command.h"

#include "station_index.h"
#include "station_options.h"
#include "station_report.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { JUDGED = 0, TROUBLE = 2 };

static void print_error(const cb_error *error)
{
    fputs("coilbed-validate: ", stderr);
    if (error->file[0] != '\0') {
        fprintf(stderr, "%s:", error->file);
        if (error->line > 0) {
            fprintf(stderr, "%d:", error->line);
        }
        fputc(' ', stderr);
    }
    fprintf(stderr, "%s\n", error->message);
}

static void explain(void)
{
    station_rule_explain(stdout);
    fputs("Weather that is missing: up to 10 days by straight lines, longer by the mean of that\n"
          "calendar day over the other years, else by the station's own annual harmonic; rain by\n"
          "the mean of the 31 days around. A series of less than a year is filled on to 365 days.\n"
          "Days with filled weather are compared like the others; missing soil is not.\n"
          "Days become hours: lowest air at sunrise, highest 3 h after noon, solar as the\n"
          "extraterrestrial radiation, vapour, wind and rain evenly. Solar that was not measured,\n"
          "or is more than a sixth off what sunshine gives over all days: by sunshine or clouds\n"
          "(FAO-56 eq. 35), else by the air's daily range (eq. 50). Dew\n"
          "point without humidity: the day's lowest air. Wind that was not measured: 2 m/s at\n"
          "2 m; measured wind counts as at 10 m. Longwave by clouds, 1 - solar / clear-sky solar.\n"
          "At 1 m and deeper a day more than 2 K off the median of its week is left out.\n",
          stdout);
}

// Reads every file that can be read.
static void read_files(station_list *list, const station_options *options)
{
    for (int n = 0; n < options->files; n++) {
        cb_error error = {0};
        if (station_read(list, options->file[n], &error) != CB_OK) {
            print_error(&error);
        }
    }
}

// The number judged.
static int judge_all(const station_list *list, const station_index *index,
                     const station_options *options, station_verdict *verdicts)
{
    int judged = 0;
    for (int n = 0; n < list->count; n++) {
        const station *one = &list->one[n];
        const char *flag = station_index_flag(index, one);
        if (flag) {
            fprintf(stderr, "coilbed-validate: %s left out: %s\n", one->name, flag);
            continue;
        }
        cb_error error = {0};
        station_verdict *verdict = &verdicts[judged];
        if (station_judge(verdict, one, &options->choice, &error) == CB_OK) {
            judged++;
            if (!options->json) {
                station_print_text(verdict, stdout);
                fflush(stdout);
            }
        } else {
            print_error(&error);
            station_verdict_free(verdict);
        }
    }
    return judged;
}

static bool write_series(const char *path, const station_verdict *verdicts, int judged)
{
    FILE *file = fopen(path, "w");
    bool ok = file != NULL;
    if (file) {
        station_print_series(verdicts, judged, file);
        ok = !ferror(file);
        ok = fclose(file) == 0 && ok;
    }
    if (!ok) {
        fprintf(stderr, "coilbed-validate: %s: cannot be written: %s\n", path, strerror(errno));
    }
    return ok;
}

static int report(const station_options *options, const station_verdict *verdicts, int judged)
{
    if (judged == 0) {
        fputs("coilbed-validate: no station could be judged\n", stderr);
        return TROUBLE;
    }
    if (options->json) {
        station_print_json(verdicts, judged, stdout);
    } else {
        station_print_summary(verdicts, judged, stdout);
    }
    return options->series && !write_series(options->series, verdicts, judged) ? TROUBLE : JUDGED;
}

static int judge_files(const station_options *options, const station_index *index)
{
    station_list list = {0};
    read_files(&list, options);
    int status = TROUBLE;
    station_verdict *verdicts = calloc((size_t)list.count + 1, sizeof *verdicts);
    if (verdicts) {
        const int judged = judge_all(&list, index, options, verdicts);
        status = report(options, verdicts, judged);
        for (int n = 0; n < judged; n++) {
            station_verdict_free(&verdicts[n]);
        }
    } else {
        fputs("coilbed-validate: out of memory\n", stderr);
    }
    free(verdicts);
    station_list_free(&list);
    return status;
}

int station_command(int argc, char **argv)
{
    station_options options;
    const int early = station_options_read(&options, argc, argv);
    if (early >= 0) {
        return early;
    }
    if (options.explain) {
        explain();
        if (options.files == 0) {
            return JUDGED;
        }
    }
    station_index index = {0};
    cb_error error = {0};
    int status = TROUBLE;
    if (options.index && station_index_read(&index, options.index, &error) != CB_OK) {
        print_error(&error);
    } else {
        status = judge_files(&options, &index);
    }
    station_index_free(&index);
    return status;
}
