// SPDX-License-Identifier: MIT
// Text tables, plain or compressed: lines cut into fields, numbers, dates.
#ifndef VALIDATION_STATION_TEXT_H
#define VALIDATION_STATION_TEXT_H

#include "coilbed/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { STATION_MOST_FIELDS = 256 };

typedef struct station_text {
    const char *path;
    char *bytes;              // the whole file; a line is cut into fields in place
    size_t size, start, next; // start: of the present line
    int line;                 // 1-based, of the fields below
    char separator;           // ',' ';' '\t', or ' ' for runs of blanks
    int fields;
    char *field[STATION_MOST_FIELDS];
} station_text;

// Reads the file. Errors: CB_IO if it cannot be read or decompressed, CB_BAD_INPUT if it is empty
// or no text. Call station_text_close in every case.
cb_status station_text_open(station_text *text, const char *path, cb_error *error);
void station_text_close(station_text *text);

// Cuts the next line that is neither blank nor a comment (#); false at the end of the file. The
// separator is the one the line itself shows when `detect` is true, else the last one detected.
bool station_text_next(station_text *text, bool detect);

// Takes the present line back, so that it comes next again.
void station_text_again(station_text *text);

// Fails at the present line.
cb_status station_text_fail(const station_text *text, cb_error *error, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

// The field's number; NaN for an empty field, a word for "missing" or a code of nines (-9999,
// -99.000, -6999 ...). False if it is something else.
bool station_number(const char *field, double *value);

// Days since 1970-01-01 and minutes of the day of "2020-01-31", "20200131", "1/31/20", each with or
// without a time of day after it; *minute is 0 without one. False if it is no date.
bool station_date(const char *field, long *day, int *minute);

// Minutes of "0130", "130", "1:30", "01:30:00"; false if it is no time of day.
bool station_clock(const char *field, int *minute);

// Year, month, day and day of year (0..364, the last for both last days of a leap year).
void station_calendar(long day, int *year, int *month, int *day_of_month, int *day_of_year);

// Days since 1970-01-01; false if there is no such date.
bool station_day_number(int year, int month, int day_of_month, long *day);

#endif
