// SPDX-License-Identifier: MIT
/// Quantities and dates as a person reads them.
#ifndef FINDINGS_TEXT_H
#define FINDINGS_TEXT_H

#include "coilbed/weather.h"

#include <stdio.h>

/// Returned by value, so that several fit into one printf call.
typedef struct cbx_text {
    char text[48];
} cbx_text;

/// "29.1 degF": decimals that suit the kind, not the value.
cbx_text cbx_quantity(cb_kind kind, cb_unit_system system, double si);

/// Difference of two values of a kind, without its sign: "2.1 K", "3.8 degF". One that is not zero
/// never reads as zero: "0.003 K".
cbx_text cbx_distance(cb_kind kind, cb_unit_system system, double si);

/// Difference with its sign: "-0.12 K".
cbx_text cbx_change(cb_unit_system system, double kelvin);

/// "year 3, 17 January, 07:00".
cbx_text cbx_when(const cb_design *design, long run_hour);
/// "y3 17 Jan 07:00", for tables.
cbx_text cbx_when_short(const cb_design_run *run, long run_hour);

/// "clear", "CLOSE" or "BROKEN": what is broken stands out without colour.
const char *cbx_severity_word(int severity);

/// Writes text to stream in lines of at most width columns: the first line begins with `first`, the
/// others with as many blanks as `indent`. Line breaks in text start a new line.
typedef struct cbx_wrap {
    const char *first;
    int indent, width;
} cbx_wrap;
void cbx_print_wrapped(FILE *stream, const cbx_wrap *wrap, const char *text);

#endif
