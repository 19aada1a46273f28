// SPDX-License-Identifier: MIT
#include "design/memory.h"
#include "design/read.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

cb_source cb_design_where(const cb_design *design, const char *path)
{
    const cb_source *found = cbx_origin_find(design->memory, path);
    return found ? *found : (cb_source){.origin = CB_ORIGIN_DEFAULT};
}

static bool has_place(const cb_source *source)
{
    return source && source->origin != CB_ORIGIN_DEFAULT;
}

// Source of the path, or of the nearest enclosing block or list that was written down somewhere.
static const cb_source *nearest_place(const cb_design *design, const char *path)
{
    char at[CBX_PATH_SIZE];
    snprintf(at, sizeof at, "%s", path);
    for (;;) {
        const cb_source *found = cbx_origin_find(design->memory, at);
        if (has_place(found)) {
            return found;
        }
        char *dot = strrchr(at, '.'), *bracket = strrchr(at, '[');
        char *cut = dot > bracket ? dot : bracket;
        if (!cut) {
            return NULL;
        }
        *cut = '\0';
    }
}

cb_status cb_design_fail(const cb_design *design, const char *path, cb_error *error,
                         const char *format, ...)
{
    char message[CB_MESSAGE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    const cb_source *place = nearest_place(design, path);
    if (!place) {
        return cb_fail_at(error, CB_BAD_INPUT, design->path, 0, 0, "%s: %s", path, message);
    }
    if (place->origin == CB_ORIGIN_OVERRIDE) {
        return cb_fail(error, CB_BAD_INPUT, "%s: %s: %s", place->reason, path, message);
    }
    return cb_fail_at(error, CB_BAD_INPUT, place->file, place->line, place->column, "%s: %s", path,
                      message);
}
