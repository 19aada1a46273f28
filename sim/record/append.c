// SPDX-License-Identifier: MIT
#include "record/checkpoint.h"
#include "record/h5.h"
#include "record/writer.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH_SIZE = 128 };
static const double hour_s = 3600.0;

// ---- before the file is touched --------------------------------------------------------------

// Bytes the append may take: everything uncompressed, the last chunk of each dataset once more, and
// HDF5's indexes.
static double bytes_needed(const cb_record *record)
{
    const double indexes = 256.0 * 1024.0;
    const double hours =
        8.0 * (CBX_SERIES_COUNT + 1) * (double)(record->hours_held + CBX_HOUR_CHUNK);
    const double day = 4.0 * (record->nz + CBX_SLICE_STATES * record->slices);
    const double sections =
        4.0 * CBX_SECTION_STATES * (double)record->cells * record->sections_held;
    return indexes + hours + day * (double)(record->days_held + 32) + sections;
}

// HDF5 1.10 does not survive a write that the system refuses: the process crashes at its exit. So
// room is taken before HDF5 is asked to write; closing the file gives back what is left of it.
static cb_status allocate_room(const cb_record *record, int file, off_t size, double bytes,
                               cb_error *error)
{
    const int refused = posix_fallocate(file, size, (off_t)bytes);
    if (refused == 0 || refused == EOPNOTSUPP || refused == EINVAL) {
        return CB_OK; // EINVAL, EOPNOTSUPP: a file system that cannot set room aside
    }
    const int cut = ftruncate(file, size); // what was set aside before the disk was full
    (void)cut;
    return cb_fail_at(
        error, CB_IO, record->path, 0, 0,
        "cannot append to the run: %s (up to %.1f MB needed for the next months); its "
        "first %ld hours are stored",
        strerror(refused), bytes / 1e6, record->hours_done);
}

cb_status cbx_record_take_room(const cb_record *record, double more, cb_error *error)
{
    struct stat facts;
    const int file = open(record->path, O_RDWR | O_CLOEXEC);
    if (file < 0 || fstat(file, &facts) != 0) {
        const int reason = errno;
        if (file >= 0) {
            close(file);
        }
        return cb_fail_at(error, CB_IO, record->path, 0, 0, "cannot append to the run: %s",
                          strerror(reason));
    }
    const bool same = facts.st_dev == record->device && facts.st_ino == record->inode;
    const cb_status status =
        same ? allocate_room(record, file, facts.st_size, bytes_needed(record) + more, error)
             : cb_fail_at(error, CB_IO, record->path, 0, 0,
                          "cannot append to the run: its file was replaced by another one");
    close(file);
    return status;
}

// ---- rows ------------------------------------------------------------------------------------

static void append_hours(cb_record *record, cbx_h5 *h5)
{
    char path[PATH_SIZE];
    const long lead = cbx_record_lead(record);
    cbx_packed_rows rows = {.memory_type = H5T_NATIVE_DOUBLE,
                            .chunk_rows = CBX_HOUR_CHUNK,
                            .first = (hsize_t)(record->hours_done - lead),
                            .rows = (hsize_t)(record->hours_held + lead),
                            .length = (hsize_t)(record->hours_done + record->hours_held),
                            .values = record->column};
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        const cbx_series *series = &cbx_series_table[s];
        snprintf(path, sizeof path, "%s/%s", series->group, series->name);
        for (hsize_t h = 0; h < rows.rows; h++) {
            record->column[h] = record->series[h * CBX_SERIES_COUNT + (hsize_t)s];
        }
        cbx_h5_write_packed(h5, record->pack, path, &rows);
    }
    for (hsize_t h = 0; h < rows.rows; h++) {
        record->column[h] = (double)(rows.first + h) * hour_s;
    }
    cbx_h5_write_packed(h5, record->pack, "/time", &rows);
}

// Days without a kept section take no room: their chunks are never written and read as NaN.
static void append_sections(const cb_record *record, cbx_h5 *h5)
{
    char path[PATH_SIZE];
    hsize_t at[CBX_HELD_DAYS];
    for (int kept = 0; kept < record->sections_held; kept++) {
        at[kept] = (hsize_t)record->days_done + (hsize_t)record->section_day[kept];
    }
    cbx_packed_rows rows = {.memory_type = H5T_NATIVE_FLOAT,
                            .chunk_rows = 1,
                            .at = at,
                            .rows = (hsize_t)record->sections_held,
                            .length = (hsize_t)(record->days_done + record->days_held)};
    for (int i = 0; i < CBX_SECTION_STATES; i++) {
        snprintf(path, sizeof path, "/ground/%s", cbx_section_table[i].name);
        rows.values = record->section[i];
        cbx_h5_write_packed(h5, record->pack, path, &rows);
    }
}

