// SPDX-License-Identifier: MIT
// What a study says, in words and tables; its figures are drawn by the page.
#include "coilbed/version.h"
#include "report/badge.h"
#include "report/fill.h"
#include "report/html.h"
#include "report/study.h"
#include "study/compared.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

// ---- counting --------------------------------------------------------------------------------

typedef struct tally {
    size_t by_verdict[CBX_BADGES], ok, failed;
} tally;

static tally count(const cbx_report_study *study, size_t cases)
{
    tally found = {0};
    for (size_t i = 0; i < cases; i++) {
        if (cbx_study_case_ok(study, i)) {
            found.by_verdict[(int)study->verdict[i]]++;
            found.ok++;
        } else {
            found.failed++;
        }
    }
    return found;
}

static const char *plural(size_t n)
{
    return n == 1 ? "" : "s";
}

/// "7 hold, all of them with little to spare or something to watch".
static void put_holding(FILE *page, const tally *of)
{
    const size_t close = of->by_verdict[CB_CLOSE];
    const size_t holding = of->by_verdict[CB_CLEAR] + close;
    if (holding == 0) {
        fputs("none holds", page);
        return;
    }
    fprintf(page, "%s%zu hold%s", holding == of->ok && holding > 1 ? "all " : "", holding,
            holding == 1 ? "s" : "");
    if (close > 0 && close == holding) {
        fprintf(page, ", %s little to spare or something to watch",
                holding == 1 ? "with" : "all of them with");
    } else if (close > 0) {
        fprintf(page, ", %zu of them with little to spare or something to watch", close);
    }
}

static void put_chance(const cbx_fill *fill)
{
    const cbx_report_study *study = fill->study;
    const tally of = count(study, study->independent);
    if (study->grid || of.ok == 0) {
        return;
    }
    const cb_proportion p = cb_wilson(of.by_verdict[CB_BROKEN], of.ok);
    fprintf(fill->page,
            " If the values vary as the study says, the chance that some limit is broken is "
            "<strong>%.1f&nbsp;%%</strong> (95&nbsp;%% confidence interval %.1f to %.1f&nbsp;%%, "
            "from %zu independent samples).",
            100 * p.share, 100 * p.low, 100 * p.high, of.ok);
}

void cbx_fill_study_summary(cbx_fill *fill)
{
    const cbx_report_study *study = fill->study;
    FILE *page = fill->page;
    const tally of = count(study, study->cases);
    const int look = of.by_verdict[CB_BROKEN] == of.ok  ? CB_BROKEN
                     : of.by_verdict[CB_CLEAR] == of.ok ? CB_CLEAR
                                                        : CB_CLOSE;
    fprintf(page, "<p class=\"verdict %s\">", cbx_badge_of[look].name);
    fprintf(page, "Of %zu case%s, ", study->cases, plural(study->cases));
    put_holding(page, &of);
    if (of.by_verdict[CB_BROKEN] > 0) {
        fprintf(page, "; %zu break%s a limit", of.by_verdict[CB_BROKEN],
                of.by_verdict[CB_BROKEN] == 1 ? "s" : "");
    }
    fputc('.', page);
    if (of.failed > 0) {
        fprintf(page, " %zu case%s %s no result; why stands below.", of.failed, plural(of.failed),
                of.failed == 1 ? "has" : "have");
    }
    put_chance(fill);
    fputs("</p>\n<p class=\"tally\">", page);
    for (int v = 0; v < CBX_BADGES; v++) {
        fputs("<span>", page);
        cbx_put_badge(page, v, cbx_badge_of[v].word);
        fprintf(page, " %zu</span> ", of.by_verdict[v]);
    }
    fprintf(page,
            "<span><span class=\"badge\"><span aria-hidden=\"true\">–</span> No result</span> "
            "%zu</span></p>\n",
            of.failed);
}

// ---- cards -----------------------------------------------------------------------------------

