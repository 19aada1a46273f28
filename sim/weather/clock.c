// SPDX-License-Identifier: MIT
#include "weather/clock.h"
#include "weather/calendar.h"
#include "weather/dates.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { LEAP_DAY_START = 59 * CBX_DAY_MINUTES, MARCH_START = 60 * CBX_DAY_MINUTES };

// An eight-digit number is a date only where the heading says so, unless a time follows it.
static bool holds_date_word(const char *heading)
{
    for (; *heading; heading++) {
        if (strncasecmp(heading, "date", 4) == 0) {
            return true;
        }
    }
    return false;
}

void cbx_clock_names(cbx_clock *clock, const cbx_csv *names)
{
    const struct {
        const char *name;
        int *field;
    } known[] = {{"year", &clock->year_field},
                 {"month", &clock->month_field},
                 {"day", &clock->day_field},
                 {"hour", &clock->hour_field},
                 {"minute", &clock->minute_field}};
    clock->time_field = clock->date_field = -1;
    for (size_t k = 0; k < sizeof known / sizeof *known; k++) {
        *known[k].field = -1;
        for (int i = names->count - 1; i >= 0; i--) {
            if (strcasecmp(names->field[i].text, known[k].name) == 0) {
                *known[k].field = i;
            }
        }
    }
    for (int i = names->count - 1; i >= 0 && clock->dates; i--) {
        if (holds_date_word(names->field[i].text)) {
            clock->date_field = i;
        }
    }
}

static void find_date(cbx_clock *clock, const cbx_csv *first)
{
    const int named = clock->date_field;
    clock->date_field = -1;
    clock->form = CBX_NO_DATE;
    for (int i = 0; i < first->count && clock->dates && clock->date_field < 0; i++) {
        const char *text = first->field[i].text;
        const cbx_date_form form = cbx_date_find(text);
        if (form == CBX_NO_DATE || (form == CBX_DATE_COMPACT && strlen(text) == 8 && i != named)) {
            continue;
        }
        clock->form = form;
        clock->date_field = i;
    }
    if (clock->form == CBX_NO_DATE && clock->dates && clock->month_field >= 0 &&
        clock->day_field >= 0) {
        clock->form = CBX_DATE_COLUMNS;
        clock->date_field = clock->day_field;
    }
    cbx_stamp stamp;
    if (clock->form == CBX_DATE_MONTH_FIRST &&
        cbx_date_read(first->field[clock->date_field].text, CBX_DATE_DAY_FIRST, &stamp) &&
        stamp.month != stamp.day && stamp.month == clock->first_month &&
        stamp.day == clock->first_day) {
        clock->form = CBX_DATE_DAY_FIRST;
    }
}

static void find_places(cbx_clock *clock, const cbx_csv *first)
{
    for (int i = 0; i < first->count && clock->time_field < 0; i++) {
        if (cbx_clock_minute(first->field[i].text) >= 0) {
            clock->time_field = i;
        }
    }
    find_date(clock, first);
    cbx_stamp stamp = {.minute = -1};
    const bool dated_time =
        clock->form == CBX_DATE_COMPACT &&
        cbx_date_read(first->field[clock->date_field].text, clock->form, &stamp) &&
        stamp.minute >= 0;
    clock->shows_time = dated_time || clock->time_field >= 0 || clock->hour_field >= 0;
    clock->symmetric = true;
}

static bool whole_number(const cbx_csv *csv, int field, int *number)
{
    int used = 0;
    const char *text = csv->field[field].text;
    return sscanf(text, "%7d%n", number, &used) == 1 && text[used] == '\0' && *number >= 0;
}

// Minute of the day of a row that has no compact date with a time in it.
static int read_minute(cbx_clock *clock, const cbx_csv *csv, long row)
{
    if (clock->time_field >= 0) {
        return cbx_clock_minute(csv->field[clock->time_field].text);
    }
    if (clock->hour_field < 0) { // only dates show
        return 60 * ((int)(row % 24) + (clock->hour_ending ? 1 : 0));
    }
    int hour = 0, minute = 0;
    if (!whole_number(csv, clock->hour_field, &hour) ||
        (clock->minute_field >= 0 &&
         (!whole_number(csv, clock->minute_field, &minute) || minute > 59))) {
        return -1;
    }
    if (hour > 24) {
        clock->counts_hours = true; // some files count the hours of the year
        hour %= 24;
    }
    return 60 * hour + minute <= CBX_DAY_MINUTES ? 60 * hour + minute : -1;
}

