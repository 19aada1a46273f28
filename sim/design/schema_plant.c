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

static const cbx_row rating[] = {
    {.name = "heating",
     .type = CBX_LIST,
     .counted = true,
     .offset = offsetof(cb_design_rating, heating),
     .offset_2 = offsetof(cb_design_rating, heating_count),
     .stride = sizeof(cb_performance_point),
     .least = 0,
     .most = CB_MAX_RATINGS,
     .rows = point,
     .help = "full load; ground loops are rated in heating with water of 0 degC (32 degF)"},
    {.name = "cooling",
     .type = CBX_LIST,
     .counted = true,
     .offset = offsetof(cb_design_rating, cooling),
     .offset_2 = offsetof(cb_design_rating, cooling_count),
     .stride = sizeof(cb_performance_point),
     .least = 0,
     .most = CB_MAX_RATINGS,
     .rows = point,
     .help = "full load; ground loops are rated in cooling with water of 25 degC (77 degF)"},
    {.name = NULL},
};

#define FACTOR(NAME, MEMBER, HELP)                                                                 \
    {                                                                                              \
        .name = (NAME), .type = CBX_QUANTITY, .kind = CB_NUMBER,                                   \
        .offset = offsetof(cb_unit_correction, MEMBER), .minimum = 0.5, .maximum = 1.5,            \
        .standard = "1", .reason = "not corrected", .help = (HELP)                                 \
    }

static const cbx_row correction[] = {
    FACTOR("heating_capacity", heating_capacity, "on the heat delivered"),
    FACTOR("heating_power", heating_power, "on the power in heating"),
    FACTOR("cooling_capacity", cooling_capacity, "on the cooling"),
    FACTOR("cooling_power", cooling_power, "on the power in cooling"),
    {.name = NULL},
};

static bool has_rating(const void *base)
{
    return ((const cb_design_heat_pump *)base)->has_rating;
}

static bool has_tables(const void *base)
{
    return !has_rating(base);
}

static bool has_correction(const void *base)
{
    const cb_unit_correction *c = &((const cb_design_heat_pump *)base)->correction;
    return c->heating_capacity > 0 || c->heating_power > 0 || c->cooling_capacity > 0 ||
           c->cooling_power > 0;
}

// BASE is the offset of the mode's cb_performance_table.
#define TABLE(NAME, BASE, HELP)                                                                    \
    {                                                                                              \
        .name = (NAME), .type = CBX_LIST, .counted = true,                                         \
        .offset = (BASE) + offsetof(cb_performance_table, point),                                  \
        .offset_2 = (BASE) + offsetof(cb_performance_table, count),                                \
        .stride = sizeof(cb_performance_point), .least = 0, .most = CB_MAX_POINTS, .rows = point,  \
        .applies = has_tables, .help = (HELP)                                                      \
    }

const cbx_row cbx_heat_pump_rows[] = {
    {.name = "name",
     .type = CBX_TEXT,
     .offset = offsetof(cb_design_heat_pump, name),
     .required = true,
     .help = "what the unit is called in reports"},
    {.name = "rating",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_heat_pump, rating),
     .optional_block = true,
     .flagged = true,
     .flag = offsetof(cb_design_heat_pump, has_rating),
     .applies = has_rating,
     .rows = rating,
     .help = "rating points in place of the maker's tables; a generic curve runs through them"},
    TABLE("heating", offsetof(cb_design_heat_pump, heating),
          "maker's table in heating, at full load; two points or more"),
    TABLE("cooling", offsetof(cb_design_heat_pump, cooling),
          "maker's table in cooling, at full load; two points or more"),
    {.name = "correction",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_heat_pump, correction),
     .optional_block = true,
     .applies = has_correction,
     .rows = correction,
     .help = "factors on tables or rating for antifreeze and flow, from the maker; one catalogue "
             "(WSHP-PRC001-EN, table A1) has for 20 % by volume of propylene glycol against water "
             "heating_capacity 0.973 and cooling_capacity 0.987"},
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
