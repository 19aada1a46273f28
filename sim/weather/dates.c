// SPDX-License-Identifier: MIT
#include "weather/dates.h"
#include "weather/calendar.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

// `rest` follows the minutes; "am" or "pm" in it says that the hour is one of twelve.
static int on_24_hours(int hour, const char *rest)
{
    rest += strspn(rest, ":0123456789 ");
    if (strncasecmp(rest, "am", 2) == 0) {
        return hour % 12;
    }
    return strncasecmp(rest, "pm", 2) == 0 ? hour % 12 + 12 : hour;
}

int cbx_clock_minute(const char *text)
{
    for (const char *colon = strchr(text, ':'); colon; colon = strchr(colon + 1, ':')) {
        if (colon == text || !isdigit((unsigned char)colon[-1]) ||
            !isdigit((unsigned char)colon[1]) || !isdigit((unsigned char)colon[2])) {
            continue;
        }
        int hour = colon[-1] - '0';
        const bool two = colon - text >= 2 && isdigit((unsigned char)colon[-2]);
        if (two) {
            hour += 10 * (colon[-2] - '0');
        }
        const bool longer = two && colon - text >= 3 && isdigit((unsigned char)colon[-3]);
        const int minute = 10 * (colon[1] - '0') + (colon[2] - '0');
        hour = on_24_hours(hour, colon + 3);
        if (!longer && minute < 60 && 60 * hour + minute <= CBX_DAY_MINUTES) {
            return 60 * hour + minute;
        }
    }
    return -1;
}

bool cbx_is_date(int month, int day)
{
    return month >= 1 && month <= 12 && day >= 1 &&
           day <= cbx_month_days[month - 1] + (month == 2 ? 1 : 0);
}

int cbx_leap_day_of_year(int month, int day)
{
    int day_of_year = day - 1;
    for (int m = 1; m < month; m++) {
        day_of_year += cbx_month_days[m - 1] + (m == 2 ? 1 : 0);
    }
    return day_of_year;
}

void cbx_date_text(long minute, char text[32])
{
    int day = (int)(minute / CBX_DAY_MINUTES), month = 1;
    while (month < 12 && day >= cbx_month_days[month - 1] + (month == 2 ? 1 : 0)) {
        day -= cbx_month_days[month - 1] + (month == 2 ? 1 : 0);
        month++;
    }
    snprintf(text, 32, "%d %s", day + 1, cbx_month_name(month));
}

static size_t digits(const char *text)
{
    return strspn(text, "0123456789");
}

// Three numbers with one kind of separator, and not more of it.
static bool three_numbers(const char *text, int number[3], size_t length[3])
{
    char separator = 0;
    for (int i = 0; i < 3; i++) {
        length[i] = digits(text);
        if (length[i] < 1 || length[i] > 4) {
            return false;
        }
        number[i] = 0;
        for (size_t d = 0; d < length[i]; d++) {
            number[i] = 10 * number[i] + (*text++ - '0');
        }
        if (i == 0) {
            separator = *text;
        }
        if (i < 2 && ((*text != '-' && *text != '/' && *text != '.') || *text++ != separator)) {
            return false;
        }
    }
    return *text != separator;
}

static bool compact(const char *text, cbx_stamp *stamp)
{
    if (digits(text) != 8 && digits(text) != 12) {
        return false;
    }
    const int century = (text[0] - '0') * 10 + (text[1] - '0');
    stamp->year = century * 100 + (text[2] - '0') * 10 + (text[3] - '0');
    stamp->month = (text[4] - '0') * 10 + (text[5] - '0');
    stamp->day = (text[6] - '0') * 10 + (text[7] - '0');
    text += 8;
    text += *text && strchr(":T -_", *text) ? 1 : 0;
    stamp->minute = -1;
    if (digits(text) == 4 && text[4] == '\0') {
        const int hour = (text[0] - '0') * 10 + (text[1] - '0');
        const int minute = (text[2] - '0') * 10 + (text[3] - '0');
        stamp->minute = minute < 60 && hour <= 24 ? 60 * hour + minute : -1;
        if (stamp->minute < 0 || stamp->minute > CBX_DAY_MINUTES) {
            return false;
        }
    } else if (*text != '\0') {
        stamp->minute = cbx_clock_minute(text);
        if (stamp->minute < 0) {
            return false;
        }
    }
    return stamp->year >= 1800 && stamp->year < 2200 && cbx_is_date(stamp->month, stamp->day);
}

cbx_date_form cbx_date_find(const char *text)
{
    int number[3];
    size_t length[3];
    cbx_stamp stamp;
    if (compact(text, &stamp)) {
        return CBX_DATE_COMPACT;
    }
    if (!three_numbers(text, number, length)) {
        return CBX_NO_DATE;
    }
    if (length[0] == 4) {
        return cbx_is_date(number[1], number[2]) ? CBX_DATE_YEAR_FIRST : CBX_NO_DATE;
    }
    if (length[2] != 4) {
        return CBX_NO_DATE; // 1-2-15 may mean six days
    }
    const bool dotted = text[length[0]] == '.';
    if (!dotted && cbx_is_date(number[0], number[1])) {
        return CBX_DATE_MONTH_FIRST;
    }
    return cbx_is_date(number[1], number[0]) ? CBX_DATE_DAY_FIRST : CBX_NO_DATE;
}

bool cbx_date_read(const char *text, cbx_date_form form, cbx_stamp *stamp)
{
    int n[3];
    size_t length[3];
    if (form == CBX_DATE_COMPACT) {
        return compact(text, stamp);
    }
    if (!three_numbers(text, n, length) || length[form == CBX_DATE_YEAR_FIRST ? 0 : 2] != 4) {
        return false;
    }
    stamp->year = form == CBX_DATE_YEAR_FIRST ? n[0] : n[2];
    stamp->month = form == CBX_DATE_MONTH_FIRST ? n[0] : n[1];
    stamp->day = form == CBX_DATE_YEAR_FIRST ? n[2] : form == CBX_DATE_DAY_FIRST ? n[0] : n[1];
    return cbx_is_date(stamp->month, stamp->day);
}
