// SPDX-License-Identifier: MIT
#include "weather/heading.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LONGEST = 24 };

// Thermochemical calorie, International Table BTU, international foot, mile and nautical mile.
#define CALORIE_J 4.184
#define BTU_J 1055.05585262
#define FOOT_M 0.3048

static const cbx_heading_unit known[] = {
    {"c", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"degc", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"deg_c", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"degreec", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"degreesc", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"celsius", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"degreecelsius", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"degreescelsius", CBX_MEASURE_TEMPERATURE, 1, 0},
    {"f", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"degf", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"deg_f", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"degreef", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"degreesf", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"fahrenheit", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"degreefahrenheit", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"degreesfahrenheit", CBX_MEASURE_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0},
    {"k", CBX_MEASURE_TEMPERATURE, 1, -273.15},
    {"kelvin", CBX_MEASURE_TEMPERATURE, 1, -273.15},
    {"w/m2", CBX_MEASURE_FLUX, 1, 0},
    {"wm2", CBX_MEASURE_FLUX, 1, 0},
    {"wm-2", CBX_MEASURE_FLUX, 1, 0},
    {"kw/m2", CBX_MEASURE_FLUX, 1e3, 0},
    {"kwm-2", CBX_MEASURE_FLUX, 1e3, 0},
    {"mj/m2/h", CBX_MEASURE_FLUX, 1e6 / 3600, 0},
    {"mj/m2/hr", CBX_MEASURE_FLUX, 1e6 / 3600, 0},
    {"mj/hm2", CBX_MEASURE_FLUX, 1e6 / 3600, 0},
    {"mjm-2h-1", CBX_MEASURE_FLUX, 1e6 / 3600, 0},
    {"kj/m2/h", CBX_MEASURE_FLUX, 1e3 / 3600, 0},
    {"kj/hm2", CBX_MEASURE_FLUX, 1e3 / 3600, 0},
    {"btu/h/ft2", CBX_MEASURE_FLUX, BTU_J / 3600 / (FOOT_M * FOOT_M), 0},
    {"btu/hr/ft2", CBX_MEASURE_FLUX, BTU_J / 3600 / (FOOT_M * FOOT_M), 0},
    {"btu/hft2", CBX_MEASURE_FLUX, BTU_J / 3600 / (FOOT_M * FOOT_M), 0},
    {"mj/m2", CBX_MEASURE_ENERGY, 1e6, 0},
    {"mjm-2", CBX_MEASURE_ENERGY, 1e6, 0},
    {"kj/m2", CBX_MEASURE_ENERGY, 1e3, 0},
    {"kjm-2", CBX_MEASURE_ENERGY, 1e3, 0},
    {"j/m2", CBX_MEASURE_ENERGY, 1, 0},
    {"jm-2", CBX_MEASURE_ENERGY, 1, 0},
    {"j/cm2", CBX_MEASURE_ENERGY, 1e4, 0},
    {"wh/m2", CBX_MEASURE_ENERGY, 3600, 0},
    {"whm-2", CBX_MEASURE_ENERGY, 3600, 0},
    {"kwh/m2", CBX_MEASURE_ENERGY, 3.6e6, 0},
    {"kwhm-2", CBX_MEASURE_ENERGY, 3.6e6, 0},
    {"btu/ft2", CBX_MEASURE_ENERGY, BTU_J / (FOOT_M * FOOT_M), 0},
    {"ly", CBX_MEASURE_ENERGY, CALORIE_J * 1e4, 0},
    {"langley", CBX_MEASURE_ENERGY, CALORIE_J * 1e4, 0},
    {"langleys", CBX_MEASURE_ENERGY, CALORIE_J * 1e4, 0},
    {"cal/cm2", CBX_MEASURE_ENERGY, CALORIE_J * 1e4, 0},
    {"m/s", CBX_MEASURE_SPEED, 1, 0},
    {"ms-1", CBX_MEASURE_SPEED, 1, 0},
    {"m/sec", CBX_MEASURE_SPEED, 1, 0},
    {"mps", CBX_MEASURE_SPEED, 1, 0},
    {"km/h", CBX_MEASURE_SPEED, 1 / 3.6, 0},
    {"km/hr", CBX_MEASURE_SPEED, 1 / 3.6, 0},
    {"kmh-1", CBX_MEASURE_SPEED, 1 / 3.6, 0},
    {"kmh", CBX_MEASURE_SPEED, 1 / 3.6, 0},
    {"kph", CBX_MEASURE_SPEED, 1 / 3.6, 0},
    {"mph", CBX_MEASURE_SPEED, 5280 * FOOT_M / 3600, 0},
    {"mi/h", CBX_MEASURE_SPEED, 5280 * FOOT_M / 3600, 0},
    {"miles/hour", CBX_MEASURE_SPEED, 5280 * FOOT_M / 3600, 0},
    {"kt", CBX_MEASURE_SPEED, 1852.0 / 3600, 0},
    {"kts", CBX_MEASURE_SPEED, 1852.0 / 3600, 0},
    {"kn", CBX_MEASURE_SPEED, 1852.0 / 3600, 0},
    {"knot", CBX_MEASURE_SPEED, 1852.0 / 3600, 0},
    {"knots", CBX_MEASURE_SPEED, 1852.0 / 3600, 0},
    {"ft/s", CBX_MEASURE_SPEED, FOOT_M, 0},
    {"mm", CBX_MEASURE_LENGTH, 1e-3, 0},
    {"kg/m2", CBX_MEASURE_LENGTH, 1e-3, 0}, // of water
    {"kgm-2", CBX_MEASURE_LENGTH, 1e-3, 0},
    {"cm", CBX_MEASURE_LENGTH, 1e-2, 0},
    {"m", CBX_MEASURE_LENGTH, 1, 0},
    {"in", CBX_MEASURE_LENGTH, FOOT_M / 12, 0},
    {"inch", CBX_MEASURE_LENGTH, FOOT_M / 12, 0},
    {"inches", CBX_MEASURE_LENGTH, FOOT_M / 12, 0},
    {"ft", CBX_MEASURE_LENGTH, FOOT_M, 0},
    {"feet", CBX_MEASURE_LENGTH, FOOT_M, 0},
    {"%", CBX_MEASURE_SHARE, 0.01, 0},
    {"percent", CBX_MEASURE_SHARE, 0.01, 0},
    {"fraction", CBX_MEASURE_SHARE, 1, 0},
    {"0-1", CBX_MEASURE_SHARE, 1, 0},
    {"tenths", CBX_MEASURE_SHARE, 0.1, 0},
    {"okta", CBX_MEASURE_SHARE, 0.125, 0},
    {"oktas", CBX_MEASURE_SHARE, 0.125, 0},
};

