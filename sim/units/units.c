// SPDX-License-Identifier: MIT
#include "coilbed/units.h"
#include "units/number.h"

#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <udunits2.h>

enum { UNIT_TEXT_SIZE = 96 };

struct cb_units {
    ut_system *system;
    ut_unit *si[CB_KIND_COUNT];
};

// The trade's own words. Names match in any case. "ton" and "gal" mean a mass and an acceleration
// to UDUNITS, "F" and "C" a capacitance and a charge: no design has any of those. UDUNITS rounds
// the US gallon to seven figures; it is 231 cubic inches.
typedef struct trade_unit {
    const char *word;
    const char *definition;
} trade_unit;

static const trade_unit trade_name[] = {
    {"ton", "12000 Btu/hour"}, {"tons", "12000 Btu/hour"}, {"kbtu", "1000 Btu"},
    {"mmbtu", "1000000 Btu"},  {"btuh", "Btu/hour"},       {"kbtuh", "1000 Btu/hour"},
    {"mbh", "1000 Btu/hour"},  {"kw", "1000 watt"},        {"wh", "watt.hour"},
    {"kwh", "1000 watt.hour"}, {"gal", "231 inch^3"},      {"gals", "231 inch^3"},
    {"gallon", "231 inch^3"},  {"gallons", "231 inch^3"},  {"gpm", "231 inch^3/minute"},
    {"cfm", "foot^3/minute"},  {"mph", "mile/hour"},       {"hrs", "hour"},
    {"deg", "degree"},         {"lbs", "pound"},           {"delta_degf", "kelvin/1.8"},
    {"delta_f", "kelvin/1.8"}, {"delta_degc", "kelvin"},   {"delta_c", "kelvin"},
};

static const trade_unit trade_symbol[] = {{"F", "degree_fahrenheit"}, {"C", "degree_Celsius"}};

// UDUNITS writes to stderr unless told not to; its handler is process-wide, so ours is in place
// only while one of our calls is.
static ut_error_message_handler quiet_begin(void)
{
    return ut_set_error_message_handler(ut_ignore);
}

static void quiet_end(ut_error_message_handler before)
{
    ut_set_error_message_handler(before);
}

static bool add_trade_units(ut_system *system)
{
    bool ok = true;
    for (size_t i = 0; ok && i < sizeof trade_name / sizeof *trade_name; i++) {
        ut_unit *unit = ut_parse(system, trade_name[i].definition, UT_ASCII);
        ut_unmap_name_to_unit(system, trade_name[i].word, UT_ASCII);
        ok = unit && ut_map_name_to_unit(trade_name[i].word, UT_ASCII, unit) == UT_SUCCESS;
        ut_free(unit);
    }
    for (size_t i = 0; ok && i < sizeof trade_symbol / sizeof *trade_symbol; i++) {
        ut_unit *unit = ut_parse(system, trade_symbol[i].definition, UT_ASCII);
        ut_unmap_symbol_to_unit(system, trade_symbol[i].word, UT_ASCII);
        ok = unit && ut_map_symbol_to_unit(trade_symbol[i].word, UT_ASCII, unit) == UT_SUCCESS;
        ut_free(unit);
    }
    return ok;
}

static bool load_kinds(cb_units *units)
{
#define AS_SI(kind, name, si, us, us_example, si_example) [kind] = (si),
    static const char *const si_text[CB_KIND_COUNT] = {CB_KIND_LIST(AS_SI)};
#undef AS_SI
    for (int kind = 0; kind < CB_KIND_COUNT; kind++) {
        units->si[kind] = ut_parse(units->system, si_text[kind], UT_ASCII);
        if (!units->si[kind]) {
            return false;
        }
    }
    return true;
}

cb_status cb_units_create(cb_units **out, cb_error *error)
{
    *out = NULL;
    cb_units *units = calloc(1, sizeof *units);
    if (!units) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the unit system");
    }
    const ut_error_message_handler before = quiet_begin();
    units->system = ut_read_xml(NULL);
    const bool ok = units->system && add_trade_units(units->system) && load_kinds(units);
    quiet_end(before);
    if (!ok) {
        ut_status ignored = UT_SUCCESS;
        const char *path = ut_get_path_xml(NULL, &ignored);
        cb_units_destroy(units);
        return cb_fail(error, CB_IO, "the UDUNITS-2 unit database %s cannot be read",
                       path ? path : "");
    }
    *out = units;
    return CB_OK;
}

cb_units *cb_units_destroy(cb_units *units)
{
    if (units) {
        for (int kind = 0; kind < CB_KIND_COUNT; kind++) {
            ut_free(units->si[kind]);
        }
        ut_free_system(units->system);
        free(units);
    }
    return NULL;
}

// ---- one unit --------------------------------------------------------------------------------

// What a number with one unit means.
typedef struct unit_meaning {
    bool known;   ///< a unit at all
    cb_kind kind; ///< CB_KIND_COUNT: none of ours
    double value; ///< in the SI unit of the kind
    double scale; ///< the SI value of a step of one
} unit_meaning;

