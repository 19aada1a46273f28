// SPDX-License-Identifier: MIT
#include "base/clock.h"
#include "record/checkpoint.h"
#include "record/h5.h"
#include "record/layout.h"
#include "record/writer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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
    const size_t row = (size_t)(cbx_record_lead(record) + record->hours_held);
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        record->series[row * CBX_SERIES_COUNT + (size_t)s] =
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

static bool may_wait(const cb_record *record)
{
    const int every = record->section_every_days;
    const int sections = every > 0 ? CBX_MONTH_DAYS / every + 1 : 0;
    const long stored = record->month_number - record->whole.months;
    return record->whole.months < CBX_WAITING_MONTHS && record->whole.months < stored &&
           record->sections_held + sections <= record->sections_limit;
}

static cb_status keep_checkpoint(cb_record *record, const cb_checkpoint *checkpoint,
                                 cb_error *error)
{
    if (checkpoint->size > record->month_room) {
        double *larger = realloc(record->month_value, checkpoint->size * sizeof *larger);
        if (!larger) {
            return cb_fail(error, CB_NO_MEMORY, "no memory for a checkpoint of %zu values",
                           checkpoint->size);
        }
        record->month_value = larger;
        record->month_room = checkpoint->size;
    }
    memcpy(record->month_value, checkpoint->value, checkpoint->size * sizeof(double));
    record->month_size = checkpoint->size;
    record->whole = (cbx_whole){.hours = record->hours_held,
                                .days = record->days_held,
                                .months = record->whole.months + 1,
                                .sections = record->sections_held};
    return CB_OK;
}

// The first month is appended at once: from then on the run can be resumed.
static cb_status end_month(cb_record *record, cb_error *error)
{
    const bool summaries = record->years_held > 0 || record->months_held == CBX_HELD_MONTHS;
    const double now_s = cbx_clock_s();
    const bool waits = !summaries && record->appended_s >= 0.0 && may_wait(record) &&
                       now_s - record->appended_s < record->patience_s;
    if (waits) {
        return CB_OK;
    }
    const cb_status status = cbx_record_append(record, summaries, error);
    record->appended_s = cbx_clock_s();
    return status;
}

static cb_status sink_month(void *context, const cb_checkpoint *checkpoint, cb_error *error)
{
    cb_record *record = context;
    const long have = record->hours_done + record->hours_held;
    if (checkpoint->hours_done != have) {
        return cb_fail(error, CB_BAD_CALL, "the record holds %ld hours at the end of hour %ld",
                       have, checkpoint->hours_done);
    }
    const cb_status status = keep_checkpoint(record, checkpoint, error);
    if (status != CB_OK) {
        return status;
    }
    record->held_month[record->months_held++] = record->month;
    record->month = cbx_summary_start(checkpoint->hours_done);
    record->month_number++;
    return end_month(record, error);
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
    if (complete) {
        cbx_checkpoint_clear(&h5);
    }
    return cbx_h5_end(&h5, error);
}
