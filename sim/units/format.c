// SPDX-License-Identifier: MIT
#include "coilbed/units.h"
#include "units/number.h"

#include <stdio.h>

// shown = si * per_si + offset. The conversion constants are the exact definitions of the
// international foot, pound, US gallon and International Table BTU.
typedef struct shown_unit {
    const char *label;
    double per_si;
    double offset;
} shown_unit;

#define FOOT 0.3048
#define INCH 0.0254
#define BTU 1055.05585262
#define POUND 0.45359237
#define GALLON 3.785411784e-3
#define MILE 1609.344
#define PSI (POUND * 9.80665 / (INCH * INCH))

typedef struct shown_kind {
    shown_unit us, si;
} shown_kind;

static const shown_kind table[CB_KIND_COUNT] = {
    [CB_NUMBER] = {{"", 1, 0}, {"", 1, 0}},
    [CB_FRACTION] = {{"%", 100, 0}, {"%", 100, 0}},
    [CB_LENGTH] = {{"ft", 1 / FOOT, 0}, {"m", 1, 0}},
    [CB_SMALL_LENGTH] = {{"in", 1 / INCH, 0}, {"mm", 1000, 0}},
    [CB_TEMPERATURE] = {{"degF", 1.8, 32}, {"degC", 1, 0}},
    [CB_TEMPERATURE_DIFFERENCE] = {{"delta_degF", 1.8, 0}, {"K", 1, 0}},
    [CB_POWER] = {{"BTU/h", 3600 / BTU, 0}, {"kW", 1e-3, 0}},
    [CB_ELECTRIC_POWER] = {{"kW", 1e-3, 0}, {"kW", 1e-3, 0}},
    [CB_ENERGY] = {{"kWh", 1 / 3.6e6, 0}, {"kWh", 1 / 3.6e6, 0}},
    [CB_CONDUCTIVITY] = {{"BTU/h/ft/degF", 3600 * FOOT / (BTU * 1.8), 0}, {"W/m/K", 1, 0}},
    [CB_HEAT_CAPACITY] = {{"BTU/ft3/degF", FOOT *FOOT *FOOT / (BTU * 1.8), 0},
                          {"MJ/m3/K", 1e-6, 0}},
    [CB_DENSITY] = {{"lb/ft3", FOOT *FOOT *FOOT / POUND, 0}, {"kg/m3", 1, 0}},
    [CB_VOLUME] = {{"gal", 1 / GALLON, 0}, {"L", 1000, 0}},
    [CB_VOLUME_FLOW] = {{"gpm", 60 / GALLON, 0}, {"L/s", 1000, 0}},
    [CB_PRESSURE] = {{"psi", 1 / PSI, 0}, {"kPa", 1e-3, 0}},
    [CB_SPEED] = {{"mph", 3600 / MILE, 0}, {"m/s", 1, 0}},
    [CB_TIME] = {{"h", 1 / 3600.0, 0}, {"h", 1 / 3600.0, 0}},
    [CB_ANGLE] = {{"deg", 1, 0}, {"deg", 1, 0}},
    [CB_HEAT_FLUX] = {{"BTU/h/ft2", 3600 * FOOT *FOOT / BTU, 0}, {"W/m2", 1, 0}},
    [CB_SOLAR_ENERGY] = {{"kWh/m2", 1 / 3.6e6, 0}, {"kWh/m2", 1 / 3.6e6, 0}},
    [CB_AREA] = {{"ft2", 1 / (FOOT * FOOT), 0}, {"m2", 1, 0}},
    [CB_U_VALUE] = {{"BTU/h/ft2/degF", 3600 * FOOT *FOOT / (BTU * 1.8), 0}, {"W/m2/K", 1, 0}},
    [CB_R_VALUE] = {{"h.ft2.degF/BTU", BTU * 1.8 / (3600 * FOOT * FOOT), 0}, {"m2.K/W", 1, 0}},
    [CB_AIR_FLOW] = {{"cfm", 60 / (FOOT * FOOT * FOOT), 0}, {"L/s", 1000, 0}},
};

static const shown_unit *shown(cb_kind kind, cb_unit_system system)
{
    const shown_kind *row = &table[(unsigned)kind < CB_KIND_COUNT ? kind : CB_NUMBER];
    return system == CB_UNITS_US ? &row->us : &row->si;
}

double cb_units_value(cb_kind kind, cb_unit_system system, double si)
{
    const shown_unit *unit = shown(kind, system);
    return si * unit->per_si + unit->offset;
}

const char *cb_units_label(cb_kind kind, cb_unit_system system)
{
    return shown(kind, system)->label;
}

const char *cb_units_format(cb_kind kind, cb_unit_system system, double si, int digits,
                            char *buffer, size_t size)
{
    if (size == 0) {
        return buffer;
    }
    char number[400]; // the longest double without an exponent has 309 digits before the point
    const int wanted = digits < 1 ? 1 : digits > 12 ? 12 : digits;
    cbx_number_round(cb_units_value(kind, system, si), wanted, number, sizeof number);
    const char *label = cb_units_label(kind, system);
    snprintf(buffer, size, "%s%s%s", number, *label ? " " : "", label);
    return buffer;
}

#define KIND_TEXT(FUNCTION, COLUMN)                                                                \
    const char *FUNCTION(cb_kind kind)                                                             \
    {                                                                                              \
        static const char *const text[CB_KIND_COUNT] = {CB_KIND_LIST(COLUMN)};                     \
        return (unsigned)kind < CB_KIND_COUNT ? text[kind] : "unknown kind";                       \
    }
#define AS_SI_UNIT(kind, name, si, us, us_example, si_example) [kind] = (si),
#define AS_NAME(kind, name, si, us, us_example, si_example) [kind] = (name),
#define AS_US_EXAMPLE(kind, name, si, us, us_example, si_example) [kind] = (us_example),
#define AS_SI_EXAMPLE(kind, name, si, us, us_example, si_example) [kind] = (si_example),

KIND_TEXT(cb_kind_name, AS_NAME)
KIND_TEXT(cb_kind_us_example, AS_US_EXAMPLE)
KIND_TEXT(cb_kind_si_example, AS_SI_EXAMPLE)
KIND_TEXT(cb_kind_si_unit, AS_SI_UNIT)
