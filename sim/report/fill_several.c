// SPDX-License-Identifier: MIT
// Several runs side by side: tables of what differs, and what each run says for itself.
#include "findings/remedy.h"
#include "report/badge.h"
#include "report/fill.h"
#include "report/html.h"
#include "report/several.h"
#include "study/compared.h"

#include <math.h>
#include <string.h>

// ---- the answer ------------------------------------------------------------------------------

static void put_name(FILE *page, const cb_comparison *these, size_t index)
{
    fprintf(page, "%c (", cbx_letter(index));
    cbx_html_text(page, these->label[index]);
    fputc(')', page);
}

/// What keeps a comparison from telling the designs apart alone.
static void put_unlike(FILE *page, const cbx_report_several *several)
{
    bool years = false, accuracy = false, weather = false, start = false, cut = false;
    for (size_t i = 0; i < several->these.count; i++) {
        const cb_design_run *run = &several->run[i], *first = &several->run[0];
        years = years || run->years != first->years;
        accuracy = accuracy || run->accuracy != first->accuracy;
        start =
            start || run->start_month != first->start_month || run->start_day != first->start_day;
        weather = weather || strcmp(several->weather[i], several->weather[0]) != 0;
        cut = cut || !several->these.got[i]->findings->complete;
    }
    const struct {
        bool is;
        const char *text;
    } row[] = {{years, "they run for different numbers of years"},
               {accuracy, "their accuracy differs"},
               {start, "they begin on different days of the year"},
               {weather, "their weather differs"},
               {cut, "not all of them came to their end"}};
    bool any = false;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        if (row[i].is) {
            fputs(any ? "; " : "<p><strong>Not like for like:</strong> ", page);
            fputs(row[i].text, page);
            any = true;
        }
    }
    fputs(any ? ". Part of what differs below comes from that.</p>\n" : "", page);
}

void cbx_fill_several_summary(cbx_fill *fill)
{
    const cb_comparison *these = &fill->several->these;
    FILE *page = fill->page;
    size_t holding = 0, best = 0;
    for (size_t i = 0; i < these->count; i++) {
        holding += these->got[i]->findings->verdict != CB_BROKEN;
        const double margin = these->got[i]->headline.worst_margin;
        best = margin > these->got[best]->headline.worst_margin ? i : best;
    }
    fprintf(page, "<p class=\"lead\">Of %zu runs, %zu hold%s every limit.", these->count, holding,
            holding == 1 ? "s" : "");
    const double margin = these->got[best]->headline.worst_margin;
    if (isfinite(margin)) {
        fputs(margin < 0.0 ? " The least short of its temperature limits, by "
                           : " The greatest temperature margin, ",
              page);
        cbx_html_both(page, cbx_distance(CB_TEMPERATURE, CB_UNITS_US, margin).text,
                      cbx_distance(CB_TEMPERATURE, CB_UNITS_SI, margin).text);
        fputs(margin < 0.0 ? ", is " : ", has ", page);
        put_name(page, these, best);
        fputc('.', page);
    }
    fputs("</p>\n", page);
    put_unlike(page, fill->several);
}

// ---- tables ----------------------------------------------------------------------------------

static void open_table(FILE *page, const cb_comparison *these, const char *caption)
{
    fprintf(page,
            "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"%s\">"
            "<table class=\"compared\"><caption>%s</caption>\n<thead><tr><th scope=\"col\"></th>",
            caption, caption);
    for (size_t c = 0; c < these->count; c++) {
        fprintf(page, "<th scope=\"col\">%c<br><small>", cbx_letter(c));
        cbx_html_text(page, these->label[c]);
        fputs("</small></th>", page);
    }
    fputs("</tr></thead>\n<tbody>\n", page);
}

/// The same in all designs, or no news: the name stands in every heading.
static bool is_alike(const cbx_report_several *several, const char *path)
{
    bool alike = true;
    const cbx_design_value *first = cbx_design_values_find(several->values[0], path);
    for (size_t c = 1; alike && c < several->these.count; c++) {
        const cbx_design_value *other = cbx_design_values_find(several->values[c], path);
        alike = first && other ? strcmp(first->text[CB_UNITS_SI], other->text[CB_UNITS_SI]) == 0
                               : first == other;
    }
    return alike || strcmp(path, "name") == 0;
}