// Lower case; "^" "*" "." and blanks go, and so do the degree sign; superscript two is 2.
static void normalise(const char *text, size_t length, char plain[LONGEST])
{
    size_t used = 0;
    for (size_t i = 0; i < length && text[i] && used < LONGEST - 1; i++) {
        const unsigned char c = (unsigned char)text[i];
        const unsigned char next = i + 1 < length ? (unsigned char)text[i + 1] : 0;
        if (c == 0xc2 && next == 0xb2) {
            plain[used++] = '2';
            i++;
        } else if (c == 0xc2 && (next == 0xb0 || next == 0xb7 || next == 0xba)) {
            i++;
        } else if (!strchr(" \t^*.", c)) {
            plain[used++] = (char)tolower(c);
        }
    }
    plain[used] = '\0';
}

static const cbx_heading_unit *find_part(const char *text, size_t length)
{
    char plain[LONGEST];
    if (length >= LONGEST) {
        return NULL;
    }
    normalise(text, length, plain);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strcmp(plain, known[i].spelling) == 0) {
            return &known[i];
        }
    }
    return NULL;
}

const cbx_heading_unit *cbx_heading_unit_find(const char *text)
{
    return find_part(text, strlen(text));
}

cbx_measure cbx_measure_of(cb_kind kind)
{
    switch (kind) {
        case CB_TEMPERATURE:
            return CBX_MEASURE_TEMPERATURE;
        case CB_HEAT_FLUX:
            return CBX_MEASURE_FLUX;
        case CB_SPEED:
            return CBX_MEASURE_SPEED;
        case CB_LENGTH:
        case CB_SMALL_LENGTH:
            return CBX_MEASURE_LENGTH;
        case CB_FRACTION:
            return CBX_MEASURE_SHARE;
        default:
            return CBX_NO_MEASURE;
    }
}

