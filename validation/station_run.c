// SPDX-License-Identifier: MIT
#include "station_run.h"

#include "coilbed/yard.h"

#include <math.h>
#include <stdlib.h>

typedef struct run {
    const station_run_plan *plan;
    cb_soil_curve *curve[STATION_MOST_LAYERS];
    cb_section *column;
    cb_yard *yard;
} run;

static long within(const station_drive *drive, long hour)
{
    return hour < 0 ? 0 : hour < drive->hours ? hour : drive->hours - 1;
}

static cb_weather_hour weather_at(const void *context, long hour)
{
    const station_drive *drive = context;
    return drive->weather[within(drive, hour)];
}

static double surface_at(const void *context, long hour)
{
    const station_drive *drive = context;
    return drive->surface_c[within(drive, hour)];
}

static double bottom_at(const void *context, long hour)
{
    const station_drive *drive = context;
    return drive->bottom_c[within(drive, hour)];
}

// 2 cm at the surface; ends of the layers lie on edges.
static cb_status make_column(run *self, cb_error *error)
{
    const station_ground *ground = self->plan->ground;
    const cb_axis_rule down = {.first_m = 0.0,
                               .last_m = self->plan->depth_m,
                               .first_size_m = 0.02,
                               .growth = 0.22,
                               .largest_m = 1.0};
    double across_m[2] = {0.0, 1.0};
    const cb_axis across = {.cells = 1, .edge_m = across_m};
    cb_axis axis;
    cb_status status =
        cb_axis_create(&axis, &down, NULL, 0, ground->bottom_m, ground->layers - 1, error);
    if (status != CB_OK) {
        return status;
    }
    const cb_section_plan plan = {.x = &across,
                                  .z = &axis,
                                  .length_m = 1.0,
                                  .scale = 1.0,
                                  .geothermal_flux_w_m2 = 0.06, // common practice
                                  .curves = self->curve,
                                  .layer_bottom_m = ground->bottom_m,
                                  .layers = ground->layers};
    status = cb_section_create(&self->column, &plan, error);
    cb_axis_free(&axis);
    return status;
}

static cb_status make_ground(run *self, cb_error *error)
{
    station_ground *ground = self->plan->ground;
    for (int n = 0; n < ground->layers; n++) {
        cb_status status = cb_soil_resolve(&ground->soil[n], error);
        if (status == CB_OK) {
            status = cb_soil_curve_create(&self->curve[n], &ground->soil[n], error);
        }
        if (status != CB_OK) {
            return status;
        }
    }
    return make_column(self, error);
}

static cb_status make_yard(run *self, cb_error *error)
{
    const station_drive *drive = &self->plan->drive;
    const cb_yard_plan plan = {.column = self->column,
                               .surface = &self->plan->ground->surface,
                               .elevation_m = self->plan->elevation_m,
                               .weather = drive->weather ? weather_at : NULL,
                               .surface_c = drive->weather ? NULL : surface_at,
                               .bottom_c = drive->weather ? NULL : bottom_at,
                               .context = drive};
    return cb_yard_create(&self->yard, &plan, error);
}

// Straight lines between (depth, value) pairs of which some values may be NaN.
static double profile_at(const station_verdict *out, const double *value, double depth_m)
{
    double above_m = -1.0, above = NAN;
    for (int d = 0; d < out->depths; d++) {
        if (!isfinite(value[d])) {
            continue;
        }
        const double here_m = out->depth[d].depth_m;
        if (here_m >= depth_m) {
            return isfinite(above)
                       ? above + (value[d] - above) * (depth_m - above_m) / (here_m - above_m)
                       : value[d];
        }
        above_m = here_m;
        above = value[d];
    }
    return above;
}

static cb_status start(run *self, station_verdict *out, cb_error *error)
{
    const station_run_plan *plan = self->plan;
    if (plan->start_c) {
        double *profile = calloc((size_t)self->column->nz, sizeof *profile);
        if (!profile) {
            return cb_fail(error, CB_NO_MEMORY, "no memory for a profile");
        }
        for (int k = 0; k < self->column->nz; k++) {
            profile[k] =
                profile_at(out, plan->start_c, plan->offset_m + cb_row_depth_m(self->column, k));
        }
        cb_yard_start(self->yard, profile);
        free(profile);
        return CB_OK;
    }
    if (plan->settle_hours == 0) {
        return CB_OK;
    }
    cb_yard_settled settled;
    const cb_status status = cb_yard_settle(self->yard, 0, plan->settle_hours, &settled, error);
    out->cycles = settled.cycles;
    return status;
}

// Temperature of the column at a depth: a straight line between the middles of two cells.
static double column_at(const cb_section *column, const double *cell_c, double depth_m)
{
    int below = 1;
    while (below < column->nz - 1 && cb_row_depth_m(column, below) < depth_m) {
        below++;
    }
    const double top_m = cb_row_depth_m(column, below - 1), low_m = cb_row_depth_m(column, below);
    const double part = (depth_m - top_m) / (low_m - top_m);
    return cell_c[below - 1] + part * (cell_c[below] - cell_c[below - 1]);
}

static cb_status step_day(run *self, station_verdict *out, int day, cb_error *error)
{
    for (int d = 0; d < out->depths; d++) {
        out->depth[d].modelled_c[day] = 0.0;
    }
    for (int n = 0; n < 24; n++) {
        cb_yard_hour hour;
        const cb_status status = cb_yard_step(self->yard, 24L * day + n, &hour, error);
        if (status != CB_OK) {
            return status;
        }
        const double *cell_c = cb_yard_temperature_c(self->yard);
        for (int d = 0; d < out->depths; d++) {
            station_depth *depth = &out->depth[d];
            depth->modelled_c[day] +=
                column_at(self->column, cell_c, depth->depth_m - self->plan->offset_m) / 24.0;
        }
    }
    return CB_OK;
}

cb_status station_run(station_verdict *out, const station_run_plan *plan, int days, cb_error *error)
{
    run self = {.plan = plan};
    cb_status status = make_ground(&self, error);
    if (status == CB_OK) {
        status = make_yard(&self, error);
    }
    if (status == CB_OK) {
        status = start(&self, out, error);
    }
    for (int day = 0; day < days && status == CB_OK; day++) {
        status = step_day(&self, out, day, error);
    }
    cb_yard_destroy(self.yard);
    cb_section_destroy(self.column);
    for (int n = 0; n < STATION_MOST_LAYERS; n++) {
        cb_soil_curve_destroy(self.curve[n]);
    }
    return status;
}
