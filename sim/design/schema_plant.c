// SPDX-License-Identifier: MIT
#include "design/schema.h"

// clang-format off
#define POINT_ROWS                                                                                 \
    {.name = "entering_water", .type = CBX_QUANTITY, .kind = CB_TEMPERATURE,                       \
     .offset = offsetof(cb_performance_point, entering_c), .minimum = -30, .maximum = 70,          \
     .required = true, .help = "rising from point to point"},                                      \
    {.name = "capacity", .type = CBX_QUANTITY, .kind = CB_POWER,                                   \
     .offset = offsetof(cb_performance_point, capacity_w), .minimum = 100, .maximum = 1e6,         \
     .required = true, .help = "heat delivered, or total cooling"},                                \
    {.name = "power", .type = CBX_QUANTITY, .kind = CB_ELECTRIC_POWER,                             \
     .offset = offsetof(cb_performance_point, power_w), .minimum = 10, .maximum = 1e6,             \
     .required = true, .help = "electric, compressor and fan"}
// clang-format on

static const cbx_row rating_point[] = {
    POINT_ROWS,
    {.name = NULL},
};

static const cbx_row point[] = {
    POINT_ROWS,
    {.name = "flow",
     .type = CBX_QUANTITY,
     .kind = CB_VOLUME_FLOW,
     .offset = offsetof(cb_performance_point, flow_m3_s),
     .minimum = 1e-6,
     .maximum = 0.1,
     .help = "of water through the unit; points of equal flow stand together, and flow rises from "
             "group to group; several units share the loop's flow by the mean capacity of their "
             "tables"},
    {.name = "entering_air",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_performance_point, air_c),
     .minimum = 5,
     .maximum = 50,
     .help = "from the house into the unit, dry bulb in heating, in cooling as cooling_air says; "
             "all flows of one air stand together, and air rises from group to group; straight "
             "between two airs, constant beyond them"},
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
     .rows = rating_point,
     .help =
         "ground loops are rated at full load in heating with water of 0 degC (32 degF); at part "
         "load, for an entry of part_load, 5 degC (41 degF), from memory"},
    {.name = "cooling",
     .type = CBX_LIST,
     .counted = true,
     .offset = offsetof(cb_design_rating, cooling),
     .offset_2 = offsetof(cb_design_rating, cooling_count),
     .stride = sizeof(cb_performance_point),
     .least = 0,
     .most = CB_MAX_RATINGS,
     .rows = rating_point,
     .help =
         "ground loops are rated at full load in cooling with water of 25 degC (77 degF); at part "
         "load, for an entry of part_load, 20 degC (68 degF), from memory"},
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

static bool level_has_rating(const void *base)
{
    return ((const cb_design_level *)base)->has_rating;
}

static bool level_has_tables(const void *base)
{
    return !level_has_rating(base);
}

static bool has_correction(const void *base)
{
    const cb_unit_correction *c = &((const cb_design_heat_pump *)base)->correction;
    return c->heating_capacity > 0 || c->heating_power > 0 || c->cooling_capacity > 0 ||
           c->cooling_power > 0;
}

static bool table_has_air(const cb_performance_table *table)
{
    return table->count > 0 && table->point[0].air_c > 0.0;
}

static bool has_cooling_air(const void *base)
{
    const cb_design_heat_pump *pump = base;
    bool has = table_has_air(&pump->cooling);
    for (int i = 0; i < pump->level_count; i++) {
        has = has || table_has_air(&pump->level[i].cooling);
    }
    return has;
}

static bool has_heating_air(const void *base)
{
    const cb_design_heat_pump *pump = base;
    bool has = table_has_air(&pump->heating);
    for (int i = 0; i < pump->level_count; i++) {
        has = has || table_has_air(&pump->level[i].heating);
    }
    return has;
}

static bool has_wet_bulb(const void *base)
{
    return has_cooling_air(base) && !((const cb_design_heat_pump *)base)->air_dry_bulb;
}

// BASE is the offset of the mode's cb_performance_table.
#define TABLE(NAME, BASE, APPLIES, HELP)                                                           \
    {                                                                                              \
        .name = (NAME), .type = CBX_LIST, .counted = true,                                         \
        .offset = (BASE) + offsetof(cb_performance_table, point),                                  \
        .offset_2 = (BASE) + offsetof(cb_performance_table, count),                                \
        .stride = sizeof(cb_performance_point), .least = 0, .most = CB_MAX_TABLE_POINTS,           \
        .rows = point, .applies = (APPLIES), .help = (HELP)                                        \
    }

