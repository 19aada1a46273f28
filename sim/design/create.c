// SPDX-License-Identifier: MIT
#include "design/read.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// ---- files -----------------------------------------------------------------------------------

enum { LARGEST_FILE = 4 << 20 };

// Reads to the end or to LARGEST_FILE; NULL if memory runs out. The caller frees the text.
static char *read_stream(FILE *file, size_t *size)
{
    size_t used = 0, room = 16384;
    char *text = malloc(room);
    while (text) {
        used += fread(text + used, 1, room - used, file);
        if (used < room || room >= LARGEST_FILE) {
            break;
        }
        room *= 2;
        char *grown = realloc(text, room);
        if (!grown) {
            free(text);
        }
        text = grown;
    }
    *size = used;
    return text;
}

cb_status cbx_read_file(char **out, cb_design_memory *memory, const char *path, cb_error *error)
{
    *out = NULL;
    errno = 0;
    FILE *file = fopen(path, "rb");
    if (!file) {
        return cb_fail(error, CB_IO, "%s cannot be opened: %s", path, strerror(errno));
    }
    size_t size = 0;
    char *text = read_stream(file, &size);
    const bool failed = ferror(file) != 0;
    const int reason = errno;
    fclose(file);
    cb_status status = CB_OK;
    if (failed) {
        status = cb_fail(error, CB_IO, "%s cannot be read: %s", path, strerror(reason));
    } else if (text && (size >= LARGEST_FILE || memchr(text, '\0', size))) {
        status = cb_fail_at(error, CB_BAD_INPUT, path, 0, 0, "%s",
                            size >= LARGEST_FILE ? "the file is too large for a design"
                                                 : "the file is not text");
    } else {
        *out = text ? cbx_copy_bytes(memory, text, size) : NULL;
        status = *out ? CB_OK : cb_fail(error, CB_NO_MEMORY, "no memory to read %s", path);
    }
    free(text);
    return status;
}

// ---- entry points ----------------------------------------------------------------------------

static const char *folder_of(cb_design_memory *memory, const char *name)
{
    const char *slash = strrchr(name, '/');
    return slash ? cbx_copy_bytes(memory, name, (size_t)(slash - name) + 1) : "";
}

typedef struct order {
    const char *path, *text; ///< text is NULL: read it from path
    const cb_override *overrides;
    size_t override_count;
    const cb_units *units;
} order;

static cb_status read_text(cb_design *design, const char *text, const order *o, cb_error *error)
{
    cb_design_memory *memory = design->memory;
    const char *folder = folder_of(memory, design->path);
    cbx_text *from = cbx_allocate(memory, sizeof *from);
    if (!from || !folder) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the design");
    }
    from->file = design->path;
    cbx_node *root = NULL;
    cb_status status = cbx_tree_parse(&root, memory, text, from, error);
    for (size_t i = 0; status == CB_OK && i < o->override_count; i++) {
        status = cbx_override_apply(root, memory, &o->overrides[i], error);
    }
    if (status == CB_OK) {
        status = cbx_design_fill(design, root, folder, o->units, error);
    }
    return status == CB_OK ? cbx_design_complete(design, error) : status;
}

static cb_status create(cb_design **out, const order *o, cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "a design needs a place to be put");
    }
    *out = NULL;
    if (!o->path || !o->units || (o->override_count > 0 && !o->overrides)) {
        return cb_fail(error, CB_BAD_CALL, "reading a design needs a name and the units");
    }
    cb_design *design = calloc(1, sizeof *design);
    if (design) {
        design->memory = cbx_memory_create();
        design->path = design->memory ? cbx_copy(design->memory, o->path) : NULL;
    }
    if (!design || !design->path) {
        cb_design_destroy(design);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the design");
    }
    cb_status status = CB_OK;
    char *contents = NULL;
    if (!o->text) {
        status = cbx_read_file(&contents, design->memory, o->path, error);
    }
    if (status == CB_OK) {
        status = read_text(design, o->text ? o->text : contents, o, error);
    }
    *out = status == CB_OK ? design : cb_design_destroy(design);
    return status;
}

cb_status cb_design_read(cb_design **out, const char *path, const cb_override *overrides,
                         size_t override_count, const cb_units *units, cb_error *error)
{
    return create(out, &(order){path, NULL, overrides, override_count, units}, error);
}

cb_status cb_design_parse(cb_design **out, const char *text, const char *name,
                          const cb_override *overrides, size_t override_count,
                          const cb_units *units, cb_error *error)
{
    if (!text) {
        return cb_fail(error, CB_BAD_CALL, "cb_design_parse needs a text");
    }
    return create(out, &(order){name, text, overrides, override_count, units}, error);
}

cb_design *cb_design_destroy(cb_design *design)
{
    if (design) {
        cbx_memory_destroy(design->memory);
        free(design);
    }
    return NULL;
}
