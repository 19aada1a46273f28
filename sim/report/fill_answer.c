// SPDX-License-Identifier: MIT
// The answer first: the verdict, the numbers it rests on, and what would help.
#include "findings/remedy.h"
#include "report/badge.h"
#include "report/fill.h"
#include "report/html.h"

#include <math.h>
#include <string.h>

const cbx_badge cbx_badge_of[CBX_BADGES] = {
    {"clear", "Clear", "✓"}, {"close", "Close", "!"}, {"broken", "Broken", "✕"}};

static bool has_code(const cb_finding *finding, const char *code)
{
    return strcmp(finding->code, code) == 0;
}

static const cb_finding *find(const cbx_case *judged, const char *code)
{
    for (size_t i = 0; i < judged->count; i++) {
        if (has_code(&judged->finding[i], code)) {
            return &judged->finding[i];
        }
    }
    return NULL;
}

static const char *sentence(const cbx_report_run *run, cb_unit_system system, const char *code)
{
    const cb_finding *finding = find(run->judged[system], code);
    return finding ? finding->sentence : "";
}

static void put_sentence(const cbx_fill *fill, const char *code)
{
    cbx_html_both(fill->page, sentence(fill->run, CB_UNITS_US, code),
                  sentence(fill->run, CB_UNITS_SI, code));
}

void cbx_put_badge(FILE *page, int severity, const char *word)
{
    fprintf(page, "<span class=\"badge %s\"><span aria-hidden=\"true\">%s</span> %s</span>",
            cbx_badge_of[severity].name, cbx_badge_of[severity].sign, word);
}

// ---- verdict ---------------------------------------------------------------------------------

/// The worst finding apart from the run's being cut short; the coldest fluid if nothing is amiss.
static const cb_finding *headline(const cb_findings *findings)
{
    for (size_t i = 0; i < findings->count; i++) {
        if (!has_code(&findings->finding[i], "incomplete")) {
            return &findings->finding[i];
        }
    }
    return NULL;
}

void cbx_fill_verdict(cbx_fill *fill)
{
    static const char *const word[] = {"Holds", "Holds, but close", "Does not hold"};
    const cb_findings *findings = fill->run->findings;
    const cb_finding *top = headline(findings);
    FILE *page = fill->page;
    if (!findings->complete) {
        fputs("<p class=\"verdict incomplete\">", page);
        cbx_put_badge(page, CB_CLOSE, "Incomplete run");
        fputs(" ", page);
        put_sentence(fill, "incomplete");
        fputs(" Everything on this page covers only what was computed.</p>\n", page);
    }
    if (!top) {
        return;
    }
    fprintf(page, "<p class=\"verdict %s\">", cbx_badge_of[top->severity].name);
    char label[60];
    snprintf(label, sizeof label, "%s%s", word[top->severity], findings->complete ? "" : " so far");
    cbx_put_badge(page, top->severity, label);
    fputs(" ", page);
    put_sentence(fill, top->code);
    fputs("</p>\n", page);
}

// ---- key numbers -----------------------------------------------------------------------------

static void put_margin(FILE *page, const cb_finding *finding)
{
    fputs(finding->margin < 0.0 ? "short by " : "margin ", page);
    cbx_html_both(page, cbx_distance(finding->kind, CB_UNITS_US, finding->margin).text,
                  cbx_distance(finding->kind, CB_UNITS_SI, finding->margin).text);
    fputs(" to ", page);
    cbx_html_quantity(page, finding->kind, finding->limit);
}

static void put_card(const cbx_fill *fill, const char *code, const char *title)
{
    const cb_finding *finding = find(fill->run->judged[CB_UNITS_SI], code);
    if (!finding || !isfinite(finding->value)) {
        return;
    }
    FILE *page = fill->page;
    fprintf(page, "<div class=\"card %s\"><dt>%s</dt><dd><span class=\"big\">",
            cbx_badge_of[finding->severity].name, title);
    cbx_html_quantity(page, finding->kind, finding->value);
    fputs("</span>", page);
    if (isfinite(finding->limit)) {
        fputs("<span class=\"note\">", page);
        put_margin(page, finding);
        fputs("</span>", page);
    }
    if (finding->run_hour >= 0) {
        fputs("<span class=\"note\">", page);
        cbx_html_text(page, cbx_when(fill->run->design, finding->run_hour).text);
        fputs("</span>", page);
    }
    fputs("<span class=\"note\">", page);
    cbx_put_badge(page, finding->severity, cbx_badge_of[finding->severity].word);
    fputs("</span></dd></div>\n", page);
}