static cb_status read_date(cbx_clock *clock, const cbx_csv *csv, cbx_stamp *stamp, cb_error *error)
{
    const char *text = csv->field[clock->date_field].text;
    bool good = false;
    if (clock->form == CBX_DATE_COLUMNS) {
        good = whole_number(csv, clock->month_field, &stamp->month) &&
               whole_number(csv, clock->day_field, &stamp->day) &&
               (clock->year_field < 0 || whole_number(csv, clock->year_field, &stamp->year)) &&
               cbx_is_date(stamp->month, stamp->day);
    } else {
        good = cbx_date_read(text, clock->form, stamp);
        // 12/12, then 13/12: the day stands first after all.
        if (!good && clock->form == CBX_DATE_MONTH_FIRST && clock->symmetric) {
            good = cbx_date_read(text, CBX_DATE_DAY_FIRST, stamp);
            clock->form = good ? CBX_DATE_DAY_FIRST : clock->form;
        }
    }
    return good ? CB_OK
                : cbx_csv_fail(csv, clock->date_field, error, "\"%.40s\" is not a date%s", text,
                               clock->form == CBX_DATE_MONTH_FIRST ? " with the month first" : "");
}

static cb_status read_stamp(cbx_clock *clock, const cbx_csv *csv, long row, cbx_stamp *stamp,
                            cb_error *error)
{
    *stamp = (cbx_stamp){.year = -1, .minute = -1};
    if (clock->form != CBX_NO_DATE && !clock->counts_hours) {
        const cb_status status = read_date(clock, csv, stamp, error);
        if (status != CB_OK) {
            return status;
        }
    }
    if (stamp->minute < 0) {
        stamp->minute = read_minute(clock, csv, row);
    }
    if (stamp->minute >= 0) {
        return CB_OK;
    }
    const int field = clock->time_field >= 0 ? clock->time_field : clock->hour_field;
    return cbx_csv_fail(csv, field, error, "\"%.40s\" is not a time of day",
                        csv->field[field].text);
}

bool cbx_clock_dated(const cbx_clock *clock)
{
    return clock->form != CBX_NO_DATE && !clock->counts_hours;
}

static long serial(const cbx_clock *clock, const cbx_stamp *stamp)
{
    const int day = cbx_clock_dated(clock) ? cbx_leap_day_of_year(stamp->month, stamp->day) : 0;
    return (long)day * CBX_DAY_MINUTES + stamp->minute;
}

// Minutes from the row before to this one, 29 February being no gap; *over tells that it was left
// out.
static long minutes_since(const cbx_clock *clock, long stamp, bool *over)
{
    const long lap = cbx_clock_dated(clock) ? CBX_LEAP_YEAR_MINUTES : CBX_DAY_MINUTES;
    const long late = ((stamp - clock->stamp) % lap + lap) % lap;
    *over = cbx_clock_dated(clock) && clock->stamp <= LEAP_DAY_START && stamp >= MARCH_START &&
            late <= CBX_DAY_MINUTES + 60;
    return *over ? late - CBX_DAY_MINUTES : late;
}

static cb_status fail_step(const cbx_clock *clock, const cbx_csv *csv, const cbx_stamp *stamp,
                           cb_error *error)
{
    const long lap = cbx_clock_dated(clock) ? CBX_LEAP_YEAR_MINUTES : CBX_DAY_MINUTES;
    const long want = (clock->stamp + clock->step_minutes) % lap;
    const long late = (serial(clock, stamp) - want + 2 * lap) % lap;
    const bool hourly = clock->step_minutes == 60;
    const char *what = late <= lap / 2 ? (hourly ? "an hour is missing" : "a row is missing")
                       : hourly        ? "an hour is repeated or rows come more often than "
                                         "once an hour"
                                       : "a row is repeated or out of step";
    const int minute = (int)(want % CBX_DAY_MINUTES);
    const bool date_only = cbx_clock_dated(clock) && minute == stamp->minute % CBX_DAY_MINUTES;
    const int time_field = clock->time_field >= 0   ? clock->time_field
                           : clock->hour_field >= 0 ? clock->hour_field
                                                    : clock->date_field;
    const int field = date_only ? clock->date_field : time_field;
    char day[48] = "";
    if (date_only) {
        char date[32];
        cbx_date_text(want, date);
        snprintf(day, sizeof day, " of %s", date);
    }
    return cbx_csv_fail(csv, field, error, "expected %02d:%02d%s, found \"%.40s\": %s", minute / 60,
                        minute % 60, day, csv->field[field].text, what);
}