static void put_value(FILE *page, const cbx_report_study *study, size_t f, size_t index)
{
    char us[CBX_STUDY_VALUE], si[CBX_STUDY_VALUE];
    const size_t at = cbx_study_value_at(study, f, index);
    cbx_study_value_text(&study->factor[f], at, CB_UNITS_US, us);
    cbx_study_value_text(&study->factor[f], at, CB_UNITS_SI, si);
    cbx_html_both(page, us, si);
}

static void put_settings(FILE *page, const cbx_report_study *study, size_t index)
{
    for (size_t f = 0; f < study->factor_count; f++) {
        fputs("<span class=\"note\"><code>", page);
        cbx_html_text(page, study->factor[f].path);
        fputs("</code> ", page);
        put_value(page, study, f, index);
        fputs("</span>", page);
    }
}

static void put_dug(FILE *page, double m3)
{
    char us[48], si[48];
    snprintf(us, sizeof us, "%.0f yd³", cbx_dug(CB_UNITS_US, m3));
    snprintf(si, sizeof si, "%.0f m³", m3);
    cbx_html_both(page, us, si);
}

static void put_margin(FILE *page, double kelvin)
{
    fputs(kelvin < 0.0 ? "−" : "+", page);
    cbx_html_both(page, cbx_distance(CB_TEMPERATURE, CB_UNITS_US, kelvin).text,
                  cbx_distance(CB_TEMPERATURE, CB_UNITS_SI, kelvin).text);
}

typedef struct card {
    const char *title;
    const double *by; ///< the number that chooses the case
    bool most;        ///< the greatest, not the least
    bool holding;     ///< only among cases that hold
} card;

/// False if no case qualifies or, for what is dug or bought, if all cases are alike.
static bool choose(const cbx_report_study *study, const card *of, size_t *chosen)
{
    bool found = false;
    double low = INFINITY, high = -INFINITY;
    const double *margin = cbx_study_output(study, "worst_margin");
    for (size_t i = 0; i < study->cases; i++) {
        const double value = of->by[i];
        if (!cbx_study_case_ok(study, i) || !isfinite(value)) {
            continue;
        }
        low = fmin(low, value);
        high = fmax(high, value);
        if (of->holding && !(study->verdict[i] < CB_BROKEN)) {
            continue;
        }
        const double best = found ? of->by[*chosen] : NAN;
        const bool better = of->most ? value > best : value < best;
        if (!found || better || (value == best && margin[i] > margin[*chosen])) {
            *chosen = i;
            found = true;
        }
    }
    return found && high - low > 1e-6 * fabs(high);
}

static void put_card(cbx_fill *fill, const card *of)
{
    const cbx_report_study *study = fill->study;
    size_t i = 0;
    if (!choose(study, of, &i)) {
        return;
    }
    FILE *page = fill->page;
    const int verdict = (int)study->verdict[i];
    const double margin = cbx_study_output(study, "worst_margin")[i];
    fprintf(page, "<div class=\"card %s\"><dt>%s</dt><dd><span class=\"big\">",
            cbx_badge_of[verdict].name, of->title);
    if (of->by == cbx_study_output(study, "excavation")) {
        put_dug(page, of->by[i]);
    } else if (of->by == cbx_study_output(study, "pipe_length")) {
        cbx_html_quantity(page, CB_LENGTH, of->by[i]);
    } else {
        put_margin(page, margin);
    }
    fputs("</span>", page);
    put_settings(page, study, i);
    if (of->by != cbx_study_output(study, "worst_margin")) {
        fputs("<span class=\"note\">margin ", page);
        put_margin(page, margin);
        fputs("</span>", page);
    }
    fprintf(page, "<span class=\"note\">case %zu: ", i);
    cbx_put_badge(page, verdict, cbx_badge_of[verdict].word);
    fputs("</span></dd></div>\n", page);
}

