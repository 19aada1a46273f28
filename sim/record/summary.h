// SPDX-License-Identifier: MIT
/// Running summaries of a year or a month: extremes with their hour, energies, hours of running.
#ifndef COILBED_RECORD_SUMMARY_H
#define COILBED_RECORD_SUMMARY_H

#include "coilbed/engine.h"

typedef enum cbx_column_kind {
    CBX_MINIMUM,     // least hourly value; the next column is its hour
    CBX_MAXIMUM,     // greatest hourly value; the next column is its hour
    CBX_WHEN,        // run hour of the extreme before it
    CBX_ENERGY,      // sum of an hourly mean power over its hours, J
    CBX_HOURS,       // sum of an hourly share, h
    CBX_HOURS_ABOVE, // hours in which a value is above zero, h
    CBX_COUNT        // hours summed up, h
} cbx_column_kind;

typedef struct cbx_column {
    const char *name, *units, *long_name;
    cbx_column_kind kind;
    size_t hour_offset; // of the double in cb_hour
} cbx_column;

enum { CBX_COLUMNS = 32 };
extern const cbx_column cbx_column_table[CBX_COLUMNS];

/// One row of /annual or /monthly, in the order of the table.
typedef struct cbx_summary {
    long first_hour;
    double value[CBX_COLUMNS];
} cbx_summary;

/// A summary of nothing: no extremes (NaN, hour -1), sums 0.
cbx_summary cbx_summary_start(long first_hour);
void cbx_summary_add(cbx_summary *summary, const cb_hour *hour);

#endif
