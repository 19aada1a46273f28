// SPDX-License-Identifier: MIT
#include "winter_command.h"

#include "winter_case.h"

#include <errno.h>
#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WITHIN = 0, MISSED = 1, TROUBLE = 2 };
static const double coldest_target_k = 0.25, rms_target_k = 0.15;

// The denser the pipe the less a metre of it can give.
static const winter_case cases[] = {
    {"coil 0.25 m, 1.2 m", CB_FLAT_COIL, 0.9144, 0.25, 1.2, 0, {{0.0, 0.0}}, 8.0},
    {"coil 0.25 m, 2.4 m", CB_FLAT_COIL, 0.9144, 0.25, 2.4, 0, {{0.0, 0.0}}, 10.0},
    {"coil 0.5 m, 1.2 m", CB_FLAT_COIL, 0.9144, 0.5, 1.2, 0, {{0.0, 0.0}}, 13.0},
    {"coil 0.5 m, 2.4 m", CB_FLAT_COIL, 0.9144, 0.5, 2.4, 0, {{0.0, 0.0}}, 16.0},
    {"coil 1.0 m, 1.2 m", CB_FLAT_COIL, 0.9144, 1.0, 1.2, 0, {{0.0, 0.0}}, 20.0},
    {"coil 1.0 m, 2.4 m", CB_FLAT_COIL, 0.9144, 1.0, 2.4, 0, {{0.0, 0.0}}, 26.0},
    {"coil 1.4 m, 1.2 m", CB_FLAT_COIL, 0.9144, 1.4, 1.2, 0, {{0.0, 0.0}}, 24.0},
    {"coil 1.4 m, 2.4 m", CB_FLAT_COIL, 0.9144, 1.4, 2.4, 0, {{0.0, 0.0}}, 30.0},
    {"upright coil 0.6 m, 1.5 m", CB_UPRIGHT_COIL, 0.9144, 0.6, 1.5, 0, {{0.0, 0.0}}, 15.0},
    {"four straight pipes",
     CB_STRAIGHT,
     0.0,
     0.0,
     1.5,
     4,
     {{-0.3, 1.8}, {0.3, 1.8}, {0.3, 1.2}, {-0.3, 1.2}},
     20.0},
};
enum { CASES = sizeof cases / sizeof *cases };

static const char usage[] =
    "Usage: coilbed-validate winter [OPTION]...\n"
    "Takes heat from buried pipe through a January of the invented starter site and compares the\n"
    "pipe wall of the program's two-scale model with that of a three-dimensional grid of half a\n"
    "turn. All cases take about twenty minutes.\n\n"
    "  --case NAME    only the cases whose name contains NAME\n"
    "  --fine         cells of two thirds the size, finer steps: how far the grid itself is off\n"
    "  --series FILE  write the hourly series (CSV)\n"
    "  --markdown     print the table as Markdown\n"
    "  --help         print this\n\n"
    "Exit status: 0 coldest within 0.25 K and root mean square within 0.15 K in every case, 1 "
    "not,\n"
    "2 nothing could be computed.\n";

typedef struct winter_options {
    const char *filter, *series;
    bool fine, markdown;
} winter_options;

static int read_options(winter_options *out, int argc, char **argv)
{
    static const struct option known[] = {
        {"case", required_argument, NULL, 'c'},   {"fine", no_argument, NULL, 'f'},
        {"series", required_argument, NULL, 's'}, {"markdown", no_argument, NULL, 'm'},
        {"help", no_argument, NULL, 'h'},         {0}};
    *out = (winter_options){.filter = ""};
    optind = 1;
    for (int c; (c = getopt_long(argc, argv, "", known, NULL)) != -1;) {
        switch (c) {
            case 'c':
                out->filter = optarg;
                break;
            case 'f':
                out->fine = true;
                break;
            case 's':
                out->series = optarg;
                break;
            case 'm':
                out->markdown = true;
                break;
            case 'h':
                fputs(usage, stdout);
                return WITHIN;
            default:
                fputs(usage, stderr);
                return TROUBLE;
        }
    }
    if (optind < argc) {
        fprintf(stderr, "coilbed-validate: winter: unexpected argument \"%s\"\n", argv[optind]);
        return TROUBLE;
    }
    return -1;
}

