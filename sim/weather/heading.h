// SPDX-License-Identifier: MIT
/// Units as the headings of tables write them: "Tair (F)", "wind [mph]", "w/m2".
#ifndef WEATHER_HEADING_H
#define WEATHER_HEADING_H

#include "coilbed/units.h"
#include "weather/csv.h"

/// SI value = offset + scale * number; temperatures in degC, shares as fractions.
typedef struct cbx_heading_unit {
    const char *spelling; ///< lower case, without blanks and signs
    cbx_measure measure;
    double scale, offset;
} cbx_heading_unit;

/// The unit that text spells; NULL if it spells none that is known.
const cbx_heading_unit *cbx_heading_unit_find(const char *text);

/// What units of a kind measure; CBX_NO_MEASURE for kinds that no heading is checked for.
cbx_measure cbx_measure_of(cb_kind kind);
const char *cbx_measure_name(cbx_measure measure);

/// Refuses a column whose heading names, in brackets, another unit than the design reads it in.
/// Brackets that hold no known unit are left alone. The column must have been found.
cb_status cbx_heading_check(const cbx_csv *csv, cbx_column *column, cb_error *error);

#endif
