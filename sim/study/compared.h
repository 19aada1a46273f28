// SPDX-License-Identifier: MIT
/// The cells of a comparison as text: for the terminal's table and for a page's.
#ifndef STUDY_COMPARED_H
#define STUDY_COMPARED_H

#include "coilbed/compare.h"

/// Room for a cell; the row that holds the verdict. Headline numbers follow it, then findings.
enum { CBX_COMPARED_SIZE = 48, CBX_COMPARED_VERDICT = 0 };

typedef struct cbx_compared {
    const cb_comparison *these;
    cb_unit_system system;
    const char *code[CB_MAX_CODES];
    int codes;
} cbx_compared;

cbx_compared cbx_compared_of(const cb_comparison *these, cb_unit_system system);
int cbx_compared_rows(const cbx_compared *t);

/// False for what other rows tell already and what no case has.
bool cbx_compared_shown(const cbx_compared *t, int row);

/// The finding's code of a row; NULL for a row that is no finding.
const char *cbx_compared_code(const cbx_compared *t, int row);

void cbx_compared_label(const cbx_compared *t, int row, char *label);
void cbx_compared_cell(const cbx_compared *t, int row, size_t column, char *cell);

/// That case less the first, with its sign; "" where a difference says nothing.
void cbx_compared_change(const cbx_compared *t, int row, size_t column, char *cell);

/// What is dug is asked for in cubic yards, not in the gallons of a fluid.
double cbx_dug(cb_unit_system system, double m3);
const char *cbx_dug_unit(cb_unit_system system);

#endif