/// A long list is cut: what it says is for the design itself.
static void put_value(FILE *page, const cbx_design_value *value)
{
    enum { SHOWN = 120 };
    if (!value) {
        fputs("–", page);
        return;
    }
    char text[2][SHOWN + 8];
    for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
        const char *whole = value->text[system];
        snprintf(text[system], sizeof text[system], "%.*s%s", SHOWN, whole,
                 strlen(whole) > SHOWN ? " …" : "");
    }
    cbx_html_both(page, text[CB_UNITS_US], text[CB_UNITS_SI]);
}

static void put_design_row(FILE *page, const cbx_report_several *several, const char *path)
{
    fputs("<tr><th scope=\"row\"><code>", page);
    cbx_html_text(page, path);
    fputs("</code></th>", page);
    for (size_t c = 0; c < several->these.count; c++) {
        fputs("<td>", page);
        put_value(page, cbx_design_values_find(several->values[c], path));
        fputs("</td>", page);
    }
    fputs("</tr>\n", page);
}

void cbx_fill_several_designs(cbx_fill *fill)
{
    const cbx_report_several *several = fill->several;
    FILE *page = fill->page;
    bool any = false;
    for (size_t c = 0; c < several->these.count; c++) {
        for (size_t i = 0; i < several->values[c]->count; i++) {
            const char *path = several->values[c]->value[i].path;
            bool known = is_alike(several, path);
            for (size_t before = 0; !known && before < c; before++) {
                known = cbx_design_values_find(several->values[before], path) != NULL;
            }
            if (known) {
                continue;
            }
            if (!any) {
                open_table(page, &several->these, "Values of the designs that differ");
                any = true;
            }
            put_design_row(page, several, path);
        }
    }
    if (any) {
        cbx_table_close(page);
    } else {
        fputs("<p>The designs are the same in every value.</p>\n", page);
    }
}

/// Both systems of the cells of a row.
typedef struct both {
    cbx_compared in[2]; ///< by cb_unit_system
} both;

static both both_of(const cb_comparison *these)
{
    return (both){{cbx_compared_of(these, CB_UNITS_US), cbx_compared_of(these, CB_UNITS_SI)}};
}

static void put_label(FILE *page, const both *cells, int row)
{
    char us[CBX_COMPARED_SIZE], si[CBX_COMPARED_SIZE];
    cbx_compared_label(&cells->in[CB_UNITS_US], row, us);
    cbx_compared_label(&cells->in[CB_UNITS_SI], row, si);
    fprintf(page, "<tr><th scope=\"row\"%s>", us[0] == ' ' ? " class=\"sub\"" : "");
    cbx_html_both(page, us + strspn(us, " "), si + strspn(si, " "));
    fputs("</th>", page);
}

static void put_change(FILE *page, const both *cells, int row, size_t column)
{
    char us[CBX_COMPARED_SIZE], si[CBX_COMPARED_SIZE];
    cbx_compared_change(&cells->in[CB_UNITS_US], row, column, us);
    cbx_compared_change(&cells->in[CB_UNITS_SI], row, column, si);
    fputs("<br><small>", page);
    if (us[0] && si[0]) {
        cbx_html_both(page, us, si);
        fputs(" against A", page);
    } else {
        fputs("differs from A", page);
    }
    fputs("</small>", page);
}

static bool differs(const both *cells, int row, size_t column)
{
    bool any = false;
    for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
        char first[CBX_COMPARED_SIZE], cell[CBX_COMPARED_SIZE];
        cbx_compared_cell(&cells->in[system], row, 0, first);
        cbx_compared_cell(&cells->in[system], row, column, cell);
        any = any || strcmp(first, cell) != 0;
    }
    return any;
}

