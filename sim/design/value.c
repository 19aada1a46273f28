// SPDX-License-Identifier: MIT
#include "design/value.h"
#include "units/number.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// ---- raw access ------------------------------------------------------------------------------

static const char *at(const void *base, size_t offset)
{
    return (const char *)base + offset;
}

static double get_double(const cbx_row *row, const void *base, int index)
{
    double value = 0;
    memcpy(&value, at(base, row->offset + (size_t)index * sizeof value), sizeof value);
    return value;
}

static void set_double(const cbx_row *row, void *base, int index, double value)
{
    memcpy((char *)base + row->offset + (size_t)index * sizeof value, &value, sizeof value);
}

static int get_int(const void *base, size_t offset)
{
    int value = 0;
    memcpy(&value, at(base, offset), sizeof value);
    return value;
}

static void set_int(void *base, size_t offset, int value)
{
    memcpy((char *)base + offset, &value, sizeof value);
}

static void set_text(const cbx_row *row, void *base, const char *text)
{
    memcpy((char *)base + row->offset, &text, sizeof text);
}

bool cbx_is_text(const cbx_row *row)
{
    return row->type == CBX_TEXT || row->type == CBX_FILE || row->type == CBX_WORD;
}

const char *cbx_text_of(const cbx_row *row, const void *base)
{
    const char *text = NULL;
    memcpy(&text, at(base, row->offset), sizeof text);
    return text;
}

static bool is_quantity(const cbx_row *row)
{
    return row->type == CBX_QUANTITY || row->type == CBX_VALUES;
}

// A counted list says by its length that nothing is in it.
static bool is_optional_number(const cbx_row *row)
{
    return is_quantity(row) && !row->counted;
}

int cbx_count_of(const cbx_row *row, const void *base)
{
    return row->counted ? get_int(base, row->offset_2) : row->most;
}

void cbx_value_unset(const cbx_row *row, void *base)
{
    const int count = row->type == CBX_VALUES ? row->most : 1;
    for (int i = 0; is_optional_number(row) && i < count; i++) {
        set_double(row, base, i, NAN);
    }
}

bool cbx_value_is_unset(const cbx_row *row, const void *base)
{
    return (is_optional_number(row) && isnan(get_double(row, base, 0))) ||
           (row->type == CBX_CHOICE && get_int(base, row->offset) < row->first) ||
           (cbx_is_text(row) && !cbx_text_of(row, base));
}

static double per(const cbx_row *row)
{
    return row->per != 0 ? row->per : 1;
}

// ---- text in ---------------------------------------------------------------------------------

// A bound that was converted from another unit must not refuse its own value.
static bool in_range(const cbx_row *row, double value)
{
    const double slack = 1e-12 * (fabs(row->minimum) + fabs(row->maximum));
    return value >= row->minimum - slack && value <= row->maximum + slack;
}

static cb_status fail_range(const cbx_row *row, const char *text, cb_error *error)
{
    char low[2][64], high[2][64];
    for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
        cb_units_format(row->kind, (cb_unit_system)system, row->minimum * per(row), 3, low[system],
                        sizeof low[system]);
        cb_units_format(row->kind, (cb_unit_system)system, row->maximum * per(row), 3, high[system],
                        sizeof high[system]);
    }
    const bool same = strcmp(low[0], low[1]) == 0;
    return cb_fail(error, CB_BAD_INPUT, "%s is outside %s to %s%s%s%s%s%s", text, low[0], high[0],
                   same ? "" : " (", same ? "" : low[1], same ? "" : " to ", same ? "" : high[1],
                   same ? "" : ")");
}

static cb_status say_otherwise(const cbx_row *row, cb_status status, cb_error *why)
{
    const size_t used = strlen(why->message);
    snprintf(why->message + used, sizeof why->message - used, "%s", row->otherwise);
    return status;
}

static cb_status read_quantity(const cbx_row *row, void *base, int index, const char *text,
                               const cbx_value_context *context)
{
    double si = 0;
    const cb_status status = cb_units_parse(context->units, row->kind, text, &si, context->why);
    if (status != CB_OK) {
        return row->otherwise ? say_otherwise(row, status, context->why) : status;
    }
    const double value = si / per(row);
    if (!in_range(row, value)) {
        return fail_range(row, text, context->why);
    }
    set_double(row, base, index, value);
    return CB_OK;
}