void cbx_fill_key_numbers(cbx_fill *fill)
{
    put_card(fill, "freeze_margin", "Coldest fluid anywhere");
    put_card(fill, "entering_minimum", "Coldest water into the heat pump");
    put_card(fill, "entering_maximum", "Hottest water into the heat pump");
    put_card(fill, "drift_coldest", "Coldest fluid settles at");
}

/// What the years do to the water: both drifts in one sentence where they agree.
void cbx_fill_drift(cbx_fill *fill)
{
    const cbx_case *us = fill->run->judged[CB_UNITS_US], *si = fill->run->judged[CB_UNITS_SI];
    fputs("<p><strong>Drift over the years.</strong> ", fill->page);
    if (us->both_drifts[0] && si->both_drifts[0]) {
        cbx_html_both(fill->page, us->both_drifts, si->both_drifts);
    } else if (find(si, "drift_coldest")) {
        put_sentence(fill, "drift_coldest");
    } else {
        put_sentence(fill, "drift_unknown");
    }
    fputs("</p>\n", fill->page);
}

// ---- findings --------------------------------------------------------------------------------

void cbx_findings_table(cbx_fill *fill, const char *caption)
{
    const cb_findings *findings = fill->run->findings;
    FILE *page = fill->page;
    cbx_table_open(page, caption, "Finding|Result|What was found");
    for (size_t i = 0; i < findings->count; i++) {
        const cb_finding *finding = &findings->finding[i];
        fputs("<tr><th scope=\"row\">", page);
        cbx_html_text(page, cbx_title(finding->code));
        fputs("</th><td>", page);
        cbx_put_badge(page, finding->severity, cbx_badge_of[finding->severity].word);
        fputs("</td><td>", page);
        put_sentence(fill, finding->code);
        fputs("</td></tr>\n", page);
    }
    cbx_table_close(page);
}

void cbx_fill_findings(cbx_fill *fill)
{
    cbx_findings_table(fill, "Every finding, the worst first");
}

// ---- help and cautions -----------------------------------------------------------------------

void cbx_fill_help(cbx_fill *fill)
{
    const cbx_report_run *run = fill->run;
    FILE *page = fill->page;
    cbx_remedy us[CBX_MOST_REMEDIES], si[CBX_MOST_REMEDIES];
    const int count = cbx_remedies(run->findings, run->design, CB_UNITS_US, us);
    cbx_remedies(run->findings, run->design, CB_UNITS_SI, si);
    if (count == 0) {
        fputs("<p>No limit is close or broken, so nothing needs help.</p>\n", page);
        return;
    }
    char file[CB_PATH_SIZE];
    cbx_design_argument(run->data->design_path, file, sizeof file);
    fputs("<p>These act on what is close or broken. They are directions to try, not computed "
          "results: what each brings is for a run to say. Try <code>coilbed run ",
          page);
    cbx_html_text(page, file);
    fputs("</code> with:</p>\n<ul class=\"help\">\n", page);
    for (int i = 0; i < count; i++) {
        fputs("<li>", page);
        cbx_html_text(page, us[i].text);
        if (us[i].settings[0]) {
            fputs("<br><code>", page);
            cbx_html_both(page, us[i].settings, si[i].settings);
            fputs("</code>", page);
        }
        fputs("</li>\n", page);
    }
    fputs("</ul>\n", page);
}

void cbx_fill_cautions(cbx_fill *fill)
{
    const cb_design *design = fill->design;
    FILE *page = fill->page;
    fputs("<ul>\n", page);
    for (int i = 0; cbx_caution(i); i++) {
        fputs("<li>", page);
        cbx_html_text(page, cbx_caution(i));
        fputs("</li>\n", page);
    }
    if (design) {
        fputs("<li>The fluid, ", page);
        cbx_html_text(page, cb_fluid_name(design->fluid.type));
        fputs(": ", page);
        cbx_html_text(page, cb_fluid_hazard(design->fluid.type));
        fputs("</li>\n", page);
    }
    fputs("</ul>\n", page);
}
