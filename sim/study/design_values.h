// SPDX-License-Identifier: MIT
/// A resolved design as a flat list of values, to tell two designs apart.
#ifndef STUDY_DESIGN_VALUES_H
#define STUDY_DESIGN_VALUES_H

#include "coilbed/design.h"

typedef struct cbx_design_value {
    const char *path;    ///< "ground.layers[1].conductivity", as a --set takes it
    const char *text[2]; ///< by cb_unit_system
} cbx_design_value;

typedef struct cbx_design_values {
    size_t count;
    cbx_design_value *value; ///< [count] in the design's order
    struct cb_design_memory *memory;
} cbx_design_values;

/// @param text  of the design, as cb_design_echo writes it; a list of scalars is one value
/// Errors: those of reading the text; CB_NO_MEMORY. *out is owned by the caller.
cb_status cbx_design_values_create(cbx_design_values **out, const cb_design *design,
                                   const char *text, const cb_units *units, cb_error *error);
cbx_design_values *cbx_design_values_destroy(cbx_design_values *values);

/// NULL if the design has no such value.
const cbx_design_value *cbx_design_values_find(const cbx_design_values *values, const char *path);

#endif