static const cbx_stored_variable *statistic(const cbx_report_study *study, const char *name,
                                            size_t columns)
{
    const cbx_stored_variable *found = cbx_stored_find(study->statistics, name);
    return found && found->number && found->count == CB_HEADLINE_COUNT * columns ? found : NULL;
}

static void put_quantile_card(cbx_fill *fill, const char *name, const char *title)
{
    const cbx_stored_variable *value = statistic(fill->study, "value", CB_STUDY_QUANTILES);
    if (!value) {
        return;
    }
    const double *q = value->number + (ptrdiff_t)cb_headline_find(name) * CB_STUDY_QUANTILES;
    if (!isfinite(q[2])) {
        return;
    }
    FILE *page = fill->page;
    fprintf(page, "<div class=\"card\"><dt>%s</dt><dd><span class=\"big\">", title);
    cbx_html_quantity(page, CB_TEMPERATURE, q[2]);
    fputs("</span><span class=\"note\">in the middle of the cases; nine in ten lie between ", page);
    cbx_html_quantity(page, CB_TEMPERATURE, q[0]);
    fputs(" and ", page);
    cbx_html_quantity(page, CB_TEMPERATURE, q[4]);
    fputs("</span></dd></div>\n", page);
}

void cbx_fill_study_cards(cbx_fill *fill)
{
    const cbx_report_study *study = fill->study;
    const double *margin = cbx_study_output(study, "worst_margin");
    if (!study->grid) {
        put_quantile_card(fill, "coldest_fluid", "Coldest fluid anywhere");
        put_quantile_card(fill, "entering_minimum", "Coldest water into the heat pump");
        put_quantile_card(fill, "entering_maximum", "Hottest water into the heat pump");
    }
    put_card(fill, &(card){"Greatest margin of all cases", margin, true, false});
    if (study->grid) {
        put_card(fill, &(card){"Least digging that holds", cbx_study_output(study, "excavation"),
                               false, true});
        put_card(fill, &(card){"Least pipe that holds", cbx_study_output(study, "pipe_length"),
                               false, true});
    }
    put_card(fill, &(card){"Least margin of all cases", margin, false, false});
}

// ---- what was varied -------------------------------------------------------------------------

static void put_levels(FILE *page, const cbx_report_factor *factor)
{
    char us[CBX_STUDY_VALUE], si[CBX_STUDY_VALUE];
    for (size_t i = 0; i < factor->values->count; i++) {
        cbx_study_value_text(factor, i, CB_UNITS_US, us);
        cbx_study_value_text(factor, i, CB_UNITS_SI, si);
        fputs(i > 0 ? ", " : "", page);
        cbx_html_both(page, us, si);
    }
}

static void put_words(FILE *page, const cbx_report_factor *factor)
{
    bool first = true;
    for (size_t i = 0; i < factor->values->count; i++) {
        const char *text = cbx_stored_text(factor->values, i);
        bool known = false;
        for (size_t before = 0; !known && before < i; before++) {
            known = strcmp(cbx_stored_text(factor->values, before), text) == 0;
        }
        if (!known) {
            fputs(first ? "" : ", ", page);
            cbx_html_text(page, text);
            first = false;
        }
    }
}

static void put_reach(FILE *page, const cbx_report_factor *factor)
{
    size_t low = 0, high = 0;
    for (size_t i = 0; i < factor->values->count; i++) {
        low = factor->values->number[i] < factor->values->number[low] ? i : low;
        high = factor->values->number[i] > factor->values->number[high] ? i : high;
    }
    char us[2][CBX_STUDY_VALUE], si[2][CBX_STUDY_VALUE];
    cbx_study_value_text(factor, low, CB_UNITS_US, us[0]);
    cbx_study_value_text(factor, high, CB_UNITS_US, us[1]);
    cbx_study_value_text(factor, low, CB_UNITS_SI, si[0]);
    cbx_study_value_text(factor, high, CB_UNITS_SI, si[1]);
    cbx_html_both(page, us[0], si[0]);
    fputs(" to ", page);
    cbx_html_both(page, us[1], si[1]);
}

