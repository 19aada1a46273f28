// SPDX-License-Identifier: MIT
/// Cells of a CSV table (RFC 4180) after the first of their row: each begins with its comma.
#ifndef FINDINGS_CELLS_H
#define FINDINGS_CELLS_H

#include <stdio.h>

/// Ten digits; empty for what is not a finite number.
void cbx_cell_number(FILE *csv, double value);

/// In quotes; what a spreadsheet would take for a formula gets an apostrophe.
void cbx_cell_text(FILE *csv, const char *text);

#endif
