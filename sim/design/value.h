// SPDX-License-Identifier: MIT
/// One value of the schema: text into its place in the design, and back.
#ifndef COILBED_DESIGN_VALUE_H
#define COILBED_DESIGN_VALUE_H

#include "design/memory.h"
#include "design/schema.h"

typedef struct cbx_value_context {
    const cb_units *units;
    cb_design_memory *memory;
    const char *folder; ///< of the design file, "" or ending in a slash
    cb_error *why;      ///< receives what is wrong with a value, without a place
} cbx_value_context;

/// Reads the text of a scalar row into the struct at base; for CBX_VALUES, into its element
/// `index`. Errors: CB_BAD_INPUT, CB_NO_MEMORY, with context->why filled.
cb_status cbx_value_read(const cbx_row *row, void *base, int index, const char *text,
                         const cbx_value_context *context);

/// Marks a value that is worked out later: NaN for a quantity, nothing for other types.
void cbx_value_unset(const cbx_row *row, void *base);
/// True for a quantity that still is NaN, a choice not made and a text that is NULL.
bool cbx_value_is_unset(const cbx_row *row, const void *base);

typedef struct cbx_shown {
    char text[160];
} cbx_shown;

/// Value of a scalar row (of element `index` for CBX_VALUES) in a reader's units.
cbx_shown cbx_value_show(const cbx_row *row, const void *base, int index, cb_unit_system system);
/// The same as it would stand in a file and be read back to the same bits. Texts, words and files
/// are not for this function: they need quotes.
cbx_shown cbx_value_exact(const cbx_row *row, const void *base, int index);

/// Text, word or file.
bool cbx_is_text(const cbx_row *row);
const char *cbx_text_of(const cbx_row *row, const void *base);
/// Elements of a CBX_VALUES or CBX_LIST row.
int cbx_count_of(const cbx_row *row, const void *base);

/// "flat_coil, straight", for messages. Returns buffer.
const char *cbx_choices_text(const cbx_row *row, char *buffer, size_t size);

/// The known word nearest to `word`, or NULL if none is near. next(context, i) gives the i-th known
/// word, NULL at the end.
const char *cbx_nearest(const char *word, const char *(*next)(const void *context, int i),
                        const void *context);

#endif
