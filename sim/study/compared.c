// SPDX-License-Identifier: MIT
#include "study/compared.h"

#include "findings/judge.h"
#include "findings/text.h"

#include <math.h>
#include <string.h>

enum { CELL_SIZE = CBX_COMPARED_SIZE, VERDICT_ROW = CBX_COMPARED_VERDICT };

static const double HOUR_S = 3600.0;
// 0.9144^3, exact: what is dug is asked for in cubic yards, not in the gallons of a fluid.
static const double cubic_yard_m3 = 0.764554857984;

cbx_compared cbx_compared_of(const cb_comparison *these, cb_unit_system system)
{
    cbx_compared t = {.these = these, .system = system};
    t.codes = cb_compare_codes(these, t.code);
    return t;
}

int cbx_compared_rows(const cbx_compared *t)
{
    return 1 + CB_HEADLINE_COUNT + t->codes;
}

const char *cbx_compared_code(const cbx_compared *t, int row)
{
    const int place = row - 1 - CB_HEADLINE_COUNT;
    return place >= 0 && place < t->codes ? t->code[place] : NULL;
}

/// Numbers that other rows tell already.
static bool is_shown(int row)
{
    static const char *const left_out[] = {"verdict", "energy_audit", "grid_error"};
    const cb_headline_row *headline = row >= 1 ? cb_headline_row_of(row - 1) : NULL;
    bool shown = true;
    for (size_t i = 0; headline && i < sizeof left_out / sizeof *left_out; i++) {
        shown = shown && strcmp(headline->name, left_out[i]) != 0;
    }
    return shown;
}

static bool is_drift(const cb_headline_row *headline)
{
    return strcmp(headline->unit, "K year-1") == 0;
}

static bool is_dug(const cb_headline_row *headline)
{
    return headline && headline->kind == CB_VOLUME;
}

/// A number that no case has is no row.
static bool has_any(const cbx_compared *t, int row)
{
    bool any = row == VERDICT_ROW || row > CB_HEADLINE_COUNT;
    for (size_t c = 0; !any && c < t->these->count; c++) {
        any = !isnan(cb_headline_value(&t->these->got[c]->headline, row - 1));
    }
    return any;
}

bool cbx_compared_shown(const cbx_compared *t, int row)
{
    return is_shown(row) && has_any(t, row);
}

double cbx_dug(cb_unit_system system, double m3)
{
    return system == CB_UNITS_US ? m3 / cubic_yard_m3 : m3;
}

const char *cbx_dug_unit(cb_unit_system system)
{
    return system == CB_UNITS_US ? "yd3" : "m3";
}

// ---- cells -----------------------------------------------------------------------------------

/// The number of a quantity as printed, without its unit.
static void put_number(const cbx_compared *t, cb_kind kind, double si, char *cell)
{
    const cbx_text text = cbx_quantity(kind, t->system, si);
    snprintf(cell, CELL_SIZE, "%.*s", (int)strcspn(text.text, " "), text.text);
}

static void put_signed(const cbx_compared *t, cb_kind kind, double si, char *cell)
{
    const cb_kind difference = kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE : kind;
    char number[CELL_SIZE];
    put_number(t, difference, fabs(si), number);
    const bool nothing = strspn(number, "0.") == strlen(number);
    snprintf(cell, CELL_SIZE, "%s%.*s", nothing ? "" : si < 0 ? "-" : "+", CELL_SIZE - 2, number);
}

/// A distance to a limit: it never reads as 0.0 where it is not.
static void put_margin(const cbx_compared *t, cb_kind kind, double si, char *cell)
{
    const cb_kind own = kind == CB_TEMPERATURE_DIFFERENCE ? CB_TEMPERATURE : kind;
    const char *sign = si < 0 ? "-" : si > 0 ? "+" : "";
    const cbx_text text = cbx_distance(own, t->system, si);
    snprintf(cell, CELL_SIZE, "%s%.*s", sign, (int)strcspn(text.text, " "), text.text);
}

