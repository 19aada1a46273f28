// SPDX-License-Identifier: MIT
#include "report/html.h"

#include "findings/json_writer.h"
#include "findings/text.h"

#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

static const char *entity(unsigned char c)
{
    switch (c) {
        case '&':
            return "&amp;";
        case '<':
            return "&lt;";
        case '>':
            return "&gt;";
        case '"':
            return "&quot;";
        case '\'':
            return "&#39;";
        default:
            return NULL;
    }
}

/// A unit as it is spelled elsewhere in the program, and how print spells it.
typedef struct spelling {
    const char *word, *sign;
} spelling;

static const spelling *unit_at(const char *text, bool word_begins)
{
    static const spelling unit[] = {
        {"delta_degF", "°F"}, {"degF", "°F"}, {"degC", "°C"}, {"deg", "°"}};
    for (size_t i = 0; word_begins && i < sizeof unit / sizeof *unit; i++) {
        const size_t length = strlen(unit[i].word);
        const unsigned char next = (unsigned char)text[length < strlen(text) ? length : 0];
        if (strncmp(text, unit[i].word, length) == 0 &&
            (strlen(text) == length || (!isalnum(next) && next != '_'))) {
            return &unit[i];
        }
    }
    return NULL;
}

void cbx_html_text(FILE *page, const char *text)
{
    bool word_begins = true, after_digit = false;
    for (const char *at = text; *at;) {
        const spelling *unit = *at == 'd' ? unit_at(at, word_begins) : NULL;
        if (unit) {
            fputs(unit->sign, page);
            at += strlen(unit->word);
            continue;
        }
        const unsigned char c = (unsigned char)*at;
        const size_t bytes = cbx_utf8_bytes((const unsigned char *)at);
        if (*at == ' ' && after_digit && unit_at(at + 1, true)) {
            fputs("\xC2\xA0", page); // a number and its unit stay on one line
            word_begins = true;
            after_digit = false;
            at++;
            continue;
        }
        after_digit = isdigit(c) != 0;
        word_begins = !isalnum(c) && c != '_';
        if (bytes == 0 || (c < 0x20u && c != '\n' && c != '\t') || c == 0x7fu) {
            fputs("\xEF\xBF\xBD", page);
        } else if (entity(c)) {
            fputs(entity(c), page);
        } else {
            fwrite(at, 1, bytes, page);
        }
        at += bytes > 0 ? bytes : 1;
    }
}

void cbx_html_both(FILE *page, const char *us, const char *si)
{
    if (strcmp(us, si) == 0) {
        cbx_html_text(page, us);
        return;
    }
    fputs("<span class=\"us\">", page);
    cbx_html_text(page, us);
    fputs("</span><span class=\"si\">", page);
    cbx_html_text(page, si);
    fputs("</span>", page);
}

void cbx_html_quantity(FILE *page, cb_kind kind, double si)
{
    if (!isfinite(si)) {
        fputs("–", page);
        return;
    }
    cbx_html_both(page, cbx_quantity(kind, CB_UNITS_US, si).text,
                  cbx_quantity(kind, CB_UNITS_SI, si).text);
}

static void number_text(char *text, size_t size, double value, int decimals)
{
    const double unit = pow(10.0, decimals);
    snprintf(text, size, "%.*f", decimals, round(value * unit) / unit + 0.0);
}

void cbx_html_number(FILE *page, cb_kind kind, int decimals, double si)
{
    if (!isfinite(si)) {
        fputs("–", page);
        return;
    }
    char us[48], metric[48];
    number_text(us, sizeof us, cb_units_value(kind, CB_UNITS_US, si), decimals);
    number_text(metric, sizeof metric, cb_units_value(kind, CB_UNITS_SI, si), decimals);
    cbx_html_both(page, us, metric);
}

void cbx_html_unit(FILE *page, cb_kind kind)
{
    cbx_html_both(page, cb_units_label(kind, CB_UNITS_US), cb_units_label(kind, CB_UNITS_SI));
}
