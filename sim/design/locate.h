// SPDX-License-Identifier: MIT
/// Where the path of a --set leads in a design that was read.
#ifndef COILBED_DESIGN_LOCATE_H
#define COILBED_DESIGN_LOCATE_H

#include "design/schema.h"
#include "design/tree.h"

typedef struct cbx_location {
    const cbx_row *row; ///< of one value: no block, no list of blocks
    const void *base;   ///< the struct in the design that row counts from
    int index;          ///< of the element; 0 where row is not CBX_VALUES
} cbx_location;

/// Errors: CB_BAD_INPUT at the place of `at` for a path of another form, a key that does not exist,
/// a whole block or list, an element that this design's list does not have, and a key that this
/// design has no use for.
cb_status cbx_locate(cbx_location *out, const cb_design *design, const char *path,
                     const cbx_node *at, cb_error *error);

/// The SI number at a location that holds a quantity or a whole number, or the same place in a copy
/// of the design.
double cbx_location_number(const cbx_location *location, const void *base);

#endif