static cb_status read_whole(const cbx_row *row, void *base, const char *text,
                            const cbx_value_context *context)
{
    if (row->word && strcmp(text, row->word) == 0) {
        set_int(base, row->offset, row->word_value);
        return CB_OK;
    }
    double si = 0;
    const cb_status status = cb_units_parse(context->units, row->kind, text, &si, context->why);
    if (status != CB_OK && row->word) {
        return cb_fail(context->why, CB_BAD_INPUT,
                       "\"%s\" is neither a whole number nor the word %s", text, row->word);
    }
    if (status != CB_OK) {
        return status;
    }
    const double value = si / per(row);
    if (value != floor(value)) {
        return cb_fail(context->why, CB_BAD_INPUT, "\"%s\" is not a whole number%s", text,
                       row->kind == CB_TIME ? " of days" : "");
    }
    if (!in_range(row, value)) {
        if (row->kind == CB_TIME) {
            return cb_fail(context->why, CB_BAD_INPUT, "%s is outside %.0f to %.0f days", text,
                           row->minimum, row->maximum);
        }
        return cb_fail(context->why, CB_BAD_INPUT, "%s is outside %.0f to %.0f%s%s", text,
                       row->minimum, row->maximum, row->word ? " and is not " : "",
                       row->word ? row->word : "");
    }
    set_int(base, row->offset, (int)value);
    return CB_OK;
}

static const char *choice_at(const void *context, int i)
{
    return ((const cbx_row *)context)->choices[i];
}

const char *cbx_choices_text(const cbx_row *row, char *buffer, size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (int i = 0; row->choices[i] && used < size; i++) {
        used +=
            (size_t)snprintf(buffer + used, size - used, "%s%s", i ? ", " : "", row->choices[i]);
    }
    return buffer;
}

static cb_status read_choice(const cbx_row *row, void *base, const char *text, cb_error *error)
{
    for (int i = 0; row->choices[i]; i++) {
        if (strcmp(row->choices[i], text) != 0) {
            continue;
        }
        if (row->type == CBX_SWITCH) {
            const bool on = i == 1;
            memcpy((char *)base + row->offset, &on, sizeof on);
        } else if (row->type == CBX_WORD) {
            set_text(row, base, row->choices[i]);
        } else {
            set_int(base, row->offset, i + row->first);
        }
        return CB_OK;
    }
    char list[256];
    const char *near = cbx_nearest(text, choice_at, row);
    return cb_fail(error, CB_BAD_INPUT, "\"%s\" is not one of %s%s%s%s", text,
                   cbx_choices_text(row, list, sizeof list), near ? "; did you mean \"" : "",
                   near ? near : "", near ? "\"?" : "");
}

// Two digits at text, or -1.
static int two_digits(const char *text)
{
    if (!isdigit((unsigned char)text[0]) || !isdigit((unsigned char)text[1])) {
        return -1;
    }
    return (text[0] - '0') * 10 + (text[1] - '0');
}

static cb_status read_date(const cbx_row *row, void *base, const char *text, cb_error *error)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const bool shaped = strlen(text) == 5 && text[2] == '-';
    const int month = shaped ? two_digits(text) : -1, day = shaped ? two_digits(text + 3) : -1;
    if (month < 1 || month > CB_MONTHS || day < 1 || day > days[month - 1]) {
        return cb_fail(error, CB_BAD_INPUT,
                       "\"%s\" is no month and day: write e.g. 07-01 for 1 July (no 02-29)", text);
    }
    set_int(base, row->offset, month);
    set_int(base, row->offset_2, day);
    return CB_OK;
}

static cb_status read_text(const cbx_row *row, void *base, const char *text,
                           const cbx_value_context *context)
{
    if (!*text) {
        return cb_fail(context->why, CB_BAD_INPUT, "is empty");
    }
    char *copy = NULL;
    if (row->type == CBX_FILE && text[0] != '/') {
        const size_t folder = strlen(context->folder), size = folder + strlen(text) + 1;
        copy = cbx_allocate(context->memory, size);
        if (copy) {
            snprintf(copy, size, "%s%s", context->folder, text);
        }
    } else {
        copy = cbx_copy(context->memory, text);
    }
    if (!copy) {
        return cb_fail(context->why, CB_NO_MEMORY, "no memory for the design");
    }
    set_text(row, base, copy);
    return CB_OK;
}

