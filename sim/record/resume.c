// SPDX-License-Identifier: MIT
// A run file is taken up again in two steps: everything is read and checked first, and only a file
// that fits is changed.
#include "record/checkpoint.h"
#include "record/h5.h"
#include "record/layout.h"
#include "record/reader.h"
#include "record/writer.h"

#include "coilbed/version.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PATH_SIZE = 128, LINE_SIZE = 80, DAY_HOURS = 24 };

// ---- whether it fits -------------------------------------------------------------------------

static void refuse_another_version(cbx_h5 *h5)
{
    char *version = cbx_h5_read_text_attribute(h5, "/", "program_version");
    if (version && strcmp(version, CB_VERSION) != 0) {
        cbx_h5_refuse(
            h5, CB_BAD_INPUT,
            "was made by coilbed %.40s and this is coilbed %s, which may not go on in the "
            "same way; use that version or start again",
            version, CB_VERSION);
    }
    free(version);
}

static void copy_line(const char *text, char line[LINE_SIZE])
{
    text += strspn(text, " ");
    snprintf(line, LINE_SIZE, "%.*s", (int)strcspn(text, "\n"), text);
}

// The first line that differs is nearly always the value that was changed.
static void refuse_another_design(cbx_h5 *h5, const char *design)
{
    char *stored = cbx_h5_read_text(h5, "/design/resolved_text");
    if (stored && strcmp(stored, design) != 0) {
        size_t same = 0;
        while (stored[same] && stored[same] == design[same]) {
            same++;
        }
        while (same > 0 && stored[same - 1] != '\n') {
            same--;
        }
        char there[LINE_SIZE];
        char here[LINE_SIZE];
        copy_line(stored + same, there);
        copy_line(design + same, here);
        cbx_h5_refuse(h5, CB_BAD_INPUT,
                      "was made from a different design ('%s' there, '%s' now); resume it with the "
                      "design and overrides it was made from, or start again",
                      there, here);
    }
    free(stored);
}

static void refuse_another_weather(cbx_h5 *h5, const cb_weather *weather)
{
    char *stored = cbx_h5_read_text_attribute(h5, "/", "weather_sha256");
    if (stored && strcmp(stored, weather->sha256) != 0) {
        cbx_h5_refuse(h5, CB_BAD_INPUT,
                      "was made with different weather (SHA-256 %.12s... there, %.12s... now); "
                      "resume it with the weather file it was made with, or start again",
                      stored, weather->sha256);
    }
    free(stored);
}

static void refuse_other_sections(cbx_h5 *h5, const cb_sections *sections)
{
    const struct {
        const char *path;
        int count;
    } row[] = {{"/ground/slice", sections->slices},
               {"/ground/z", sections->nz},
               {"/ground/x", sections->nx}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const hsize_t there = cbx_h5_length(h5, row[i].path, 0);
        if (h5->status == CB_OK && there != (hsize_t)row[i].count) {
            cbx_h5_refuse(h5, CB_BAD_INPUT,
                          "cannot be resumed: %s has %llu values where this design has %d; start "
                          "again",
                          row[i].path, (unsigned long long)there, row[i].count);
        }
    }
}

static void check_fit(cbx_h5 *h5, const cb_record_header *header, const char *design)
{
    cbx_read_program(h5);
    if (cbx_h5_read_integer_attribute(h5, "/", "complete") != 0) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is complete; nothing to resume");
    }
    refuse_another_version(h5);
    refuse_another_design(h5, design);
    refuse_another_weather(h5, header->weather);
    refuse_other_sections(h5, header->sections);
}

// ---- where it stands -------------------------------------------------------------------------

static bool begins_month(const cb_design_run *run, long run_hour)
{
    const cb_moment moment = cb_run_moment(run, run_hour);
    return run_hour == 0 || (moment.day == 1 && moment.hour == 0);
}

static void find_checkpoint(cbx_h5 *h5, cb_record *record)
{
    const long hours = cbx_read_counter(h5, "/hours_done");
    const long days = cbx_read_counter(h5, "/days_done");
    const cbx_checkpoint_place place = cbx_checkpoint_find(h5, hours);
    if (place.slot < 0) {
        cbx_h5_refuse(h5, CB_BAD_INPUT,
                      "holds no whole month yet, so there is nothing to go on from; start again");
        return;
    }
    const long limit = (long)record->run.years * CB_YEAR_HOURS;
    if (place.hours > limit || !begins_month(&record->run, place.hours) || place.days < 0 ||
        place.days > days) {
        cbx_h5_refuse(h5, CB_BAD_INPUT,
                      "is damaged: its checkpoint is of hour %ld and day %ld; start again",
                      place.hours, place.days);
        return;
    }
    record->hours_done = place.hours;
    record->days_done = place.days;
    record->slot = place.slot;
}

// Finished months of the unfinished year are summed up again too: they reach the file with it.
static void add_hours(cb_record *record, const double *values, long first, long count)
{
    bool in_month = false; // else the month began in the year before and is in the file
    for (long h = 0; h < count; h++) {
        cb_hour hour = {.run_hour = first + h};
        for (int s = 0; s < CBX_SERIES_COUNT; s++) {
            double *value = (double *)((char *)&hour + cbx_series_table[s].hour_offset);
            *value = values[(long)s * count + h];
        }
        if (begins_month(&record->run, hour.run_hour)) {
            in_month = true;
            record->held_month[record->months_held++] = cbx_summary_start(hour.run_hour);
        }
        if (in_month) {
            cbx_summary_add(&record->held_month[record->months_held - 1], &hour);
        }
        cbx_summary_add(&record->year, &hour);
    }
}

