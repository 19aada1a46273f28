// SPDX-License-Identifier: MIT
/// Strict reading of comma-separated text, with the line and column of every field.
#ifndef WEATHER_CSV_H
#define WEATHER_CSV_H

#include "coilbed/status.h"

#include <locale.h>
#include <stdbool.h>
#include <stddef.h>

typedef struct cbx_csv_field {
    const char *text; ///< terminated, without quotes and surrounding blanks
    int column;       ///< 1-based byte of the line where it begins
} cbx_csv_field;

/// What a unit in a heading measures.
typedef enum cbx_measure {
    CBX_NO_MEASURE, ///< headings are not looked into
    CBX_MEASURE_TEMPERATURE,
    CBX_MEASURE_FLUX,
    CBX_MEASURE_SPEED,
    CBX_MEASURE_LENGTH,
    CBX_MEASURE_SHARE,
    CBX_MEASURE_ENERGY ///< per area, summed over a row's interval
} cbx_measure;

typedef struct cbx_csv {
    const char *path;
    char *text; ///< the whole file, cut into fields as it is read
    size_t size, next;
    int line;             ///< 1-based, of the fields below
    cbx_csv_field *field; ///< [count]
    int count, capacity;
    bool notes_follow; ///< given after opening: a blank line ends the data
    locale_t c_locale; ///< numbers are read with a decimal point whatever the caller's locale
    char sha256[65];   ///< of the file's bytes
} cbx_csv;

/// One wanted column of numbers.
typedef struct cbx_column {
    const char *name;      ///< as in the file's row of names
    const char *key;       ///< where the design names the column, for messages; or NULL
    double scale, offset;  ///< SI value = offset + scale * number in the file
    double low, high;      ///< accepted SI values
    const char *unit_name; ///< of low and high
    int index;             ///< found by cbx_csv_find
    // for the check of a unit in the heading
    cbx_measure measure;
    const char *unit;     ///< as the design gives it; NULL: unit_name is the file's unit too
    const char *unit_key; ///< where the design gives it; or NULL
    double per_si;        ///< unit_name is this many times finer than the SI unit
    bool sums;            ///< filled: the heading says that rows hold sums over an hour
} cbx_column;

/// Reads the file into memory. Errors: CB_IO; CB_BAD_INPUT for an empty, compressed or binary
/// file. Call cbx_csv_close in every case.
cb_status cbx_csv_open(cbx_csv *csv, const char *path, cb_error *error);
void cbx_csv_close(cbx_csv *csv);

/// Passes over `count` lines without looking into them.
cb_status cbx_csv_skip(cbx_csv *csv, int count, cb_error *error);

/// Cuts the next line into fields; *more is false at the end of the file (blank lines at the end
/// are ignored, blank lines before it are refused unless notes_follow).
cb_status cbx_csv_next(cbx_csv *csv, bool *more, cb_error *error);

/// Finds the column's index among the present fields, which are the names.
cb_status cbx_csv_find(const cbx_csv *csv, cbx_column *column, cb_error *error);

/// The column's number in the present line, in SI and within its limits.
cb_status cbx_csv_number(const cbx_csv *csv, const cbx_column *column, double *si, cb_error *error);

/// A plain decimal number, whole; false for anything else ("nan" and "inf" too).
bool cbx_csv_real(const cbx_csv *csv, const char *text, double *number);

/// Fails at field `index` of the present line.
cb_status cbx_csv_fail(const cbx_csv *csv, int index, cb_error *error, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/// Lower-case hexadecimal SHA-256, terminated.
void cbx_sha256(const void *bytes, size_t size, char text[65]);

#endif
