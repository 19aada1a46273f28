// SPDX-License-Identifier: MIT
/// From a tree to a design: the schema's walk, the overrides before it and the checks after it.
#ifndef COILBED_DESIGN_READ_H
#define COILBED_DESIGN_READ_H

#include "design/schema.h"
#include "design/tree.h"

enum { CBX_PATH_SIZE = 160 };

/// Puts the override's value into the tree, making the keys on its way.
/// Errors: CB_BAD_INPUT naming the --set.
cb_status cbx_override_apply(cbx_node *root, cb_design_memory *memory, const cb_override *override,
                             cb_error *error);

/// Reads a whole text file into memory. Errors: CB_IO, CB_NO_MEMORY.
cb_status cbx_read_file(char **out, cb_design_memory *memory, const char *path, cb_error *error);

/// Walks the schema: values of the tree, or defaults, into the design; the origin of each into its
/// memory. folder: of the design file, "" or ending in a slash.
/// Errors: CB_BAD_INPUT with the place, CB_IO for a climate file, CB_NO_MEMORY.
cb_status cbx_design_fill(cb_design *design, const cbx_node *root, const char *folder,
                          const cb_units *units, cb_error *error);

/// Refuses node, a key that rows has not, at path ("" at the top): says which block within rows
/// has such a key, or which key of rows is near it, or which keys there are.
/// Returns CB_BAD_INPUT.
cb_status cbx_fail_unknown_key(const cbx_node *node, const char *path, const cbx_row *rows,
                               cb_error *error);

/// Works out what follows from the values given, then checks values against each other.
cb_status cbx_design_complete(cb_design *design, cb_error *error);
/// The same for pumps and piping.
void cbx_hydraulics_derive(cb_design *design);
cb_status cbx_hydraulics_check(const cb_design *design, cb_error *error);
/// The same for heat pumps and hot water. Ratings are filled in between: into the tables of units
/// and levels that are known by rating points.
void cbx_plant_derive(cb_design *design);
cb_status cbx_ratings_fill(cb_design *design, cb_error *error);
cb_status cbx_plant_check(const cb_design *design, cb_error *error);

typedef struct cbx_both {
    char text[96];
} cbx_both;

/// A value in both systems, for messages: "6.00 ft (1.83 m)".
cbx_both cbx_show(cb_kind kind, double si);

#endif
