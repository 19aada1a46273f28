// SPDX-License-Identifier: MIT
#include "record/same_values.h"

#include "coilbed/record.h"

#include <hdf5.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

typedef struct values {
    hid_t type;
    hsize_t count;
    char *bytes; // texts of variable length are pointers
    bool text;
} values;

static values read_values(hid_t file, const char *path)
{
    const hid_t dataset = H5Dopen2(file, path, H5P_DEFAULT);
    const hid_t space = H5Dget_space(dataset);
    const hid_t stored = H5Dget_type(dataset);
    values read = {.type = H5Tget_native_type(stored, H5T_DIR_DEFAULT),
                   .count = (hsize_t)H5Sget_simple_extent_npoints(space),
                   .text = H5Tis_variable_str(stored) > 0};
    read.bytes = calloc((size_t)read.count + 1, H5Tget_size(read.type));
    if (H5Dread(dataset, read.type, H5S_ALL, H5S_ALL, H5P_DEFAULT, read.bytes) < 0) {
        fail_msg("cannot read %s", path);
    }
    H5Tclose(stored);
    H5Sclose(space);
    H5Dclose(dataset);
    return read;
}

static bool equal(const values *got, const values *want)
{
    if (got->count != want->count || H5Tequal(got->type, want->type) <= 0) {
        return false;
    }
    if (!want->text) {
        return memcmp(got->bytes, want->bytes, want->count * H5Tget_size(want->type)) == 0;
    }
    for (hsize_t i = 0; i < want->count; i++) {
        if (strcmp(((char **)(void *)got->bytes)[i], ((char **)(void *)want->bytes)[i]) != 0) {
            return false;
        }
    }
    return true;
}

static void free_values(values *read)
{
    for (hsize_t i = 0; read->text && i < read->count; i++) {
        H5free_memory(((char **)(void *)read->bytes)[i]);
    }
    free(read->bytes);
    H5Tclose(read->type);
}

typedef struct comparison {
    hid_t got, want;
    int datasets;
} comparison;

static herr_t compare(hid_t root, const char *path, const H5O_info_t *info, void *context)
{
    (void)root;
    comparison *files = context;
    if (info->type != H5O_TYPE_DATASET) {
        return 0;
    }
    if (H5Lexists(files->got, path, H5P_DEFAULT) <= 0) {
        fail_msg("%s is missing", path);
    }
    values got = read_values(files->got, path);
    values want = read_values(files->want, path);
    if (!equal(&got, &want)) {
        fail_msg("%s: %llu values differ from those of the other file, of which it has %llu", path,
                 (unsigned long long)got.count, (unsigned long long)want.count);
    }
    free_values(&got);
    free_values(&want);
    files->datasets++;
    return 0;
}

static int count_objects(hid_t file)
{
    H5O_info_t info;
    int count = 0;
    const herr_t found = H5Oget_info2(file, &info, H5O_INFO_BASIC);
    H5G_info_t group;
    const char *const name[] = {"/",       "/loop",   "/plant",   "/house",    "/weather",
                                "/ground", "/annual", "/monthly", "/findings", "/checkpoint"};
    for (size_t i = 0; found >= 0 && i < sizeof name / sizeof *name; i++) {
        assert_true(H5Gget_info_by_name(file, name[i], &group, H5P_DEFAULT) >= 0);
        count += (int)group.nlinks;
    }
    return count;
}

static void compare_quality(const char *got_path, const char *want_path)
{
    cb_run_data *got = NULL;
    cb_run_data *want = NULL;
    cb_error error = {0};
    if (cb_record_read(&got, got_path, &error) != CB_OK ||
        cb_record_read(&want, want_path, &error) != CB_OK) {
        fail_msg("%s: %s", error.file, error.message);
    }
    assert_int_equal(got->complete, want->complete);
    assert_true(got->quality.wall_seconds > 0.0);
    cb_quality quality = want->quality;
    quality.wall_seconds = got->quality.wall_seconds;
    assert_memory_equal(&got->quality, &quality, sizeof quality);
    cb_run_data_destroy(got);
    cb_run_data_destroy(want);
}

int assert_same_values(const char *got, const char *want)
{
    comparison files = {.got = H5Fopen(got, H5F_ACC_RDONLY, H5P_DEFAULT),
                        .want = H5Fopen(want, H5F_ACC_RDONLY, H5P_DEFAULT)};
    assert_true(files.got >= 0 && files.want >= 0);
    H5Ovisit2(files.want, H5_INDEX_NAME, H5_ITER_NATIVE, compare, &files, H5O_INFO_BASIC);
    assert_int_equal(count_objects(files.got), count_objects(files.want));
    H5Fclose(files.got);
    H5Fclose(files.want);
    compare_quality(got, want);
    return files.datasets;
}