void cbx_fill_study_varied(cbx_fill *fill)
{
    const cbx_report_study *study = fill->study;
    FILE *page = fill->page;
    cbx_table_open(page, "The values that varied", "Value of the design|In the cases");
    for (size_t f = 0; f < study->factor_count; f++) {
        const cbx_report_factor *factor = &study->factor[f];
        fputs("<tr><th scope=\"row\"><code>", page);
        cbx_html_text(page, factor->path);
        fputs("</code></th><td>", page);
        if (study->grid) {
            put_levels(page, factor);
        } else if (factor->words) {
            put_words(page, factor);
        } else {
            put_reach(page, factor);
        }
        fputs("</td></tr>\n", page);
    }
    cbx_table_close(page);
    fputs(study->grid ? "<p>Every combination of these was run, each as a case of its own.</p>\n"
                      : "<p>How they were drawn stands in the <a href=\"#basis\">study file</a>."
                        "</p>\n",
          page);
}

void cbx_fill_study_failed(cbx_fill *fill)
{
    const cbx_report_study *study = fill->study;
    FILE *page = fill->page;
    if (count(study, study->cases).failed == 0) {
        return;
    }
    fputs("<h3>Cases without a result</h3>\n", page);
    cbx_table_open(page, "Cases without a result", "Case|Values|What happened|Message");
    for (size_t i = 0; i < study->cases; i++) {
        if (cbx_study_case_ok(study, i)) {
            continue;
        }
        fprintf(page, "<tr><th scope=\"row\">%zu</th><td class=\"long\">", i);
        for (size_t f = 0; f < study->factor_count; f++) {
            fputs(f > 0 ? "; " : "", page);
            cbx_html_text(page, study->factor[f].path);
            fputc(' ', page);
            put_value(page, study, f, i);
        }
        fputs("</td><td>", page);
        cbx_html_text(page, cbx_stored_text(study->status, i));
        fputs("</td><td class=\"long\">", page);
        cbx_html_text(page, cbx_stored_text(study->message, i));
        fputs("</td></tr>\n", page);
    }
    cbx_table_close(page);
    fputs("<p>Failed: the design was refused or its run broke off, as the message says. Lost: the "
          "process ended; <code>coilbed vary --resume</code> runs it again.</p>\n",
          page);
}

// ---- samples ---------------------------------------------------------------------------------

void cbx_fill_study_quantiles(cbx_fill *fill)
{
    static const char *const name[] = {"worst_margin", "coldest_fluid", "entering_minimum",
                                       "entering_maximum"};
    const cbx_stored_variable *value = statistic(fill->study, "value", CB_STUDY_QUANTILES);
    FILE *page = fill->page;
    if (!value) {
        fputs("<p>The study’s file has no quantiles.</p>\n", page);
        return;
    }
    cbx_table_open(page, "So many cases lie below", "Number|5 %|25 %|50 %|75 %|95 %");
    for (size_t n = 0; n < sizeof name / sizeof *name; n++) {
        const int row = cb_headline_find(name[n]);
        fprintf(page, "<tr><th scope=\"row\">%s</th>", cb_headline_row_of(row)->title);
        for (int q = 0; q < CB_STUDY_QUANTILES; q++) {
            fputs("<td class=\"n\">", page);
            cbx_html_quantity(page, cb_headline_row_of(row)->kind,
                              value->number[row * CB_STUDY_QUANTILES + q]);
            fputs("</td>", page);
        }
        fputs("</tr>\n", page);
    }
    cbx_table_close(page);
}

static int worst_severity(const cbx_report_study *study, const char *code)
{
    char name[64];
    snprintf(name, sizeof name, "severity_%.40s", code);
    const cbx_stored_variable *found = cbx_stored_find(study->root, name);
    double worst = CB_CLEAR;
    for (size_t i = 0; found && found->number && i < found->count; i++) {
        worst = fmax(worst, found->number[i]);
    }
    return worst >= CB_BROKEN ? CB_BROKEN : (int)worst;
}

