// SPDX-License-Identifier: MIT
// Invented station files, made and removed by tests.
#ifndef VALIDATION_TEST_STATION_H
#define VALIDATION_TEST_STATION_H

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

#include "station.h"

// Opens a new file in the folder for temporary files; `path` takes its name.
static inline FILE *new_file(char path[64])
{
    snprintf(path, 64, "/tmp/coilbed_station_XXXXXX");
    const int file = mkstemp(path);
    assert_true(file >= 0);
    FILE *stream = fdopen(file, "w");
    assert_non_null(stream);
    return stream;
}

static inline void write_file(char path[64], const char *text)
{
    FILE *stream = new_file(path);
    fputs(text, stream);
    fclose(stream);
}

// Adds formatted text to the end of what is there.
__attribute__((format(printf, 3, 4))) static inline void add_text(char *text, size_t size,
                                                                  const char *format, ...)
{
    const size_t length = strlen(text);
    va_list arguments;
    va_start(arguments, format);
    // NOLINTNEXTLINE(clang-analyzer-valist.Uninitialized): started above
    const int added = vsnprintf(text + length, size - length, format, arguments);
    va_end(arguments);
    assert_in_range(added, 0, size - length - 1);
}

static inline void must_be(const char *what, double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) { // NaN fails
        fail_msg("%s: got %.10g, want %.10g within %.2g", what, got, want, tolerance);
    }
}

static inline void must_be_missing(const char *what, double got)
{
    if (!isnan(got)) {
        fail_msg("%s: got %.10g, want a missing value", what, got);
    }
}

#endif
