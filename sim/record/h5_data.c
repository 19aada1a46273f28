// SPDX-License-Identifier: MIT
#include "record/h5.h"

#include <hdf5_hl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FULL_PATH_SIZE = 160 };

// ---- making datasets -------------------------------------------------------------------------

static hid_t creation_list(const cbx_plan *plan)
{
    const hid_t list = H5Pcreate(H5P_DATASET_CREATE);
    H5Pset_attr_creation_order(list, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
    H5Pset_obj_track_times(list, false); // the same values make the same bytes
    if (plan->chunk[0] > 0) {
        H5Pset_chunk(list, plan->rank, plan->chunk);
        if (!plan->plain) {
            H5Pset_shuffle(list);
            H5Pset_deflate(list, 4);
        }
        H5Pset_fletcher32(list);
    }
    if (H5Tget_class(plan->type) == H5T_FLOAT) {
        const double missing = NAN;
        H5Pset_fill_value(list, H5T_NATIVE_DOUBLE, &missing);
    }
    return list;
}

static bool attach_scales(cbx_h5 *h5, hid_t dataset, const cbx_plan *plan)
{
    bool ok = true;
    for (int axis = 0; ok && axis < plan->rank; axis++) {
        const hid_t scale = H5Dopen2(h5->file, plan->dimension[axis], H5P_DEFAULT);
        ok = scale >= 0 && H5DSattach_scale(dataset, scale, (unsigned)axis) >= 0;
        if (scale >= 0) {
            H5Dclose(scale);
        }
    }
    return ok;
}

void cbx_h5_dataset(cbx_h5 *h5, const cbx_plan *plan)
{
    if (h5->status != CB_OK) {
        return;
    }
    char path[FULL_PATH_SIZE];
    snprintf(path, sizeof path, "%s/%s", plan->group, plan->name);
    hsize_t limit[CBX_MAX_RANK];
    memcpy(limit, plan->size, sizeof limit);
    limit[0] = plan->chunk[0] > 0 ? H5S_UNLIMITED : plan->size[0];
    const hid_t space =
        plan->rank > 0 ? H5Screate_simple(plan->rank, plan->size, limit) : H5Screate(H5S_SCALAR);
    const hid_t list = creation_list(plan);
    const hid_t dataset =
        H5Dcreate2(h5->file, path, plan->type, space, H5P_DEFAULT, list, H5P_DEFAULT);
    const bool is_scale = plan->rank == 1 && !plan->dimension[0];
    const bool ok = dataset >= 0 && (is_scale ? H5DSset_scale(dataset, plan->name) >= 0
                                              : attach_scales(h5, dataset, plan));
    cbx_h5_check(h5, ok, "create", path);
    if (dataset >= 0) {
        H5Dclose(dataset);
    }
    H5Pclose(list);
    H5Sclose(space);
    if (is_scale) {
        const int number = h5->next_dimension++;
        cbx_h5_attribute(h5, path, "_Netcdf4Dimid", H5T_STD_I32LE, &number);
    }
    cbx_h5_text_attribute(h5, path, "units", plan->units);
    cbx_h5_text_attribute(h5, path, "long_name", plan->long_name);
    cbx_h5_text_attribute(h5, path, "standard_name", plan->standard_name);
    cbx_h5_text_attribute(h5, path, "cell_methods", plan->cell_methods);
}

void cbx_h5_bare_dimension(cbx_h5 *h5, const char *group, const char *name, hsize_t size)
{
    if (h5->status != CB_OK) {
        return;
    }
    char path[FULL_PATH_SIZE];
    char scale_name[80]; // the words that netCDF-4 files use for a dimension without a variable
    snprintf(path, sizeof path, "%s/%s", group, name);
    snprintf(scale_name, sizeof scale_name,
             "This is a netCDF dimension but not a netCDF variable.%10d", (int)size);
    const hid_t space = H5Screate_simple(1, &size, NULL);
    const hid_t dataset =
        H5Dcreate2(h5->file, path, H5T_IEEE_F32BE, space, H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
    const bool ok = dataset >= 0 && H5DSset_scale(dataset, scale_name) >= 0;
    cbx_h5_check(h5, ok, "create", path);
    if (dataset >= 0) {
        H5Dclose(dataset);
    }
    H5Sclose(space);
    const int number = h5->next_dimension++;
    cbx_h5_attribute(h5, path, "_Netcdf4Dimid", H5T_STD_I32LE, &number);
}

// ---- rows ------------------------------------------------------------------------------------

typedef struct opened {
    hid_t dataset, space;
    int rank;
    hsize_t size[CBX_MAX_RANK];
} opened;

static bool open_dataset(cbx_h5 *h5, const char *path, opened *out)
{
    *out = (opened){.dataset = H5I_INVALID_HID, .space = H5I_INVALID_HID};
    if (h5->status != CB_OK) {
        return false;
    }
    out->dataset = H5Dopen2(h5->file, path, H5P_DEFAULT);
    if (out->dataset < 0) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is not a run of this program: dataset %s is missing",
                      path);
        return false;
    }
    out->space = H5Dget_space(out->dataset);
    out->rank = out->space >= 0 ? H5Sget_simple_extent_ndims(out->space) : -1;
    if (out->rank < 0 || out->rank > CBX_MAX_RANK) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is not a run of this program: %s has another shape", path);
        return false;
    }
    H5Sget_simple_extent_dims(out->space, out->size, NULL);
    return true;
}