static void put_row(FILE *page, const both *cells, int row)
{
    const cb_comparison *these = cells->in[0].these;
    put_label(page, cells, row);
    for (size_t c = 0; c < these->count; c++) {
        char us[CBX_COMPARED_SIZE], si[CBX_COMPARED_SIZE];
        const bool marked = differs(cells, row, c);
        fprintf(page, "<td class=\"n%s\">", marked ? " differs" : "");
        if (row == CBX_COMPARED_VERDICT) {
            const int verdict = (int)these->got[c]->findings->verdict;
            cbx_put_badge(page, verdict, cbx_badge_of[verdict].word);
            fputs(these->got[c]->findings->complete ? "" : ", incomplete", page);
        } else {
            cbx_compared_cell(&cells->in[CB_UNITS_US], row, c, us);
            cbx_compared_cell(&cells->in[CB_UNITS_SI], row, c, si);
            cbx_html_both(page, us, si);
        }
        if (marked) {
            put_change(page, cells, row, c);
        }
        fputs("</td>", page);
    }
    fputs("</tr>\n", page);
}

/// An energy that no run has: told in a sentence instead of a row of noughts.
static bool is_nothing(const cb_comparison *these, int row)
{
    const cb_headline_row *headline = cb_headline_row_of(row - 1);
    bool nothing = row != CBX_COMPARED_VERDICT && headline && headline->kind == CB_ENERGY;
    for (size_t c = 0; nothing && c < these->count; c++) {
        nothing = cb_headline_value(&these->got[c]->headline, row - 1) == 0.0;
    }
    return nothing;
}

static void put_nothings(FILE *page, const cb_comparison *these)
{
    bool any = false;
    for (int row = 1; row <= CB_HEADLINE_COUNT; row++) {
        if (is_nothing(these, row)) {
            fputs(any ? ", " : "<p>Zero in all runs: ", page);
            fprintf(page, "%s", cb_headline_row_of(row - 1)->title);
            any = true;
        }
    }
    fputs(any ? ".</p>\n" : "", page);
}

void cbx_fill_several_table(cbx_fill *fill)
{
    const both cells = both_of(&fill->several->these);
    open_table(fill->page, &fill->several->these, "Headline numbers side by side");
    for (int row = 0; row < cbx_compared_rows(&cells.in[0]); row++) {
        if (!cbx_compared_code(&cells.in[0], row) && cbx_compared_shown(&cells.in[0], row) &&
            !is_nothing(&fill->several->these, row)) {
            put_row(fill->page, &cells, row);
        }
    }
    cbx_table_close(fill->page);
    put_nothings(fill->page, &fill->several->these);
}

static void put_number(FILE *page, const cb_finding *finding)
{
    if (isnan(finding->margin)) {
        if (!isnan(finding->value)) {
            fputs("<br>", page);
            cbx_html_quantity(page, finding->kind, finding->value);
        }
        return;
    }
    // A clear finding with a negative margin is a note, no shortfall.
    fputs(finding->margin >= 0.0          ? "<br>margin "
          : finding->severity == CB_CLEAR ? "<br>margin −"
                                          : "<br>short by ",
          page);
    cbx_html_both(page, cbx_distance(finding->kind, CB_UNITS_US, finding->margin).text,
                  cbx_distance(finding->kind, CB_UNITS_SI, finding->margin).text);
}

static void put_finding(FILE *page, const both *cells, int row, size_t column)
{
    const cb_comparison *these = cells->in[0].these;
    const char *code = cbx_compared_code(&cells->in[0], row);
    const cb_finding *finding = cb_case_finding(these->got[column], code),
                     *first = cb_case_finding(these->got[0], code);
    const bool marked = differs(cells, row, column);
    fprintf(page, "<td class=\"n%s\">", marked ? " differs" : "");
    if (finding) {
        cbx_put_badge(page, finding->severity, cbx_badge_of[finding->severity].word);
        put_number(page, finding);
    } else {
        fputs("not judged", page);
    }
    if (marked && finding && first && finding->severity != first->severity) {
        fprintf(page, "<br><small>A: %s</small>", cbx_badge_of[first->severity].word);
    } else if (marked) {
        fputs("<br><small>differs from A</small>", page);
    }
    fputs("</td>", page);
}

