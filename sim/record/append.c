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

// Bytes the append may take: everything uncompressed, the last chunk of each dataset once more
// (up to a third of a month), and HDF5's indexes.
static double bytes_needed(const cb_record *record)
{
    const double indexes = 256.0 * 1024.0;
    const double hours = 8.0 * (CBX_SERIES_COUNT + 1) * (double)(record->hours_held + 240);
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
    return cb_fail_at(error, CB_IO, record->path, 0, 0,
                      "cannot append to the run: %s (up to %.1f MB needed for the next month); its "
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
    double time_s[CBX_HELD_HOURS];
    const hsize_t first = (hsize_t)record->hours_done;
    const hsize_t count = (hsize_t)record->hours_held;
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        const cbx_series *series = &cbx_series_table[s];
        snprintf(path, sizeof path, "%s/%s", series->group, series->name);
        cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, first, count,
                          record->series + (size_t)s * CBX_HELD_HOURS);
    }
    for (long h = 0; h < record->hours_held; h++) {
        time_s[h] = (double)(record->hours_done + h) * hour_s;
    }
    cbx_h5_write_rows(h5, "/time", H5T_NATIVE_DOUBLE, first, count, time_s);
}

// Days without a kept section take no room: their chunks are never written and read as NaN.
static void append_sections(const cb_record *record, cbx_h5 *h5)
{
    char path[PATH_SIZE];
    for (int i = 0; i < CBX_SECTION_STATES; i++) {
        snprintf(path, sizeof path, "/ground/%s", cbx_section_table[i].name);
        for (int kept = 0; kept < record->sections_held; kept++) {
            const long row = record->days_done + record->section_day[kept];
            cbx_h5_write_rows(h5, path, H5T_NATIVE_FLOAT, (hsize_t)row, 1,
                              record->section[i] + (size_t)kept * record->cells);
        }
        cbx_h5_write_rows(h5, path, H5T_NATIVE_FLOAT,
                          (hsize_t)record->days_done + (hsize_t)record->days_held, 0, NULL);
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

static void put_summary(cbx_h5 *h5, const char *group, long row, const cbx_summary *summary)
{
    char path[PATH_SIZE];
    for (int c = 0; c < CBX_COLUMNS; c++) {
        snprintf(path, sizeof path, "%s/%s", group, cbx_column_table[c].name);
        cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, (hsize_t)row, 1, &summary->value[c]);
    }
}

static void put_month(const cb_record *record, cbx_h5 *h5, long row, const cbx_summary *summary)
{
    const cb_moment moment = cb_run_moment(&record->run, summary->first_hour);
    const int number = (int)row + 1;
    put_summary(h5, "/monthly", row, summary);
    cbx_h5_write_rows(h5, "/monthly/month", H5T_NATIVE_INT, (hsize_t)row, 1, &number);
    cbx_h5_write_rows(h5, "/monthly/run_year", H5T_NATIVE_INT, (hsize_t)row, 1, &moment.run_year);
    cbx_h5_write_rows(h5, "/monthly/calendar_month", H5T_NATIVE_INT, (hsize_t)row, 1,
                      &moment.month);
}

static void put_year(cbx_h5 *h5, long row, const cbx_summary *summary)
{
    const int number = (int)row + 1;
    put_summary(h5, "/annual", row, summary);
    cbx_h5_write_rows(h5, "/annual/year", H5T_NATIVE_INT, (hsize_t)row, 1, &number);
}

static void put_summaries(const cb_record *record, cbx_h5 *h5)
{
    const long hours = record->hours_done + record->hours_held;
    for (int m = 0; m < record->months_held; m++) {
        const long row = record->month_number - record->months_held + m;
        put_month(record, h5, row, &record->held_month[m]);
    }
    if (hours > record->month.first_hour) {
        put_month(record, h5, record->month_number, &record->month);
    }
    for (int y = 0; y < record->years_held; y++) {
        put_year(h5, record->year_number - record->years_held + y, &record->held_year[y]);
    }
    if (hours > record->year.first_hour) {
        put_year(h5, record->year_number, &record->year);
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
// killed run, never counts rows that are not there; the checkpoint after the counters, so that
// there are always rows up to the newest checkpoint.
static void mark_whole(const cb_record *record, cbx_h5 *h5, const cb_checkpoint *checkpoint)
{
    const long days = record->days_done + record->days_held;
    cbx_h5_flush(h5);
    cbx_record_count(h5, record->hours_done + record->hours_held, days);
    if (checkpoint) {
        cbx_checkpoint_write(h5, record->slot, checkpoint, days);
    }
}

static void release_held(cb_record *record, bool summaries)
{
    record->hours_done += record->hours_held;
    record->days_done += record->days_held;
    record->hours_held = record->days_held = 0;
    record->sections_held = 0;
    record->months_held = summaries ? 0 : record->months_held;
    record->years_held = summaries ? 0 : record->years_held;
}

cb_status cbx_record_append(cb_record *record, bool summaries, const cb_checkpoint *checkpoint,
                            cb_error *error)
{
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