static bool is_temperature_like(cb_kind kind)
{
    return kind == CB_TEMPERATURE || kind == CB_TEMPERATURE_DIFFERENCE;
}

// Fills the meaning if `unit` converts to `kind` by a straight line. A temperature is told from a
// difference by the offset of its unit from absolute zero: K and delta_degF have none.
static bool unit_fits(const cb_units *units, cb_kind kind, double number, ut_unit *unit,
                      unit_meaning *meaning)
{
    if (kind == CB_NUMBER || kind == CB_FRACTION || !ut_are_convertible(unit, units->si[kind])) {
        return false;
    }
    cv_converter *converter = ut_get_converter(unit, units->si[kind]);
    if (!converter) {
        return false;
    }
    const double at_0 = cv_convert_double(converter, 0.0);
    const double at_1 = cv_convert_double(converter, 1.0);
    const double at_2 = cv_convert_double(converter, 2.0);
    double value = cv_convert_double(converter, number);
    cv_free(converter);
    const bool straight = fabs(at_2 - 2 * at_1 + at_0) <= 1e-9 * (fabs(at_2) + fabs(at_0));
    bool fits = straight && at_0 == 0;
    if (straight && is_temperature_like(kind)) {
        cv_converter *absolute = ut_get_converter(unit, units->si[CB_TEMPERATURE_DIFFERENCE]);
        const bool has_origin = absolute && fabs(cv_convert_double(absolute, 0.0)) > 1e-6;
        cv_free(absolute);
        fits = has_origin == (kind == CB_TEMPERATURE);
        // UDUNITS goes by way of kelvin, which costs three digits.
        const bool fahrenheit = fabs(at_0 + 32 / 1.8) < 1e-9 && fabs(at_1 + 31 / 1.8) < 1e-9;
        value = fahrenheit ? (number - 32) / 1.8 : value;
    }
    if (fits) {
        *meaning = (unit_meaning){true, kind, value, at_1 - at_0};
    }
    return fits;
}

static bool opens_exponent(char c)
{
    return isalpha((unsigned char)c) || c == '^' || c == ')';
}

// Numbers inside a unit are exponents only ("ft2", "m-3", "m^2"): UDUNITS would read "ft 6 in" as
// a product and "m @ 3" as a shifted unit.
static bool unit_text_is_plain(const char *text)
{
    for (size_t i = 0; text[i]; i++) {
        if (text[i] == '@' || text[i] == ',') {
            return false;
        }
        if (isdigit((unsigned char)text[i])) {
            const size_t sign = i > 0 && text[i - 1] == '-';
            if (i < 1 + sign || !opens_exponent(text[i - 1 - sign])) {
                return false;
            }
        }
    }
    return true;
}

static bool is_percent(const char *text)
{
    return strcmp(text, "%") == 0 || strcasecmp(text, "percent") == 0 ||
           strcasecmp(text, "per cent") == 0;
}

// 1000 BTU to some of the trade, a million to UDUNITS.
static bool is_ambiguous(const char *text)
{
    return strncasecmp(text, "mbtu", 4) == 0;
}

// An angle is dimensionless to UDUNITS, so that "ft/ft" would pass for one.
static bool names_an_angle(const char *text)
{
    return strncasecmp(text, "deg", 3) == 0 || strncasecmp(text, "rad", 3) == 0 ||
           strncasecmp(text, "arc", 3) == 0 || strncmp(text, "°", sizeof "°" - 1) == 0;
}

// The kind of a unit, looking at `wanted` first: a length is also a small length.
static unit_meaning understand(const cb_units *units, cb_kind wanted, double number,
                               const char *text)
{
    unit_meaning meaning = {0};
    if (is_percent(text)) {
        return (unit_meaning){true, CB_FRACTION, number / 100, 0.01};
    }
    if (!unit_text_is_plain(text) || is_ambiguous(text)) {
        return meaning;
    }
    const ut_error_message_handler before = quiet_begin();
    ut_unit *unit = ut_parse(units->system, text, UT_UTF8);
    if (unit && !unit_fits(units, wanted, number, unit, &meaning)) {
        meaning = (unit_meaning){true, CB_KIND_COUNT, 0, 0};
        for (int kind = 0; kind < CB_KIND_COUNT && meaning.kind == CB_KIND_COUNT; kind++) {
            unit_fits(units, (cb_kind)kind, number, unit, &meaning);
        }
    }
    ut_free(unit);
    quiet_end(before);
    if (meaning.kind == CB_ANGLE && !names_an_angle(text)) {
        meaning.kind = CB_KIND_COUNT;
    }
    return meaning;
}

// ---- the whole quantity ----------------------------------------------------------------------

// One parse: what was asked and how to complain about it.
typedef struct request {
    const cb_units *units;
    cb_kind kind;
    char text[UNIT_TEXT_SIZE]; ///< trimmed
    cb_error *error;
} request;

static const char *article(const char *name)
{
    return strchr("aeiou", name[0]) ? "an" : "a";
}

