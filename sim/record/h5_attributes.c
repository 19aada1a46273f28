// SPDX-License-Identifier: MIT
#include "record/h5.h"

#include <stdlib.h>
#include <string.h>

hid_t cbx_h5_text_type(size_t size)
{
    const hid_t type = H5Tcopy(H5T_C_S1);
    H5Tset_size(type, size);
    H5Tset_cset(type, H5T_CSET_UTF8);
    return type;
}

// The object is opened itself: HDF5 1.10.8 cannot overwrite an attribute that was opened by the
// name of an object that nobody else holds open.
void cbx_h5_attribute(cbx_h5 *h5, const char *path, const char *name, hid_t file_type,
                      const void *value)
{
    if (h5->status != CB_OK) {
        return;
    }
    const hid_t object = H5Oopen(h5->file, path, H5P_DEFAULT);
    const hid_t scalar = H5Screate(H5S_SCALAR);
    const hid_t memory_type = H5Tget_native_type(file_type, H5T_DIR_DEFAULT);
    hid_t attribute = H5I_INVALID_HID;
    if (object >= 0 && H5Aexists(object, name) > 0) {
        attribute = H5Aopen(object, name, H5P_DEFAULT);
    } else if (object >= 0) {
        attribute = H5Acreate2(object, name, file_type, scalar, H5P_DEFAULT, H5P_DEFAULT);
    }
    const bool ok = attribute >= 0 && H5Awrite(attribute, memory_type, value) >= 0;
    cbx_h5_check(h5, ok, "write attribute", name);
    if (attribute >= 0) {
        H5Aclose(attribute);
    }
    H5Tclose(memory_type);
    H5Sclose(scalar);
    if (object >= 0) {
        H5Oclose(object);
    }
}

void cbx_h5_text_attribute(cbx_h5 *h5, const char *path, const char *name, const char *text)
{
    if (text) {
        const hid_t type = cbx_h5_text_type(strlen(text) + 1);
        cbx_h5_attribute(h5, path, name, type, text);
        H5Tclose(type);
    }
}

void cbx_h5_double_attribute(cbx_h5 *h5, const char *path, const char *name, double value)
{
    cbx_h5_attribute(h5, path, name, H5T_IEEE_F64LE, &value);
}

void cbx_h5_integer_attribute(cbx_h5 *h5, const char *path, const char *name, long value)
{
    const int64_t stored = value;
    cbx_h5_attribute(h5, path, name, H5T_STD_I64LE, &stored);
}

static void get_attribute(cbx_h5 *h5, const char *path, const char *name, hid_t memory_type,
                          void *value)
{
    if (h5->status != CB_OK) {
        return;
    }
    const hid_t attribute = H5Aopen_by_name(h5->file, path, name, H5P_DEFAULT, H5P_DEFAULT);
    // One value only: a file made by others may hold an array where this reads a scalar.
    const hid_t space = attribute >= 0 ? H5Aget_space(attribute) : H5I_INVALID_HID;
    const bool ok = space >= 0 && H5Sget_simple_extent_npoints(space) == 1 &&
                    H5Aread(attribute, memory_type, value) >= 0;
    if (!ok) {
        cbx_h5_refuse(h5, CB_BAD_INPUT,
                      "is not a run of this program: attribute %s of %s is missing", name, path);
    }
    if (space >= 0) {
        H5Sclose(space);
    }
    if (attribute >= 0) {
        H5Aclose(attribute);
    }
}

double cbx_h5_read_double_attribute(cbx_h5 *h5, const char *path, const char *name)
{
    double value = 0.0;
    get_attribute(h5, path, name, H5T_NATIVE_DOUBLE, &value);
    return value;
}

long cbx_h5_read_integer_attribute(cbx_h5 *h5, const char *path, const char *name)
{
    long value = 0;
    get_attribute(h5, path, name, H5T_NATIVE_LONG, &value);
    return value;
}

char *cbx_h5_read_text_attribute(cbx_h5 *h5, const char *path, const char *name)
{
    if (h5->status != CB_OK) {
        return NULL;
    }
    const hid_t attribute = H5Aopen_by_name(h5->file, path, name, H5P_DEFAULT, H5P_DEFAULT);
    const hid_t type = attribute >= 0 ? H5Aget_type(attribute) : H5I_INVALID_HID;
    char *text = NULL;
    const bool fixed = type >= 0 && H5Tget_class(type) == H5T_STRING &&
                       H5Tis_variable_str(type) == 0 &&
                       H5Aget_storage_size(attribute) == H5Tget_size(type);
    if (fixed) {
        text = calloc(H5Tget_size(type) + 1, 1);
    }
    if (fixed && !text) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for attribute %s", name);
    } else if (!fixed || H5Aread(attribute, type, text) < 0) {
        cbx_h5_refuse(h5, CB_BAD_INPUT,
                      "is not a run of this program: attribute %s of %s is missing", name, path);
        free(text);
        text = NULL;
    }
    if (type >= 0) {
        H5Tclose(type);
    }
    if (attribute >= 0) {
        H5Aclose(attribute);
    }
    return text;
}