static void append_days(cb_record *record, cbx_h5 *h5)
{
    char path[PATH_SIZE];
    const hsize_t first = (hsize_t)record->days_done;
    const hsize_t count = (hsize_t)record->days_held;
    const size_t block = (size_t)CBX_HELD_DAYS * (size_t)record->slices;
    for (int i = 0; i < CBX_SLICE_STATES; i++) {
        snprintf(path, sizeof path, "/ground/%s", cbx_slice_table[i].name);
        cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, first, count,
                          record->slice_state + (size_t)i * block);
    }
    const size_t nz = (size_t)record->nz;
    for (long d = 0; d < record->days_held; d++) {
        const long day_of_year = (long)record->day_number[d] % CB_YEAR_DAYS;
        memcpy(record->undisturbed_of + (size_t)d * nz,
               record->undisturbed + (size_t)day_of_year * nz, nz * sizeof(float));
    }
    cbx_h5_write_rows(h5, "/ground/undisturbed_temperature", H5T_NATIVE_FLOAT, first, count,
                      record->undisturbed_of);
    cbx_h5_write_rows(h5, "/ground/section_kept", H5T_NATIVE_UCHAR, first, count,
                      record->section_kept);
    cbx_h5_write_rows(h5, "/ground/day", H5T_NATIVE_DOUBLE, first, count, record->day_number);
    append_sections(record, h5);
}

// ---- summaries -------------------------------------------------------------------------------

/// Consecutive rows of /annual or /monthly: finished ones, and the one going on unless it is NULL.
typedef struct summary_rows {
    const char *group;
    long first;
    const cbx_summary *finished;
    int finished_count;
    const cbx_summary *last;
} summary_rows;

static int row_count(const summary_rows *rows)
{
    return rows->finished_count + (rows->last ? 1 : 0);
}

static const cbx_summary *summary_of(const summary_rows *rows, int i)
{
    return i < rows->finished_count ? &rows->finished[i] : rows->last;
}

static void put_columns(cbx_h5 *h5, const summary_rows *rows)
{
    char path[PATH_SIZE];
    double value[CBX_HELD_MONTHS + 1];
    const int count = row_count(rows);
    for (int c = 0; c < CBX_COLUMNS; c++) {
        for (int i = 0; i < count; i++) {
            value[i] = summary_of(rows, i)->value[c];
        }
        snprintf(path, sizeof path, "%s/%s", rows->group, cbx_column_table[c].name);
        cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, (hsize_t)rows->first, (hsize_t)count, value);
    }
}

static void put_months(const cb_record *record, cbx_h5 *h5, const summary_rows *rows)
{
    int number[CBX_HELD_MONTHS + 1];
    int run_year[CBX_HELD_MONTHS + 1];
    int calendar_month[CBX_HELD_MONTHS + 1];
    const hsize_t first = (hsize_t)rows->first;
    const hsize_t count = (hsize_t)row_count(rows);
    for (int i = 0; i < (int)count; i++) {
        const cb_moment moment = cb_run_moment(&record->run, summary_of(rows, i)->first_hour);
        number[i] = (int)rows->first + i + 1;
        run_year[i] = moment.run_year;
        calendar_month[i] = moment.month;
    }
    put_columns(h5, rows);
    cbx_h5_write_rows(h5, "/monthly/month", H5T_NATIVE_INT, first, count, number);
    cbx_h5_write_rows(h5, "/monthly/run_year", H5T_NATIVE_INT, first, count, run_year);
    cbx_h5_write_rows(h5, "/monthly/calendar_month", H5T_NATIVE_INT, first, count, calendar_month);
}

static void put_years(cbx_h5 *h5, const summary_rows *rows)
{
    int number[CBX_HELD_YEARS + 1];
    const int count = row_count(rows);
    for (int i = 0; i < count; i++) {
        number[i] = (int)rows->first + i + 1;
    }
    put_columns(h5, rows);
    cbx_h5_write_rows(h5, "/annual/year", H5T_NATIVE_INT, (hsize_t)rows->first, (hsize_t)count,
                      number);
}

