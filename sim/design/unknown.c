// SPDX-License-Identifier: MIT
#include "design/read.h"
#include "design/value.h"

#include <stdio.h>
#include <string.h>

static bool has_key(const cbx_row *rows, const char *key)
{
    while (rows->name && strcmp(rows->name, key) != 0) {
        rows++;
    }
    return rows->name;
}

// Extends path to the first block within rows that has the key; false and path as it was if none.
static bool find_home(const cbx_row *rows, const char *key, char *path, size_t size)
{
    const size_t before = strlen(path);
    for (const cbx_row *row = rows; row->name; row++) {
        if (!row->rows) {
            continue;
        }
        snprintf(path + before, size - before, "%s%s%s", before ? "." : "", row->name,
                 row->type == CBX_LIST ? "[]" : "");
        if (has_key(row->rows, key) || find_home(row->rows, key, path, size)) {
            return true;
        }
        path[before] = '\0';
    }
    return false;
}

static const char *row_name(const void *context, int i)
{
    return ((const cbx_row *)context)[i].name;
}

static void list_keys(const cbx_row *rows, char *text, size_t size)
{
    size_t used = (size_t)snprintf(text, size, "; the keys are ");
    for (const cbx_row *row = rows; row->name && used < size; row++) {
        used +=
            (size_t)snprintf(text + used, size - used, "%s%s", row == rows ? "" : ", ", row->name);
    }
}

cb_status cbx_fail_unknown_key(const cbx_node *node, const char *path, const cbx_row *rows,
                               cb_error *error)
{
    char help[CB_MESSAGE_SIZE / 2], home[CBX_PATH_SIZE];
    snprintf(home, sizeof home, "%s", path);
    const char *near = cbx_nearest(node->key, row_name, rows);
    if (strcmp(node->key, "fields") == 0 || strcmp(node->key, "field") == 0) {
        snprintf(help, sizeof help, "%s", CBX_ONE_FIELD);
    } else if (find_home(rows, node->key, home, sizeof home)) {
        snprintf(help, sizeof help, "; it belongs in %s", home);
    } else if (near) {
        snprintf(help, sizeof help, "; did you mean \"%s\"?", near);
    } else {
        list_keys(rows, help, sizeof help);
    }
    return cbx_fail_node(node, CBX_AT_KEY, error, "unknown key \"%s\"%s%s%s", node->key,
                         *path ? " in " : "", path, help);
}
