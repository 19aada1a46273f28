// SPDX-License-Identifier: MIT
// Reads back what only a report needs of a run: its soil, and where it came from.
#include "record/reader.h"

#include "coilbed/record.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_CELLS = 4000000 }; // far beyond any grid; guards a damaged file

static void *new_array(cbx_h5 *h5, hsize_t count, size_t size)
{
    void *array = h5->status == CB_OK ? calloc(count ? count : 1, size) : NULL;
    if (!array) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for %llu values", (unsigned long long)count);
    }
    return array;
}

static double *read_values(cbx_h5 *h5, const char *path, hsize_t rows, hsize_t row_values)
{
    double *values = new_array(h5, rows * row_values, sizeof *values);
    if (values) {
        cbx_h5_read_rows(h5, path, H5T_NATIVE_DOUBLE, rows, row_values, values);
    }
    return values;
}

/// Edges from the bounds of the cells, which touch.
static double *read_edges(cbx_h5 *h5, const char *path, hsize_t cells)
{
    double *bounds = read_values(h5, path, cells, 2);
    double *edges = new_array(h5, cells + 1, sizeof *edges);
    if (bounds && edges) {
        for (hsize_t i = 0; i < cells; i++) {
            edges[i] = bounds[2 * i];
        }
        edges[cells] = bounds[2 * cells - 1];
    }
    free(bounds);
    return edges;
}

static int read_size(cbx_h5 *h5, const char *path)
{
    const hsize_t size = cbx_h5_length(h5, path, 0);
    if (h5->status == CB_OK && (size < 1 || size > MOST_CELLS)) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: %s has %llu values", path,
                      (unsigned long long)size);
    }
    return h5->status == CB_OK ? (int)size : 0;
}

static void read_axes(cbx_h5 *h5, cb_run_ground *ground)
{
    ground->slices = read_size(h5, "/ground/slice");
    ground->nz = read_size(h5, "/ground/z");
    ground->nx = read_size(h5, "/ground/x");
    ground->half = cbx_h5_read_integer_attribute(h5, "/ground", "half_section") != 0;
    ground->slice_m = read_values(h5, "/ground/slice", (hsize_t)ground->slices, 1);
    ground->z_edge_m = read_edges(h5, "/ground/z_bounds", (hsize_t)ground->nz);
    ground->x_edge_m = read_edges(h5, "/ground/x_bounds", (hsize_t)ground->nx);
}

static void read_undisturbed(cbx_h5 *h5, cb_run_ground *ground)
{
    const hsize_t nz = (hsize_t)ground->nz;
    ground->lowest_c = read_values(h5, "/ground/undisturbed_lowest", nz, 1);
    ground->highest_c = read_values(h5, "/ground/undisturbed_highest", nz, 1);
    ground->run_lowest_c = read_values(h5, "/ground/undisturbed_run_lowest", nz, 1);
    ground->run_highest_c = read_values(h5, "/ground/undisturbed_run_highest", nz, 1);
    ground->undisturbed_days = ground->days < CB_YEAR_DAYS ? ground->days : CB_YEAR_DAYS;
    ground->undisturbed_c =
        read_values(h5, "/ground/undisturbed_temperature", (hsize_t)ground->undisturbed_days, nz);
}

static void read_days(cbx_h5 *h5, cb_run_ground *ground)
{
    ground->days = cbx_read_counter(h5, "/days_done");
    const hsize_t days = (hsize_t)ground->days, slices = (hsize_t)ground->slices;
    ground->ice_radius_m = read_values(h5, "/ground/ice_radius", days, slices);
    ground->coil_depth_c = read_values(h5, "/ground/coil_depth_temperature", days, slices);
    ground->pipe_wall_c = read_values(h5, "/ground/pipe_wall_temperature", days, slices);
    double *run_day = read_values(h5, "/ground/day", days, 1);
    signed char *kept = new_array(h5, days, sizeof *kept);
    ground->run_day = new_array(h5, days, sizeof *ground->run_day);
    ground->kept = new_array(h5, days, sizeof *ground->kept);
    if (kept) {
        cbx_h5_read_rows(h5, "/ground/section_kept", H5T_NATIVE_SCHAR, days, 1, kept);
    }
    for (hsize_t d = 0; h5->status == CB_OK && d < days; d++) {
        ground->run_day[d] = (long)run_day[d];
        ground->kept[d] = kept[d] == 1;
    }
    free(run_day);
    free(kept);
}

cb_status cb_record_read_ground(cb_run_ground **out, const char *path, cb_error *error)
{
    if (!out || !path) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_read_ground needs a path and a place");
    }
    *out = NULL;
    cb_run_ground *ground = calloc(1, sizeof *ground);
    if (!ground) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the soil of a run");
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    cbx_read_program(&h5);
    read_axes(&h5, ground);
    read_days(&h5, ground);
    read_undisturbed(&h5, ground);
    const cb_status status = cbx_h5_end(&h5, error);
    *out = status == CB_OK ? ground : cb_run_ground_destroy(ground);
    return status;
}

