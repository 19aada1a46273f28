// SPDX-License-Identifier: MIT
/// Quantities with units: text in ("6 ft", "3 tons", "-4 degF"), SI inside, US or SI text out.
#ifndef COILBED_UNITS_H
#define COILBED_UNITS_H

#include "coilbed/status.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/// Every kind of quantity a design may hold, with the SI unit its value has inside the library.
/// Columns: enumerator, name in messages, SI unit (UDUNITS spelling), US unit for output,
/// example for messages (US, SI).
#define CB_KIND_LIST(X)                                                                            \
    X(CB_NUMBER, "plain number", "1", "1", "4", "4")                                               \
    X(CB_FRACTION, "fraction", "1", "percent", "20 %", "0.2")                                      \
    X(CB_LENGTH, "length", "m", "ft", "6 ft", "1.8 m")                                             \
    X(CB_SMALL_LENGTH, "length", "m", "in", "24 in", "0.6 m")                                      \
    X(CB_TEMPERATURE, "temperature", "degree_Celsius", "degree_Fahrenheit", "41 degF", "5 degC")   \
    X(CB_TEMPERATURE_DIFFERENCE, "temperature difference", "K", "delta_degF", "5 delta_degF",      \
      "3 K")                                                                                       \
    X(CB_POWER, "power", "W", "BTU/h", "36 kBTU/h or 3 tons", "10.5 kW")                           \
    X(CB_ELECTRIC_POWER, "electric power", "W", "kW", "2.1 kW", "2100 W")                          \
    X(CB_ENERGY, "energy", "J", "kWh", "900 kWh", "3.2 GJ")                                        \
    X(CB_CONDUCTIVITY, "thermal conductivity", "W m-1 K-1", "BTU/h/ft/degF", "0.9 BTU/h/ft/degF",  \
      "1.5 W/m/K")                                                                                 \
    X(CB_HEAT_CAPACITY, "volumetric heat capacity", "J m-3 K-1", "BTU/ft3/degF",                   \
      "37 BTU/ft3/degF", "2.5 MJ/m3/K")                                                            \
    X(CB_DENSITY, "density", "kg m-3", "lb/ft3", "95 lb/ft3", "1500 kg/m3")                        \
    X(CB_VOLUME, "volume", "m3", "gal", "40 gal", "150 L")                                         \
    X(CB_VOLUME_FLOW, "flow", "m3 s-1", "gpm", "3 gpm", "0.19 L/s")                                \
    X(CB_PRESSURE, "pressure", "Pa", "psi", "12 psi", "80 kPa")                                    \
    X(CB_SPEED, "speed", "m s-1", "mph", "8 mph", "3.5 m/s")                                       \
    X(CB_TIME, "time", "s", "h", "30 h", "2 days")                                                 \
    X(CB_ANGLE, "angle", "degree", "degree", "46.9 deg", "46.9 deg")                               \
    X(CB_HEAT_FLUX, "heat flux", "W m-2", "BTU/h/ft2", "0.02 BTU/h/ft2", "0.06 W/m2")              \
    X(CB_SOLAR_ENERGY, "daily solar energy", "J m-2", "kWh/m2", "1300 BTU/ft2", "4.1 kWh/m2")      \
    X(CB_AREA, "area", "m2", "ft2", "1600 ft2", "150 m2")                                          \
    X(CB_U_VALUE, "U-value", "W m-2 K-1", "BTU/h/ft2/degF", "0.05 BTU/h/ft2/degF", "0.28 W/m2/K")  \
    X(CB_R_VALUE, "R-value", "K m2 W-1", "h.ft2.degF/BTU", "10 h.ft2.degF/BTU", "1.8 m2.K/W")      \
    X(CB_AIR_FLOW, "air flow", "m3 s-1", "cfm", "60 cfm", "28 L/s")

#define CB_AS_ENUM(kind, name, si, us, us_example, si_example) kind,
typedef enum cb_kind { CB_KIND_LIST(CB_AS_ENUM) CB_KIND_COUNT } cb_kind;
#undef CB_AS_ENUM

typedef enum cb_unit_system { CB_UNITS_US, CB_UNITS_SI } cb_unit_system;

typedef struct cb_units cb_units; // opaque: the loaded unit system

/// Loads the unit database and the trade's own units (ton of refrigeration, gpm, kBTU/h,
/// delta_degF). On success *out is owned by the caller; on failure *out is NULL. Errors: CB_IO if
/// the UDUNITS database cannot be read, CB_NO_MEMORY.
cb_status cb_units_create(cb_units **out, cb_error *error);

/// NULL is fine; returns NULL.
cb_units *cb_units_destroy(cb_units *units);

/// Parses a quantity such as "6 ft", "5 ft 6 in" or "-4 degF" into the SI unit of its kind.
///
/// A temperature and a temperature difference are different kinds: "5 degF" is a temperature only;
/// "5 K" and "5 delta_degF" are differences only. "ton" is 12,000 BTU/h where a power is wanted.
/// A bare number is accepted only by CB_NUMBER and CB_FRACTION; "%" only by CB_FRACTION.
///
/// UDUNITS keeps its parser's state in the process, so calls of cb_units_create and cb_units_parse
/// must not run in two threads at once; everything else here may.
///
/// @param text  the whole quantity; surrounding blanks are ignored
/// @param si    receives the value; unchanged on failure
/// Errors: CB_BAD_INPUT with a message that quotes the text and gives an example of the kind
/// ("write e.g. 6 ft or 1.8 m"); NaN, infinities and trailing text are refused.
cb_status cb_units_parse(const cb_units *units, cb_kind kind, const char *text, double *si,
                         cb_error *error);

/// Prints an SI value in the wanted system as "6.00 ft"; `digits` is the number of significant
/// digits (1..12). At most `size` bytes are written, always terminated. Returns buffer.
const char *cb_units_format(cb_kind kind, cb_unit_system system, double si, int digits,
                            char *buffer, size_t size);

/// Converts an SI value to the number shown in `system` (for tables whose heading holds the unit).
double cb_units_value(cb_kind kind, cb_unit_system system, double si);

/// The unit as printed in that system, e.g. "ft" or "m"; "" for plain numbers. Never NULL.
const char *cb_units_label(cb_kind kind, cb_unit_system system);

/// Name and examples used in messages; never NULL.
const char *cb_kind_name(cb_kind kind);
const char *cb_kind_us_example(cb_kind kind);
const char *cb_kind_si_example(cb_kind kind);

/// The unit a value of the kind has inside the library, UDUNITS spelling; never NULL.
const char *cb_kind_si_unit(cb_kind kind);

#ifdef __cplusplus
}
#endif
#endif
