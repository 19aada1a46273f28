// SPDX-License-Identifier: MIT
// The file is opened, appended to and closed once a month. Between appends it is an ordinary
// finished HDF5 file that any program can open, whatever becomes of the run; within an append
// HDF5's single-writer order keeps it consistent at every instant.
#include "record/h5.h"
#include "record/layout.h"
#include "record/writer.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

// ---- creating --------------------------------------------------------------------------------

static char *weather_notes(const cb_run_weather *weather, cb_unit_system system)
{
    enum { NOTE_SIZE = 400 };
    const int count = weather ? cb_run_weather_note_count(weather) : 0;
    const size_t size = (size_t)count * NOTE_SIZE + 1;
    char *text = calloc(size, 1);
    size_t used = 0;
    for (int i = 0; text && i < count; i++) {
        char note[NOTE_SIZE - 1];
        cb_run_weather_note(weather, i, system, note, sizeof note);
        snprintf(text + used, size - used, "%s%s", i > 0 ? "\n" : "", note);
        used += strlen(text + used);
    }
    return text;
}

// Room for the layout, asked for before HDF5 writes (see append.c). An upper bound: every object
// takes less than 2 kB, an axis 40 bytes a cell, a text its length.
static int ask_for_room(const char *temporary, const cb_record_header *header,
                        const cbx_layout_text *text)
{
    enum { OBJECTS = 160, OBJECT_BYTES = 2048, CELL_BYTES = 40 };
    const cb_sections *s = header->sections;
    const size_t bytes =
        (size_t)OBJECTS * OBJECT_BYTES + CELL_BYTES * (size_t)(s->nz + s->nz + s->nx + s->slices) +
        strlen(text->design) + strlen(text->weather_notes) + strlen(text->weather_notes_us) +
        (header->design->path ? strlen(header->design->path) : 0);
    const int file = open(temporary, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (file < 0) {
        return errno;
    }
    const int refused = posix_fallocate(file, 0, (off_t)bytes);
    close(file);
    unlink(temporary);
    return refused == EOPNOTSUPP || refused == EINVAL ? 0 : refused;
}

// The new file takes the place of an old one only when it is whole, so that a mistyped path or a
// full disk costs nobody a finished run.
static cb_status create_file(const char *temporary, const char *path,
                             const cb_record_header *header, const cbx_layout_text *text,
                             cb_error *error)
{
    const int refused = ask_for_room(temporary, header, text);
    if (refused != 0) {
        return cb_fail_at(error, CB_IO, path, 0, 0, "cannot create the file: %s",
                          strerror(refused));
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, temporary);
    cbx_h5_create(&h5);
    cbx_layout_make(&h5, header, text);
    cb_error inner = {0};
    cb_status status = cbx_h5_end(&h5, &inner);
    if (status != CB_OK) {
        unlink(temporary);
        return cb_fail_at(error, status, path, 0, 0, "%s", inner.message);
    }
    if (rename(temporary, path) != 0) {
        status =
            cb_fail_at(error, CB_IO, path, 0, 0, "cannot create the file: %s", strerror(errno));
        unlink(temporary);
    }
    return status;
}

static cb_status check_target(const char *path, cb_error *error)
{
    struct stat facts;
    if (stat(path, &facts) == 0 && !S_ISREG(facts.st_mode)) {
        return cb_fail_at(error, CB_IO, path, 0, 0, "cannot create the file: %s",
                          S_ISDIR(facts.st_mode) ? "it is a folder"
                                                 : "it exists and is no regular file");
    }
    return CB_OK;
}

static cb_status write_layout(cb_record *record, const cb_record_header *header, cb_error *error)
{
    cb_status status = check_target(record->path, error);
    if (status != CB_OK) {
        return status;
    }
    const size_t size = strlen(record->path) + 40;
    char *temporary = malloc(size);
    cbx_layout_text text = {.design = cb_design_echo(header->design),
                            .weather_notes = weather_notes(header->run_weather, CB_UNITS_SI),
                            .weather_notes_us = weather_notes(header->run_weather, CB_UNITS_US)};
    if (temporary && text.design && text.weather_notes && text.weather_notes_us) {
        snprintf(temporary, size, "%s.%ld.new", record->path, (long)getpid());
        unlink(temporary); // left by a process of this number that was killed right here
        status = create_file(temporary, record->path, header, &text, error);
    } else {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the run's record");
    }
    free(temporary);
    free(text.design);
    free(text.weather_notes);
    free(text.weather_notes_us);
    struct stat facts;
    if (status == CB_OK && stat(record->path, &facts) != 0) {
        status = cb_fail_at(error, CB_IO, record->path, 0, 0, "cannot find the new file: %s",
                            strerror(errno));
    } else if (status == CB_OK) {
        record->device = facts.st_dev;
        record->inode = facts.st_ino;
    }
    return status;
}

static bool allocate(cb_record *record, const cb_record_header *header)
{
    const size_t slices = (size_t)record->slices;
    const size_t nz = (size_t)record->nz;
    const size_t bytes = CBX_SECTION_STATES * record->cells * sizeof(float);
    const size_t fit = CBX_SECTION_BYTES / bytes;
    record->sections_limit = fit < 1 ? 1 : fit > CBX_HELD_DAYS ? CBX_HELD_DAYS : (int)fit;
    record->series = calloc((size_t)CBX_SERIES_COUNT * CBX_HELD_HOURS, sizeof(double));
    record->slice_state = calloc((size_t)CBX_SLICE_STATES * CBX_HELD_DAYS * slices, sizeof(double));
    record->undisturbed = calloc(CB_YEAR_DAYS * nz, sizeof(float));
    record->undisturbed_of = calloc(CBX_HELD_DAYS * nz, sizeof(float));
    bool ok =
        record->series && record->slice_state && record->undisturbed && record->undisturbed_of;
    for (int i = 0; i < CBX_SECTION_STATES; i++) {
        record->section[i] = calloc((size_t)record->sections_limit * record->cells, sizeof(float));
        ok = ok && record->section[i];
    }
    for (size_t i = 0; ok && i < CB_YEAR_DAYS * nz; i++) {
        record->undisturbed[i] = (float)header->undisturbed_c[i];
    }
    return ok;
}

cb_status cb_record_create(cb_record **out, const char *path, const cb_record_header *header,
                           cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_create needs a place for its result");
    }
    *out = NULL;
    const cb_sections *s = header ? header->sections : NULL;
    if (!path || !s || !header->design || !header->weather || !header->undisturbed_c ||
        s->slices < 1 || s->nz < 1 || s->nx < 1 || !s->z_m || !s->x_m || !s->slice_m) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_create needs a path and a full header");
    }
    cb_record *record = calloc(1, sizeof *record);
    if (!record) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the run's record");
    }
    record->run = header->design->run;
    record->slices = s->slices;
    record->nz = s->nz;
    record->cells = (size_t)s->slices * (size_t)s->nz * (size_t)s->nx;
    record->section_every_days = record->run.section_every_days;
    record->year = record->month = cbx_summary_start(0);
    record->path = strdup(path);
    const bool ok = record->path && allocate(record, header);
    const cb_status status = ok ? write_layout(record, header, error)
                                : cb_fail(error, CB_NO_MEMORY, "no memory for the run's record");
    *out = status == CB_OK ? record : cb_record_close(record);
    return status;
}

