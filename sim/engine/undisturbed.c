// SPDX-License-Identifier: MIT
#include "engine/undisturbed.h"

#include <stdlib.h>
#include <string.h>

static cb_weather_hour typical_weather(const void *context, long hour)
{
    return cb_typical_weather_at(context, hour);
}

static cb_weather_hour run_weather(const void *context, long hour)
{
    return cb_run_weather_at(context, hour);
}

static cb_yard_plan plan_of(const cb_section *column, const cb_design *design,
                            const cb_run_weather *weather)
{
    return (cb_yard_plan){.column = column,
                          .surface = &design->ground.surface,
                          .elevation_m = design->site.elevation_m,
                          .weather = typical_weather,
                          .context = weather};
}

static bool allocate(cbx_undisturbed *all, int nz, long hours)
{
    all->nz = nz;
    all->hours = hours;
    all->start_c = calloc((size_t)nz, sizeof *all->start_c);
    all->daily_c = calloc((size_t)nz * CB_YEAR_DAYS, sizeof *all->daily_c);
    all->daily_snow_m = calloc(CB_YEAR_DAYS, sizeof *all->daily_snow_m);
    all->hour = calloc((size_t)hours + 2, sizeof *all->hour);
    return all->start_c && all->daily_c && all->daily_snow_m && all->hour;
}

// One more cycle of the settled year; its first 365 days are kept, and its last hour.
static cb_status keep_typical(cbx_undisturbed *all, cb_yard *yard, long cycle_hours,
                              cb_error *error)
{
    const int nz = all->nz;
    for (long hour = 0; hour < cycle_hours; hour++) {
        const cb_status status = cb_yard_step(yard, hour, &all->hour[0], error);
        if (status != CB_OK) {
            return status;
        }
        if (hour < CB_YEAR_HOURS) {
            const double *now = cb_yard_temperature_c(yard);
            double *mean = all->daily_c + (hour / 24) * nz;
            for (int k = 0; k < nz; k++) {
                mean[k] += now[k] / 24.0;
            }
            all->daily_snow_m[hour / 24] += all->hour[0].snow_depth_m / 24.0;
        }
    }
    memcpy(all->start_c, cb_yard_temperature_c(yard), (size_t)nz * sizeof *all->start_c);
    return CB_OK;
}

static cb_status keep_run(cbx_undisturbed *all, cb_yard *yard, cb_error *error)
{
    for (long hour = 0; hour <= all->hours; hour++) {
        const cb_status status = cb_yard_step(yard, hour, &all->hour[hour + 1], error);
        if (status != CB_OK) {
            return status;
        }
    }
    return CB_OK;
}

static cb_status fill(cbx_undisturbed *all, cb_yard *yard, const cb_run_weather *weather,
                      cb_error *error)
{
    const long cycle_hours = cb_run_weather_cycle_hours(weather);
    cb_yard_settled settled;
    cb_status status = cb_yard_settle(yard, 0, cycle_hours, &settled, error);
    all->years = (double)settled.cycles * (double)cycle_hours / CB_YEAR_HOURS;
    all->residual_k = settled.residual_k;
    if (status == CB_OK) {
        status = keep_typical(all, yard, cycle_hours, error);
    }
    if (status == CB_OK) {
        cb_yard_change_weather(yard, run_weather);
        status = keep_run(all, yard, error);
    }
    return status;
}

cb_status cbx_undisturbed_create(cbx_undisturbed **out, const cb_section *column,
                                 const cb_design *design, const cb_run_weather *weather,
                                 cb_error *error)
{
    *out = NULL;
    cbx_undisturbed *all = calloc(1, sizeof *all);
    if (!all || !allocate(all, column->nz, (long)design->run.years * CB_YEAR_HOURS)) {
        cbx_undisturbed_destroy(all);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the undisturbed ground");
    }
    const cb_yard_plan plan = plan_of(column, design, weather);
    cb_yard *yard;
    cb_status status = cb_yard_create(&yard, &plan, error);
    if (status == CB_OK) {
        status = fill(all, yard, weather, error);
    }
    cb_yard_destroy(yard);
    if (status != CB_OK) {
        cbx_undisturbed_destroy(all);
        return status;
    }
    *out = all;
    return CB_OK;
}

cbx_undisturbed *cbx_undisturbed_destroy(cbx_undisturbed *all)
{
    if (all) {
        free(all->start_c);
        free(all->daily_c);
        free(all->daily_snow_m);
        free(all->hour);
        free(all);
    }
    return NULL;
}

const cb_yard_hour *cbx_undisturbed_hour(const cbx_undisturbed *all, long hour)
{
    const long held = hour < -1 ? -1 : hour > all->hours ? all->hours : hour;
    return &all->hour[held + 1];
}