static cb_status refuse(const request *r, const char *problem)
{
    const char *name = cb_kind_name(r->kind);
    const char *us = cb_kind_us_example(r->kind);
    const char *si = cb_kind_si_example(r->kind);
    const bool same = strcmp(us, si) == 0;
    return cb_fail(r->error, CB_BAD_INPUT, "\"%s\" %s: %s %s is wanted, write e.g. %s%s%s", r->text,
                   problem, article(name), name, us, same ? "" : " or ", same ? "" : si);
}

static cb_status refuse_unit(const request *r, const char *unit_text, const unit_meaning *meaning)
{
    char problem[UNIT_TEXT_SIZE + 96];
    if (is_ambiguous(unit_text)) {
        return refuse(r, "may mean a thousand or a million BTU (write kBTU or MMBTU)");
    }
    if (!meaning->known) {
        snprintf(problem, sizeof problem, "has an unknown unit \"%s\"", unit_text);
        return refuse(r, problem);
    }
    if (meaning->kind == CB_KIND_COUNT) {
        snprintf(problem, sizeof problem, "is of another kind");
    } else {
        const char *name = cb_kind_name(meaning->kind);
        snprintf(problem, sizeof problem, "is %s %s", article(name), name);
    }
    return refuse(r, problem);
}

static cb_status bare_number(const request *r, double number, double *si)
{
    if (r->kind != CB_NUMBER && r->kind != CB_FRACTION) {
        return refuse(r, "has no unit");
    }
    *si = number;
    return CB_OK;
}

// Copies the unit up to the next number of a compound length ("ft" of "5 ft 6 in"), or all of it.
static const char *next_unit(const char *at, bool compound, char unit[UNIT_TEXT_SIZE])
{
    size_t length = strlen(at);
    if (compound) {
        for (const char *c = at; *c; c++) {
            if (c[0] == ' ' && isdigit((unsigned char)c[1])) {
                length = (size_t)(c - at);
                break;
            }
        }
    }
    snprintf(unit, UNIT_TEXT_SIZE, "%.*s", (int)length, at);
    for (size_t end = strlen(unit); end > 0 && isspace((unsigned char)unit[end - 1]); end--) {
        unit[end - 1] = '\0';
    }
    return at + length;
}

static bool is_length(cb_kind kind)
{
    return kind == CB_LENGTH || kind == CB_SMALL_LENGTH;
}

// Feet and inches by their marks, where a length is wanted.
static void spell_marks(cb_kind kind, char unit[UNIT_TEXT_SIZE])
{
    if (is_length(kind) && (strcmp(unit, "'") == 0 || strcmp(unit, "\"") == 0)) {
        snprintf(unit, UNIT_TEXT_SIZE, "%s", unit[0] == '\'' ? "ft" : "in");
    }
}

static const char *skip_blanks(const char *text)
{
    while (isspace((unsigned char)*text)) {
        text++;
    }
    return text;
}

static cb_status parse_terms(const request *r, double *si)
{
    double sum = 0, last_scale = INFINITY;
    const char *at = r->text;
    const bool negative = *at == '-';
    for (int term = 0; *at; term++) {
        double number = 0;
        if (!cbx_number_scan(at, &at, &number)) {
            return refuse(r, term ? "has text after its unit" : "is not a number");
        }
        if (*at == ',') {
            return refuse(r, "has a comma in its number (write 12000, not 12,000)");
        }
        at = skip_blanks(at);
        if (!*at) {
            return term ? refuse(r, "has a number without a unit") : bare_number(r, number, si);
        }
        char unit[UNIT_TEXT_SIZE];
        at = skip_blanks(next_unit(at, is_length(r->kind), unit));
        spell_marks(r->kind, unit);
        const unit_meaning meaning = understand(r->units, r->kind, number, unit);
        if (!meaning.known || meaning.kind != r->kind) {
            return refuse_unit(r, unit, &meaning);
        }
        if (!(meaning.scale < last_scale)) {
            return refuse(r, "is not one length (largest unit first, as 5 ft 6 in)");
        }
        sum += term && negative ? -meaning.value : meaning.value; // -(5 ft 6 in)
        last_scale = meaning.scale;
    }
    *si = sum;
    return isfinite(sum) ? CB_OK : refuse(r, "is too large");
}

cb_status cb_units_parse(const cb_units *units, cb_kind kind, const char *text, double *si,
                         cb_error *error)
{
    if (!units || !text || !si || (unsigned)kind >= CB_KIND_COUNT) {
        return cb_fail(error, CB_BAD_CALL, "cb_units_parse: a missing argument or unknown kind");
    }
    request r = {.units = units, .kind = kind, .error = error};
    const char *start = skip_blanks(text);
    size_t length = strlen(start);
    while (length > 0 && isspace((unsigned char)start[length - 1])) {
        length--;
    }
    snprintf(r.text, sizeof r.text, "%.*s", (int)(length < 1000 ? length : 1000), start);
    if (length == 0) {
        return refuse(&r, "is empty");
    }
    if (length >= sizeof r.text) {
        return refuse(&r, "is too long for a quantity");
    }
    double value = 0;
    const cb_status status = parse_terms(&r, &value);
    if (status == CB_OK) {
        *si = value;
    }
    return status;
}
