// SPDX-License-Identifier: MIT
/// Text files made, spoilt and removed by tests; comparisons that print got and wanted.
#ifndef TESTS_WEATHER_SUPPORT_H
#define TESTS_WEATHER_SUPPORT_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "coilbed/weather.h"

enum { MOST_LINES = 36000, LINE_SIZE = 256 };

/// Lines of a file to be, 0-based; line n of a message is text[n - 1].
typedef struct lines {
    int count;
    char (*text)[LINE_SIZE];
    char path[64];
} lines;

static inline lines lines_create(void)
{
    lines l = {.text = calloc(MOST_LINES, sizeof *l.text), .path = "/tmp/coilbed_test_XXXXXX"};
    assert_non_null(l.text);
    const int file = mkstemp(l.path);
    assert_true(file >= 0);
    close(file);
    return l;
}

static inline void lines_destroy(lines *l)
{
    remove(l->path);
    free(l->text);
}

__attribute__((format(printf, 2, 3))) static inline void lines_add(lines *l, const char *format,
                                                                   ...)
{
    assert_true(l->count < MOST_LINES);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(l->text[l->count++], LINE_SIZE, format, arguments);
    va_end(arguments);
}

/// Fills the file with the first lines of measured weather, all of them if most is 0. False, with
/// "skipped" printed, where there is none.
static inline bool lines_measured(const lines *l, const char *name, int most)
{
    const char *folder = getenv("COILBED_DATA");
    if (!folder) {
        print_message("skipped: COILBED_DATA is not set\n");
        return false;
    }
    char command[640];
    snprintf(command, sizeof command, "gzip -dc '%s/weather/%s.csv.gz' | head -n %d > '%s'", folder,
             name, most ? most : MOST_LINES, l->path);
    assert_int_equal(system(command), 0);
    return true;
}

static inline void lines_remove(lines *l, int at)
{
    memmove(l->text[at], l->text[at + 1], (size_t)(l->count - at - 1) * LINE_SIZE);
    l->count--;
}

static inline void lines_repeat(lines *l, int at)
{
    memmove(l->text[at + 1], l->text[at], (size_t)(l->count - at) * LINE_SIZE);
    l->count++;
}

/// Replaces the first `from` in a line.
static inline void lines_change(lines *l, int at, const char *from, const char *to)
{
    char rest[LINE_SIZE];
    char *place = strstr(l->text[at], from);
    assert_non_null(place);
    snprintf(rest, sizeof rest, "%s", place + strlen(from));
    snprintf(place, LINE_SIZE - (size_t)(place - l->text[at]), "%s%s", to, rest);
}

static inline void lines_write(const lines *l, const char *line_end)
{
    FILE *file = fopen(l->path, "wb");
    assert_non_null(file);
    for (int i = 0; i < l->count; i++) {
        fputs(l->text[i], file);
        fputs(line_end, file);
    }
    assert_int_equal(fclose(file), 0);
}

/// Got, wanted and what; NaN fails.
static inline void close_to(const char *what, double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        fail_msg("%s: got %.12g, want %.12g within %.3g", what, got, want, tolerance);
    }
}

static inline void says(const char *text, const char *part)
{
    if (!strstr(text, part)) {
        fail_msg("got \"%s\", want \"%s\" in it", text, part);
    }
}

/// What a failed reading must say, and where.
typedef struct refusal {
    cb_status status;
    int line, column; // -1: any
    const char *message;
} refusal;

static inline void refused(const cb_error *error, const refusal *want)
{
    if (error->status != want->status || (want->line >= 0 && error->line != want->line) ||
        (want->column >= 0 && error->column != want->column) ||
        !strstr(error->message, want->message)) {
        fail_msg("got status %d at %s:%d:%d \"%s\"\nwant status %d at %d:%d \"%s\"",
                 (int)error->status, error->file, error->line, error->column, error->message,
                 (int)want->status, want->line, want->column, want->message);
    }
}

/// Fargo's place; a generated year of a cold plain, all values invented for the tests.
static inline cb_design cold_plain_design(void)
{
    static const double air[] = {-13, -10, -3, 6, 13, 19, 21, 20, 15, 7, -2, -10};
    static const double solar_mj[] = {6, 9, 13.5, 17, 20, 22, 22.5, 19, 14, 9, 6, 5};
    static const double rain_mm[] = {16, 15, 25, 36, 70, 95, 80, 60, 55, 45, 24, 18};
    cb_design design = {.path = ""};
    design.site = (cb_site){46.9, -96.8, 274, -6};
    design.run = (cb_design_run){.years = 3, .start_month = 7, .start_day = 1};
    design.weather.seed = 7;
    cb_normals *n = &design.weather.normals;
    n->name = "a test plain";
    for (int m = 0; m < CB_MONTHS; m++) {
        n->air_temperature_c[m] = air[m];
        n->daily_range_k[m] = m >= 3 && m <= 9 ? 12 : 9.5;
        n->solar_j_m2_day[m] = solar_mj[m] * 1e6;
        n->dew_point_c[m] = air[m] - (m >= 3 && m <= 9 ? 7 : 4);
        n->wind_m_s[m] = 5;
        n->day_to_day_k[m] = m >= 3 && m <= 9 ? 4 : 7;
        n->precipitation_kg_m2[m] = rain_mm[m];
    }
    return design;
}

#endif