static cb_status read_version(const cbx_row *row, const char *text, cb_error *error)
{
    if (strcmp(text, "1") != 0) {
        return cb_fail(error, CB_BAD_INPUT,
                       "format %s is not known: this program reads format %.0f", text,
                       row->minimum);
    }
    return CB_OK;
}

cb_status cbx_value_read(const cbx_row *row, void *base, int index, const char *text,
                         const cbx_value_context *context)
{
    switch (row->type) {
        case CBX_QUANTITY:
        case CBX_VALUES:
            return read_quantity(row, base, index, text, context);
        case CBX_WHOLE:
            return read_whole(row, base, text, context);
        case CBX_TEXT:
        case CBX_FILE:
            return read_text(row, base, text, context);
        case CBX_WORD:
        case CBX_CHOICE:
        case CBX_SWITCH:
            return read_choice(row, base, text, context->why);
        case CBX_DATE:
            return read_date(row, base, text, context->why);
        case CBX_VERSION:
            return read_version(row, text, context->why);
        case CBX_BLOCK:
        case CBX_LIST:
        case CBX_NORMALS:
            break;
    }
    return cb_fail(context->why, CB_BAD_CALL, "a block is not a value");
}

// ---- text out --------------------------------------------------------------------------------

static const char *show_choice(const cbx_row *row, const void *base)
{
    int number = 0;
    if (row->type == CBX_SWITCH) {
        bool on = false;
        memcpy(&on, at(base, row->offset), sizeof on);
        number = on;
    } else {
        number = get_int(base, row->offset) - row->first;
    }
    for (int i = 0; row->choices[i]; i++) {
        if (i == number) {
            return row->choices[i];
        }
    }
    return "?";
}

static cbx_shown show_plain(const cbx_row *row, const void *base)
{
    cbx_shown out = {""};
    const size_t size = sizeof out.text;
    switch (row->type) {
        case CBX_WHOLE: {
            const int value = get_int(base, row->offset);
            if (row->word && value == row->word_value) {
                snprintf(out.text, size, "%s", row->word);
            } else {
                snprintf(out.text, size, "%d%s", value, row->kind == CB_TIME ? " days" : "");
            }
            break;
        }
        case CBX_CHOICE:
        case CBX_SWITCH:
            snprintf(out.text, size, "%s", show_choice(row, base));
            break;
        case CBX_DATE:
            snprintf(out.text, size, "%02d-%02d", get_int(base, row->offset),
                     get_int(base, row->offset_2));
            break;
        case CBX_VERSION:
            snprintf(out.text, size, "%.0f", row->minimum);
            break;
        default: {
            const char *text = cbx_is_text(row) ? cbx_text_of(row, base) : NULL;
            snprintf(out.text, size, "%s", text ? text : "none");
            break;
        }
    }
    return out;
}

cbx_shown cbx_value_show(const cbx_row *row, const void *base, int index, cb_unit_system system)
{
    if (!is_quantity(row)) {
        return show_plain(row, base);
    }
    const double value = get_double(row, base, index);
    cbx_shown out = {"worked out"};
    if (!isnan(value)) {
        cb_units_format(row->kind, system, value * per(row), 3, out.text, sizeof out.text);
    }
    return out;
}

// A value stored in other than its SI unit: the SI value that divides back to the same bits.
static double exact_si(const cbx_row *row, double value)
{
    double si = value * per(row);
    for (int step = 0; step < 4 && si / per(row) != value; step++) {
        si = nextafter(si, si / per(row) < value ? INFINITY : -INFINITY);
    }
    return si;
}

cbx_shown cbx_value_exact(const cbx_row *row, const void *base, int index)
{
    if (!is_quantity(row)) {
        return show_plain(row, base);
    }
    char number[40];
    cbx_number_print(exact_si(row, get_double(row, base, index)), number, sizeof number);
    const bool bare = row->kind == CB_NUMBER || row->kind == CB_FRACTION;
    cbx_shown out;
    snprintf(out.text, sizeof out.text, "%s%s%s", number, bare ? "" : " ",
             bare ? "" : cb_kind_si_unit(row->kind));
    return out;
}
