// SPDX-License-Identifier: MIT
#include "design/memory.h"

#include <stdalign.h>
#include <stdlib.h>
#include <string.h>

typedef struct piece {
    struct piece *next;
    alignas(max_align_t) char bytes[];
} piece;

typedef struct origin_entry {
    const char *path;
    cb_source source;
} origin_entry;

struct cb_design_memory {
    piece *pieces;
    origin_entry *origin;
    size_t origin_count, origin_capacity;
};

cb_design_memory *cbx_memory_create(void)
{
    return calloc(1, sizeof(cb_design_memory));
}

cb_design_memory *cbx_memory_destroy(cb_design_memory *memory)
{
    if (memory) {
        for (piece *at = memory->pieces; at;) {
            piece *next = at->next;
            free(at);
            at = next;
        }
        free(memory->origin);
        free(memory);
    }
    return NULL;
}

void *cbx_allocate(cb_design_memory *memory, size_t size)
{
    piece *made = calloc(1, sizeof *made + size);
    if (!made) {
        return NULL;
    }
    made->next = memory->pieces;
    memory->pieces = made;
    return made->bytes;
}

char *cbx_copy_bytes(cb_design_memory *memory, const char *text, size_t length)
{
    char *copy = cbx_allocate(memory, length + 1);
    if (copy) {
        memcpy(copy, text, length);
    }
    return copy;
}

char *cbx_copy(cb_design_memory *memory, const char *text)
{
    return cbx_copy_bytes(memory, text, strlen(text));
}

static bool origin_room(cb_design_memory *memory)
{
    if (memory->origin_count < memory->origin_capacity) {
        return true;
    }
    const size_t capacity = memory->origin_capacity ? 2 * memory->origin_capacity : 256;
    origin_entry *grown = realloc(memory->origin, capacity * sizeof *grown);
    if (grown) {
        memory->origin = grown;
        memory->origin_capacity = capacity;
    }
    return grown != NULL;
}

bool cbx_origin_add(cb_design_memory *memory, const char *path, const cb_source *source)
{
    char *copy = cbx_copy(memory, path);
    if (!copy || !origin_room(memory)) {
        return false;
    }
    memory->origin[memory->origin_count++] = (origin_entry){copy, *source};
    return true;
}

const cb_source *cbx_origin_find(const cb_design_memory *memory, const char *path)
{
    for (size_t i = 0; memory && i < memory->origin_count; i++) {
        if (strcmp(memory->origin[i].path, path) == 0) {
            return &memory->origin[i].source;
        }
    }
    return NULL;
}

bool cbx_given(const cb_design_memory *memory, const char *path)
{
    const cb_source *source = cbx_origin_find(memory, path);
    return source && source->origin != CB_ORIGIN_DEFAULT;
}
