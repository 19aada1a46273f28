// SPDX-License-Identifier: MIT
/// A thin layer over HDF5 that remembers the first failure.
///
/// Every helper does nothing once something has failed, so a sequence of calls needs one check, at
/// cbx_h5_end. HDF5's own printing is off between begin and end, and its words are folded into
/// the message.
#ifndef COILBED_RECORD_H5_H
#define COILBED_RECORD_H5_H

#include "coilbed/status.h"
#include "record/pack.h"

#include <hdf5.h>
#include <stdbool.h>

enum { CBX_MAX_RANK = 8, CBX_REASON_SIZE = 700 };

typedef struct cbx_h5 {
    hid_t file; // negative: not open
    const char *path;
    cb_status status;             // of the first failure
    char reason[CBX_REASON_SIZE]; // what failed first, and why
    int next_dimension;           // netCDF number of the next dimension scale
    H5E_auto2_t printer;          // HDF5's error printing as it was before
    void *printer_data;
} cbx_h5;

/// A dataset to be made. Without dimension[0] it becomes a dimension scale (rank 1) of its name.
typedef struct cbx_plan {
    const char *group; // "/loop"; "" is the root
    const char *name;
    hid_t type; // in the file
    int rank;
    const char *dimension[CBX_MAX_RANK]; // paths of the scales
    hsize_t size[CBX_MAX_RANK];
    hsize_t chunk[CBX_MAX_RANK]; // chunk[0] > 0: the first dimension grows without limit
    bool plain;                  // chunks are checksummed, not compressed
    const char *units, *long_name, *standard_name, *cell_methods; // NULL: none
} cbx_plan;

/// `path` must outlive *h5.
void cbx_h5_begin(cbx_h5 *h5, const char *path);

/// Closes the file, restores HDF5's printing and turns the first failure into *error.
cb_status cbx_h5_end(cbx_h5 *h5, cb_error *error);

/// Keeps the first failure: if !ok, `doing name` and HDF5's reason. Returns whether all is well.
bool cbx_h5_check(cbx_h5 *h5, bool ok, const char *doing, const char *name);

/// Keeps a failure that is not HDF5's.
void cbx_h5_refuse(cbx_h5 *h5, cb_status status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

void cbx_h5_create(cbx_h5 *h5);
/// Also opens a file that is being appended to, or whose writer was killed while it appended.
void cbx_h5_open_read(cbx_h5 *h5);
/// Opens for appending rows and overwriting values; nothing can be created. At any instant the
/// file on disk is one that cbx_h5_open_read can read (HDF5's single writer, many readers).
/// @param revive  take over a file whose writer was killed while it appended
void cbx_h5_open_append(cbx_h5 *h5, bool revive);
void cbx_h5_flush(cbx_h5 *h5);

void cbx_h5_group(cbx_h5 *h5, const char *path);
void cbx_h5_dataset(cbx_h5 *h5, const cbx_plan *plan);
/// A dimension that has no coordinate values.
void cbx_h5_bare_dimension(cbx_h5 *h5, const char *group, const char *name, hsize_t size);
void cbx_h5_hard_link(cbx_h5 *h5, const char *existing, const char *link);

/// Fixed-length UTF-8 text of that many bytes, or H5T_VARIABLE; close it with H5Tclose.
hid_t cbx_h5_text_type(size_t size);

/// Attributes of the object at `path`, made or overwritten; `value` is of file_type's native type.
void cbx_h5_attribute(cbx_h5 *h5, const char *path, const char *name, hid_t file_type,
                      const void *value);
void cbx_h5_text_attribute(cbx_h5 *h5, const char *path, const char *name, const char *text);
void cbx_h5_double_attribute(cbx_h5 *h5, const char *path, const char *name, double value);
void cbx_h5_integer_attribute(cbx_h5 *h5, const char *path, const char *name, long value);
double cbx_h5_read_double_attribute(cbx_h5 *h5, const char *path, const char *name);
long cbx_h5_read_integer_attribute(cbx_h5 *h5, const char *path, const char *name);
char *cbx_h5_read_text_attribute(cbx_h5 *h5, const char *path, const char *name); // free() it

/// A scalar dataset of variable-length text. Reading returns NULL on failure; free() it.
void cbx_h5_text(cbx_h5 *h5, const char *path, const char *text);
char *cbx_h5_read_text(cbx_h5 *h5, const char *path);

/// Writes `rows` rows at `first` along the first dimension, growing the dataset as needed. rows
/// may be 0: it only grows. A scalar or a whole fixed dataset is first 0, rows its length.
void cbx_h5_write_rows(cbx_h5 *h5, const char *path, hid_t memory_type, hsize_t first, hsize_t rows,
                       const void *values);
/// Rows that begin chunks: those from `first` on, or if `at` is given, a chunk at each of its rows.
typedef struct cbx_packed_rows {
    hid_t memory_type;
    hsize_t chunk_rows; // that the dataset was made with
    hsize_t first;      // a multiple of chunk_rows, as those of `at`
    const hsize_t *at;  // [rows / chunk_rows]; or NULL
    hsize_t rows;       // in `values`; the last chunk need not be full
    hsize_t length;     // of the dataset afterwards, at least
    const void *values;
} cbx_packed_rows;
/// As cbx_h5_write_rows, for datasets of shuffled, deflated and checksummed chunks that are whole
/// rows: the chunks are made by `pack` and replace what the file has of them.
void cbx_h5_write_packed(cbx_h5 *h5, cbx_pack *pack, const char *path, const cbx_packed_rows *rows);
/// As it says; the dataset then has `rows` rows.
void cbx_h5_set_rows(cbx_h5 *h5, const char *path, hsize_t rows);
/// Reads the first `rows` rows of a dataset with `row_values` values each. A missing, shorter or
/// differently shaped dataset is CB_BAD_INPUT.
void cbx_h5_read_rows(cbx_h5 *h5, const char *path, hid_t memory_type, hsize_t rows,
                      hsize_t row_values, void *values);
/// The same of any part of the rows.
typedef struct cbx_part {
    hid_t memory_type;
    hsize_t first, rows, row_values;
} cbx_part;
void cbx_h5_read_part(cbx_h5 *h5, const char *path, const cbx_part *part, void *values);
/// Reads `rows` values from `first` on, of a dataset with one dimension.
void cbx_h5_read_from(cbx_h5 *h5, const char *path, hsize_t first, hsize_t rows, double *values);
/// Length of dimension `axis`; 0 on failure.
hsize_t cbx_h5_length(cbx_h5 *h5, const char *path, int axis);

#endif
