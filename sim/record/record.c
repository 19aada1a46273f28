// SPDX-License-Identifier: MIT
// The file is opened, appended to and closed at the end of a month. Between appends it is an
// ordinary finished HDF5 file that any program can open, whatever becomes of the run; within an
// append HDF5's single-writer order keeps it consistent at every instant.
#include "record/checkpoint.h"
#include "record/h5.h"
#include "record/layout.h"
#include "record/writer.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
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

static void add_assumption(void *context, const char *path, const char *value, const char *reason)
{
    fprintf(context, "%s\t%s\t%s\n", path, value, reason ? reason : "");
}

/// Owned by the caller; NULL without memory.
static char *assumptions(const cb_design *design, cb_unit_system system)
{
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    if (!stream) {
        return NULL;
    }
    cb_design_assumptions(design, system, add_assumption, stream);
    const bool failed = ferror(stream) != 0;
    if (fclose(stream) == 0 && !failed) {
        return text;
    }
    free(text);
    return NULL;
}

// Room for the layout, asked for before HDF5 writes (see append.c). An upper bound: every object
// takes less than 2 kB, the axes and what stands beside them 96 bytes a cell, a text its length.
static int ask_for_room(const char *temporary, const cb_record_header *header,
                        const cbx_layout_text *text)
{
    enum { OBJECTS = 197, OBJECT_BYTES = 2048, CELL_BYTES = 96 };
    const cb_sections *s = header->sections;
    const size_t bytes =
        (size_t)OBJECTS * OBJECT_BYTES + CELL_BYTES * (size_t)(s->nz + s->nz + s->nx + s->slices) +
        strlen(text->design) + strlen(text->weather_notes) + strlen(text->weather_notes_us) +
        strlen(text->assumptions) + strlen(text->assumptions_us) +
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
static cb_status create_file(const cb_record *record, const char *temporary,
                             const cb_record_header *header, const cbx_layout_text *text,
                             cb_error *error)
{
    const char *path = record->path;
    const int refused = ask_for_room(temporary, header, text);
    if (refused != 0) {
        return cb_fail_at(error, CB_IO, path, 0, 0, "cannot create the file: %s",
                          strerror(refused));
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, temporary);
    cbx_h5_create(&h5);
    cbx_layout_make(&h5, header, text);
    cbx_h5_integer_attribute(&h5, CBX_CHECKPOINT_GROUP, CBX_WRITER, record->writer);
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

cb_status cbx_record_identify(cb_record *record, cb_error *error)
{
    struct stat facts;
    if (stat(record->path, &facts) != 0) {
        return cb_fail_at(error, CB_IO, record->path, 0, 0, "cannot find the file: %s",
                          strerror(errno));
    }
    record->device = facts.st_dev;
    record->inode = facts.st_ino;
    return CB_OK;
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
                            .weather_notes_us = weather_notes(header->run_weather, CB_UNITS_US),
                            .assumptions = assumptions(header->design, CB_UNITS_SI),
                            .assumptions_us = assumptions(header->design, CB_UNITS_US)};
    if (temporary && text.design && text.weather_notes && text.weather_notes_us &&
        text.assumptions && text.assumptions_us) {
        snprintf(temporary, size, "%s.%ld.new", record->path, (long)getpid());
        unlink(temporary); // left by a process of this number that was killed right here
        status = create_file(record, temporary, header, &text, error);
    } else {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the run's record");
    }
    free(temporary);
    free(text.design);
    free(text.weather_notes);
    free(text.weather_notes_us);
    free(text.assumptions);
    free(text.assumptions_us);
    return status == CB_OK ? cbx_record_identify(record, error) : status;
}

static size_t at_most(size_t value, size_t limit)
{
    return value < limit ? value : limit;
}

// As many as the longest wait needs, within memory; at least those of a month, within more.
static int section_limit(size_t section_bytes, int every_days)
{
    const size_t every = every_days > 0 ? (size_t)every_days : CBX_HELD_DAYS;
    const size_t waiting = at_most(CBX_HELD_DAYS / every + 1, CBX_SECTION_BYTES / section_bytes);
    const size_t month =
        at_most(CBX_MONTH_DAYS / every + 1, CBX_MONTH_SECTION_BYTES / section_bytes);
    const size_t limit = waiting > month ? waiting : month;
    return limit < 1 ? 1 : (int)limit;
}

static bool allocate(cb_record *record, const cb_record_header *header)
{
    const size_t slices = (size_t)record->slices;
    const size_t nz = (size_t)record->nz;
    record->sections_limit = section_limit(CBX_SECTION_STATES * record->cells * sizeof(float),
                                           record->section_every_days);
    record->pack = cbx_pack_create();
    record->series = calloc((size_t)CBX_SERIES_ROWS * CBX_SERIES_COUNT, sizeof(double));
    record->column = calloc(CBX_SERIES_ROWS, sizeof(double));
    record->slice_state = calloc((size_t)CBX_SLICE_STATES * CBX_HELD_DAYS * slices, sizeof(double));
    record->undisturbed = calloc(CB_YEAR_DAYS * nz, sizeof(float));
    record->undisturbed_of = calloc(CBX_HELD_DAYS * nz, sizeof(float));
    bool ok = record->pack && record->series && record->column && record->slice_state &&
              record->undisturbed && record->undisturbed_of;
    for (int i = 0; i < CBX_SECTION_STATES; i++) {
        record->section[i] = calloc((size_t)record->sections_limit * record->cells, sizeof(float));
        ok = ok && record->section[i];
    }
    for (size_t i = 0; ok && i < CB_YEAR_DAYS * nz; i++) {
        record->undisturbed[i] = (float)header->undisturbed_c[i];
    }
    return ok;
}

// A number no other writer has: its start in nanoseconds, and its process in case of a coarse
// clock.
static long writer_number(void)
{
    struct timespec now = {0};
    clock_gettime(CLOCK_REALTIME, &now);
    return ((long)now.tv_sec * 1000000000L + now.tv_nsec) ^ ((long)getpid() << 8);
}

cb_status cbx_record_new(cb_record **out, const char *path, const cb_record_header *header,
                         cb_error *error)
{
    const cb_sections *s = header ? header->sections : NULL;
    if (!path || !s || !header->design || !header->weather || !header->undisturbed_c ||
        !header->ground || header->ground->count != s->nz + 1 || s->slices < 1 || s->nz < 1 ||
        s->nx < 1 || !s->z_m || !s->x_m || !s->slice_m) {
        return cb_fail(error, CB_BAD_CALL, "a record needs a path and a full header");
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
    record->writer = writer_number();
    record->patience_s = CBX_PATIENCE_S;
    record->appended_s = -1.0;
    record->path = strdup(path);
    if (!record->path || !allocate(record, header)) {
        cb_record_close(record);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the run's record");
    }
    *out = record;
    return CB_OK;
}

cb_status cb_record_create(cb_record **out, const char *path, const cb_record_header *header,
                           cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_create needs a place for its result");
    }
    *out = NULL;
    cb_record *record = NULL;
    cb_status status = cbx_record_new(&record, path, header, error);
    if (!record) {
        return status;
    }
    status = write_layout(record, header, error);
    *out = status == CB_OK ? record : cb_record_close(record);
    return status;
}

// What came after the last whole month is dropped, so that the file ends with its checkpoint.
static void append_whole_months(cb_record *record)
{
    const cbx_whole *whole = &record->whole;
    if (whole->months > 0) {
        record->hours_held = whole->hours;
        record->days_held = whole->days;
        record->sections_held = whole->sections;
        cbx_record_append(record, false, NULL);
    }
}

cb_record *cb_record_close(cb_record *record)
{
    if (record) {
        append_whole_months(record);
        free(record->path);
        free(record->series);
        free(record->column);
        free(record->month_value);
        cbx_pack_destroy(record->pack);
        free(record->slice_state);
        free(record->undisturbed);
        free(record->undisturbed_of);
        free(record->resumed_value);
        for (int i = 0; i < CBX_SECTION_STATES; i++) {
            free(record->section[i]);
        }
        free(record);
    }
    return NULL;
}
