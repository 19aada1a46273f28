// SPDX-License-Identifier: MIT
/// Makes every group, dataset and attribute of a run file, so that a run only appends rows.
#ifndef COILBED_RECORD_LAYOUT_H
#define COILBED_RECORD_LAYOUT_H

#include "coilbed/record.h"
#include "record/h5.h"

/// What stands in a new file besides the header's arrays.
typedef struct cbx_layout_text {
    char *design;           // resolved design
    char *weather_notes;    // one line each
    char *weather_notes_us; // the same in US units
    char *assumptions;      // a line for each value that the design left out: path, value, reason
    char *assumptions_us;   // between tabs; the same in US units
} cbx_layout_text;

/// Makes the layout in an open, empty file.
void cbx_layout_make(cbx_h5 *h5, const cb_record_header *header, const cbx_layout_text *text);

// The parts of it, in this order, after the root and its time axis.
void cbx_layout_ground(cbx_h5 *h5, const cb_record_header *header);
void cbx_layout_summaries(cbx_h5 *h5);
void cbx_layout_findings(cbx_h5 *h5, const cb_design_run *run);

/// "seconds since 2001-10-01 00:00:00": the year number is nominal.
void cbx_time_units(const cb_design_run *run, const char *unit, char *buffer, size_t size);

/// Writes the numbers of /quality. NULL: zeros.
void cbx_layout_quality(cbx_h5 *h5, const cb_quality *quality);

// Hourly series are stored in 64 bits: limits and energy sums are judged on what is read back, and
// 25 years of 34 of them are 60 MB before compression. Soil sections are a thousand times more
// numbers of which nobody needs more than the seven digits of 32 bits.
#define CBX_SERIES_TYPE H5T_IEEE_F64LE
#define CBX_FIELD_TYPE H5T_IEEE_F32LE

// Hours of a series in one chunk. The last chunk of an append is seldom full; the next append
// writes it again, elsewhere (its old place may be in use by a reader). Two years of the starter
// take 4.20 MB where months wait for one another, 4.86 MB where each is appended by itself.
enum { CBX_HOUR_CHUNK = 480 };

enum { CBX_CODE_SIZE = 40, CBX_UNIT_SIZE = 16, CBX_SENTENCE_SIZE = 512 };

#endif
