// SPDX-License-Identifier: MIT
// Chunks made here are read by HDF5, which checks their checksum, and are hardly larger than its
// own.
#include "record/h5.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static const char *const path = "packed.h5";

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", error->file, error->message);
    }
}

typedef double make_value(long i);

static uint64_t scrambled(long i)
{
    uint64_t x = (uint64_t)i * 0x9e3779b97f4a7c15u;
    x = (x ^ x >> 30) * 0xbf58476d1ce4e5b9u;
    return x ^ x >> 31;
}

// Every byte is noise, the exponent's too; scaled down when it is not a finite float.
static double noise(long i)
{
    uint64_t bits = scrambled(i);
    double value;
    memcpy(&value, &bits, sizeof value);
    return isfinite(value) ? value : (double)i;
}

static double wave(long i)
{
    return 6.0 - 8.0 * sin(0.0007 * (double)i) + 0.3 * sin((double)i);
}

static double step(long i)
{
    return i / 50 % 2 == 0 ? 0.0 : 1350.0;
}

static double ramp(long i)
{
    return 3600.0 * (double)i;
}

static double zero(long i)
{
    (void)i;
    return 0.0;
}

static double mostly_missing(long i)
{
    return i % 17 == 0 ? wave(i) : (double)NAN;
}

// What a dataset of one kind of value is made of, and how it is written.
typedef struct layout {
    hsize_t chunk_rows, columns;
    long rows[3]; // after each append; 0: no more
    bool single;  // float
} layout;

static void make_dataset(cbx_h5 *h5, const char *name, const layout *as)
{
    const cbx_plan scale = {
        .group = "", .name = "row", .type = H5T_IEEE_F64LE, .rank = 1, .chunk = {64}};
    cbx_plan plan = {.group = "",
                     .name = name,
                     .type = as->single ? H5T_IEEE_F32LE : H5T_IEEE_F64LE,
                     .rank = as->columns > 1 ? 2 : 1,
                     .dimension = {"/row", "/column"},
                     .size = {0, as->columns},
                     .chunk = {as->chunk_rows, as->columns}};
    if (H5Lexists(h5->file, "row", H5P_DEFAULT) <= 0) {
        cbx_h5_dataset(h5, &scale);
        cbx_h5_bare_dimension(h5, "", "column", as->columns);
    }
    cbx_h5_dataset(h5, &plan);
}

static void *make_values(make_value *value, const layout *as, long rows, size_t *bytes)
{
    const long count = rows * (long)as->columns;
    double *wide = calloc((size_t)count, sizeof *wide);
    float *narrow = calloc((size_t)count, sizeof *narrow);
    assert_true(wide && narrow);
    for (long i = 0; i < count; i++) {
        wide[i] = value(i);
        narrow[i] = fabs(wide[i]) < 1e38 ? (float)wide[i] : (float)scrambled(i);
    }
    *bytes = (size_t)count * (as->single ? sizeof *narrow : sizeof *wide);
    free(as->single ? (void *)wide : (void *)narrow);
    return as->single ? (void *)narrow : (void *)wide;
}

// Appends as a record does: from the start of the unfinished chunk on.
static void append(cbx_pack *pack, const char *name, const layout *as, const void *values)
{
    const hid_t type = as->single ? H5T_NATIVE_FLOAT : H5T_NATIVE_DOUBLE;
    const size_t row_bytes = H5Tget_size(type) * (size_t)as->columns;
    long before = 0;
    for (int i = 0; i < 3 && as->rows[i] > 0; i++) {
        cb_error error = {0};
        cbx_h5 h5;
        const hsize_t first = (hsize_t)before / as->chunk_rows * as->chunk_rows;
        const cbx_packed_rows rows = {.memory_type = type,
                                      .chunk_rows = as->chunk_rows,
                                      .first = first,
                                      .rows = (hsize_t)as->rows[i] - first,
                                      .length = (hsize_t)as->rows[i],
                                      .values = (const char *)values + first * row_bytes};
        cbx_h5_begin(&h5, path);
        cbx_h5_open_append(&h5, false);
        cbx_h5_write_packed(&h5, pack, name, &rows);
        must(cbx_h5_end(&h5, &error), &error);
        before = as->rows[i];
    }
}

static hsize_t stored_bytes(cbx_h5 *h5, const char *name)
{
    const hid_t dataset = H5Dopen2(h5->file, name, H5P_DEFAULT);
    const hsize_t bytes = H5Dget_storage_size(dataset);
    H5Dclose(dataset);
    return bytes;
}

