// SPDX-License-Identifier: MIT
#include "coilbed/weather.h"

#include <stdio.h>
#include <stdlib.h>

struct cb_run_weather {
    int notes;
};

cb_status cb_run_weather_create(cb_run_weather **out, const cb_weather *weather,
                                const cb_design *design, cb_error *error)
{
    (void)weather;
    *out = malloc(sizeof **out);
    if (!*out) {
        return cb_fail(error, CB_NO_MEMORY, "no memory");
    }
    (*out)->notes = design->weather.hard_winter_count;
    return CB_OK;
}

cb_run_weather *cb_run_weather_destroy(cb_run_weather *run_weather)
{
    free(run_weather);
    return NULL;
}

int cb_run_weather_note_count(const cb_run_weather *run_weather)
{
    return run_weather->notes;
}

void cb_run_weather_note(const cb_run_weather *run_weather, int index, cb_unit_system system,
                         char *buffer, size_t size)
{
    snprintf(buffer, size, "note %d of %d in %s units", index + 1, run_weather->notes,
             system == CB_UNITS_SI ? "SI" : "US");
}

cb_moment cb_run_moment(const cb_design_run *run, long run_hour)
{
    static const int length[CB_MONTHS] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    cb_moment moment = {.run_year = (int)(run_hour / CB_YEAR_HOURS) + 1,
                        .month = run->start_month,
                        .hour = (int)(run_hour % 24)};
    long day = run->start_day - 1 + run_hour / 24;
    while (day >= length[moment.month - 1]) {
        day -= length[moment.month - 1];
        moment.month = moment.month % CB_MONTHS + 1;
    }
    moment.day = (int)day + 1;
    return moment;
}
