// SPDX-License-Identifier: MIT
/// Several runs on one page.
#ifndef REPORT_SEVERAL_H
#define REPORT_SEVERAL_H

#include "coilbed/compare.h"
#include "report/shell.h"
#include "study/design_values.h"

/// A part of the page, put together run by run.
typedef struct cbx_part_text {
    FILE *stream;
    char *text;
    size_t size;
} cbx_part_text;

typedef struct cbx_report_several {
    cb_comparison these; ///< labels are the files as named
    cb_case *got[CB_MAX_COMPARED];
    cb_design_run run[CB_MAX_COMPARED]; ///< as designed
    char *weather[CB_MAX_COMPARED];     ///< SHA-256 of each run's weather
    cbx_design_values *values[CB_MAX_COMPARED];
    cbx_part_text verdicts, answers, origins, series;
} cbx_report_several;

/// "A" for the first.
static inline char cbx_letter(size_t index)
{
    return (char)('A' + index);
}

void cbx_fill_several_summary(cbx_fill *fill); // fill_several.c
void cbx_fill_several_designs(cbx_fill *fill);
void cbx_fill_several_table(cbx_fill *fill);
void cbx_fill_several_findings(cbx_fill *fill);

/// What one run adds to the parts. `run` is closed afterwards.
void cbx_several_verdict(cbx_fill *fill, size_t index);
void cbx_several_answer(cbx_fill *fill, size_t index);
void cbx_several_origin(cbx_fill *fill, size_t index);

/// One run's series as a member of an array. False without memory.
bool cbx_data_several(cbx_json *json, const cbx_report_run *run, size_t index);

#endif
