// SPDX-License-Identifier: MIT
#include "winter_month.h"

#include "coilbed/units.h"

#include <math.h>
#include <stdlib.h>

// Heat is taken in proportion to how far the air is below the balance point: all of the peak at
// the design temperature, at most a fifth more, and for six hours of the night 0.4 of it.
static const double balance_c = 13.0, peak_c = -26.0, most_share = 1.2, night_share = 0.4;
enum { NIGHT_HOURS = 6 };

static cb_status read_design(winter_month *month, const cb_units *units, cb_error *error)
{
    const cb_override set[] = {{"weather.normals", cb_starter_climate()},
                               {"weather.hard_winters", "[]"},
                               {"run.years", "1"},
                               {"run.start", "07-01"}};
    return cb_design_parse(&month->design, cb_starter_design(), "starter.yaml", set,
                           sizeof set / sizeof *set, units, error);
}

static cb_status make_soils(winter_month *month, cb_error *error)
{
    const cb_design_ground *ground = &month->design->ground;
    cb_status status = CB_OK;
    for (int n = 0; status == CB_OK && n < ground->layer_count; n++) {
        status = cb_soil_of_layer(&month->soil[n], month->design, n, error);
        if (status == CB_OK) {
            status = cb_soil_curve_create(&month->curve[n], &month->soil[n], error);
        }
        month->soil_bottom_m[n] = ground->layer[n].bottom_m;
        month->soils = n + 1;
    }
    return status;
}

static cb_status make_column(winter_month *month, cb_error *error)
{
    const cb_axis_rule rule = {
        .last_m = winter_bottom_m, .first_size_m = 0.02, .growth = 0.1, .largest_m = 0.5};
    double width_m[2] = {0.0, 1.0};
    const cb_axis x = {1, width_m};
    cb_axis z;
    cb_status status =
        cb_axis_create(&z, &rule, NULL, 0, month->soil_bottom_m, month->soils - 1, error);
    if (status == CB_OK) {
        const cb_section_plan plan = {
            .x = &x,
            .z = &z,
            .length_m = 1.0,
            .scale = 1.0,
            .geothermal_flux_w_m2 = month->design->ground.geothermal_flux_w_m2,
            .curves = month->curve,
            .layer_bottom_m = month->soil_bottom_m,
            .layers = month->soils,
        };
        status = cb_section_create(&month->column, &plan, error);
        cb_axis_free(&z);
    }
    return status;
}

static void fill_shares(winter_month *month, const cb_run_weather *weather)
{
    for (int h = 0; h < WINTER_HOURS + 2; h++) {
        const long hour = month->first_hour + h - 1;
        const double air_c = cb_run_weather_at(weather, hour).air_temperature_c;
        const double share = (balance_c - air_c) / (balance_c - peak_c);
        const bool night = ((hour % 24) + 24) % 24 < NIGHT_HOURS;
        month->share[h] = fmin(fmax(share, 0.0), most_share) * (night ? night_share : 1.0);
    }
}

static cb_status settle(winter_month *month, const cb_units *units, cb_error *error)
{
    cb_weather *weather = NULL;
    cb_run_weather *run = NULL;
    cb_status status = cb_weather_create(&weather, month->design, units, error);
    if (status == CB_OK) {
        status = cb_run_weather_create(&run, weather, month->design, error);
    }
    if (status == CB_OK) {
        status = cbx_undisturbed_create(&month->ground, month->column, month->design, run, error);
    }
    if (status == CB_OK) {
        const cb_design_run *of = &month->design->run;
        const int days = cb_day_of_year(1, 1) - cb_day_of_year(of->start_month, of->start_day);
        month->first_hour = 24L * ((days + CB_YEAR_DAYS) % CB_YEAR_DAYS);
        fill_shares(month, run);
    }
    cb_run_weather_destroy(run);
    cb_weather_destroy(weather);
    return status;
}

winter_month *winter_month_create(cb_error *error)
{
    winter_month *month = calloc(1, sizeof *month);
    cb_units *units = NULL;
    if (!month) {
        cb_fail(error, CB_NO_MEMORY, "no memory for the winter month");
        return NULL;
    }
    cb_status status = cb_units_create(&units, error);
    if (status == CB_OK) {
        status = read_design(month, units, error);
    }
    if (status == CB_OK) {
        status = make_soils(month, error);
    }
    if (status == CB_OK) {
        status = make_column(month, error);
    }
    if (status == CB_OK) {
        status = settle(month, units, error);
    }
    cb_units_destroy(units);
    return status == CB_OK ? month : winter_month_destroy(month);
}

winter_month *winter_month_destroy(winter_month *month)
{
    if (month) {
        cbx_undisturbed_destroy(month->ground);
        cb_section_destroy(month->column);
        for (int n = 0; n < month->soils; n++) {
            cb_soil_curve_destroy(month->curve[n]);
        }
        cb_design_destroy(month->design);
        free(month);
    }
    return NULL;
}

double winter_month_profile_c(const winter_month *month, double z_m)
{
    const cb_section *column = month->column;
    const int nz = column->nz;
    // Midnight lies between the means of two days.
    const double *after = month->ground->daily_c + month->first_hour / 24 * nz;
    const double *before = after - nz;
    int k = 0;
    while (k < nz - 2 && cb_row_depth_m(column, k + 1) < z_m) {
        k++;
    }
    const double low_m = cb_row_depth_m(column, k), high_m = cb_row_depth_m(column, k + 1);
    const double part = fmin(fmax((z_m - low_m) / (high_m - low_m), 0.0), 1.0);
    return 0.5 * ((1.0 - part) * (before[k] + after[k]) + part * (before[k + 1] + after[k + 1]));
}

cb_surface_exchange winter_month_surface(const winter_month *month, double time_s)
{
    const double place = time_s / 3600.0 - 0.5, whole = floor(place), part = place - whole;
    const long hour = month->first_hour + (long)whole;
    const cb_surface_exchange *a = &cbx_undisturbed_hour(month->ground, hour)->exchange;
    const cb_surface_exchange *b = &cbx_undisturbed_hour(month->ground, hour + 1)->exchange;
    return (cb_surface_exchange){(1.0 - part) * a->intake_w_m2 + part * b->intake_w_m2,
                                 (1.0 - part) * a->h_w_m2k + part * b->h_w_m2k};
}

double winter_month_share(const winter_month *month, double time_s)
{
    const double place = fmin(fmax(time_s / 3600.0 + 0.5, 0.0), WINTER_HOURS + 1.0);
    const int hour = place < WINTER_HOURS + 1.0 ? (int)place : WINTER_HOURS;
    const double part = place - hour;
    return (1.0 - part) * month->share[hour] + part * month->share[hour + 1];
}
