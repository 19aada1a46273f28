// SPDX-License-Identifier: MIT
/// A weak stand-in for cb_design_fail, for a library without its design room: it names the path
/// instead of the place. It gives way to the real one.
#ifndef TESTS_WEATHER_STAND_IN_H
#define TESTS_WEATHER_STAND_IN_H

#include "coilbed/design.h"

#include <stdarg.h>
#include <stdio.h>

__attribute__((weak)) cb_status cb_design_fail(const cb_design *design, const char *path,
                                               cb_error *error, const char *format, ...)
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