cb_record *cb_record_close(cb_record *record)
{
    if (record) {
        free(record->path);
        free(record->series);
        free(record->slice_state);
        free(record->undisturbed);
        free(record->undisturbed_of);
        for (int i = 0; i < CBX_SECTION_STATES; i++) {
            free(record->section[i]);
        }
        free(record);
    }
    return NULL;
}

// ---- the sink --------------------------------------------------------------------------------

static cb_status check_hour(const cb_record *record, const cb_hour *hour, cb_error *error)
{
    const long due = record->hours_done + record->hours_held;
    if (hour->run_hour != due) {
        return cb_fail(error, CB_BAD_CALL, "the record got run hour %ld where %ld is due",
                       hour->run_hour, due);
    }
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        const cbx_series *series = &cbx_series_table[s];
        const double value = cbx_series_value(series, hour);
        if (!isfinite(value) && !(series->may_be_missing && isnan(value))) {
            return cb_fail(error, CB_NUMERICS, "%s/%s of run hour %ld is %g", series->group + 1,
                           series->name, hour->run_hour, value);
        }
    }
    return CB_OK;
}

// A finished year waits for the end of its calendar month, so that the file always ends on one.
static cb_status end_year(cb_record *record, long hours, cb_error *error)
{
    record->held_year[record->years_held++] = record->year;
    record->year = cbx_summary_start(hours);
    record->year_number++;
    return record->years_held == CBX_HELD_YEARS ? cbx_record_append(record, true, error) : CB_OK;
}

