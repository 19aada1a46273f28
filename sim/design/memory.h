// SPDX-License-Identifier: MIT
/// What a design owns besides its plain values: strings, and the origin of each value.
#ifndef COILBED_DESIGN_MEMORY_H
#define COILBED_DESIGN_MEMORY_H

#include "coilbed/design.h"

typedef struct cb_design_memory cb_design_memory;

/// NULL if memory runs out.
cb_design_memory *cbx_memory_create(void);
cb_design_memory *cbx_memory_destroy(cb_design_memory *memory);

/// Zeroed; lives as long as the memory. NULL if memory runs out.
void *cbx_allocate(cb_design_memory *memory, size_t size);
/// Copies of text that live as long as the memory. NULL if memory runs out.
char *cbx_copy_bytes(cb_design_memory *memory, const char *text, size_t length);
char *cbx_copy(cb_design_memory *memory, const char *text);

/// Remembers where the value at `path` came from (path is copied). False if memory runs out.
bool cbx_origin_add(cb_design_memory *memory, const char *path, const cb_source *source);
/// NULL when the path is unknown or memory is NULL.
const cb_source *cbx_origin_find(const cb_design_memory *memory, const char *path);
/// True when the file or an override gave the value.
bool cbx_given(const cb_design_memory *memory, const char *path);

#endif
