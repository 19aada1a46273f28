// SPDX-License-Identifier: MIT
#include "station_text.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>

static const long day_s = 86400;

bool station_number(const char *field, double *value)
{
    static const char *const missing[] = {"",  "na", "n/a", "nan",     "null", "none",
                                          "-", "m",  "--",  "missing", ".",    "*"};
    static const double codes[] = {-9999, -99999, -6999, -999, -99.9, -99, 9999, 99999};
    *value = NAN;
    for (size_t n = 0; n < sizeof missing / sizeof *missing; n++) {
        if (strcasecmp(field, missing[n]) == 0) {
            return true;
        }
    }
    char *end;
    const double read = strtod(field, &end);
    if (*end != '\0' || !isfinite(read)) {
        return false;
    }
    for (size_t n = 0; n < sizeof codes / sizeof *codes; n++) {
        if (fabs(read - codes[n]) < 1e-9) {
            return true;
        }
    }
    *value = read;
    return true;
}

static bool leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

bool station_day_number(int year, int month, int day_of_month, long *day)
{
    static const int before[] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365};
    if (year < 1800 || year > 2200 || month < 1 || month > 12) {
        return false;
    }
    const int leap_day = month == 2 && leap(year);
    const int length = before[month] - before[month - 1] + leap_day;
    const int last = year - 1, leaps = last / 4 - last / 100 + last / 400;
    const long new_year = 365L * (year - 1970) + leaps - 477; // leap years before 1970
    *day = new_year + before[month - 1] + (month > 2 && leap(year)) + day_of_month - 1;
    return day_of_month >= 1 && day_of_month <= length;
}

void station_calendar(long day, int *year, int *month, int *day_of_month, int *day_of_year)
{
    const time_t at = (time_t)day * day_s;
    struct tm date;
    gmtime_r(&at, &date);
    *year = date.tm_year + 1900;
    *month = date.tm_mon + 1;
    *day_of_month = date.tm_mday;
    *day_of_year = date.tm_yday < 364 ? date.tm_yday : 364;
}

// Digits from *at on, at most `most`; -1 if there is none.
static int digits(const char **at, int most)
{
    int value = -1;
    for (int n = 0; n < most && isdigit((unsigned char)**at); n++, (*at)++) {
        value = (value < 0 ? 0 : 10 * value) + (**at - '0');
    }
    return value;
}

bool station_clock(const char *field, int *minute)
{
    const char *at = field;
    int number = digits(&at, 4), minutes = number % 100;
    if (number < 0) {
        return false;
    }
    if (*at == ':') {
        at++;
        minutes = digits(&at, 2);
        number = 100 * number + minutes;
        if (minutes < 0) {
            return false;
        }
    }
    *minute = 60 * (number / 100) + minutes;
    if (*at == ':') {
        at++;
        digits(&at, 2);
        at += *at == '.' ? 1 + strspn(at + 1, "0123456789") : 0;
    }
    at += strspn(at, " ");
    const bool afternoon = strncasecmp(at, "pm", 2) == 0;
    if (afternoon || strncasecmp(at, "am", 2) == 0) {
        *minute = *minute % 720 + (afternoon ? 720 : 0);
    }
    // What is left may name a time zone; the stamps of a file are taken as they stand.
    return minutes < 60 && *minute <= 24 * 60;
}

bool station_date(const char *field, long *day, int *minute)
{
    const char *at = field;
    int year = digits(&at, 8), month, day_of_month;
    if (at - field == 8) {
        month = year / 100 % 100;
        day_of_month = year % 100;
        year /= 10000;
    } else {
        const char mark = *at;
        if ((mark != '-' && mark != '/') || year < 0) {
            return false;
        }
        const bool year_first = at - field == 4;
        at++;
        month = digits(&at, 2);
        if (*at++ != mark) {
            return false;
        }
        day_of_month = digits(&at, 4);
        if (!year_first) { // month/day/year
            const int last = day_of_month;
            day_of_month = month;
            month = year;
            year = last >= 100 ? last : last + (last < 50 ? 2000 : 1900);
        }
    }
    *minute = 0;
    if (!station_day_number(year, month, day_of_month, day)) {
        return false;
    }
    at += *at == 'T' ? 1 : strspn(at, " ");
    return *at == '\0' || station_clock(at, minute);
}
