// SPDX-License-Identifier: MIT
#include "record/stored.h"

#include "record/h5.h"

#include <hdf5_hl.h>
#include <stdlib.h>
#include <string.h>

enum {
    MOST_VALUES = 20000000, // of one dataset: more than any study has cases
    MOST_TEXT = 1 << 24,    // bytes of one text
    NAME_SIZE = 256
};

// ---- what a dataset says about itself --------------------------------------------------------

static char *no_text(cbx_h5 *h5)
{
    char *text = calloc(1, 1);
    if (!text) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for what is in it");
    }
    return text;
}

static char *attribute(cbx_h5 *h5, hid_t dataset, const char *path, const char *name)
{
    return h5->status == CB_OK && H5Aexists(dataset, name) > 0
               ? cbx_h5_read_text_attribute(h5, path, name)
               : no_text(h5);
}

/// Keeps the last part of a dimension scale's path.
static herr_t take_scale(hid_t dataset, unsigned axis, hid_t scale, void *to)
{
    (void)dataset;
    (void)axis;
    char path[NAME_SIZE];
    if (H5Iget_name(scale, path, sizeof path) <= 0) {
        return -1;
    }
    const char *slash = strrchr(path, '/');
    *(char **)to = strdup(slash ? slash + 1 : path);
    return 1; // one is enough
}

static void read_dimensions(cbx_h5 *h5, hid_t dataset, cbx_stored_variable *out)
{
    for (int axis = 0; axis < out->rank; axis++) {
        const bool is_axis = H5DSis_scale(dataset) > 0;
        if (!is_axis && H5DSget_num_scales(dataset, (unsigned)axis) > 0) {
            H5DSiterate_scales(dataset, (unsigned)axis, NULL, take_scale, &out->dimension[axis]);
        }
        if (!out->dimension[axis]) {
            out->dimension[axis] = no_text(h5);
        }
    }
}

static bool read_shape(cbx_h5 *h5, hid_t dataset, cbx_stored_variable *out)
{
    hsize_t size[CBX_MAX_RANK] = {0};
    const hid_t space = H5Dget_space(dataset);
    out->rank = space >= 0 ? H5Sget_simple_extent_ndims(space) : -1;
    const bool ok = out->rank >= 0 && out->rank <= CB_MAX_DIMENSIONS &&
                    H5Sget_simple_extent_dims(space, size, NULL) >= 0;
    out->count = 1;
    for (int axis = 0; ok && axis < out->rank; axis++) {
        out->size[axis] = (size_t)size[axis];
        out->count = size[axis] > 0 && out->count <= MOST_VALUES / size[axis]
                         ? out->count * (size_t)size[axis]
                         : MOST_VALUES + 1;
    }
    if (space >= 0) {
        H5Sclose(space);
    }
    if (!ok || out->count > MOST_VALUES) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: %s has no shape that is known", out->name);
    }
    return h5->status == CB_OK;
}

// ---- values ----------------------------------------------------------------------------------

static void read_texts(cbx_h5 *h5, hid_t dataset, hid_t type, cbx_stored_variable *out)
{
    const size_t size = H5Tget_size(type);
    if (H5Tis_variable_str(type) != 0 || size == 0 || size > MOST_TEXT ||
        size * out->count > MOST_VALUES * sizeof(double)) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: %s holds no text that is known", out->name);
        return;
    }
    out->text_size = size + 1;
    out->text = calloc(out->count, out->text_size);
    if (!out->text) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for %s", out->name);
        return;
    }
    const hid_t memory = cbx_h5_text_type(out->text_size); // one more: the end is always there
    cbx_h5_check(h5, H5Dread(dataset, memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, out->text) >= 0,
                 "read", out->name);
    H5Tclose(memory);
}

static void read_numbers(cbx_h5 *h5, hid_t dataset, cbx_stored_variable *out)
{
    out->number = calloc(out->count, sizeof *out->number);
    if (!out->number) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for %s", out->name);
        return;
    }
    cbx_h5_check(
        h5, H5Dread(dataset, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, out->number) >= 0,
        "read", out->name);
}

static void read_values(cbx_h5 *h5, hid_t dataset, cbx_stored_variable *out)
{
    const hid_t type = H5Dget_type(dataset);
    const H5T_class_t class = type >= 0 ? H5Tget_class(type) : H5T_NO_CLASS;
    if (class == H5T_STRING) {
        read_texts(h5, dataset, type, out);
    } else if (class == H5T_FLOAT || class == H5T_INTEGER) {
        read_numbers(h5, dataset, out);
    } else {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: %s holds neither numbers nor text", out->name);
    }
    if (type >= 0) {
        H5Tclose(type);
    }
}

