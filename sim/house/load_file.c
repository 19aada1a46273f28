// SPDX-License-Identifier: MIT
#include "house/loads.h"
#include "weather/table.h"

#include <stdlib.h>

static const double largest_load_w = 1e7; // no building on one trench field comes near

enum { ABSENT = -1 };

typedef struct reader {
    cb_house *house;
    cbx_table table;
    int heating, cooling; // places in the table; ABSENT if the file has none
} reader;

static cb_status take_row(void *context, const cbx_csv *csv, long row, const double *value,
                          cb_error *error)
{
    (void)csv;
    (void)error;
    const reader *self = context;
    self->house->heating_w[row] = self->heating != ABSENT ? value[self->heating] : 0.0;
    self->house->cooling_w[row] = self->cooling != ABSENT ? value[self->cooling] : 0.0;
    return CB_OK;
}

static cb_status add_columns(reader *self, const cb_design_house *given, const cb_design *design,
                             const cb_units *units, cb_error *error)
{
    const struct {
        int *place;
        const char *name, *key;
    } wanted[] = {
        {&self->heating, given->heating_column, "house.loads.heating_column"},
        {&self->cooling, given->cooling_column, "house.loads.cooling_column"},
    };
    cb_status status = CB_OK;
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted && status == CB_OK; i++) {
        if (!wanted[i].name) {
            continue;
        }
        const cbx_column_unit unit = {given->load_unit, CB_POWER, wanted[i].key,
                                      "house.loads.unit"};
        *wanted[i].place = self->table.columns;
        status =
            cbx_column_convert(cbx_table_add(&self->table, wanted[i].name, 0, largest_load_w, "W"),
                               &unit, design, units, error);
    }
    return status;
}

// Turns a calendar year, 1 January first, to the run's start and repeats it.
static cb_status repeat_year(cb_house *house, double *load_w, const cb_design_run *run,
                             cb_error *error)
{
    double *year = calloc(CB_YEAR_HOURS, sizeof *year);
    if (!year) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a year of loads");
    }
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        year[hour] = load_w[hour];
    }
    const long start = 24L * cb_day_of_year(run->start_month, run->start_day);
    for (long hour = 0; hour < house->hours; hour++) {
        load_w[hour] = year[(start + hour) % CB_YEAR_HOURS];
    }
    free(year);
    return CB_OK;
}

static cb_status read_open(reader *self, cbx_csv *csv, const cb_design *design, cb_error *error)
{
    cb_status status = cbx_table_read(&self->table, csv, error);
    const bool one_year = status == CB_OK && self->table.rows == CB_YEAR_HOURS;
    if (one_year) {
        status = repeat_year(self->house, self->house->heating_w, &design->run, error);
    }
    if (one_year && status == CB_OK) {
        status = repeat_year(self->house, self->house->cooling_w, &design->run, error);
    }
    return status;
}

cb_status cbx_load_file(cb_house *house, const cb_design *design, const cb_units *units,
                        cb_error *error)
{
    const cb_design_house *given = &design->house;
    if (!given->file) {
        return cb_design_fail(design, "house.loads.file", error, "the house's loads need a file");
    }
    if (!given->heating_column && !given->cooling_column) {
        return cb_design_fail(design, "house.loads.heating_column", error,
                              "a load file needs the name of its heating or cooling column");
    }
    if (cb_day_of_year(design->run.start_month, design->run.start_day) < 0) {
        return cb_design_fail(design, "run.start", error,
                              "month %d day %d is not a day of a 365-day year",
                              design->run.start_month, design->run.start_day);
    }
    reader self = {.house = house, .heating = ABSENT, .cooling = ABSENT};
    self.table = (cbx_table){.accepted_rows = {CB_YEAR_HOURS, house->hours},
                             .check_clock = true,
                             .row = take_row,
                             .context = &self};
    cb_status status = add_columns(&self, given, design, units, error);
    if (status != CB_OK) {
        return status;
    }
    cbx_csv csv;
    status = cbx_csv_open(&csv, given->file, error);
    if (status == CB_OK) {
        status = read_open(&self, &csv, design, error);
    }
    cbx_csv_close(&csv);
    return status;
}
