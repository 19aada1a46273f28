// SPDX-License-Identifier: MIT
#include "design/read.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct change {
    cb_design_memory *memory;
    const cbx_text *from;
    cb_error *error;
} change;

static cb_status no_memory(const change *c)
{
    return cb_fail(c->error, CB_NO_MEMORY, "no memory for the design");
}

static cb_status bad_path(const change *c)
{
    return cb_fail(c->error, CB_BAD_INPUT,
                   "%s: the path is not of the form field.depth or ground.layers[1].conductivity",
                   c->from->set);
}

static cbx_node *append(const change *c, cbx_node *parent)
{
    cbx_node *made = cbx_allocate(c->memory, sizeof *made);
    if (made) {
        made->from = c->from;
        cbx_node **tail = &parent->first;
        while (*tail) {
            tail = &(*tail)->next;
        }
        *tail = made;
    }
    return made;
}

// A place with nothing in it yet becomes what the path needs there.
static bool become(cbx_node *node, cbx_shape shape)
{
    if (cbx_is_blank(node)) {
        node->shape = shape;
    }
    return node->shape == shape;
}

static cb_status step_key(const change *c, cbx_node **node, const char **at)
{
    const char *end = *at;
    while (isalnum((unsigned char)*end) || *end == '_' || *end == '-') {
        end++;
    }
    if (end == *at) {
        return bad_path(c);
    }
    char *key = cbx_copy_bytes(c->memory, *at, (size_t)(end - *at));
    if (!key) {
        return no_memory(c);
    }
    if (!become(*node, CBX_MAPPING)) {
        return cb_fail(c->error, CB_BAD_INPUT, "%s: there is no block to hold \"%s\" there",
                       c->from->set, key);
    }
    cbx_node *child = cbx_child(*node, key);
    if (!child) {
        child = append(c, *node);
        if (!child) {
            return no_memory(c);
        }
        child->key = key;
    }
    *node = child;
    *at = end;
    return CB_OK;
}

static cb_status step_index(const change *c, cbx_node **node, const char **at)
{
    char *end = NULL;
    const char *digits = *at + 1;
    const long index = isdigit((unsigned char)*digits) ? strtol(digits, &end, 10) : -1;
    if (index < 0 || index > 1000 || *end != ']') {
        return bad_path(c);
    }
    if (!become(*node, CBX_SEQUENCE)) {
        return cb_fail(c->error, CB_BAD_INPUT, "%s: there is no list for [%ld]", c->from->set,
                       index);
    }
    const int count = cbx_child_count(*node);
    if (index > count) {
        return cb_fail(c->error, CB_BAD_INPUT,
                       "%s: the list has %d entries, [%ld] is past its end ([0] is the first)",
                       c->from->set, count, index);
    }
    cbx_node *child = index == count ? append(c, *node) : (*node)->first;
    if (!child) {
        return no_memory(c);
    }
    for (long i = 0; i < index && index < count; i++) {
        child = child->next;
    }
    *node = child;
    *at = end + 1;
    return CB_OK;
}

static cb_status find_place(const change *c, cbx_node **node, const char *path)
{
    cb_status status = step_key(c, node, &path);
    while (status == CB_OK && *path) {
        if (*path == '[') {
            status = step_index(c, node, &path);
        } else if (*path == '.') {
            path++;
            status = step_key(c, node, &path);
        } else {
            status = bad_path(c);
        }
    }
    return status;
}

cb_status cbx_override_apply(cbx_node *root, cb_design_memory *memory, const cb_override *override,
                             cb_error *error)
{
    if (!override->path || !override->value) {
        return cb_fail(error, CB_BAD_CALL, "an override needs a path and a value");
    }
    const size_t size = strlen(override->path) + strlen(override->value) + sizeof "--set =";
    char *set = cbx_allocate(memory, size);
    cbx_text *from = cbx_allocate(memory, sizeof *from);
    if (!set || !from) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the design");
    }
    snprintf(set, size, "--set %s=%s", override->path, override->value);
    // A value may be a whole block; its message need not repeat it.
    const char *newline = strchr(set, '\n');
    if (newline) {
        set[newline - set] = '\0';
    }
    from->set = set;
    const change c = {memory, from, error};
    cbx_node *value = NULL, *place = root;
    cb_status status = cbx_tree_parse(&value, memory, override->value, from, error);
    if (status == CB_OK) {
        status = find_place(&c, &place, override->path);
    }
    if (status == CB_OK) {
        value->key = place->key;
        value->next = place->next;
        value->line = value->column = 0;
        *place = *value;
    }
    return status;
}