/// Writes the same values packed here and by HDF5, reads them back, and returns how much larger
/// ours are, relative to the values themselves.
static double write_both(cbx_pack *pack, make_value *value, const layout *as, const char *what)
{
    long rows = 0;
    for (int i = 0; i < 3 && as->rows[i] > 0; i++) {
        rows = as->rows[i];
    }
    size_t bytes = 0;
    void *want = make_values(value, as, rows, &bytes);
    void *got = calloc(1, bytes);
    const hid_t type = as->single ? H5T_NATIVE_FLOAT : H5T_NATIVE_DOUBLE;
    cb_error error = {0};
    cbx_h5 h5;
    unlink(path);
    cbx_h5_begin(&h5, path);
    cbx_h5_create(&h5);
    make_dataset(&h5, "ours", as);
    make_dataset(&h5, "theirs", as);
    cbx_h5_write_rows(&h5, "theirs", type, 0, (hsize_t)rows, want);
    must(cbx_h5_end(&h5, &error), &error);
    append(pack, "ours", as, want);

    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    assert_int_equal(cbx_h5_length(&h5, "ours", 0), rows);
    cbx_h5_read_rows(&h5, "ours", type, (hsize_t)rows, as->columns, got);
    const double excess = (double)stored_bytes(&h5, "ours") - (double)stored_bytes(&h5, "theirs");
    must(cbx_h5_end(&h5, &error), &error);
    if (memcmp(got, want, bytes) != 0) {
        fail_msg("%s: other values come back", what);
    }
    free(want);
    free(got);
    return excess / (double)bytes;
}

static void hdf5_reads_what_is_packed(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        make_value *value;
        double excess; // largest
    } kind[] = {{"noise", noise, 0.02},
                {"wave", wave, 0.07}, // in float, deflate finds matches in what is stored here
                {"step", step, 0.03},
                {"ramp", ramp, 0.04},
                {"zero", zero, 0.01},
                {"mostly missing", mostly_missing, 0.02}};
    static const layout as[] = {
        {480, 1, {744, 1416, 2160}, false},
        {480, 1, {480, 960}, false},
        {7, 1, {1, 7, 20}, false}, // chunks that are nearly all header
        {1, 8364, {1, 3}, true},
        {1, 150001, {1, 2}, true}, // stored in several blocks
        {32, 41, {31, 59, 90}, true},
    };
    cbx_pack *pack = cbx_pack_create();
    assert_non_null(pack);
    for (size_t k = 0; k < sizeof kind / sizeof *kind; k++) {
        for (size_t a = 0; a < sizeof as / sizeof *as; a++) {
            char what[80];
            snprintf(what, sizeof what, "%s in chunks of %d x %d", kind[k].name,
                     (int)as[a].chunk_rows, (int)as[a].columns);
            const double excess = write_both(pack, kind[k].value, &as[a], what);
            // A long even ramp has the histogram of noise; of such series there are only times.
            const bool judged =
                as[a].chunk_rows * as[a].columns >= 100 && !(kind[k].value == ramp && as[a].single);
            if (judged && !(excess <= kind[k].excess)) {
                fail_msg("%s: HDF5's size and %.4f of the values', at most %.4f expected", what,
                         excess, kind[k].excess);
            }
        }
    }
    cbx_pack_destroy(pack);
    unlink(path);
}

// The checksum is HDF5's own and stands in every chunk: one bit off, and it refuses to read.
static void damage_in_a_packed_chunk_is_noticed(void **state)
{
    (void)state;
    enum { ROWS = 480 };
    static const layout as = {ROWS, 1, {ROWS}, false};
    cbx_pack *pack = cbx_pack_create();
    write_both(pack, wave, &as, "wave");
    cb_error error = {0};
    double got[ROWS];
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    const hid_t dataset = H5Dopen2(h5.file, "ours", H5P_DEFAULT);
    haddr_t address = HADDR_UNDEF;
    hsize_t size = 0;
    unsigned mask = 1;
    const hid_t space = H5Dget_space(dataset);
    assert_true(H5Dget_chunk_info(dataset, space, 0, NULL, &mask, &address, &size) >= 0);
    H5Sclose(space);
    assert_int_equal(mask, 0); // no filter was left out
    H5Dclose(dataset);
    must(cbx_h5_end(&h5, &error), &error);

    FILE *file = fopen(path, "r+");
    fseek(file, (long)(address + size / 2), SEEK_SET);
    const int byte = fgetc(file);
    fseek(file, (long)(address + size / 2), SEEK_SET);
    fputc(byte ^ 1, file);
    fclose(file);

    cbx_h5_begin(&h5, path);
    cbx_h5_open_read(&h5);
    cbx_h5_read_rows(&h5, "ours", H5T_NATIVE_DOUBLE, ROWS, 1, got);
    assert_int_equal(cbx_h5_end(&h5, &error), CB_IO);
    assert_non_null(strstr(error.message, "checksum"));
    cbx_pack_destroy(pack);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hdf5_reads_what_is_packed),
        cmocka_unit_test(damage_in_a_packed_chunk_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
