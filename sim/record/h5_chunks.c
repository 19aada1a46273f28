// SPDX-License-Identifier: MIT
#include "record/h5.h"

#include <stdlib.h>
#include <string.h>

typedef struct chunked {
    hid_t dataset;
    int rank;
    hsize_t size[CBX_MAX_RANK], chunk[CBX_MAX_RANK];
} chunked;

static bool is_filtered_as_packed(hid_t list)
{
    static const H5Z_filter_t filter[] = {H5Z_FILTER_SHUFFLE, H5Z_FILTER_DEFLATE,
                                          H5Z_FILTER_FLETCHER32};
    enum { FILTERS = sizeof filter / sizeof *filter };
    bool same = H5Pget_nfilters(list) == FILTERS;
    for (unsigned i = 0; same && i < FILTERS; i++) {
        size_t no_values = 0;
        same = H5Pget_filter2(list, i, NULL, &no_values, NULL, 0, NULL, NULL) == filter[i];
    }
    return same;
}

static bool reads_as(hid_t dataset, hid_t memory_type)
{
    const hid_t stored = H5Dget_type(dataset);
    const bool same = H5Tequal(stored, memory_type) > 0;
    H5Tclose(stored);
    return same;
}

// Whether the chunks are rows of the dataset as this program makes them. They are not after the
// file went through a program that lays datasets out anew.
static bool takes_packed(chunked *set, const cbx_packed_rows *rows)
{
    const hid_t space = H5Dget_space(set->dataset);
    const int rank = H5Sget_simple_extent_ndims(space);
    bool fits = rank >= 1 && rank <= CBX_MAX_RANK;
    if (fits) {
        set->rank = rank;
        H5Sget_simple_extent_dims(space, set->size, NULL);
    }
    H5Sclose(space);
    const hid_t list = H5Dget_create_plist(set->dataset);
    fits = fits && H5Pget_layout(list) == H5D_CHUNKED &&
           H5Pget_chunk(list, set->rank, set->chunk) == set->rank &&
           set->chunk[0] == rows->chunk_rows && is_filtered_as_packed(list) &&
           reads_as(set->dataset, rows->memory_type);
    H5Pclose(list);
    for (int axis = 1; fits && axis < set->rank; axis++) {
        fits = set->chunk[axis] == set->size[axis];
    }
    return fits;
}

/// The chunk that begins with row `row` of the values.
typedef struct piece {
    hsize_t first; // its row in the dataset
    hsize_t given; // rows of it
    const char *values;
} piece;

static piece piece_of(const cbx_packed_rows *rows, hsize_t row, size_t row_bytes)
{
    const hsize_t left = rows->rows - row;
    return (piece){.first = rows->at ? rows->at[row / rows->chunk_rows] : rows->first + row,
                   .given = left < rows->chunk_rows ? left : rows->chunk_rows,
                   .values = (const char *)rows->values + (size_t)row * row_bytes};
}

static size_t row_values_of(const chunked *set)
{
    size_t values = 1;
    for (int axis = 1; axis < set->rank; axis++) {
        values *= (size_t)set->size[axis];
    }
    return values;
}

static void put_chunks(cbx_h5 *h5, cbx_pack *pack, const char *path, const chunked *set,
                       const cbx_packed_rows *rows)
{
    const size_t row_values = row_values_of(set);
    const size_t value_bytes = H5Tget_size(rows->memory_type);
    for (hsize_t row = 0; h5->status == CB_OK && row < rows->rows; row += rows->chunk_rows) {
        const piece one = piece_of(rows, row, row_values * value_bytes);
        const cbx_chunk chunk = {.value = one.values,
                                 .value_bytes = value_bytes,
                                 .given = (size_t)one.given * row_values,
                                 .count = (size_t)rows->chunk_rows * row_values};
        size_t size = 0;
        const void *bytes = cbx_pack_chunk(pack, &chunk, &size);
        if (!bytes) {
            cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory to compress %s", path);
            return;
        }
        const hsize_t at[CBX_MAX_RANK] = {one.first};
        cbx_h5_check(h5, H5Dwrite_chunk(set->dataset, H5P_DEFAULT, 0, at, size, bytes) >= 0,
                     "write", path);
    }
}

static void write_plainly(cbx_h5 *h5, const char *path, const cbx_packed_rows *rows,
                          size_t row_bytes)
{
    for (hsize_t row = 0; row < rows->rows; row += rows->chunk_rows) {
        const piece one = piece_of(rows, row, row_bytes);
        cbx_h5_write_rows(h5, path, rows->memory_type, one.first, one.given, one.values);
    }
    cbx_h5_write_rows(h5, path, rows->memory_type, rows->length, 0, NULL);
}

void cbx_h5_write_packed(cbx_h5 *h5, cbx_pack *pack, const char *path, const cbx_packed_rows *rows)
{
    if (h5->status != CB_OK) {
        return;
    }
    chunked set = {.dataset = H5Dopen2(h5->file, path, H5P_DEFAULT)};
    const bool packed = set.dataset >= 0 && takes_packed(&set, rows);
    if (packed && rows->length > set.size[0]) {
        set.size[0] = rows->length;
        cbx_h5_check(h5, H5Dset_extent(set.dataset, set.size) >= 0, "resize", path);
    }
    if (packed) {
        put_chunks(h5, pack, path, &set, rows);
    }
    const size_t row_bytes = row_values_of(&set) * H5Tget_size(rows->memory_type);
    if (set.dataset >= 0) {
        H5Dclose(set.dataset);
    }
    if (!packed) {
        write_plainly(h5, path, rows, row_bytes);
    }
}
