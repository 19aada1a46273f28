// SPDX-License-Identifier: MIT
#include "record/layout.h"
#include "record/tables.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// A section is one chunk, so that a day is read at once; of the small states a month is one.
enum { DAY_CHUNK = 32 };

typedef struct axis {
    const char *name, *long_name, *standard_name;
    int count;
    const double *middle_m;
    const double *edge_m; // NULL: no bounds
} axis;

static void make_axis(cbx_h5 *h5, const axis *a)
{
    char path[80];
    char bounds[40];
    snprintf(path, sizeof path, "/ground/%s", a->name);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = a->name,
                                   .type = CBX_SERIES_TYPE,
                                   .rank = 1,
                                   .size = {(hsize_t)a->count},
                                   .units = "m",
                                   .long_name = a->long_name,
                                   .standard_name = a->standard_name});
    cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, 0, (hsize_t)a->count, a->middle_m);
    if (a->standard_name && strcmp(a->standard_name, "depth") == 0) {
        cbx_h5_text_attribute(h5, path, "positive", "down");
    }
    if (!a->edge_m) {
        return;
    }
    snprintf(bounds, sizeof bounds, "%s_bounds", a->name);
    cbx_h5_text_attribute(h5, path, "bounds", bounds);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = bounds,
                                   .type = CBX_SERIES_TYPE,
                                   .rank = 2,
                                   .dimension = {path, "/ground/bound"},
                                   .size = {(hsize_t)a->count, 2},
                                   .units = "m",
                                   .long_name = "edges of the cells"});
    char bounds_path[80];
    snprintf(bounds_path, sizeof bounds_path, "/ground/%s", bounds);
    for (int i = 0; i < a->count; i++) {
        cbx_h5_write_rows(h5, bounds_path, H5T_NATIVE_DOUBLE, (hsize_t)i, 1, &a->edge_m[i]);
    }
}

static void make_axes(cbx_h5 *h5, const cb_record_header *header)
{
    const cb_sections *s = header->sections;
    cbx_h5_bare_dimension(h5, "/ground", "bound", 2);
    make_axis(h5, &(axis){"z", "depth of a cell's centre", "depth", s->nz, s->z_m, s->z_edge_m});
    make_axis(h5, &(axis){"depth", "depth of a cell's centre", "depth", s->nz, s->z_m, NULL});
    const char *across = s->half ? "distance from the field's centre line (right half of a "
                                   "symmetric field)"
                                 : "distance across the field from its left side";
    make_axis(h5, &(axis){"x", across, NULL, s->nx, s->x_m, s->x_edge_m});
    make_axis(h5, &(axis){"slice", "middle of a slice along the trench, from the supply end", NULL,
                          s->slices, s->slice_m, NULL});
    char units[64];
    cbx_time_units(&header->design->run, "days", units, sizeof units);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = "day",
                                   .type = CBX_SERIES_TYPE,
                                   .rank = 1,
                                   .chunk = {DAY_CHUNK},
                                   .units = units,
                                   .long_name = "midnight at the start of a day",
                                   .standard_name = "time"});
    cbx_h5_text_attribute(h5, "/ground/day", "calendar", "standard");
}

static void make_fields(cbx_h5 *h5, const cb_sections *s)
{
    const hsize_t slices = (hsize_t)s->slices;
    const hsize_t nz = (hsize_t)s->nz;
    const hsize_t nx = (hsize_t)s->nx;
    cbx_plan plan = {
        .group = "/ground", .type = CBX_FIELD_TYPE, .rank = 2, .dimension = {"/ground/day"}};
    for (int i = 0; i < CBX_SLICE_STATES + CBX_SECTION_STATES; i++) {
        const bool section = i >= CBX_SLICE_STATES;
        const cbx_state *state =
            section ? &cbx_section_table[i - CBX_SLICE_STATES] : &cbx_slice_table[i];
        plan.rank = section ? 4 : 2;
        plan.dimension[1] = "/ground/slice";
        plan.dimension[2] = section ? "/ground/z" : NULL;
        plan.dimension[3] = section ? "/ground/x" : NULL;
        memcpy(plan.size, (hsize_t[CBX_MAX_RANK]){0, slices, nz, nx}, sizeof plan.size);
        memcpy(plan.chunk, (hsize_t[CBX_MAX_RANK]){section ? 1 : DAY_CHUNK, slices, nz, nx},
               sizeof plan.chunk);
        plan.name = state->name;
        plan.units = state->units;
        plan.long_name = state->long_name;
        plan.standard_name = state->standard_name;
        plan.cell_methods = "day: point";
        cbx_h5_dataset(h5, &plan);
    }
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = "undisturbed_temperature",
                                   .type = CBX_FIELD_TYPE,
                                   .rank = 2,
                                   .dimension = {"/ground/day", "/ground/depth"},
                                   .size = {0, nz},
                                   .chunk = {DAY_CHUNK, nz},
                                   .units = "degree_Celsius",
                                   .long_name = "soil far from the loop in a typical year",
                                   .standard_name = "soil_temperature",
                                   .cell_methods = "day: mean"});
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = "section_kept",
                                   .type = H5T_STD_I8LE,
                                   .rank = 1,
                                   .dimension = {"/ground/day"},
                                   .chunk = {DAY_CHUNK},
                                   .units = "1",
                                   .long_name = "1 where this day's soil sections are stored; the "
                                                "other days hold no sections (NaN)"});
}

static void make_depth_values(cbx_h5 *h5, const cb_ground_summary *ground, double *column)
{
    char path[80];
    for (int i = 0; i < CBX_DEPTH_VALUES; i++) {
        const cbx_depth_value *value = &cbx_depth_table[i];
        const hsize_t nz = (hsize_t)ground->count - 1; // the first is the surface
        for (hsize_t k = 0; k < nz; k++) {
            const char *depth = (const char *)&ground->depth[k + 1];
            column[k] = *(const double *)(depth + value->offset);
        }
        cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                       .name = value->name,
                                       .type = CBX_SERIES_TYPE,
                                       .rank = 1,
                                       .dimension = {"/ground/depth"},
                                       .size = {nz},
                                       .units = value->units,
                                       .long_name = value->long_name,
                                       .standard_name = value->standard_name});
        snprintf(path, sizeof path, "/ground/%s", value->name);
        cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, 0, nz, column);
    }
}

static void make_ground_values(cbx_h5 *h5, const cb_ground_summary *ground)
{
    char path[80];
    for (int i = 0; i < CBX_GROUND_VALUES; i++) {
        const cbx_ground_value *value = &cbx_ground_table[i];
        cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                       .name = value->name,
                                       .type = value->when ? H5T_STD_I64LE : CBX_SERIES_TYPE,
                                       .units = value->units,
                                       .long_name = value->long_name});
        snprintf(path, sizeof path, "/ground/%s", value->name);
        cbx_h5_write_rows(h5, path, value->when ? H5T_NATIVE_LONG : H5T_NATIVE_DOUBLE, 0, 1,
                          (const char *)ground + value->offset);
    }
}

void cbx_layout_ground(cbx_h5 *h5, const cb_record_header *header)
{
    make_axes(h5, header); // the group stands already, with its hourly series
    make_fields(h5, header->sections);
    cbx_h5_integer_attribute(h5, "/ground", "trenches", header->sections->trenches);
    cbx_h5_integer_attribute(h5, "/ground", "half_section", header->sections->half);
    double *column = calloc((size_t)header->ground->count, sizeof *column);
    if (!column) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for the undisturbed ground");
        return;
    }
    make_depth_values(h5, header->ground, column);
    make_ground_values(h5, header->ground);
    free(column);
}