static void close_dataset(const opened *set)
{
    if (set->space >= 0) {
        H5Sclose(set->space);
    }
    if (set->dataset >= 0) {
        H5Dclose(set->dataset);
    }
}

typedef struct rows_of {
    hid_t memory_type;
    hsize_t first, rows;
    const void *source; // to write, or
    void *destination;  // to read into
} rows_of;

static void transfer(cbx_h5 *h5, const char *path, const opened *set, const rows_of *rows)
{
    hsize_t start[CBX_MAX_RANK] = {rows->first};
    hsize_t count[CBX_MAX_RANK];
    memcpy(count, set->size, sizeof count);
    count[0] = rows->rows;
    const hid_t space = H5Dget_space(set->dataset); // anew: the dataset may have grown
    const hid_t memory =
        set->rank > 0 ? H5Screate_simple(set->rank, count, NULL) : H5Screate(H5S_SCALAR);
    bool ok = space >= 0 && memory >= 0;
    if (ok && set->rank > 0) {
        ok = H5Sselect_hyperslab(space, H5S_SELECT_SET, start, NULL, count, NULL) >= 0;
    }
    if (ok) {
        const hid_t plain = H5P_DEFAULT, type = rows->memory_type;
        ok = (rows->destination
                  ? H5Dread(set->dataset, type, memory, space, plain, rows->destination)
                  : H5Dwrite(set->dataset, type, memory, space, plain, rows->source)) >= 0;
    }
    cbx_h5_check(h5, ok, rows->destination ? "read" : "write", path);
    if (memory >= 0) {
        H5Sclose(memory);
    }
    if (space >= 0) {
        H5Sclose(space);
    }
}

static bool resize(const opened *set, hsize_t rows)
{
    hsize_t size[CBX_MAX_RANK];
    memcpy(size, set->size, sizeof size);
    size[0] = rows;
    return H5Dset_extent(set->dataset, size) >= 0;
}

void cbx_h5_write_rows(cbx_h5 *h5, const char *path, hid_t memory_type, hsize_t first, hsize_t rows,
                       const void *values)
{
    opened set;
    if (open_dataset(h5, path, &set)) {
        const hsize_t end = first + rows;
        const bool ok = set.rank == 0 || end <= set.size[0] || resize(&set, end);
        if (cbx_h5_check(h5, ok, "write", path) && rows > 0) {
            transfer(h5, path, &set, &(rows_of){memory_type, first, rows, values, NULL});
        }
    }
    close_dataset(&set);
}