static void read_variable(cbx_h5 *h5, hid_t group, const char *folder, cbx_stored_variable *out)
{
    char path[2 * NAME_SIZE];
    snprintf(path, sizeof path, "%s%s%s", folder, strcmp(folder, "/") == 0 ? "" : "/", out->name);
    const hid_t dataset = H5Dopen2(group, out->name, H5P_DEFAULT);
    if (cbx_h5_check(h5, dataset >= 0, "open", path) && read_shape(h5, dataset, out)) {
        out->units = attribute(h5, dataset, path, "units");
        out->long_name = attribute(h5, dataset, path, "long_name");
        read_dimensions(h5, dataset, out);
        read_values(h5, dataset, out);
    }
    if (dataset >= 0) {
        H5Dclose(dataset);
    }
}

// ---- the group -------------------------------------------------------------------------------

static bool is_dataset(hid_t group, const char *name)
{
    const hid_t object = H5Oopen(group, name, H5P_DEFAULT);
    const bool is = object >= 0 && H5Iget_type(object) == H5I_DATASET;
    if (object >= 0) {
        H5Oclose(object);
    }
    return is;
}

typedef struct listing {
    cbx_h5 *h5;
    const char *folder;
    cbx_stored *out;
} listing;

static herr_t take_link(hid_t group, const char *name, const H5L_info_t *info, void *to)
{
    (void)info;
    listing *list = to;
    if (strlen(name) >= NAME_SIZE || !is_dataset(group, name)) {
        return 0;
    }
    cbx_stored_variable *variable = &list->out->variable[list->out->count++];
    variable->name = strdup(name);
    if (!variable->name) {
        cbx_h5_refuse(list->h5, CB_NO_MEMORY, "no memory for %s", list->folder);
        return -1;
    }
    read_variable(list->h5, group, list->folder, variable);
    return list->h5->status == CB_OK ? 0 : -1;
}

// In the file's own order: HDF5 1.10 crashes where it sorts the links of a damaged file.
static void read_group(cbx_h5 *h5, hid_t group, const char *folder, cbx_stored *out)
{
    H5G_info_t info = {0};
    cbx_h5_check(h5, H5Gget_info(group, &info) >= 0, "list", folder);
    out->variable = calloc((size_t)info.nlinks + 1, sizeof *out->variable);
    if (!out->variable) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for %s", folder);
        return;
    }
    listing list = {h5, folder, out};
    const bool listed = h5->status == CB_OK && H5Literate(group, H5_INDEX_NAME, H5_ITER_NATIVE,
                                                          NULL, take_link, &list) >= 0;
    cbx_h5_check(h5, listed, "list", folder);
}

cb_status cbx_stored_read(cbx_stored **out, const char *path, const char *group, cb_error *error)
{
    *out = NULL;
    cbx_stored *stored = calloc(1, sizeof *stored);
    if (!stored) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to read %s", path);
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    const bool there = h5.status == CB_OK &&
                       (strcmp(group, "/") == 0 || H5Lexists(h5.file, group, H5P_DEFAULT) > 0);
    const hid_t at = there ? H5Gopen2(h5.file, group, H5P_DEFAULT) : H5I_INVALID_HID;
    if (there && cbx_h5_check(&h5, at >= 0, "open", group)) {
        read_group(&h5, at, group, stored);
        H5Gclose(at);
    }
    const cb_status status = cbx_h5_end(&h5, error);
    *out = status == CB_OK ? stored : cbx_stored_destroy(stored);
    return status;
}

cbx_stored *cbx_stored_destroy(cbx_stored *stored)
{
    for (size_t i = 0; stored && i < stored->count; i++) {
        cbx_stored_variable *variable = &stored->variable[i];
        for (int axis = 0; axis < CB_MAX_DIMENSIONS; axis++) {
            free(variable->dimension[axis]);
        }
        free(variable->name);
        free(variable->units);
        free(variable->long_name);
        free(variable->number);
        free(variable->text);
    }
    if (stored) {
        free(stored->variable);
    }
    free(stored);
    return NULL;
}

const cbx_stored_variable *cbx_stored_find(const cbx_stored *stored, const char *name)
{
    for (size_t i = 0; i < stored->count; i++) {
        if (strcmp(stored->variable[i].name, name) == 0) {
            return &stored->variable[i];
        }
    }
    return NULL;
}

const char *cbx_stored_text(const cbx_stored_variable *variable, size_t index)
{
    return variable->text && index < variable->count ? variable->text + index * variable->text_size
                                                     : "";
}
