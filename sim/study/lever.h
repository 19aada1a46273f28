// SPDX-License-Identifier: MIT
/// One number of a design that a study moves: read from text, and written as a --set takes it.
#ifndef STUDY_LEVER_H
#define STUDY_LEVER_H

#include "coilbed/case.h"
#include "design/locate.h"

enum { CBX_LEVER_TEXT = 160 };

typedef struct cbx_lever {
    const char *path;
    const char *option; ///< for messages: "--vary"
    const cb_units *units;
    cb_design
        *scratch;    ///< copy of the design in which values are tried, owned; its strings are not
    cbx_location at; ///< in scratch
    cb_kind kind;
    bool whole;
    double now; ///< the design's own value, SI; NaN where it works it out
} cbx_lever;

/// Errors: CB_BAD_INPUT, naming the option, for a path that leads nowhere or to no number. The
/// design must outlive the lever; cbx_lever_close is needed in every case.
cb_status cbx_lever_open(cbx_lever *lever, const cb_design *design, const cb_units *units,
                         cb_error *error);
void cbx_lever_close(cbx_lever *lever);

/// Reads a value as the design would. Errors: CB_BAD_INPUT, naming `option` (of the text), for a
/// unit of another kind and a value out of the key's range.
cb_status cbx_lever_read(const cbx_lever *lever, const char *option, const char *text, double *si,
                         cb_error *error);

/// The value as it has to stand in an override: read back to the same bits.
void cbx_lever_write(const cbx_lever *lever, double si, char text[CBX_LEVER_TEXT]);

#endif
