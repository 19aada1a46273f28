// SPDX-License-Identifier: MIT
#include "design/schema.h"

static const cbx_row point[] = {
    {.name = "entering_water",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_performance_point, entering_c),
     .minimum = -30,
     .maximum = 70,
     .required = true,
     .help = "rising from point to point"},
    {.name = "capacity",
     .type = CBX_QUANTITY,
     .kind = CB_POWER,
     .offset = offsetof(cb_performance_point, capacity_w),
     .minimum = 100,
     .maximum = 1e6,
     .required = true,
     .help = "heat delivered, or total cooling"},
    {.name = "power",
     .type = CBX_QUANTITY,
     .kind = CB_ELECTRIC_POWER,
     .offset = offsetof(cb_performance_point, power_w),
     .minimum = 10,
     .maximum = 1e6,
     .required = true,
     .help = "electric, compressor and fan"},
    {.name = NULL},
};

// BASE is the offset of the mode's cb_performance_table.
#define TABLE(NAME, BASE, HELP)                                                                    \
    {                                                                                              \
        .name = (NAME), .type = CBX_LIST, .counted = true,                                         \
        .offset = (BASE) + offsetof(cb_performance_table, point),                                  \
        .offset_2 = (BASE) + offsetof(cb_performance_table, count),                                \
        .stride = sizeof(cb_performance_point), .least = 0, .most = CB_MAX_POINTS, .rows = point,  \
        .help = (HELP)                                                                             \
    }

const cbx_row cbx_heat_pump_rows[] = {
    {.name = "name",
     .type = CBX_TEXT,
     .offset = offsetof(cb_design_heat_pump, name),
     .required = true,
     .help = "what the unit is called in reports"},
    TABLE("heating", offsetof(cb_design_heat_pump, heating),
          "maker's table in heating, at full load; two points or more"),
    TABLE("cooling", offsetof(cb_design_heat_pump, cooling),
          "maker's table in cooling, at full load; two points or more"),
    {.name = "low_lockout",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_design_heat_pump, low_lockout_c),
     .minimum = -30,
     .maximum = 20,
     .standard = "20 degF",
     .reason = "usual low-water cut-out of a unit set for antifreeze; common practice, no source",
     .help = "entering water at or below which heating stops"},
    {.name = "high_lockout",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_design_heat_pump, high_lockout_c),
     .minimum = 20,
     .maximum = 70,
     .standard = "120 degF",
     .reason = "upper end of makers' tables; common practice, no source",
     .help = "entering water at or above which cooling stops"},
    {.name = "table_margin",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE_DIFFERENCE,
     .offset = offsetof(cb_design_heat_pump, table_margin_k),
     .minimum = 0,
     .maximum = 20,
     .standard = "5 K",
     .reason = "a short way past the maker's table; common practice, no source",
     .help = "how far beyond its table a unit may be used"},
    {.name = NULL},
};
