// SPDX-License-Identifier: MIT
/// Weak stand-ins for the few functions of units and design that the weather and house rooms call,
/// for a library that does not hold those rooms. They give way to the real ones.
#ifndef TESTS_WEATHER_STAND_IN_H
#define TESTS_WEATHER_STAND_IN_H

#include "coilbed/design.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define WEAK __attribute__((weak))

WEAK cb_status cb_units_create(cb_units **out, cb_error *error)
{
    (void)error;
    *out = NULL;
    return CB_OK;
}

WEAK cb_units *cb_units_destroy(cb_units *units)
{
    (void)units;
    return NULL;
}

WEAK cb_status cb_units_parse(const cb_units *units, cb_kind kind, const char *text, double *si,
                              cb_error *error)
{
    static const struct {
        const char *unit;
        cb_kind kind;
        double scale, offset;
    } known[] = {
        {"degC", CB_TEMPERATURE, 1, 0}, {"degF", CB_TEMPERATURE, 1 / 1.8, -32 / 1.8},
        {"m/s", CB_SPEED, 1, 0},        {"mph", CB_SPEED, 0.44704, 0},
        {"W/m2", CB_HEAT_FLUX, 1, 0},   {"kW/m2", CB_HEAT_FLUX, 1000, 0},
        {"W", CB_POWER, 1, 0},          {"kW", CB_POWER, 1000, 0},
    };
    (void)units;
    char *unit = NULL;
    const double number = strtod(text, &unit);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (kind == known[i].kind && strcmp(unit + 1, known[i].unit) == 0) {
            *si = known[i].offset + known[i].scale * number;
            return CB_OK;
        }
    }
    return cb_fail(error, CB_BAD_INPUT, "\"%s\" is not understood", text);
}

WEAK const char *cb_units_format(cb_kind kind, cb_unit_system system, double si, int digits,
                                 char *buffer, size_t size)
{
    const bool us = system == CB_UNITS_US;
    const bool point = kind == CB_TEMPERATURE;
    snprintf(buffer, size, "%#.*g %s", digits, us ? si * 1.8 + (point ? 32 : 0) : si,
             us      ? "degF"
             : point ? "degC"
                     : "K");
    return buffer;
}

WEAK const char *cb_kind_name(cb_kind kind)
{
    (void)kind;
    return "this kind";
}

WEAK const char *cb_kind_us_example(cb_kind kind)
{
    (void)kind;
    return "US";
}

WEAK const char *cb_kind_si_example(cb_kind kind)
{
    (void)kind;
    return "SI";
}

WEAK cb_status cb_design_fail(const cb_design *design, const char *path, cb_error *error,
                              const char *format, ...)
{
    (void)design;
    char message[CB_MESSAGE_SIZE / 2];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    return cb_fail(error, CB_BAD_INPUT, "%s: %s", path, message);
}

#endif
