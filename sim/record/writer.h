// SPDX-License-Identifier: MIT
/// An open record: the rows held back until the next append, and where the file stands.
#ifndef COILBED_RECORD_WRITER_H
#define COILBED_RECORD_WRITER_H

#include "coilbed/record.h"
#include "record/h5.h"
#include "record/layout.h"
#include "record/summary.h"
#include "record/tables.h"

#include <sys/types.h>

// An append costs as much as several months' rows, most of it in opening some fifty datasets. So
// months wait for one another, no more of them than the file holds already, and no longer than
// CBX_PATIENCE_S of the clock: a killed run has lost nothing that takes long to compute again.
#define CBX_PATIENCE_S 2.0

enum {
    CBX_WAITING_MONTHS = 12,
    CBX_MONTH_DAYS = 31,
    CBX_HELD_DAYS = CBX_WAITING_MONTHS * CBX_MONTH_DAYS,
    CBX_HELD_HOURS = CBX_HELD_DAYS * 24,
    // Held hours stand behind those of their first chunk that the file has already.
    CBX_SERIES_ROWS = (CBX_HELD_HOURS / CBX_HOUR_CHUNK + 2) * CBX_HOUR_CHUNK,
    CBX_HELD_YEARS = 2, // summaries are written once a year
    CBX_HELD_MONTHS = 26,
    CBX_SECTION_BYTES = 4 * 1024 * 1024,       // for sections that wait
    CBX_MONTH_SECTION_BYTES = 32 * 1024 * 1024 // for those of one month, if that takes more
};

/// How much of what is held belongs to whole months.
typedef struct cbx_whole {
    long hours, days;
    int months, sections;
} cbx_whole;

struct cb_record {
    char *path;
    dev_t device; // of the file that was created: another one of that name is not ours to append to
    ino_t inode;
    long writer; // as it stands in the file while this record is the one that appends to it
    int slot;    // of the next checkpoint
    double *resumed_value; // of the checkpoint that this record goes on from; or NULL
    cbx_pack *pack;
    cb_design_run run;
    int slices, nz;
    size_t cells; // values in one section snapshot: slices * nz * nx

    double patience_s;   // CBX_PATIENCE_S; tests want none
    double appended_s;   // clock at the last append of a month; negative: there was none
    cbx_whole whole;     // at the end of the last month, since the last append
    double *month_value; // the checkpoint of that end
    size_t month_size, month_room;

    long hours_done, hours_held; // in the file; waiting
    double *series;              // [CBX_SERIES_ROWS][CBX_SERIES_COUNT]: an hour lies together
    double *column;              // [CBX_SERIES_ROWS]: one series of them

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

/// A record of nothing yet, without a file. On failure *out is as it was.
cb_status cbx_record_new(cb_record **out, const char *path, const cb_record_header *header,
                         cb_error *error);

/// Notes which file the path names now.
cb_status cbx_record_identify(cb_record *record, cb_error *error);

/// Refuses a file that was replaced, and one without room for what is held and `more` bytes.
cb_status cbx_record_take_room(const cb_record *record, double more, cb_error *error);

/// Rows of the series that the file has already and that lead its unfinished chunk.
static inline long cbx_record_lead(const cb_record *record)
{
    return record->hours_done % CBX_HOUR_CHUNK;
}

/// Appends everything held to the file, and the checkpoint of the last whole month held, and marks
/// it whole.
/// @param summaries  also the rows of /annual and /monthly, up to the present hour
cb_status cbx_record_append(cb_record *record, bool summaries, cb_error *error);

/// Sets the counters of whole rows.
void cbx_record_count(cbx_h5 *h5, long hours, long days);

#endif
