// SPDX-License-Identifier: MIT
/// What is kept of a case under its key: a small text file that ends with its own checksum.
#ifndef STUDY_CACHE_H
#define STUDY_CACHE_H

#include "coilbed/case.h"

/// The key of a case. Errors: CB_NO_MEMORY.
cb_status cbx_case_key(char key[65], const cb_inputs *inputs, cb_error *error);

/// Makes the folder and those above it. Errors: CB_IO.
cb_status cbx_make_folder(const char *folder, cb_error *error);

/// folder/key.ending, or with `mine` a name beside it that no other process uses. Owned by the
/// caller; NULL without memory.
char *cbx_cache_path(const char *folder, const char *key, const char *ending, bool mine);

/// Fills the headline and findings of `into` from its key's entry. False if there is no entry, or
/// none that is whole.
bool cbx_cache_read(cb_case *into, const char *folder);

/// Errors: CB_IO, CB_NO_MEMORY.
cb_status cbx_cache_write(const cb_case *result, const char *folder, cb_error *error);

#endif
