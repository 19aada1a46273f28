// SPDX-License-Identifier: MIT
#include "design/schema.h"

static const cbx_row load_line[] = {
    {.name = "heating_design",
     .type = CBX_QUANTITY,
     .kind = CB_POWER,
     .offset = offsetof(cb_load_line, heating_design_w),
     .minimum = 0,
     .maximum = 1e6,
     .required = true,
     .help = "heat the house needs at the heating design temperature"},
    {.name = "heating_design_temperature",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_load_line, heating_design_c),
     .minimum = -60,
     .maximum = 20,
     .required = true,
     .help = "outdoor temperature of the heating design load"},
    {.name = "heating_balance",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_load_line, heating_balance_c),
     .minimum = -10,
     .maximum = 25,
     .standard = "60 degF",
     .reason = "sun, people and appliances carry the rest; common practice, no source",
     .help = "outdoor temperature below which the house needs heat"},
    {.name = "cooling_design",
     .type = CBX_QUANTITY,
     .kind = CB_POWER,
     .offset = offsetof(cb_load_line, cooling_design_w),
     .minimum = 0,
     .maximum = 1e6,
     .standard = "0 W",
     .reason = "no cooling asked for",
     .help = "cooling the house needs at the cooling design temperature"},
    {.name = "cooling_design_temperature",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_load_line, cooling_design_c),
     .minimum = 20,
     .maximum = 55,
     .standard = "90 degF",
     .reason = "common practice, no source; of no effect without a cooling design load",
     .help = "outdoor temperature of the cooling design load"},
    {.name = "cooling_balance",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_load_line, cooling_balance_c),
     .minimum = 5,
     .maximum = 35,
     .standard = "72 degF",
     .reason = "common practice, no source; of no effect without a cooling design load",
     .help = "outdoor temperature above which the house needs cooling"},
    {.name = "time_constant",
     .type = CBX_QUANTITY,
     .kind = CB_TIME,
     .offset = offsetof(cb_load_line, time_constant_s),
     .minimum = 0,
     .maximum = 2.6e6,
     .standard = "24 h",
     .reason = "a framed house with some mass; common practice, no source",
     .help = "how slowly the house follows the weather; 0 h for at once"},
    {.name = NULL},
};

static const cbx_row loads[] = {
    {.name = "file",
     .type = CBX_FILE,
     .offset = offsetof(cb_design_house, file),
     .required = true,
     .help = "CSV of hourly loads, 1 January first"},
    {.name = "heating_column",
     .type = CBX_TEXT,
     .offset = offsetof(cb_design_house, heating_column),
     .required = true,
     .help = "name of the heating column"},
    {.name = "cooling_column",
     .type = CBX_TEXT,
     .offset = offsetof(cb_design_house, cooling_column),
     .required = true,
     .help = "name of the cooling column"},
    {.name = "unit",
     .type = CBX_TEXT,
     .offset = offsetof(cb_design_house, load_unit),
     .required = true,
     .help = "unit of both columns, e.g. kW or BTU/h"},
    {.name = NULL},
};

static bool has_load_line(const void *base)
{
    return ((const cb_design_house *)base)->model == CB_HOUSE_LOAD_LINE;
}

static bool has_load_file(const void *base)
{
    return ((const cb_design_house *)base)->model == CB_HOUSE_LOAD_FILE;
}

static bool has_envelope(const void *base)
{
    return ((const cb_design_house *)base)->model == CB_HOUSE_ENVELOPE;
}

const cbx_row cbx_house_rows[] = {
    {.name = "load_line",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_house, line),
     .optional_block = true,
     .applies = has_load_line,
     .rows = load_line,
     .help = "loads that follow the outdoor temperature"},
    {.name = "loads",
     .type = CBX_BLOCK,
     .optional_block = true,
     .applies = has_load_file,
     .rows = loads,
     .help = "loads from a file, instead of load_line"},
    {.name = "envelope",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_house, envelope),
     .optional_block = true,
     .applies = has_envelope,
     .rows = cbx_envelope_rows,
     .help = "loads from walls, windows, air and sun, instead of load_line; e.g. {floor_area: "
             "1600 ft2, walls: {area: 1300 ft2, u_value: 0.06 BTU/h/ft2/degF}, roof: {area: 1600 "
             "ft2, u_value: 0.03 BTU/h/ft2/degF}, windows: [{area: 120 ft2, azimuth: 180 deg}]}"},
    {.name = "share",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_design_house, share),
     .minimum = 0.001,
     .maximum = 1.0,
     .standard = "100 %",
     .reason = "one field for the whole house",
     .help = "of the house's heating and cooling that the units of this field serve; where units "
             "have fields of their own, each is a design of its own"},
    {.name = NULL},
};
