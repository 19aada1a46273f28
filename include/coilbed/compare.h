// SPDX-License-Identifier: MIT
/// Cases side by side.
#ifndef COILBED_COMPARE_H
#define COILBED_COMPARE_H

#include "coilbed/case.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CB_MAX_COMPARED = 26, CB_MAX_CODES = 64 };

/// What is compared; the first case is what the others are held against. Only read during calls.
typedef struct cb_comparison {
    size_t count;              ///< 1 .. CB_MAX_COMPARED
    const char *const *label;  ///< [count], e.g. file names
    const cb_case *const *got; ///< [count]
} cb_comparison;

/// The codes of all findings that any of the cases has, in the first one's order, then in that of
/// the others. Strings belong to the cases. Returns how many.
int cb_compare_codes(const cb_comparison *these, const char *code[CB_MAX_CODES]);

/// A readable table: verdict, headline numbers and findings, a column for each case and, of two
/// cases, one for the change; what differs from the first case carries a star, and with `colour`
/// emphasis too. Cases that do not fit into `width` (60 or more) columns follow below. Returns
/// false if writing failed.
typedef struct cb_compare_page {
    cb_unit_system system;
    bool colour;
    int width;
} cb_compare_page;
bool cb_compare_print(const cb_comparison *these, const cb_compare_page *page, FILE *stream);

/// The same as one JSON object, in SI; null stands for what does not exist. Returns false if
/// writing failed.
bool cb_compare_json(const cb_comparison *these, FILE *stream);

/// As a CSV table in SI, written beside its place and renamed: a row for each number, a column for
/// each case. Errors: CB_IO.
cb_status cb_compare_csv(const cb_comparison *these, const char *path, cb_error *error);

/// As an HDF5 file (see dataset.h): headline numbers along `case`, findings along `case` and
/// `finding`. Errors: CB_IO, CB_NO_MEMORY.
cb_status cb_compare_hdf5(const cb_comparison *these, const char *path, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
