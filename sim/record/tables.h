// SPDX-License-Identifier: MIT
/// What a run file holds, as tables that both the writer and the reader walk.
#ifndef COILBED_RECORD_TABLES_H
#define COILBED_RECORD_TABLES_H

#include "coilbed/record.h"

#include <stddef.h>

/// An hourly series, dimension time.
typedef struct cbx_series {
    const char *group, *name, *units, *long_name, *standard_name;
    size_t hour_offset; // of the double in cb_hour
    size_t data_offset; // of the double * in cb_run_data; CBX_NOT_READ if it is not read back
    bool may_be_missing;
    const char *cell_methods;
} cbx_series;
#define CBX_NOT_READ ((size_t)-1)

enum { CBX_SERIES_COUNT = 34 };
extern const cbx_series cbx_series_table[CBX_SERIES_COUNT];

static inline double cbx_series_value(const cbx_series *series, const cb_hour *hour)
{
    return *(const double *)((const char *)hour + series->hour_offset);
}

/// A daily state of /ground: per slice, or per cell of the section.
typedef struct cbx_state {
    const char *name, *units, *long_name, *standard_name;
    size_t day_offset; // of the const double * in cb_day
} cbx_state;

enum { CBX_SLICE_STATES = 3, CBX_SECTION_STATES = 2 };
extern const cbx_state cbx_slice_table[CBX_SLICE_STATES];
extern const cbx_state cbx_section_table[CBX_SECTION_STATES];

static inline const double *cbx_state_values(const cbx_state *state, const cb_day *day)
{
    return *(const double *const *)((const char *)day + state->day_offset);
}

/// A value of the undisturbed ground at each depth, in /ground.
typedef struct cbx_depth_value {
    const char *name, *units, *long_name, *standard_name;
    size_t offset; // of the double in cb_ground_depth
} cbx_depth_value;

/// A number of the undisturbed ground as a whole, a scalar in /ground.
typedef struct cbx_ground_value {
    const char *name, *units, *long_name;
    bool when;     // a long, the run hour; otherwise a double
    size_t offset; // in cb_ground_summary
} cbx_ground_value;

enum { CBX_DEPTH_VALUES = 7, CBX_GROUND_VALUES = 9 };
extern const cbx_depth_value cbx_depth_table[CBX_DEPTH_VALUES];
extern const cbx_ground_value cbx_ground_table[CBX_GROUND_VALUES];

/// One number of cb_quality, an attribute of /quality.
typedef enum cbx_number { CBX_DOUBLE, CBX_LONG, CBX_INT } cbx_number;
typedef struct cbx_quality_field {
    const char *name;
    cbx_number number;
    size_t offset;
} cbx_quality_field;

enum { CBX_QUALITY_FIELDS = 14 };
extern const cbx_quality_field cbx_quality_table[CBX_QUALITY_FIELDS];

#endif