static cb_status sink_hour(void *context, const cb_hour *hour, cb_error *error)
{
    cb_record *record = context;
    cb_status status = check_hour(record, hour, error);
    if (status == CB_OK && record->hours_held == CBX_HELD_HOURS) {
        status = cbx_record_append(record, false, error);
    }
    if (status != CB_OK) {
        return status;
    }
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        record->series[(size_t)s * CBX_HELD_HOURS + (size_t)record->hours_held] =
            cbx_series_value(&cbx_series_table[s], hour);
    }
    record->hours_held++;
    cbx_summary_add(&record->month, hour);
    cbx_summary_add(&record->year, hour);
    if ((hour->run_hour + 1) % CB_YEAR_HOURS == 0) {
        status = end_year(record, hour->run_hour + 1, error);
    }
    return status;
}

static void hold_section(cb_record *record, const cb_day *day)
{
    const size_t at = (size_t)record->sections_held * record->cells;
    for (int i = 0; i < CBX_SECTION_STATES; i++) {
        const double *values = cbx_state_values(&cbx_section_table[i], day);
        for (size_t c = 0; c < record->cells; c++) {
            record->section[i][at + c] = (float)values[c];
        }
    }
    record->section_day[record->sections_held++] = (int)record->days_held;
}

static cb_status sink_day(void *context, const cb_day *day, cb_error *error)
{
    cb_record *record = context;
    if (day->run_day < 0) {
        return cb_fail(error, CB_BAD_CALL, "the record got run day %ld", day->run_day);
    }
    if (record->days_held == CBX_HELD_DAYS || record->sections_held == record->sections_limit) {
        const cb_status status = cbx_record_append(record, false, error);
        if (status != CB_OK) {
            return status;
        }
    }
    const size_t slices = (size_t)record->slices;
    for (int i = 0; i < CBX_SLICE_STATES; i++) {
        const size_t row = (size_t)i * CBX_HELD_DAYS + (size_t)record->days_held;
        memcpy(record->slice_state + row * slices, cbx_state_values(&cbx_slice_table[i], day),
               slices * sizeof(double));
    }
    const bool keep =
        record->section_every_days > 0 && day->run_day % record->section_every_days == 0;
    record->section_kept[record->days_held] = keep;
    record->day_number[record->days_held] = (double)day->run_day;
    if (keep) {
        hold_section(record, day);
    }
    record->days_held++;
    return CB_OK;
}

static cb_status sink_month(void *context, long hours_done, cb_error *error)
{
    cb_record *record = context;
    const long have = record->hours_done + record->hours_held;
    if (hours_done != have) {
        return cb_fail(error, CB_BAD_CALL, "the record holds %ld hours at the end of hour %ld",
                       have, hours_done);
    }
    record->held_month[record->months_held++] = record->month;
    record->month = cbx_summary_start(hours_done);
    record->month_number++;
    const bool summaries = record->years_held > 0 || record->months_held == CBX_HELD_MONTHS;
    return cbx_record_append(record, summaries, error);
}

cb_sink cb_record_sink(cb_record *record)
{
    return (cb_sink){
        .context = record, .hour = sink_hour, .day = sink_day, .month = sink_month, .stop = NULL};
}

// ---- the end ---------------------------------------------------------------------------------

cb_status cb_record_finish(cb_record *record, const cb_quality *quality, bool complete,
                           cb_error *error)
{
    cb_status status = cbx_record_append(record, true, error);
    if (status != CB_OK) {
        return status;
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, record->path);
    cbx_h5_open_append(&h5, false);
    cbx_layout_quality(&h5, quality);
    cbx_h5_flush(&h5);
    cbx_h5_integer_attribute(&h5, "/", "complete", complete);
    return cbx_h5_end(&h5, error);
}