const char *cbx_measure_name(cbx_measure measure)
{
    static const char *const name[] = {"nothing", "temperature", "heat flux",      "speed",
                                       "length",  "share",       "energy per area"};
    return name[measure];
}

static bool near(double a, double b)
{
    return fabs(a - b) <= 1e-6 * (fabs(a) + fabs(b)) + 1e-9;
}

// The heading of a column that holds an hour's sum may leave out the hour.
static bool agrees(const cbx_column *column, const cbx_heading_unit *unit)
{
    const double scale = column->scale / column->per_si, offset = column->offset / column->per_si;
    if (unit->measure == CBX_MEASURE_ENERGY && column->measure == CBX_MEASURE_FLUX) {
        return near(scale * 3600.0, unit->scale);
    }
    return unit->measure == column->measure && near(scale, unit->scale) &&
           near(offset, unit->offset);
}

static cb_status fail_heading(const cbx_csv *csv, const cbx_column *column, const char *says,
                              const cbx_heading_unit *unit, cb_error *error)
{
    const char *reads = column->unit ? column->unit : column->unit_name;
    const char *key = column->unit_key ? column->unit_key : column->key;
    if (unit->measure == CBX_MEASURE_ENERGY && column->measure == CBX_MEASURE_FLUX) {
        return cbx_csv_fail(csv, column->index, error,
                            "the heading \"%.60s\" says %s, a sum, and the design reads it as "
                            "%.40s; if a row holds the sum of an hour, set %s to %s/h",
                            column->name, says, reads, key, says);
    }
    if (unit->measure != column->measure) {
        return cbx_csv_fail(csv, column->index, error,
                            "the heading \"%.60s\" says %s, which is %s; expected %s, as %.40s",
                            column->name, says, cbx_measure_name(unit->measure),
                            cbx_measure_name(column->measure), reads);
    }
    return cbx_csv_fail(csv, column->index, error,
                        "the heading \"%.60s\" says %s and the design reads it as %.40s; set %s "
                        "to the file's unit or mend the heading",
                        column->name, says, reads, key);
}

cb_status cbx_heading_check(const cbx_csv *csv, cbx_column *column, cb_error *error)
{
    if (column->measure == CBX_NO_MEASURE) {
        return CB_OK;
    }
    const char *text = csv->field[column->index].text;
    while ((text = strpbrk(text, "([")) != NULL) {
        const char close = *text++ == '(' ? ')' : ']';
        const char *end = strchr(text, close);
        const size_t length = end ? (size_t)(end - text) : 0;
        const cbx_heading_unit *unit = find_part(text, length);
        // One or two letters of another measure are more likely no unit: "T (in)", "G (h)".
        if (!unit || (unit->measure != column->measure && strlen(unit->spelling) <= 2)) {
            continue;
        }
        column->sums = unit->measure == CBX_MEASURE_ENERGY;
        char says[LONGEST];
        snprintf(says, sizeof says, "%.*s", (int)length, text);
        return agrees(column, unit) ? CB_OK : fail_heading(csv, column, says, unit, error);
    }
    return CB_OK;
}