void cbx_h5_set_rows(cbx_h5 *h5, const char *path, hsize_t rows)
{
    opened set;
    if (open_dataset(h5, path, &set)) {
        cbx_h5_check(h5, resize(&set, rows), "resize", path);
    }
    close_dataset(&set);
}

void cbx_h5_read_part(cbx_h5 *h5, const char *path, const cbx_part *part, void *values)
{
    const hsize_t rows = part->rows, row_values = part->row_values;
    opened set;
    if (open_dataset(h5, path, &set)) {
        hsize_t each = 1;
        for (int axis = 1; axis < set.rank; axis++) {
            each *= set.size[axis];
        }
        const hsize_t there = set.rank > 0 ? set.size[0] : 1;
        if (each != row_values || there < part->first + rows) {
            cbx_h5_refuse(
                h5, CB_BAD_INPUT,
                "is damaged: %s holds %llu rows of %llu values where %llu of %llu are due", path,
                (unsigned long long)there, (unsigned long long)each,
                (unsigned long long)(part->first + rows), (unsigned long long)row_values);
        } else if (rows > 0) {
            transfer(h5, path, &set,
                     &(rows_of){part->memory_type, part->first, rows, NULL, values});
        }
    }
    close_dataset(&set);
}

void cbx_h5_read_rows(cbx_h5 *h5, const char *path, hid_t memory_type, hsize_t rows,
                      hsize_t row_values, void *values)
{
    const cbx_part part = {memory_type, 0, rows, row_values};
    cbx_h5_read_part(h5, path, &part, values);
}

void cbx_h5_read_from(cbx_h5 *h5, const char *path, hsize_t first, hsize_t rows, double *values)
{
    opened set;
    if (open_dataset(h5, path, &set)) {
        if (set.rank != 1 || set.size[0] < first + rows) {
            cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: %s does not hold %llu values", path,
                          (unsigned long long)(first + rows));
        } else if (rows > 0) {
            transfer(h5, path, &set, &(rows_of){H5T_NATIVE_DOUBLE, first, rows, NULL, values});
        }
    }
    close_dataset(&set);
}

hsize_t cbx_h5_length(cbx_h5 *h5, const char *path, int axis)
{
    opened set;
    const bool ok = open_dataset(h5, path, &set) && axis < set.rank;
    close_dataset(&set);
    return ok ? set.size[axis] : 0;
}

// ---- text ------------------------------------------------------------------------------------

void cbx_h5_text(cbx_h5 *h5, const char *path, const char *text)
{
    if (h5->status != CB_OK) {
        return;
    }
    const hid_t type = cbx_h5_text_type(H5T_VARIABLE);
    const hid_t scalar = H5Screate(H5S_SCALAR);
    const hid_t dataset =
        H5Dcreate2(h5->file, path, type, scalar, H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
    const bool ok = dataset >= 0 && H5Dwrite(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT,
                                             (const void *)&text) >= 0;
    cbx_h5_check(h5, ok, "write", path);
    if (dataset >= 0) {
        H5Dclose(dataset);
    }
    H5Sclose(scalar);
    H5Tclose(type);
}

char *cbx_h5_read_text(cbx_h5 *h5, const char *path)
{
    opened set;
    char *copy = NULL;
    if (open_dataset(h5, path, &set)) {
        const hid_t stored = H5Dget_type(set.dataset);
        const hid_t type = cbx_h5_text_type(H5T_VARIABLE);
        char *text = NULL;
        const bool ok =
            set.rank == 0 && H5Tis_variable_str(stored) > 0 &&
            H5Dread(set.dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, (void *)&text) >= 0;
        if (!ok) {
            cbx_h5_refuse(h5, CB_BAD_INPUT, "is not a run of this program: %s is no text", path);
        } else {
            copy = strdup(text ? text : "");
            H5free_memory(text);
        }
        if (ok && !copy) {
            cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for %s", path);
        }
        H5Tclose(type);
        H5Tclose(stored);
    }
    close_dataset(&set);
    return copy;
}
