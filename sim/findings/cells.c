// SPDX-License-Identifier: MIT
#include "findings/cells.h"

#include <math.h>
#include <string.h>

void cbx_cell_number(FILE *csv, double value)
{
    if (isfinite(value)) {
        fprintf(csv, ",%.10g", value);
    } else {
        fputc(',', csv);
    }
}

void cbx_cell_text(FILE *csv, const char *text)
{
    // A spreadsheet takes a cell that begins so for a formula.
    fputs(*text && strchr("=+-@\t\r", *text) ? ",\"'" : ",\"", csv);
    for (; *text; text++) {
        if (*text == '"') {
            fputc('"', csv);
        }
        fputc(*text, csv);
    }
    fputc('"', csv);
}