static void print_heading(const winter_options *options)
{
    if (options->markdown) {
        puts("| case | peak W/m | coldest, two-scale °C | resolved °C | difference K | rms K | "
             "largest K | frozen m³/m | cells | CPU s |\n"
             "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        return;
    }
    printf("%-20s %8s %10s %9s %8s %7s %9s %8s %8s %9s %6s\n", "case", "peak W/m", "coldest C",
           "resolved", "diff. K", "rms K", "largest K", "frozen", "cells", "missing", "CPU s");
}

static void print_row(const winter_options *options, const winter_case *one,
                      const winter_result *of)
{
    const double difference_k = of->two_scale_coldest_c - of->resolved_coldest_c;
    if (options->markdown) {
        printf("| %s | %g | %.2f | %.2f | %+.2f | %.2f | %+.2f | %.4f | %d | %.0f |\n", one->name,
               one->peak_w_m, of->two_scale_coldest_c, of->resolved_coldest_c, difference_k,
               of->rms_k, of->largest_k, of->frozen_m3_m, of->cells, of->seconds);
    } else {
        printf("%-20s %8g %10.2f %9.2f %+8.2f %7.2f %+9.2f %8.4f %8d %9.1e %6.0f\n", one->name,
               one->peak_w_m, of->two_scale_coldest_c, of->resolved_coldest_c, difference_k,
               of->rms_k, of->largest_k, of->frozen_m3_m, of->cells, of->missing_heat, of->seconds);
    }
    fflush(stdout);
}

static void write_series(FILE *file, const winter_month *month, const winter_case *one,
                         const winter_result *of)
{
    for (int h = 0; h < WINTER_HOURS; h++) {
        fprintf(file, "\"%s\",%d,%.4f,%.4f,%.4f\n", one->name, h + 1,
                one->peak_w_m * winter_month_share(month, 3600.0 * (h + 1)), of->two_scale_c[h],
                of->resolved_c[h]);
    }
}

// Written so that NaN misses.
static bool within(const winter_result *of)
{
    return fabs(of->two_scale_coldest_c - of->resolved_coldest_c) <= coldest_target_k &&
           of->rms_k <= rms_target_k;
}

static int run_cases(const winter_options *options, const winter_month *month, FILE *series)
{
    int run = 0, status = WITHIN;
    print_heading(options);
    for (int n = 0; n < CASES; n++) {
        winter_result result;
        cb_error error = {0};
        if (!strstr(cases[n].name, options->filter)) {
            continue;
        }
        run++;
        if (!winter_case_run(&cases[n], month, options->fine ? &winter_fine : &winter_plain,
                             &result, &error)) {
            fprintf(stderr, "coilbed-validate: winter: %s\n", error.message);
            return TROUBLE;
        }
        print_row(options, &cases[n], &result);
        status = within(&result) ? status : MISSED;
        if (series) {
            write_series(series, month, &cases[n], &result);
        }
    }
    if (run == 0) {
        fprintf(stderr, "coilbed-validate: winter: no case has \"%s\" in its name; names are\n",
                options->filter);
        for (int n = 0; n < CASES; n++) {
            fprintf(stderr, "  %s\n", cases[n].name);
        }
    }
    return run > 0 ? status : TROUBLE;
}

int winter_command(int argc, char **argv)
{
    winter_options options;
    const int early = read_options(&options, argc, argv);
    if (early >= 0) {
        return early;
    }
    FILE *series = options.series ? fopen(options.series, "w") : NULL;
    if (options.series && !series) {
        fprintf(stderr, "coilbed-validate: winter: %s: cannot be written: %s\n", options.series,
                strerror(errno));
        return TROUBLE;
    }
    if (series) {
        fputs("case,hour,heat_taken_w_m,two_scale_c,resolved_c\n", series);
    }
    cb_error error = {0};
    winter_month *month = winter_month_create(&error);
    int status = TROUBLE;
    if (month) {
        status = run_cases(&options, month, series);
    } else {
        fprintf(stderr, "coilbed-validate: winter: %s\n", error.message);
    }
    winter_month_destroy(month);
    if (series && fclose(series) != 0) {
        fprintf(stderr, "coilbed-validate: winter: %s: cannot be written\n", options.series);
        status = TROUBLE;
    }
    return status;
}