static void put_finding(const cbx_compared *t, const cb_finding *finding, char *cell)
{
    char number[CELL_SIZE] = "";
    if (!isnan(finding->margin)) {
        put_margin(t, finding->kind, finding->margin, number);
    } else if (!isnan(finding->value)) {
        put_number(t, finding->kind, finding->value, number);
    }
    snprintf(cell, CELL_SIZE, "%s %.*s", cbx_severity_word(finding->severity), CELL_SIZE - 10,
             number);
}

static void put_headline(const cbx_compared *t, const cb_headline_row *headline, const cb_case *got,
                         char *cell)
{
    const double value = cb_headline_value(&got->headline, cb_headline_find(headline->name));
    if (isnan(value)) {
        snprintf(cell, CELL_SIZE, "none");
    } else if (headline->moment) {
        snprintf(cell, CELL_SIZE, "%s", cbx_when_short(&got->run, lround(value / HOUR_S)).text);
    } else if (is_dug(headline)) {
        snprintf(cell, CELL_SIZE, "%.0f", cbx_dug(t->system, value));
    } else if (is_drift(headline)) {
        const double shown = cb_units_value(CB_TEMPERATURE_DIFFERENCE, t->system, value);
        snprintf(cell, CELL_SIZE, "%+.2f", shown);
    } else if (headline->kind == CB_TEMPERATURE_DIFFERENCE) {
        put_margin(t, headline->kind, value, cell);
    } else {
        put_number(t, headline->kind, value, cell);
    }
}

void cbx_compared_cell(const cbx_compared *t, int row, size_t column, char *cell)
{
    const cb_case *got = t->these->got[column];
    if (row == VERDICT_ROW) {
        snprintf(cell, CELL_SIZE, "%s%s", cbx_severity_word((int)got->findings->verdict),
                 got->findings->complete ? "" : ", cut");
    } else if (row <= CB_HEADLINE_COUNT) {
        put_headline(t, cb_headline_row_of(row - 1), got, cell);
    } else {
        const cb_finding *finding = cb_case_finding(got, t->code[row - 1 - CB_HEADLINE_COUNT]);
        if (finding) {
            put_finding(t, finding, cell);
        } else {
            snprintf(cell, CELL_SIZE, "none");
        }
    }
}

void cbx_compared_change(const cbx_compared *t, int row, size_t column, char *cell)
{
    const cb_headline_row *headline = row > VERDICT_ROW ? cb_headline_row_of(row - 1) : NULL;
    cell[0] = '\0';
    if (!headline || headline->moment) {
        return;
    }
    const double change = cb_headline_value(&t->these->got[column]->headline, row - 1) -
                          cb_headline_value(&t->these->got[0]->headline, row - 1);
    if (isnan(change) || change == 0.0) {
        return;
    }
    if (is_dug(headline)) {
        snprintf(cell, CELL_SIZE, "%+.0f", cbx_dug(t->system, change));
    } else {
        put_signed(t, headline->kind, change, cell);
    }
}

void cbx_compared_label(const cbx_compared *t, int row, char *label)
{
    if (row == VERDICT_ROW) {
        snprintf(label, CELL_SIZE, "Verdict");
        return;
    }
    const cb_headline_row *headline = cb_headline_row_of(row - 1);
    if (!headline) {
        const char *code = t->code[row - 1 - CB_HEADLINE_COUNT];
        cb_kind kind = CB_NUMBER;
        for (size_t c = 0; c < t->these->count; c++) {
            const cb_finding *finding = cb_case_finding(t->these->got[c], code);
            kind = finding ? finding->kind : kind;
        }
        const char *unit = cb_units_label(kind, t->system);
        snprintf(label, CELL_SIZE, "%s%s%s", cbx_title(code), *unit ? ", " : "", unit);
        return;
    }
    const bool us = t->system == CB_UNITS_US;
    const bool kelvin = headline->kind == CB_TEMPERATURE_DIFFERENCE;
    const char *unit = headline->moment   ? ""
                       : is_dug(headline) ? cbx_dug_unit(t->system)
                       : kelvin           ? (us ? "degF" : "K")
                                          : cb_units_label(headline->kind, t->system);
    const bool yearly = strstr(headline->unit, "year") != NULL;
    snprintf(label, CELL_SIZE, "%s%s%s%s", headline->title, *unit ? ", " : "", unit,
             yearly ? "/yr" : "");
}