void cbx_fill_several_findings(cbx_fill *fill)
{
    const cb_comparison *these = &fill->several->these;
    const both cells = both_of(these);
    FILE *page = fill->page;
    open_table(page, these, "Findings side by side");
    for (int row = 0; row < cbx_compared_rows(&cells.in[0]); row++) {
        const char *code = cbx_compared_code(&cells.in[0], row);
        if (!code) {
            continue;
        }
        fputs("<tr><th scope=\"row\">", page);
        cbx_html_text(page, cbx_title(code));
        fputs("</th>", page);
        for (size_t c = 0; c < these->count; c++) {
            put_finding(page, &cells, row, c);
        }
        fputs("</tr>\n", page);
    }
    cbx_table_close(page);
}

// ---- each run --------------------------------------------------------------------------------

static void put_heading(const cbx_fill *fill, size_t index, int level)
{
    enum { LONG_NAME = 80 };
    const char *name = cbx_report_name(fill->run->design);
    fprintf(fill->page, "<h%d id=\"%s-%c\"%s>%c: ", level, level == 2 ? "title" : "verdict",
            cbx_letter(index), strlen(name) > LONG_NAME ? " class=\"long\" tabindex=\"0\"" : "",
            cbx_letter(index));
    cbx_html_text(fill->page, name);
    fprintf(fill->page, "</h%d>\n", level);
}

void cbx_several_verdict(cbx_fill *fill, size_t index)
{
    static const char *const accuracy[] = {"draft", "standard", "fine"};
    const cb_design_run *run = &fill->run->design->run;
    put_heading(fill, index, 3);
    fputs("<p class=\"unit\"><code>", fill->page);
    cbx_html_text(fill->page, fill->run->path);
    fprintf(fill->page,
            "</code> %d year%s, %s accuracy. <a href=\"#run-%c\">More of run %c</a></p>\n",
            run->years, run->years == 1 ? "" : "s", accuracy[run->accuracy], cbx_letter(index),
            cbx_letter(index));
    cbx_fill_verdict(fill);
}

void cbx_several_answer(cbx_fill *fill, size_t index)
{
    const char letter = cbx_letter(index);
    FILE *page = fill->page;
    fprintf(page, "<section id=\"run-%c\" aria-labelledby=\"title-%c\">\n", letter, letter);
    put_heading(fill, index, 2);
    cbx_fill_verdict(fill);
    fputs("<dl class=\"cards\">\n", page);
    cbx_fill_key_numbers(fill);
    fputs("</dl>\n", page);
    cbx_fill_drift(fill);
    fputs("<h3>What would help</h3>\n", page);
    cbx_fill_help(fill);
    fprintf(page, "<details class=\"printed\"><summary>Table: all findings of %c</summary>\n",
            letter);
    char caption[80];
    snprintf(caption, sizeof caption, "Every finding of %c, the worst first", letter);
    cbx_findings_table(fill, caption);
    fputs("</details>\n", page);
    fputs("<p>The whole page of this run: <code>coilbed report ", page);
    char file[CB_PATH_SIZE];
    cbx_design_argument(fill->run->path, file, sizeof file);
    cbx_html_text(page, file);
    fputs("</code></p>\n</section>\n", page);
}

void cbx_several_origin(cbx_fill *fill, size_t index)
{
    const cb_run_origin *origin = fill->run->origin;
    FILE *page = fill->page;
    char version[80];
    snprintf(version, sizeof version, "coilbed %s", origin->program_version);
    fprintf(page, "<tr><th scope=\"row\">%c</th>", cbx_letter(index));
    const char *const text[] = {fill->run->path, version, origin->weather_description,
                                origin->design_sha256, origin->weather_sha256};
    for (size_t i = 0; i < sizeof text / sizeof *text; i++) {
        fputs("<td>", page);
        cbx_html_text(page, text[i]);
        fputs("</td>", page);
    }
    fputs("</tr>\n", page);
}
