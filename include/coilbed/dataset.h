// SPDX-License-Identifier: MIT
/// A small HDF5 file of N-dimensional variables, written at once: what a study leaves behind.
///
/// It opens in xarray, netCDF and h5py as the run files do. The file depends on its contents alone
/// (no times, no names of machines): the same contents make the same bytes.
#ifndef COILBED_DATASET_H
#define COILBED_DATASET_H

#include "coilbed/status.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CB_MAX_DIMENSIONS = 8 };

/// A dimension and the values along it.
typedef struct cb_dataset_axis {
    const char *group; ///< "" is the root, or e.g. "/statistics"
    const char *name;
    size_t length;        ///< > 0
    const double *number; ///< [length], one of the three
    const int *integer;
    const char *const *text;
    const char *units, *long_name, *comment; ///< NULL: none
} cb_dataset_axis;

/// A variable along some of the axes, the last one fastest.
typedef struct cb_dataset_variable {
    const char *group; ///< that of its axes
    const char *name;
    int rank;                    ///< 0: one value
    int axis[CB_MAX_DIMENSIONS]; ///< places in cb_dataset.axis
    const double *number;        ///< one of the three
    const int *integer;
    const char *const *text;
    const char *units, *long_name, *comment; ///< NULL: none
} cb_dataset_variable;

/// Text about the whole, an attribute of the root.
typedef struct cb_dataset_note {
    const char *name, *text;
} cb_dataset_note;

typedef struct cb_dataset {
    size_t axis_count, variable_count, note_count;
    const cb_dataset_axis *axis;
    const cb_dataset_variable *variable;
    const cb_dataset_note *note;
} cb_dataset;

/// Writes the file beside its place and renames it, so that nobody ever sees half of one; a file of
/// that name is replaced. Errors: CB_IO with the path and the system's reason; CB_NO_MEMORY.
cb_status cb_dataset_write(const char *path, const cb_dataset *dataset, cb_error *error);

/// One attribute of the root of such a file. Errors: CB_IO if the file is missing or not HDF5,
/// CB_BAD_INPUT if it has no such text. *out is owned by the caller (free()).
cb_status cb_dataset_read_note(char **out, const char *path, const char *name, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