static void put_summaries(const cb_record *record, cbx_h5 *h5)
{
    const long hours = record->hours_done + record->hours_held;
    const summary_rows months = {.group = "/monthly",
                                 .first = record->month_number - record->months_held,
                                 .finished = record->held_month,
                                 .finished_count = record->months_held,
                                 .last = hours > record->month.first_hour ? &record->month : NULL};
    const summary_rows years = {.group = "/annual",
                                .first = record->year_number - record->years_held,
                                .finished = record->held_year,
                                .finished_count = record->years_held,
                                .last = hours > record->year.first_hour ? &record->year : NULL};
    if (row_count(&months) > 0) {
        put_months(record, h5, &months);
    }
    if (row_count(&years) > 0) {
        put_years(h5, &years);
    }
}

// ---- the append ------------------------------------------------------------------------------

void cbx_record_count(cbx_h5 *h5, long hours, long days)
{
    const int64_t hours_done = hours;
    const int64_t days_done = days;
    cbx_h5_write_rows(h5, "/days_done", H5T_NATIVE_INT64, 0, 1, &days_done);
    cbx_h5_write_rows(h5, "/hours_done", H5T_NATIVE_INT64, 0, 1, &hours_done);
    cbx_h5_integer_attribute(h5, "/", "hours_done", hours);
}

// A run that goes on elsewhere has put its own number into the file: two writers would mix up
// their rows.
static void check_writer(const cb_record *record, cbx_h5 *h5)
{
    const long writer = cbx_h5_read_integer_attribute(h5, CBX_CHECKPOINT_GROUP, CBX_WRITER);
    if (h5->status == CB_OK && writer != record->writer) {
        cbx_h5_refuse(h5, CB_IO, "cannot append to the run: another process has resumed it");
    }
}

// The counters are written after the rows they count have reached the file, so that a reader, or a
// killed run, never counts rows that are not there; the checkpoint's stamp after the counters, so
// that there are always rows up to the newest checkpoint.
static void mark_whole(const cb_record *record, cbx_h5 *h5, const cb_checkpoint *checkpoint)
{
    if (checkpoint) {
        cbx_checkpoint_empty(h5, record->slot);
    }
    cbx_h5_flush(h5);
    cbx_record_count(h5, record->hours_done + record->hours_held,
                     record->days_done + record->days_held);
    if (checkpoint) {
        cbx_checkpoint_write(h5, record->slot, checkpoint, record->days_done + record->whole.days);
    }
}

// The hours that lead the next append's first chunk stay.
static void release_hours(cb_record *record)
{
    const long had = cbx_record_lead(record) + record->hours_held;
    record->hours_done += record->hours_held;
    record->hours_held = 0;
    const size_t stay = (size_t)cbx_record_lead(record);
    memmove(record->series, record->series + ((size_t)had - stay) * CBX_SERIES_COUNT,
            stay * CBX_SERIES_COUNT * sizeof *record->series);
}

static void release_held(cb_record *record, bool summaries)
{
    release_hours(record);
    record->days_done += record->days_held;
    record->days_held = 0;
    record->sections_held = 0;
    record->whole = (cbx_whole){0};
    record->months_held = summaries ? 0 : record->months_held;
    record->years_held = summaries ? 0 : record->years_held;
}

cb_status cbx_record_append(cb_record *record, bool summaries, cb_error *error)
{
    const cb_checkpoint month = {.hours_done = record->hours_done + record->whole.hours,
                                 .size = record->month_size,
                                 .value = record->month_value};
    const cb_checkpoint *checkpoint = record->whole.months > 0 ? &month : NULL;
    const double more = checkpoint ? cbx_checkpoint_bytes(checkpoint) : 0.0;
    const cb_status place = cbx_record_take_room(record, more, error);
    if (place != CB_OK) {
        return place;
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, record->path);
    cbx_h5_open_append(&h5, false);
    check_writer(record, &h5);
    if (record->hours_held > 0) {
        append_hours(record, &h5);
    }
    if (record->days_held > 0) {
        append_days(record, &h5);
    }
    if (summaries) {
        put_summaries(record, &h5);
    }
    mark_whole(record, &h5, checkpoint);
    const cb_status status = cbx_h5_end(&h5, error);
    if (status == CB_OK) {
        record->slot = checkpoint ? cbx_checkpoint_other(record->slot) : record->slot;
        release_held(record, summaries);
    }
    return status;
}
