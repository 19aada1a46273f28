// SPDX-License-Identifier: MIT
#include "findings/text.h"

#include <math.h>
#include <string.h>

static int decimals_of(cb_kind kind, cb_unit_system system, double shown)
{
    switch (kind) {
        case CB_TEMPERATURE:
        case CB_TEMPERATURE_DIFFERENCE:
        case CB_ELECTRIC_POWER:
            return 1;
        case CB_LENGTH:
            return system == CB_UNITS_US ? 1 : 2;
        case CB_SMALL_LENGTH:
            return system == CB_UNITS_US ? 1 : 0;
        case CB_ENERGY:
            return 0;
        default:
            return fabs(shown) >= 100.0 ? 0 : 2;
    }
}

/// Without a minus sign in front of a zero.
static double rounded(double value, int decimals)
{
    const double unit = pow(10.0, decimals);
    return round(value * unit) / unit + 0.0;
}

static cbx_text with_label(double shown, int decimals, const char *label)
{
    cbx_text out;
    snprintf(out.text, sizeof out.text, "%.*f%s%s", decimals, rounded(shown, decimals),
             *label ? " " : "", label);
    return out;
}

cbx_text cbx_quantity(cb_kind kind, cb_unit_system system, double si)
{
    const double shown = cb_units_value(kind, system, si);
    if (kind == CB_NUMBER && shown != 0.0 && fabs(shown) < 0.01) {
        cbx_text out;
        snprintf(out.text, sizeof out.text, "%.1e", shown);
        return out;
    }
    return with_label(shown, decimals_of(kind, system, shown), cb_units_label(kind, system));
}

/// In prose "3.8 degF warmer" cannot be mistaken for a temperature.
static const char *difference_label(cb_unit_system system)
{
    return system == CB_UNITS_US ? "degF" : "K";
}

cbx_text cbx_distance(cb_kind kind, cb_unit_system system, double si)
{
    const bool warmth = kind == CB_TEMPERATURE;
    const cb_kind own = warmth ? CB_TEMPERATURE_DIFFERENCE : kind;
    const char *label = warmth ? difference_label(system) : cb_units_label(kind, system);
    const double shown = fabs(cb_units_value(own, system, si));
    const int decimals = decimals_of(own, system, shown);
    if (shown > 0.0 && shown < 0.95 * pow(10.0, -decimals)) {
        // What decides between held and broken must not read as nothing.
        cbx_text out;
        snprintf(out.text, sizeof out.text, "%.1g%s%s", shown, *label ? " " : "", label);
        return out;
    }
    return with_label(shown, decimals, label);
}

cbx_text cbx_change(cb_unit_system system, double kelvin)
{
    const double shown = cb_units_value(CB_TEMPERATURE_DIFFERENCE, system, kelvin);
    cbx_text out;
    snprintf(out.text, sizeof out.text, "%+.2f %s", rounded(shown, 2), difference_label(system));
    return out;
}

static const char *month_name(int month)
{
    static const char *const name[CB_MONTHS] = {"January",   "February", "March",    "April",
                                                "May",       "June",     "July",     "August",
                                                "September", "October",  "November", "December"};
    return month >= 1 && month <= CB_MONTHS ? name[month - 1] : "?";
}

cbx_text cbx_when(const cb_design *design, long run_hour)
{
    const cb_moment moment = cb_run_moment(&design->run, run_hour);
    cbx_text out;
    snprintf(out.text, sizeof out.text, "year %d, %d %s, %02d:00", moment.run_year, moment.day,
             month_name(moment.month), moment.hour);
    return out;
}

cbx_text cbx_when_short(const cb_design_run *run, long run_hour)
{
    const cb_moment moment = cb_run_moment(run, run_hour);
    cbx_text out;
    snprintf(out.text, sizeof out.text, "y%d %d %.3s %02d:00", moment.run_year, moment.day,
             month_name(moment.month), moment.hour);
    return out;
}

/// Bytes of the next line: as many whole words as fit; a word longer than a line is cut between
/// characters. UTF-8 continuation bytes and colour codes take no column.
static size_t line_bytes(const char *text, int columns)
{
    size_t fits = 0, at = 0;
    for (int used = 0; text[at] && text[at] != '\n'; at++) {
        if (((unsigned char)text[at] & 0xC0u) == 0x80u) {
            continue;
        }
        if (text[at] == '\033') {
            at += strcspn(text + at, "m ");
            if (text[at] != 'm') {
                at--; // not a colour code: go on with what stopped it
            }
            continue;
        }
        if (text[at] == ' ') {
            fits = at;
        }
        if (++used > columns) {
            return fits > 0 ? fits : at;
        }
    }
    return at;
}

void cbx_print_wrapped(FILE *stream, const cbx_wrap *wrap, const char *text)
{
    const int room = wrap->width - wrap->indent;
    const int columns = room < 8 ? 8 : room;
    const char *prefix = wrap->first;
    do {
        const size_t bytes = line_bytes(text, columns);
        fprintf(stream, "%*s%.*s\n", prefix == wrap->first ? 0 : wrap->indent, prefix, (int)bytes,
                text);
        prefix = "";
        text += bytes;
        while (*text == ' ' || *text == '\n') {
            text++;
        }
    } while (*text);
}

const char *cbx_severity_word(int severity)
{
    static const char *const word[] = {"clear", "CLOSE", "BROKEN"};
    return word[severity];
}