cb_run_ground *cb_run_ground_destroy(cb_run_ground *ground)
{
    if (ground) {
        double *const array[] = {ground->z_edge_m,      ground->x_edge_m,     ground->slice_m,
                                 ground->lowest_c,      ground->highest_c,    ground->run_lowest_c,
                                 ground->run_highest_c, ground->ice_radius_m, ground->coil_depth_c,
                                 ground->undisturbed_c, ground->pipe_wall_c};
        for (size_t i = 0; i < sizeof array / sizeof *array; i++) {
            free(array[i]);
        }
        free(ground->run_day);
        free(ground->kept);
        free(ground);
    }
    return NULL;
}

// ---- sections --------------------------------------------------------------------------------

static void read_slice(cbx_h5 *h5, const char *path, const cb_run_ground *ground,
                       const cb_section_request *request, float *to)
{
    const size_t cells = (size_t)ground->nz * (size_t)ground->nx;
    const size_t row_values = (size_t)ground->slices * cells;
    float *row = new_array(h5, row_values, sizeof *row);
    for (size_t i = 0; row && i < request->count; i++) {
        const cbx_part part = {H5T_NATIVE_FLOAT, (hsize_t)request->row[i], 1, row_values};
        cbx_h5_read_part(h5, path, &part, row);
        memcpy(to + i * cells, row + (size_t)request->slice * cells, cells * sizeof *to);
    }
    free(row);
}

cb_status cb_record_read_sections(const char *path, const cb_run_ground *ground,
                                  const cb_section_request *request, float *temperature_c,
                                  float *ice_fraction, cb_error *error)
{
    bool there = path && ground && request && temperature_c && ice_fraction &&
                 request->slice >= 0 && request->slice < ground->slices;
    for (size_t i = 0; there && i < request->count; i++) {
        const long row = request->row[i];
        there = row >= 0 && row < ground->days && ground->kept[row];
    }
    if (!there) {
        return cb_fail(error, CB_BAD_CALL, "a section that is not stored was asked for");
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    read_slice(&h5, "/ground/section_temperature", ground, request, temperature_c);
    read_slice(&h5, "/ground/section_ice_fraction", ground, request, ice_fraction);
    return cbx_h5_end(&h5, error);
}

// ---- origin ----------------------------------------------------------------------------------

/// A text that not every run file has: "" then.
static char *read_optional(cbx_h5 *h5, const char *path)
{
    if (h5->status != CB_OK) {
        return NULL;
    }
    return H5Lexists(h5->file, path, H5P_DEFAULT) > 0 ? cbx_h5_read_text(h5, path) : strdup("");
}

cb_status cb_record_read_origin(cb_run_origin **out, const char *path, cb_error *error)
{
    if (!out || !path) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_read_origin needs a path and a place");
    }
    *out = NULL;
    cb_run_origin *origin = calloc(1, sizeof *origin);
    if (!origin) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the origin of a run");
    }
    const struct {
        const char *name;
        char **to;
    } text[] = {{"program_version", &origin->program_version},
                {"hdf5_version", &origin->hdf5_version},
                {"created", &origin->created},
                {"weather_description", &origin->weather_description},
                {"weather_sha256", &origin->weather_sha256},
                {"design_sha256", &origin->design_sha256}};
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    cbx_read_program(&h5);
    for (size_t i = 0; i < sizeof text / sizeof *text; i++) {
        *text[i].to = cbx_h5_read_text_attribute(&h5, "/", text[i].name);
    }
    // A program that uses the library need not say what it was linked with.
    const bool stated = h5.status == CB_OK && H5Aexists_by_name(h5.file, "/", "libraries", 0) > 0;
    if (stated) {
        origin->libraries = cbx_h5_read_text_attribute(&h5, "/", "libraries");
    } else if (h5.status == CB_OK) {
        origin->libraries = strdup("");
    }
    origin->assumptions = read_optional(&h5, "/design/assumptions");
    origin->assumptions_us = read_optional(&h5, "/design/assumptions_us");
    const cb_status status = cbx_h5_end(&h5, error);
    *out = status == CB_OK ? origin : cb_run_origin_destroy(origin);
    return status;
}

cb_run_origin *cb_run_origin_destroy(cb_run_origin *origin)
{
    if (origin) {
        free(origin->program_version);
        free(origin->hdf5_version);
        free(origin->libraries);
        free(origin->created);
        free(origin->weather_description);
        free(origin->weather_sha256);
        free(origin->design_sha256);
        free(origin->assumptions);
        free(origin->assumptions_us);
        free(origin);
    }
    return NULL;
}
