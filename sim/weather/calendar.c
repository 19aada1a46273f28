// SPDX-License-Identifier: MIT
#include "weather/calendar.h"
#include "coilbed/weather.h"

const int cbx_month_days[12] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

const char *cbx_month_name(int month)
{
    static const char *const name[12] = {"January",   "February", "March",    "April",
                                         "May",       "June",     "July",     "August",
                                         "September", "October",  "November", "December"};
    return month >= 1 && month <= 12 ? name[month - 1] : "?";
}

void cbx_month_day(int day_of_year, int *month, int *day)
{
    int m = 0;
    while (m < 11 && day_of_year >= cbx_month_days[m]) {
        day_of_year -= cbx_month_days[m++];
    }
    *month = m + 1;
    *day = day_of_year + 1;
}

int cb_day_of_year(int month, int day)
{
    if (month < 1 || month > 12 || day < 1 || day > cbx_month_days[month - 1]) {
        return -1;
    }
    int day_of_year = day - 1;
    for (int m = 0; m < month - 1; m++) {
        day_of_year += cbx_month_days[m];
    }
    return day_of_year;
}

cb_moment cb_run_moment(const cb_design_run *run, long run_hour)
{
    // Floor division: hours before the start belong to run year 0 and below.
    long year = run_hour / CB_YEAR_HOURS;
    long hour = run_hour % CB_YEAR_HOURS;
    if (hour < 0) {
        hour += CB_YEAR_HOURS;
        year--;
    }
    const int start = cb_day_of_year(run->start_month, run->start_day);
    cb_moment moment = {.run_year = (int)year + 1, .hour = (int)(hour % 24)};
    cbx_month_day((start + (int)(hour / 24)) % CB_YEAR_DAYS, &moment.month, &moment.day);
    return moment;
}
