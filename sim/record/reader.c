// SPDX-License-Identifier: MIT
#include "record/reader.h"

#include "record/stored_effects.h"
#include "record/tables.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PATH_SIZE = 128 };

static double **series_array(cb_run_data *data, const cbx_series *series)
{
    return (double **)((char *)data + series->data_offset);
}

static double *new_values(cbx_h5 *h5, hsize_t count)
{
    double *values = h5->status == CB_OK ? calloc(count ? count : 1, sizeof *values) : NULL;
    if (!values) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for %llu values", (unsigned long long)count);
    }
    return values;
}

static void read_series(cbx_h5 *h5, cb_run_data *data)
{
    char path[PATH_SIZE];
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        const cbx_series *series = &cbx_series_table[s];
        if (series->data_offset == CBX_NOT_READ) {
            continue;
        }
        snprintf(path, sizeof path, "%s/%s", series->group, series->name);
        double *values = new_values(h5, (hsize_t)data->hours);
        *series_array(data, series) = values;
        if (values) {
            cbx_h5_read_rows(h5, path, H5T_NATIVE_DOUBLE, (hsize_t)data->hours, 1, values);
        }
    }
}

typedef double fold_slices(const double *values, int count);

static double largest(const double *values, int count)
{
    double most = values[0];
    for (int i = 1; i < count; i++) {
        most = fmax(most, values[i]);
    }
    return most;
}

static double mean(const double *values, int count)
{
    double sum = 0.0;
    for (int i = 0; i < count; i++) {
        sum += values[i];
    }
    return sum / count;
}

// A per-slice state, folded to one value per stored day.
static double *read_folded(cbx_h5 *h5, const char *path, const cb_run_data *data, fold_slices *fold)
{
    const hsize_t slices = (hsize_t)data->slices;
    double *each = new_values(h5, (hsize_t)data->days * slices);
    double *folded = new_values(h5, (hsize_t)data->days);
    if (each && folded) {
        cbx_h5_read_rows(h5, path, H5T_NATIVE_DOUBLE, (hsize_t)data->days, slices, each);
        for (long d = 0; d < data->days; d++) {
            folded[d] = fold(each + (hsize_t)d * slices, data->slices);
        }
    }
    free(each);
    return folded;
}

static void read_days(cbx_h5 *h5, cb_run_data *data)
{
    data->slices = (int)cbx_h5_length(h5, "/ground/slice", 0);
    if (h5->status == CB_OK && data->slices < 1) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: /ground/slice is empty");
    }
    data->ice_radius_m = read_folded(h5, "/ground/ice_radius", data, largest);
    data->coil_depth_c = read_folded(h5, "/ground/coil_depth_temperature", data, mean);
    data->day_number = new_values(h5, (hsize_t)data->days);
    if (data->day_number) {
        cbx_h5_read_rows(h5, "/ground/day", H5T_NATIVE_DOUBLE, (hsize_t)data->days, 1,
                         data->day_number);
    }
}

static void read_frost(cbx_h5 *h5, cb_run_data *data)
{
    cbx_h5_read_rows(h5, "/ground/frost_depth", H5T_NATIVE_DOUBLE, 1, 1, &data->frost_depth_m);
    cbx_h5_read_rows(h5, "/ground/frost_depth_of_run", H5T_NATIVE_DOUBLE, 1, 1,
                     &data->run_frost_depth_m);
    cbx_h5_read_rows(h5, "/ground/frost_depth_hour", H5T_NATIVE_LONG, 1, 1, &data->run_frost_hour);
    cbx_h5_read_rows(h5, "/ground/deepest_snow_of_run", H5T_NATIVE_DOUBLE, 1, 1,
                     &data->run_snow_depth_m);
}

static void read_quality(cbx_h5 *h5, cb_quality *quality)
{
    for (int i = 0; i < CBX_QUALITY_FIELDS; i++) {
        const cbx_quality_field *field = &cbx_quality_table[i];
        void *to = (char *)quality + field->offset;
        if (field->number == CBX_DOUBLE) {
            *(double *)to = cbx_h5_read_double_attribute(h5, "/quality", field->name);
        } else {
            const long value = cbx_h5_read_integer_attribute(h5, "/quality", field->name);
            if (field->number == CBX_LONG) {
                *(long *)to = value;
            } else {
                *(int *)to = (int)value;
            }
        }
    }
}

void cbx_read_program(cbx_h5 *h5)
{
    char *program = cbx_h5_read_text_attribute(h5, "/", "program");
    if (program && strcmp(program, "coilbed") != 0) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is not a run of this program but of '%.60s'", program);
    }
    free(program);
}

long cbx_read_counter(cbx_h5 *h5, const char *path)
{
    enum { MOST = 200 * CB_YEAR_HOURS }; // twice the longest run a design can ask for
    int64_t count = 0;
    cbx_h5_read_rows(h5, path, H5T_NATIVE_INT64, 1, 1, &count);
    if (h5->status == CB_OK && (count < 0 || count > MOST)) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: %s is %lld", path, (long long)count);
    }
    return h5->status == CB_OK ? (long)count : 0;
}

cb_status cb_record_read(cb_run_data **out, const char *path, cb_error *error)
{
    if (!out || !path) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_read needs a path and a place for the run");
    }
    *out = NULL;
    cb_run_data *data = calloc(1, sizeof *data);
    if (!data) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a run");
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    cbx_read_program(&h5);
    data->complete = cbx_h5_read_integer_attribute(&h5, "/", "complete") != 0;
    data->hours = cbx_read_counter(&h5, "/hours_done");
    data->days = cbx_read_counter(&h5, "/days_done");
    cbx_h5_read_rows(&h5, "/loop/freeze_temperature", H5T_NATIVE_DOUBLE, 1, 1, &data->freeze_c);
    read_frost(&h5, data);
    read_series(&h5, data);
    read_days(&h5, data);
    data->design_text = cbx_h5_read_text(&h5, "/design/resolved_text");
    data->design_path = cbx_h5_read_text_attribute(&h5, "/", "design_path");
    data->weather_notes = cbx_h5_read_text_attribute(&h5, "/", "weather_notes");
    data->weather_notes_us = cbx_h5_read_text_attribute(&h5, "/", "weather_notes_us");
    read_quality(&h5, &data->quality);
    cbx_read_effects(&h5, &data->effects);
    const cb_status status = cbx_h5_end(&h5, error);
    *out = status == CB_OK ? data : cb_run_data_destroy(data);
    return status;
}

cb_run_data *cb_run_data_destroy(cb_run_data *data)
{
    if (data) {
        for (int s = 0; s < CBX_SERIES_COUNT; s++) {
            if (cbx_series_table[s].data_offset != CBX_NOT_READ) {
                free(*series_array(data, &cbx_series_table[s]));
            }
        }
        free(data->day_number);
        free(data->ice_radius_m);
        free(data->coil_depth_c);
        free(data->design_path);
        free(data->design_text);
        free(data->weather_notes);
        free(data->weather_notes_us);
        free(data);
    }
    return NULL;
}
