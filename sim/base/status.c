// SPDX-License-Identifier: MIT
#include "coilbed/status.h"

#include <stdarg.h>
#include <stdio.h>

const char *cb_status_text(cb_status status)
{
#define AS_CASE(name, value, text)                                                                 \
    case name:                                                                                     \
        return text;
    switch (status) {
        CB_STATUS_LIST(AS_CASE)
    }
#undef AS_CASE
    return "unknown status";
}

static void fill(cb_error *error, cb_status status, const char *file, int line, int column,
                 const char *format, va_list arguments)
{
    if (!error) {
        return;
    }
    error->status = status;
    error->line = line;
    error->column = column;
    snprintf(error->file, sizeof error->file, "%s", file ? file : "");
    vsnprintf(error->message, sizeof error->message, format, arguments);
}

cb_status cb_fail(cb_error *error, cb_status status, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    fill(error, status, NULL, 0, 0, format, arguments);
    va_end(arguments);
    return status;
}

cb_status cb_fail_at(cb_error *error, cb_status status, const char *file, int line, int column,
                     const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    fill(error, status, file, line, column, format, arguments);
    va_end(arguments);
    return status;
}