// Rows with years: each follows the one before unless the file puts months of different years
// together.
static cb_status check_year(cbx_clock *clock, const cbx_csv *csv, const cbx_stamp *stamp, long row,
                            cb_error *error)
{
    const int field = clock->form == CBX_DATE_COLUMNS ? clock->year_field : clock->date_field;
    if (stamp->month == clock->month && stamp->year != clock->year) {
        return cbx_csv_fail(csv, field, error, "the year changes from %d to %d inside a month",
                            clock->year, stamp->year);
    }
    const bool new_year = clock->month == 12 && stamp->month == 1;
    if (!new_year) {
        clock->typical = clock->typical || stamp->year != clock->year;
        return CB_OK;
    }
    const bool whole_year = row * clock->step_minutes >= CBX_YEAR_MINUTES;
    if (clock->typical || stamp->year == clock->year + 1 ||
        (stamp->year <= clock->year && !whole_year)) {
        return CB_OK;
    }
    return cbx_csv_fail(csv, field, error, "the year %d follows %d; expected %d", stamp->year,
                        clock->year, clock->year + 1);
}

static cb_status check_step(cbx_clock *clock, const cbx_csv *csv, cbx_stamp *stamp, long row,
                            bool *over, cb_error *error)
{
    long since = minutes_since(clock, serial(clock, stamp), over);
    if (row == 1 && clock->parts && since > 0 && since < 60 && 60 % since == 0) {
        clock->step_minutes = (int)since;
    }
    // 01/01, then 02/01: the same.
    cbx_stamp turned = *stamp;
    if (since != clock->step_minutes && clock->form == CBX_DATE_MONTH_FIRST && clock->symmetric &&
        cbx_date_read(csv->field[clock->date_field].text, CBX_DATE_DAY_FIRST, &turned)) {
        const long turned_since = minutes_since(clock, serial(clock, &turned), over);
        if (turned_since == clock->step_minutes) {
            clock->form = CBX_DATE_DAY_FIRST;
            *stamp = turned;
            since = turned_since;
        }
    }
    cb_status status = since == clock->step_minutes ? CB_OK : fail_step(clock, csv, stamp, error);
    if (status == CB_OK && stamp->year >= 0) {
        status = check_year(clock, csv, stamp, row, error);
    }
    return status;
}

cb_status cbx_clock_row(cbx_clock *clock, const cbx_csv *csv, long row, cb_error *error)
{
    if (row == 0) {
        clock->step_minutes = 60;
        find_places(clock, csv);
    }
    if (clock->form == CBX_NO_DATE && !clock->shows_time) {
        return CB_OK;
    }
    cbx_stamp stamp;
    bool over = false;
    cb_status status = read_stamp(clock, csv, row, &stamp, error);
    if (status == CB_OK && row > 0) {
        status = check_step(clock, csv, &stamp, row, &over, error);
    }
    if (status != CB_OK) {
        return status;
    }
    clock->stamp = serial(clock, &stamp);
    clock->year = stamp.year;
    clock->month = stamp.month;
    clock->symmetric = clock->symmetric && stamp.month == stamp.day;
    // The stamp 1 March 00:00 that closes a row belongs to 28 February where 29 is left out.
    const long inside = clock->stamp - (clock->hour_ending ? 1 : 0);
    const bool closes_february = over || row == 0;
    clock->on_leap_day = cbx_clock_dated(clock) && inside >= LEAP_DAY_START &&
                         inside < MARCH_START && !(closes_february && clock->stamp == MARCH_START);
    if (row == 0) {
        clock->first_stamp = clock->stamp;
    }
    return CB_OK;
}

long cbx_clock_first_minute(const cbx_clock *clock, int first_day)
{
    const long step = clock->step_minutes;
    const bool shows = clock->form != CBX_NO_DATE || clock->shows_time;
    const long stamp = shows ? clock->first_stamp : 0;
    const bool closing = shows && clock->hour_ending && stamp % step == 0;
    // A stamp inside its interval counts for the interval's beginning.
    long minute = stamp - (closing ? step : stamp % step);
    if (clock->form == CBX_NO_DATE) {
        return minute + (long)first_day * CBX_DAY_MINUTES;
    }
    if (minute >= LEAP_DAY_START && minute < MARCH_START && stamp < MARCH_START) {
        return LEAP_DAY_START; // rows of 29 February are dropped: 1 March comes first
    }
    return minute >= LEAP_DAY_START ? minute - CBX_DAY_MINUTES : minute;
}