static void restore_summaries(cbx_h5 *h5, cb_record *record)
{
    char path[PATH_SIZE];
    record->year_number = record->hours_done / CB_YEAR_HOURS;
    const long first = record->year_number * CB_YEAR_HOURS;
    const long count = record->hours_done - first;
    record->year = cbx_summary_start(first);
    record->month = cbx_summary_start(record->hours_done);
    for (long h = 0; h < record->hours_done; h += DAY_HOURS) {
        record->month_number += begins_month(&record->run, h);
    }
    double *values = calloc((size_t)count * CBX_SERIES_COUNT + 1, sizeof *values);
    if (!values) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for a year's hours");
        return;
    }
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        const cbx_series *series = &cbx_series_table[s];
        snprintf(path, sizeof path, "%s/%s", series->group, series->name);
        cbx_h5_read_from(h5, path, (hsize_t)first, (hsize_t)count, values + (long)s * count);
    }
    if (h5->status == CB_OK) {
        add_hours(record, values, first, count);
    }
    free(values);
}

// The hours that stand in the file's last chunk and go into it once more.
static void restore_lead(cbx_h5 *h5, cb_record *record)
{
    char path[PATH_SIZE];
    const long lead = cbx_record_lead(record);
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        const cbx_series *series = &cbx_series_table[s];
        snprintf(path, sizeof path, "%s/%s", series->group, series->name);
        cbx_h5_read_from(h5, path, (hsize_t)(record->hours_done - lead), (hsize_t)lead,
                         record->column);
        for (long h = 0; h < lead; h++) {
            record->series[h * CBX_SERIES_COUNT + s] = record->column[h];
        }
    }
}

static cb_status look_at_file(cb_record *record, const cb_record_header *header,
                              cb_checkpoint *from, cb_error *error)
{
    char *design = cb_design_echo(header->design);
    if (!design) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the run's record");
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, record->path);
    cbx_h5_open_read(&h5);
    check_fit(&h5, header, design);
    if (h5.status == CB_OK) {
        find_checkpoint(&h5, record);
    }
    if (h5.status == CB_OK) {
        from->hours_done = record->hours_done;
        record->resumed_value = cbx_checkpoint_read(&h5, record->slot, &from->size);
        from->value = record->resumed_value;
        record->slot = cbx_checkpoint_other(record->slot);
    }
    if (h5.status == CB_OK) {
        restore_summaries(&h5, record);
        restore_lead(&h5, record);
    }
    free(design);
    return cbx_h5_end(&h5, error);
}

// ---- cutting it back -------------------------------------------------------------------------

static void cut(cbx_h5 *h5, const char *group, const char *name, long rows)
{
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "%s/%s", group, name);
    const hsize_t there = cbx_h5_length(h5, path, 0);
    if (h5->status == CB_OK && there < (hsize_t)rows) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: %s holds %llu rows where %ld are due", path,
                      (unsigned long long)there, rows);
    }
    cbx_h5_set_rows(h5, path, (hsize_t)rows);
}

static void cut_summaries(cbx_h5 *h5, const cb_record *record)
{
    const long months = record->month_number - record->months_held;
    for (int c = 0; c < CBX_COLUMNS; c++) {
        cut(h5, "/annual", cbx_column_table[c].name, record->year_number);
        cut(h5, "/monthly", cbx_column_table[c].name, months);
    }
    cut(h5, "/annual", "year", record->year_number);
    cut(h5, "/monthly", "month", months);
    cut(h5, "/monthly", "run_year", months);
    cut(h5, "/monthly", "calendar_month", months);
}

// The counters go first, so that they never count rows that are gone.
static void cut_back(cbx_h5 *h5, const cb_record *record)
{
    cbx_h5_integer_attribute(h5, CBX_CHECKPOINT_GROUP, CBX_WRITER, record->writer);
    cbx_record_count(h5, record->hours_done, record->days_done);
    cbx_h5_flush(h5);
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        cut(h5, cbx_series_table[s].group, cbx_series_table[s].name, record->hours_done);
    }
    cut(h5, "", "time", record->hours_done);
    for (int i = 0; i < CBX_SLICE_STATES; i++) {
        cut(h5, "/ground", cbx_slice_table[i].name, record->days_done);
    }
    for (int i = 0; i < CBX_SECTION_STATES; i++) {
        cut(h5, "/ground", cbx_section_table[i].name, record->days_done);
    }
    cut(h5, "/ground", "undisturbed_temperature", record->days_done);
    cut(h5, "/ground", "section_kept", record->days_done);
    cut(h5, "/ground", "day", record->days_done);
    cut_summaries(h5, record);
    cbx_layout_quality(h5, NULL);
}

static cb_status take_over(cb_record *record, cb_error *error)
{
    cb_status status = cbx_record_identify(record, error);
    if (status == CB_OK) {
        status = cbx_record_take_room(record, 0.0, error);
    }
    if (status != CB_OK) {
        return status;
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, record->path);
    cbx_h5_open_append(&h5, true);
    cut_back(&h5, record);
    status = cbx_h5_end(&h5, error);
    // Findings of an interrupted run judge hours that are gone now.
    return status == CB_OK ? cb_record_write_findings(record->path, NULL, 0, error) : status;
}

cb_status cb_record_resume(cb_record **out, const char *path, const cb_record_header *header,
                           cb_checkpoint *from, cb_error *error)
{
    if (!out || !from) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_resume needs places for its results");
    }
    *out = NULL;
    *from = (cb_checkpoint){0};
    cb_record *record = NULL;
    cb_status status = cbx_record_new(&record, path, header, error);
    if (!record) {
        return status;
    }
    status = look_at_file(record, header, from, error);
    if (status == CB_OK) {
        status = take_over(record, error);
    }
    if (status != CB_OK) {
        *from = (cb_checkpoint){0};
        cb_record_close(record);
        return status;
    }
    *out = record;
    return CB_OK;
}