static const cbx_row level[] = {
    {.name = "rating",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_level, rating),
     .optional_block = true,
     .flagged = true,
     .flag = offsetof(cb_design_level, has_rating),
     .applies = level_has_rating,
     .rows = rating,
     .help = "rating points at this stage or speed, in place of tables"},
    TABLE("heating", offsetof(cb_design_level, heating), level_has_tables,
          "maker's table in heating at this stage or speed"),
    TABLE("cooling", offsetof(cb_design_level, cooling), level_has_tables,
          "maker's table in cooling at this stage or speed"),
    {.name = NULL},
};

static const char *const bulbs[] = {"wet_bulb", "dry_bulb", NULL}; // the second is stored as true
static const char *const yes_no[] = {"yes", "no", NULL};           // the second is stored as true

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
    TABLE("heating", offsetof(cb_design_heat_pump, heating), has_tables,
          "maker's table in heating, at full load; two points or more"),
    TABLE("cooling", offsetof(cb_design_heat_pump, cooling), has_tables,
          "maker's table in cooling, at full load; two points or more"),
    {.name = "part_load",
     .type = CBX_LIST,
     .counted = true,
     .offset = offsetof(cb_design_heat_pump, level),
     .offset_2 = offsetof(cb_design_heat_pump, level_count),
     .stride = sizeof(cb_design_level),
     .least = 0,
     .most = CB_MAX_LEVELS,
     .rows = level,
     .help = "stages or speeds below full load, from the lowest up, each with tables or a rating; "
             "between two neighbours the unit spends its time on both: exact for stages, slightly "
             "careful for a variable speed"},
    {.name = "cooling_air",
     .type = CBX_SWITCH,
     .offset = offsetof(cb_design_heat_pump, air_dry_bulb),
     .choices = bulbs,
     .standard = "wet_bulb",
     .reason = "makers' cooling tables mostly go by the wet bulb; common practice, no source",
     .applies = has_cooling_air,
     .help = "what entering_air of cooling tables is"},
    {.name = "return_humidity",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_design_heat_pump, air_humidity),
     .minimum = 0.2,
     .maximum = 0.9,
     .standard = "50 %",
     .reason = "of cooled rooms; common practice, no source",
     .applies = has_wet_bulb,
     .help = "relative humidity of the air entering in cooling, for its wet bulb"},
    {.name = "return_air_heating",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_design_heat_pump, heating_air_c),
     .minimum = 5,
     .maximum = 35,
     .reason = "the hour's set point of an envelope, else 70 degF; common practice, no source",
     .applies = has_heating_air,
     .help = "dry bulb entering in heating, at all hours"},
    {.name = "return_air_cooling",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_design_heat_pump, cooling_air_c),
     .minimum = 10,
     .maximum = 45,
     .reason = "the hour's set point of an envelope, else 76 degF; common practice, no source",
     .applies = has_cooling_air,
     .help = "dry bulb entering in cooling, at all hours"},
    {.name = "cycling_loss",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_design_heat_pump, cycling_loss),
     .minimum = 0,
     .maximum = 0.5,
     .standard = "10 %",
     .reason = "usual measured values are 5 to 15 %, test procedures assume 25 %; common practice, "
               "from memory",
     .help = "degradation coefficient: what a unit that starts and stops below its lowest stage "
             "loses, at a load near zero, of its output per run time"},
    {.name = "fan",
     .type = CBX_QUANTITY,
     .kind = CB_ELECTRIC_POWER,
     .offset = offsetof(cb_design_heat_pump, fan_w),
     .minimum = 0,
     .maximum = 1e5,
     .standard = "0 W",
     .reason = "not told apart from the compressor",
     .help = "of the unit's fan whenever the unit runs"},
    {.name = "fan_in_table",
     .type = CBX_SWITCH,
     .offset = offsetof(cb_design_heat_pump, fan_beside),
     .choices = yes_no,
     .standard = "yes",
     .reason = "makers' tables mostly hold the fan; common practice, no source",
     .help = "whether tables hold the fan; with no, its power and heat are added to them: more "
             "power and heat, less cooling"},
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
    {.name = "lockout_recovery",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE_DIFFERENCE,
     .offset = offsetof(cb_design_heat_pump, lockout_recovery_k),
     .minimum = 0.1,
     .maximum = 10,
     .standard = "0.5 K",
     .reason = "narrow; common practice, no source",
     .help =
         "a unit locked out comes back when the water has recovered by so much; over that width "
         "the share of the hour it may run goes from nothing to all"},
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
