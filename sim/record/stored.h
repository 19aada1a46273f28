// SPDX-License-Identifier: MIT
/// The file that cb_dataset_write made, read back whole.
#ifndef RECORD_STORED_H
#define RECORD_STORED_H

#include "coilbed/dataset.h"

#include <stdbool.h>

/// One dataset of it: numbers or texts. Strings are "" where the file has none.
typedef struct cbx_stored_variable {
    char *name, *units, *long_name;
    int rank;
    size_t size[CB_MAX_DIMENSIONS];
    char *dimension[CB_MAX_DIMENSIONS]; ///< names of its axes; "" for what is an axis itself
    size_t count;                       ///< of all values; 1 without dimensions
    double *number;                     ///< [count]; NULL for texts
    char *text;                         ///< [count][text_size], each ended; NULL for numbers
    size_t text_size;
} cbx_stored_variable;

typedef struct cbx_stored {
    size_t count;
    cbx_stored_variable *variable; ///< [count] in no order
} cbx_stored;

/// Reads all datasets of a group ("/" or "/statistics"), not those of groups in it. A group that
/// is not there has none. Errors: CB_IO if the file is missing, cut off or not HDF5; CB_BAD_INPUT
/// for a dataset of another type or shape than cb_dataset_write makes; CB_NO_MEMORY. *out is owned
/// by the caller.
cb_status cbx_stored_read(cbx_stored **out, const char *path, const char *group, cb_error *error);
cbx_stored *cbx_stored_destroy(cbx_stored *stored);

/// NULL if there is none of that name.
const cbx_stored_variable *cbx_stored_find(const cbx_stored *stored, const char *name);

/// A text of a variable that holds texts; "" beyond.
const char *cbx_stored_text(const cbx_stored_variable *variable, size_t index);

#endif
