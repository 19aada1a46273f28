// SPDX-License-Identifier: MIT
#include "coilbed/compare.h"

#include "findings/judge.h"
#include "findings/text.h"

#include <math.h>
#include <string.h>

enum { LABEL = 31, CELL = 16, CELL_SIZE = 48, LEAST_WIDTH = 60, VERDICT_ROW = 0 };

static const double HOUR_S = 3600.0;
// 0.9144^3, exact: what is dug is asked for in cubic yards, not in the gallons of a fluid.
static const double cubic_yard_m3 = 0.764554857984;

typedef struct table {
    const cb_comparison *these;
    const cb_compare_page *page;
    FILE *stream;
    const char *code[CB_MAX_CODES];
    int codes;
} table;

static int row_count(const table *t)
{
    return 1 + CB_HEADLINE_COUNT + t->codes;
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

// ---- cells -----------------------------------------------------------------------------------

/// The number of a quantity as printed, without its unit.
static void put_number(const table *t, cb_kind kind, double si, char *cell)
{
    const cbx_text text = cbx_quantity(kind, t->page->system, si);
    snprintf(cell, CELL_SIZE, "%.*s", (int)strcspn(text.text, " "), text.text);
}

static void put_signed(const table *t, cb_kind kind, double si, char *cell)
{
    const cb_kind difference = kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE : kind;
    char number[CELL_SIZE];
    put_number(t, difference, fabs(si), number);
    const bool nothing = strspn(number, "0.") == strlen(number);
    snprintf(cell, CELL_SIZE, "%s%.*s", nothing ? "" : si < 0 ? "-" : "+", CELL_SIZE - 2, number);
}

/// A distance to a limit: it never reads as 0.0 where it is not.
static void put_margin(const table *t, cb_kind kind, double si, char *cell)
{
    const cb_kind own = kind == CB_TEMPERATURE_DIFFERENCE ? CB_TEMPERATURE : kind;
    const cbx_text text = cbx_distance(own, t->page->system, si);
    snprintf(cell, CELL_SIZE, "%s%.*s",
             si < 0   ? "-"
             : si > 0 ? "+"
                      : "",
             (int)strcspn(text.text, " "), text.text);
}

/// Severity as the findings print it: what is broken stands out without colour.
static const char *severity_word(int severity)
{
    return severity == CB_BROKEN ? "BROKEN" : severity == CB_CLOSE ? "CLOSE" : "clear";
}

static void put_finding(const table *t, const cb_finding *finding, char *cell)
{
    char number[CELL_SIZE] = "";
    if (!isnan(finding->margin)) {
        put_margin(t, finding->kind, finding->margin, number);
    } else if (!isnan(finding->value)) {
        put_number(t, finding->kind, finding->value, number);
    }
    snprintf(cell, CELL_SIZE, "%s %.*s", severity_word(finding->severity), CELL_SIZE - 10, number);
}

static double dug(const table *t, double m3)
{
    return t->page->system == CB_UNITS_US ? m3 / cubic_yard_m3 : m3;
}

static void put_headline(const table *t, const cb_headline_row *headline, const cb_case *got,
                         char *cell)
{
    const double value = cb_headline_value(&got->headline, cb_headline_find(headline->name));
    if (isnan(value)) {
        snprintf(cell, CELL_SIZE, "none");
    } else if (headline->moment) {
        snprintf(cell, CELL_SIZE, "%s", cbx_when_short(&got->run, lround(value / HOUR_S)).text);
    } else if (is_dug(headline)) {
        snprintf(cell, CELL_SIZE, "%.0f", dug(t, value));
    } else if (is_drift(headline)) {
        const double shown = cb_units_value(CB_TEMPERATURE_DIFFERENCE, t->page->system, value);
        snprintf(cell, CELL_SIZE, "%+.2f", shown);
    } else if (headline->kind == CB_TEMPERATURE_DIFFERENCE) {
        put_margin(t, headline->kind, value, cell);
    } else {
        put_number(t, headline->kind, value, cell);
    }
}

static void put_cell(const table *t, int row, size_t column, char *cell)
{
    const cb_case *got = t->these->got[column];
    if (row == VERDICT_ROW) {
        snprintf(cell, CELL_SIZE, "%s%s", severity_word((int)got->findings->verdict),
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

/// Of two cases: the second less the first.
static void put_change(const table *t, int row, char *cell)
{
    const cb_headline_row *headline = row > VERDICT_ROW ? cb_headline_row_of(row - 1) : NULL;
    cell[0] = '\0';
    if (!headline || headline->moment) {
        return;
    }
    const double change = cb_headline_value(&t->these->got[1]->headline, row - 1) -
                          cb_headline_value(&t->these->got[0]->headline, row - 1);
    if (isnan(change) || change == 0.0) {
        return;
    }
    if (is_dug(headline)) {
        snprintf(cell, CELL_SIZE, "%+.0f", dug(t, change));
    } else {
        put_signed(t, headline->kind, change, cell);
    }
}

static void put_label(const table *t, int row, char *label)
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
        const char *unit = cb_units_label(kind, t->page->system);
        snprintf(label, CELL_SIZE, "%s%s%s", cbx_title(code), *unit ? ", " : "", unit);
        return;
    }
    const bool us = t->page->system == CB_UNITS_US;
    const bool kelvin = headline->kind == CB_TEMPERATURE_DIFFERENCE;
    const char *unit = headline->moment   ? ""
                       : is_dug(headline) ? (us ? "yd3" : "m3")
                       : kelvin           ? (us ? "degF" : "K")
                                          : cb_units_label(headline->kind, t->page->system);
    const bool yearly = strstr(headline->unit, "year") != NULL;
    snprintf(label, CELL_SIZE, "%s%s%s%s", headline->title, *unit ? ", " : "", unit,
             yearly ? "/yr" : "");
}

// ---- the page --------------------------------------------------------------------------------

/// A number that no case has is no row.
static bool has_any(const table *t, int row)
{
    bool any = row == VERDICT_ROW || row > CB_HEADLINE_COUNT;
    for (size_t c = 0; !any && c < t->these->count; c++) {
        any = !isnan(cb_headline_value(&t->these->got[c]->headline, row - 1));
    }
    return any;
}

static void print_cell(const table *t, const char *text, bool marked)
{
    char cell[CELL_SIZE + 1];
    snprintf(cell, sizeof cell, "%s%s", text, marked ? "*" : " ");
    fprintf(t->stream, "%s%*s%s", marked && t->page->colour ? "\033[1m" : "", CELL, cell,
            marked && t->page->colour ? "\033[0m" : "");
}

static void print_row(const table *t, int row, size_t from, size_t to)
{
    char first[CELL_SIZE], cell[CELL_SIZE];
    put_label(t, row, cell);
    fprintf(t->stream, "%-*.*s", LABEL, LABEL, cell);
    put_cell(t, row, 0, first);
    for (size_t c = from; c < to; c++) {
        put_cell(t, row, c, cell);
        print_cell(t, cell, strcmp(cell, first) != 0);
    }
    if (t->these->count == 2) {
        put_change(t, row, cell);
        print_cell(t, cell, false);
    }
    fputc('\n', t->stream);
}

static void print_heads(const table *t, size_t from, size_t to)
{
    fprintf(t->stream, "\n%-*s", LABEL, "");
    for (size_t c = from; c < to; c++) {
        print_cell(t, (const char[]){(char)('A' + c), '\0'}, false);
    }
    if (t->these->count == 2) {
        print_cell(t, "B less A", false);
    }
    fputc('\n', t->stream);
}

static void print_block(const table *t, size_t from, size_t to)
{
    print_heads(t, from, to);
    for (int row = 0; row < row_count(t); row++) {
        if (row == 1 + CB_HEADLINE_COUNT) {
            fputs("\nFindings and their margins\n", t->stream);
        }
        if (is_shown(row) && has_any(t, row)) {
            print_row(t, row, from, to);
        }
    }
}

static void print_legend(const table *t)
{
    for (size_t c = 0; c < t->these->count; c++) {
        const cb_case *got = t->these->got[c];
        static const char *const accuracy[] = {"draft", "standard", "fine"};
        fprintf(t->stream, "%c  %s: %s, %d year%s, %s accuracy\n", (char)('A' + c),
                t->these->label[c], got->name[0] ? got->name : "unnamed design", got->run.years,
                got->run.years == 1 ? "" : "s", accuracy[got->run.accuracy]);
    }
}

bool cb_compare_print(const cb_comparison *these, const cb_compare_page *page, FILE *stream)
{
    table t = {.these = these, .page = page, .stream = stream};
    t.codes = cb_compare_codes(these, t.code);
    print_legend(&t);
    const int width = page->width < LEAST_WIDTH ? LEAST_WIDTH : page->width;
    const size_t fit = (size_t)((width - LABEL) / CELL);
    for (size_t from = 0; from < these->count; from += fit) {
        print_block(&t, from, from + fit < these->count ? from + fit : these->count);
    }
    fputs("\n* differs from A. Margins carry a sign, + holds; numbers without one are no margin.\n"
          "Energies are means of a run's years; y3 is the third year of the run.\n",
          stream);
    return !ferror(stream);
}