void cbx_fill_study_chances(cbx_fill *fill)
{
    const cbx_stored *s = fill->study->statistics;
    const cbx_stored_variable *limit = cbx_stored_find(s, "limit"),
                              *share = cbx_stored_find(s, "limit_probability"),
                              *low = cbx_stored_find(s, "limit_probability_low"),
                              *high = cbx_stored_find(s, "limit_probability_high");
    FILE *page = fill->page;
    if (!limit || !share || !low || !high) {
        fputs("<p>No case was judged by a limit.</p>\n", page);
        return;
    }
    cbx_table_open(page, "Limits and how often they are crossed",
                   "Limit|Share of cases|95 % confidence interval|At worst");
    for (size_t i = 0; i < limit->count && i < share->count && i < low->count && i < high->count;
         i++) {
        fputs("<tr><th scope=\"row\">", page);
        cbx_html_text(page, cbx_title(cbx_stored_text(limit, i)));
        fprintf(page, "</th><td class=\"n\">%.1f %%</td><td class=\"n\">%.1f to %.1f %%</td><td>",
                100 * share->number[i], 100 * low->number[i], 100 * high->number[i]);
        const int severity = worst_severity(fill->study, cbx_stored_text(limit, i));
        cbx_put_badge(page, severity, cbx_badge_of[severity].word);
        fputs("</td></tr>\n", page);
    }
    cbx_table_close(page);
    fputs("<p>Where crossing a limit is a caution, not a failure, the worst is called close.</p>\n",
          page);
}

// ---- what it rests on ------------------------------------------------------------------------

static void put_row(FILE *page, const char *name, const char *text)
{
    fprintf(page, "<tr><th scope=\"row\">%s</th><td>", name);
    cbx_html_text(page, text);
    fputs("</td></tr>\n", page);
}

static void put_note(cbx_fill *fill, const char *name, const char *title)
{
    char *text = NULL;
    if (cb_dataset_read_note(&text, fill->study->path, name, NULL) == CB_OK) {
        put_row(fill->page, title, text);
    }
    free(text);
}

void cbx_fill_study_origin(cbx_fill *fill)
{
    static const char *const accuracy[] = {"draft", "standard", "fine"};
    const cbx_report_study *study = fill->study;
    const cb_design_run *run = &study->design->run;
    FILE *page = fill->page;
    char text[CB_MESSAGE_SIZE];
    cbx_table_open(page, "The study", "What|Stated in its file");
    put_row(page, "Scheme",
            study->grid                                     ? "every combination of listed values"
            : strcmp(study->scheme, "latin_hypercube") == 0 ? "Latin hypercube"
                                                            : "Sobol sequence");
    snprintf(text, sizeof text, "%zu", study->cases);
    put_row(page, "Cases", text);
    put_note(fill, "samples", "Samples asked for");
    put_note(fill, "seed", "Seed");
    snprintf(text, sizeof text, "%d year%s, %s accuracy%s", run->years, run->years == 1 ? "" : "s",
             accuracy[run->accuracy], " (where they do not vary)");
    put_row(page, "Each run", text);
    if (study->notices) {
        put_row(page, "Done without being asked", study->notices);
    }
    snprintf(text, sizeof text, "coilbed %s", study->version);
    put_row(page, "Computed by", text);
    put_row(page, "Page written by", "coilbed " CB_VERSION);
    cbx_table_close(page);
}

void cbx_fill_study_text(cbx_fill *fill)
{
    cbx_html_text(fill->page, cbx_stored_text(fill->study->study_text, 0));
}

void cbx_fill_study_design(cbx_fill *fill)
{
    cbx_html_text(fill->page,
                  cbx_stored_text(cbx_stored_find(fill->study->root, "design_text"), 0));
}
