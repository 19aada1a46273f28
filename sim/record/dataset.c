// SPDX-License-Identifier: MIT
#include "coilbed/dataset.h"

#include "coilbed/version.h"
#include "record/h5.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { PATH_SIZE = 200 };

// ---- one variable ----------------------------------------------------------------------------

/// The values of a variable or of an axis, in one of three types.
typedef struct contents {
    size_t count; ///< of all values
    hsize_t rows; ///< along the first dimension; 1 without one
    const double *number;
    const int *integer;
    const char *const *text;
} contents;

static size_t text_size(const contents *of)
{
    size_t longest = 0;
    for (size_t i = 0; i < of->count; i++) {
        const size_t length = strlen(of->text[i]);
        longest = length > longest ? length : longest;
    }
    return longest + 1;
}

static void write_texts(cbx_h5 *h5, const char *path, hid_t type, size_t size, const contents *of)
{
    char *bytes = calloc(of->count ? of->count : 1, size);
    if (!bytes) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for %s", path);
        return;
    }
    for (size_t i = 0; i < of->count; i++) {
        snprintf(bytes + i * size, size, "%s", of->text[i]);
    }
    cbx_h5_write_rows(h5, path, type, 0, of->rows, bytes);
    free(bytes);
}

static void put(cbx_h5 *h5, cbx_plan *plan, const contents *of)
{
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "%s/%s", plan->group, plan->name);
    const size_t size = of->text ? text_size(of) : 0;
    const hid_t text_type = of->text ? cbx_h5_text_type(size) : H5I_INVALID_HID;
    plan->type = of->text ? text_type : of->integer ? H5T_STD_I32LE : H5T_IEEE_F64LE;
    cbx_h5_dataset(h5, plan);
    if (of->text) {
        cbx_h5_text_attribute(h5, path, "_Encoding", "utf-8");
        write_texts(h5, path, text_type, size, of);
        H5Tclose(text_type);
    } else if (of->integer) {
        cbx_h5_write_rows(h5, path, H5T_NATIVE_INT, 0, of->rows, of->integer);
    } else {
        cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, 0, of->rows, of->number);
    }
}

static void put_axis(cbx_h5 *h5, const cb_dataset_axis *axis)
{
    cbx_plan plan = {.group = axis->group,
                     .name = axis->name,
                     .rank = 1,
                     .size = {axis->length},
                     .units = axis->units,
                     .long_name = axis->long_name};
    const contents of = {.count = axis->length,
                         .rows = axis->length,
                         .number = axis->number,
                         .integer = axis->integer,
                         .text = axis->text};
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "%s/%s", axis->group, axis->name);
    put(h5, &plan, &of);
    cbx_h5_text_attribute(h5, path, "comment", axis->comment);
}

static void put_variable(cbx_h5 *h5, const cb_dataset *dataset, const cb_dataset_variable *variable)
{
    char scale[CB_MAX_DIMENSIONS][PATH_SIZE], path[PATH_SIZE];
    cbx_plan plan = {.group = variable->group,
                     .name = variable->name,
                     .rank = variable->rank,
                     .units = variable->units,
                     .long_name = variable->long_name};
    contents of = {.count = 1,
                   .rows = 1,
                   .number = variable->number,
                   .integer = variable->integer,
                   .text = variable->text};
    for (int d = 0; d < variable->rank; d++) {
        const cb_dataset_axis *axis = &dataset->axis[variable->axis[d]];
        snprintf(scale[d], sizeof scale[d], "%s/%s", axis->group, axis->name);
        plan.dimension[d] = scale[d];
        plan.size[d] = axis->length;
        of.count *= axis->length;
    }
    if (variable->rank > 0) {
        of.rows = plan.size[0];
    }
    put(h5, &plan, &of);
    snprintf(path, sizeof path, "%s/%s", variable->group, variable->name);
    cbx_h5_text_attribute(h5, path, "comment", variable->comment);
}

// ---- the file --------------------------------------------------------------------------------

static void make_groups(cbx_h5 *h5, const cb_dataset *dataset)
{
    for (size_t i = 0; i < dataset->axis_count; i++) {
        const char *group = dataset->axis[i].group;
        bool made = !*group;
        for (size_t before = 0; !made && before < i; before++) {
            made = strcmp(dataset->axis[before].group, group) == 0;
        }
        if (!made) {
            cbx_h5_group(h5, group);
        }
    }
}

static void fill(cbx_h5 *h5, const cb_dataset *dataset)
{
    cbx_h5_text_attribute(h5, "/", "Conventions", "CF-1.8");
    cbx_h5_text_attribute(h5, "/", "program", "coilbed");
    cbx_h5_text_attribute(h5, "/", "program_version", CB_VERSION);
    for (size_t i = 0; i < dataset->note_count; i++) {
        cbx_h5_text_attribute(h5, "/", dataset->note[i].name, dataset->note[i].text);
    }
    make_groups(h5, dataset);
    for (size_t i = 0; i < dataset->axis_count; i++) {
        put_axis(h5, &dataset->axis[i]);
    }
    for (size_t i = 0; i < dataset->variable_count; i++) {
        put_variable(h5, dataset, &dataset->variable[i]);
    }
}

static cb_status write_to(const char *path, const cb_dataset *dataset, cb_error *error)
{
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_create(&h5);
    fill(&h5, dataset);
    return cbx_h5_end(&h5, error);
}

cb_status cb_dataset_write(const char *path, const cb_dataset *dataset, cb_error *error)
{
    if (!path || !dataset) {
        return cb_fail(error, CB_BAD_CALL, "cb_dataset_write needs a path and a dataset");
    }
    const size_t size = strlen(path) + sizeof ".part";
    char *beside = malloc(size);
    if (!beside) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to write %s", path);
    }
    snprintf(beside, size, "%s.part", path);
    unlink(beside); // of a process that was killed
    cb_status status = write_to(beside, dataset, error);
    if (status == CB_OK && rename(beside, path) != 0) {
        status = cb_fail_at(error, CB_IO, path, 0, 0, "cannot be written: %s", strerror(errno));
    }
    if (status != CB_OK) {
        unlink(beside);
    }
    free(beside);
    return status;
}

cb_status cb_dataset_read_note(char **out, const char *path, const char *name, cb_error *error)
{
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    *out = cbx_h5_read_text_attribute(&h5, "/", name);
    const cb_status status = cbx_h5_end(&h5, error);
    if (status != CB_OK) {
        free(*out);
        *out = NULL;
    }
    return status;
}
