// SPDX-License-Identifier: MIT
#include "engine/undisturbed.h"

#include "engine/ground_log.h"

#include <math.h>
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
    all->hour = calloc((size_t)hours + 2, sizeof *all->hour);
    return all->start_c && all->daily_c && all->hour;
}

// One more cycle of the settled year; its first 365 days are kept, and its last hour.
static cb_status keep_typical(cbx_undisturbed *all, cb_yard *yard, long cycle_hours,
                              cbx_ground_log *log, cb_error *error)
{
    const int nz = all->nz;
    for (long hour = 0; hour < cycle_hours; hour++) {
        const cb_status status = cb_yard_step(yard, hour, &all->hour[0], error);
        if (status != CB_OK) {
            return status;
        }
        const double *now = cb_yard_temperature_c(yard);
        cbx_ground_log_hour(log, hour, now, &all->hour[0]);
        if (hour < CB_YEAR_HOURS) {
            double *mean = all->daily_c + (hour / 24) * nz;
            for (int k = 0; k < nz; k++) {
                mean[k] += now[k] / 24.0;
            }
        }
    }
    memcpy(all->start_c, cb_yard_temperature_c(yard), (size_t)nz * sizeof *all->start_c);
    return CB_OK;
}

static cb_status keep_run(cbx_undisturbed *all, cb_yard *yard, cbx_ground_log *log, cb_error *error)
{
    for (long hour = 0; hour <= all->hours; hour++) {
        const cb_status status = cb_yard_step(yard, hour, &all->hour[hour + 1], error);
        if (status != CB_OK) {
            return status;
        }
        if (hour < all->hours) {
            cbx_ground_log_hour(log, hour, cb_yard_temperature_c(yard), &all->hour[hour + 1]);
        }
    }
    return CB_OK;
}

static bool knows_precipitation(const cb_run_weather *weather, long cycle_hours)
{
    for (long hour = 0; hour < cycle_hours; hour++) {
        const cb_weather_hour now = cb_typical_weather_at(weather, hour);
        if (isfinite(now.precipitation_kg_m2) || isfinite(now.snow_depth_m)) {
            return true;
        }
    }
    return false;
}

static cb_status fill(cbx_undisturbed *all, cb_yard *yard, const cb_run_weather *weather,
                      cbx_ground_log *log, cb_error *error)
{
    const long cycle_hours = cb_run_weather_cycle_hours(weather);
    cb_yard_settled settled;
    cb_status status = cb_yard_settle(yard, 0, cycle_hours, &settled, error);
    if (status != CB_OK) {
        return status;
    }
    all->years = (double)settled.cycles * (double)cycle_hours / CB_YEAR_HOURS;
    status = keep_typical(all, yard, cycle_hours, log, error);
    if (status == CB_OK) {
        cbx_ground_log_end_typical(log, all->summary);
        cb_yard_change_weather(yard, run_weather);
        status = keep_run(all, yard, log, error);
    }
    cbx_ground_log_end_run(log, all->summary);
    all->summary->precipitation = knows_precipitation(weather, cycle_hours);
    all->summary->weather_years = (int)(cycle_hours / CB_YEAR_HOURS);
    all->summary->cycles = settled.cycles;
    all->summary->residual_k = settled.residual_k;
    return status;
}

static cb_status fill_and_log(cbx_undisturbed *all, const cb_section *column, cb_yard *yard,
                              const cb_design *design, const cb_run_weather *weather,
                              cb_error *error)
{
    cbx_ground_log *log;
    cb_status status = cbx_ground_log_create(&log, &all->summary, column, &design->run, error);
    if (status == CB_OK) {
        status = fill(all, yard, weather, log, error);
    }
    cbx_ground_log_destroy(log);
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
        status = fill_and_log(all, column, yard, design, weather, error);
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
        free(all->hour);
        cb_ground_summary_destroy(all->summary);
        free(all);
    }
    return NULL;
}

const cb_yard_hour *cbx_undisturbed_hour(const cbx_undisturbed *all, long hour)
{
    const long held = hour < -1 ? -1 : hour > all->hours ? all->hours : hour;
    return &all->hour[held + 1];
}
