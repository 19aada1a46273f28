// SPDX-License-Identifier: MIT
/// An open record: the rows held back until the next append, and where the file stands.
#ifndef COILBED_RECORD_WRITER_H
#define COILBED_RECORD_WRITER_H

#include "coilbed/record.h"
#include "record/h5.h"
#include "record/summary.h"
#include "record/tables.h"

#include <sys/types.h>

enum {
    CBX_HELD_HOURS = 31 * 24, // the longest month
    CBX_HELD_DAYS = 32,
    CBX_HELD_YEARS = 2, // summaries are written once a year
    CBX_HELD_MONTHS = 26,
    CBX_SECTION_BYTES = 32 * 1024 * 1024
};

struct cb_record {
    char *path;
    dev_t device; // of the file that was created: another one of that name is not ours to append to
    ino_t inode;
    long writer; // as it stands in the file while this record is the one that appends to it
    int slot;    // of the next checkpoint
    double *resumed_value; // of the checkpoint that this record goes on from; or NULL
    cb_design_run run;
    int slices, nz;
    size_t cells; // values in one section snapshot: slices * nz * nx

    long hours_done, hours_held; // in the file; waiting
    double *series;              // [CBX_SERIES_COUNT][CBX_HELD_HOURS]

    long days_done, days_held;
    double day_number[CBX_HELD_DAYS];
    double *slice_state;   // [CBX_SLICE_STATES][CBX_HELD_DAYS][slices]
    float *undisturbed;    // [CB_YEAR_DAYS][nz]
    float *undisturbed_of; // [CBX_HELD_DAYS][nz]: the rows of the held days

    int section_every_days;
    int sections_held, sections_limit;
    int section_day[CBX_HELD_DAYS]; // which held day each held section belongs to
    unsigned char section_kept[CBX_HELD_DAYS];
    float *section[CBX_SECTION_STATES]; // each [sections_limit][cells]

    cbx_summary year, month;        // going on
    long year_number, month_number; // their rows in /annual and /monthly, from 0
    int years_held, months_held;    // finished, not yet in the file
    cbx_summary held_year[CBX_HELD_YEARS], held_month[CBX_HELD_MONTHS];
};

/// A record of nothing yet, without a file.
cb_status cbx_record_new(cb_record **out, const char *path, const cb_record_header *header,
                         cb_error *error);

/// Notes which file the path names now.
cb_status cbx_record_identify(cb_record *record, cb_error *error);

/// Refuses a file that was replaced, and one without room for what is held and `more` bytes.
cb_status cbx_record_take_room(const cb_record *record, double more, cb_error *error);

/// Appends everything held to the file and marks it whole.
/// @param summaries   also the rows of /annual and /monthly, up to the present hour
/// @param checkpoint  of the present hour, to be stored; or NULL
cb_status cbx_record_append(cb_record *record, bool summaries, const cb_checkpoint *checkpoint,
                            cb_error *error);

/// Sets the counters of whole rows.
void cbx_record_count(cbx_h5 *h5, long hours, long days);

#endif
