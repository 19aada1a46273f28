// SPDX-License-Identifier: MIT
/// A YAML document as a plain tree of ours, each node with its place.
#ifndef COILBED_DESIGN_TREE_H
#define COILBED_DESIGN_TREE_H

#include "design/memory.h"

/// The text a node was read from: a file, or one "--set".
typedef struct cbx_text {
    const char *file; ///< name in messages; NULL for an override
    const char *set;  ///< "--set field.depth=6 ft"; NULL for a file
} cbx_text;

typedef enum cbx_shape { CBX_SCALAR, CBX_MAPPING, CBX_SEQUENCE } cbx_shape;

typedef struct cbx_node {
    cbx_shape shape;
    const char *text;         ///< of a scalar; NULL where the file has nothing ("depth:")
    const char *key;          ///< in a mapping; NULL in a sequence
    int line, column;         ///< of the value, 1-based; 0 in an override
    int key_line, key_column; ///< of the key
    const cbx_text *from;     ///< the text it was read from
    struct cbx_node *first;   ///< child
    struct cbx_node *next;    ///< sibling
} cbx_node;

/// Reads one YAML 1.2 document. Nodes and their strings belong to memory.
/// Errors: CB_BAD_INPUT with the place, for bad syntax, text that is not UTF-8, a key given twice,
/// more than one document, or no document at all; CB_NO_MEMORY.
cb_status cbx_tree_parse(cbx_node **out, cb_design_memory *memory, const char *text,
                         const cbx_text *from, cb_error *error);

cbx_node *cbx_child(const cbx_node *mapping, const char *key);
int cbx_child_count(const cbx_node *node);
/// True for "depth:" with nothing behind it.
bool cbx_is_blank(const cbx_node *node);

/// Where a complaint about a node points.
typedef enum cbx_spot { CBX_AT_VALUE, CBX_AT_KEY } cbx_spot;

/// Fails with the node's place, or with the --set it came from.
cb_status cbx_fail_node(const cbx_node *node, cbx_spot spot, cb_error *error, const char *format,
                        ...) __attribute__((format(printf, 4, 5)));

#endif
