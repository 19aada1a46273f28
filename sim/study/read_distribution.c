// SPDX-License-Identifier: MIT
#include "study/study_reader.h"

#include "units/number.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct {
    const char *word;
    cb_distribution_form form;
    int numbers;
    const char *usage;
} form_table[] = {
    {"normal", CB_NORMAL, 2, "normal(MEAN, DEVIATION)"},
    {"lognormal", CB_LOGNORMAL, 2, "lognormal(MEAN, DEVIATION)"},
    {"uniform", CB_UNIFORM, 2, "uniform(LOWEST, HIGHEST)"},
    {"triangular", CB_TRIANGULAR, 3, "triangular(LOWEST, LIKELIEST, HIGHEST)"},
};
enum { FORMS = sizeof form_table / sizeof *form_table, UNIT_SIZE = 64 };

/// The text in its parts, in the unit it is written in.
typedef struct written {
    int form;
    double number[3];
    char unit[UNIT_SIZE];
    bool has_low, has_high;
    double low, high;
} written;

bool cbx_is_distribution(const char *text)
{
    size_t letters = 0;
    while (isalpha((unsigned char)text[letters]) || text[letters] == '-' || text[letters] == '_') {
        letters++;
    }
    return letters > 0 && text[letters + strspn(text + letters, " ")] == '(';
}

static const char *skip(const char *at)
{
    return at + strspn(at, " \t");
}

static cb_status fail_form(const cbx_study_reader *r, const cbx_node *node)
{
    return cbx_fail_node(
        node, CBX_AT_VALUE, r->error,
        "\"%s\" is no distribution: write e.g. normal(1.2, 0.3) W/m/K, "
        "lognormal(MEAN, DEVIATION), uniform(LOWEST, HIGHEST) or "
        "triangular(LOWEST, LIKELIEST, HIGHEST), each with its unit and, to cut it "
        "off, \"from 0.6 to 2\"",
        node->text);
}

static bool read_numbers(written *w, const char **at)
{
    const char *here = skip(*at);
    if (*here != '(') {
        return false;
    }
    for (int i = 0; i < form_table[w->form].numbers; i++) {
        here = skip(here + 1);
        if (!cbx_number_scan(here, &here, &w->number[i])) {
            return false;
        }
        here = skip(here);
        const bool last = i + 1 == form_table[w->form].numbers;
        if (*here != (last ? ')' : ',')) {
            return false;
        }
    }
    *at = here + 1;
    return true;
}

// Takes "word NUMBER" off the text; false if a number is missing behind the word.
static bool read_bound(const char **at, const char *word, bool *has, double *value)
{
    const char *here = skip(*at);
    const size_t length = strlen(word);
    *has = strncmp(here, word, length) == 0 && (here[length] == ' ' || here[length] == '\t');
    if (!*has) {
        return true;
    }
    *at = skip(here + length);
    return cbx_number_scan(*at, at, value);
}

// The unit goes on to the first of the words "from" and "to", or to the end.
static bool read_unit(written *w, const char **at)
{
    const char *start = skip(*at);
    const char *from = strstr(start, "from "), *to = strstr(start, "to ");
    const char *end = from ? from : to ? to : start + strlen(start);
    *at = end;
    while (end > start && isspace((unsigned char)end[-1])) {
        end--;
    }
    const size_t length = (size_t)(end - start);
    if (length >= sizeof w->unit) {
        return false;
    }
    memcpy(w->unit, start, length);
    w->unit[length] = '\0';
    return true;
}

static bool read_parts(written *w, const char *text)
{
    const char *at = skip(text);
    size_t length = 0;
    while (isalpha((unsigned char)at[length])) {
        length++;
    }
    for (w->form = 0; w->form < FORMS; w->form++) {
        const char *word = form_table[w->form].word;
        if (strlen(word) == length && strncmp(at, word, length) == 0) {
            break;
        }
    }
    at += length;
    return w->form < FORMS && read_numbers(w, &at) && read_unit(w, &at) &&
           read_bound(&at, "from", &w->has_low, &w->low) &&
           read_bound(&at, "to", &w->has_high, &w->high) && !*skip(at);
}

/// si = scale * number + offset; the offset is that of temperatures.
typedef struct unit_scale {
    double scale, offset;
} unit_scale;

static cb_status parse_in_unit(const cbx_study_reader *r, const cbx_node *node, cb_kind kind,
                               const written *w, double number, double *si)
{
    char text[UNIT_SIZE + 48], digits[40];
    cb_error why = {0};
    snprintf(text, sizeof text, "%s %s", cbx_number_print(number, digits, sizeof digits), w->unit);
    const cb_status status = cb_units_parse(r->units, kind, text, si, &why);
    return status == CB_OK
               ? status
               : cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s: %s", node->key, why.message);
}

static cb_status find_scale(const cbx_study_reader *r, const cbx_node *node, cb_kind kind,
                            const written *w, unit_scale *out)
{
    double zero = 0, one = 0;
    // First the number as written, for the message if the unit is wrong.
    cb_status status = parse_in_unit(r, node, kind, w, w->number[0], &zero);
    if (status == CB_OK) {
        status = parse_in_unit(r, node, kind, w, 0, &zero);
    }
    if (status == CB_OK) {
        status = parse_in_unit(r, node, kind, w, 1, &one);
    }
    *out = (unit_scale){one - zero, zero};
    return status;
}

static double to_si(const unit_scale *unit, double number)
{
    return unit->scale * number + unit->offset;
}

static cb_distribution in_si(const written *w, const unit_scale *unit)
{
    cb_distribution d = {.form = form_table[w->form].form,
                         .a = to_si(unit, w->number[0]),
                         .low = w->has_low ? to_si(unit, w->low) : -INFINITY,
                         .high = w->has_high ? to_si(unit, w->high) : INFINITY};
    const bool spread = d.form == CB_NORMAL || d.form == CB_LOGNORMAL;
    d.b = spread ? unit->scale * w->number[1] : to_si(unit, w->number[1]);
    d.c = form_table[w->form].numbers == 3 ? to_si(unit, w->number[2]) : 0;
    return d;
}

static cb_status check(const cbx_study_reader *r, const cbx_node *node, const cb_distribution *d)
{
    cb_error why = {0};
    const cb_status status = cb_distribution_check(d, &why);
    return status == CB_OK ? status
                           : cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s: %s: %s", node->key,
                                           node->text, why.message);
}

// Numbers outside the range that the design accepts: bounds written down are refused, a tail is cut
// off with a notice.
static cb_status fit_range(const cbx_study_reader *r, const cbx_node *node, const cbx_row *row,
                           cb_distribution *d)
{
    const double per = row->per != 0 ? row->per : 1;
    const double least = row->minimum * per, most = row->maximum * per;
    const double before = cb_distribution_share(d, d->high) - cb_distribution_share(d, d->low);
    cb_distribution cut = *d;
    cut.low = fmax(d->low, least);
    cut.high = fmin(d->high, most);
    const double inside = cut.low < cut.high ? cb_distribution_share(&cut, cut.high) -
                                                   cb_distribution_share(&cut, cut.low)
                                             : 0;
    char low[64], high[64];
    cb_units_format(row->kind, CB_UNITS_SI, least, 3, low, sizeof low);
    cb_units_format(row->kind, CB_UNITS_SI, most, 3, high, sizeof high);
    const bool bounded = d->form == CB_UNIFORM || d->form == CB_TRIANGULAR;
    if (!(inside >= 0.5 * before) || (bounded && inside < before)) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error,
                             "%s: %s: %.3g %% of it lies outside what a design accepts, %s to %s",
                             node->key, node->text, 100 * (1 - inside / before), low, high);
    }
    if (before - inside > 1e-9) {
        cbx_study_notice(r->study,
                         "%s: %s is cut off at %s and %s, the range a design accepts "
                         "(%.2g %% of it lies outside)",
                         node->key, node->text, low, high, 100 * (1 - inside / before));
    }
    *d = cut;
    return CB_OK;
}

cb_status cbx_distribution_read(const cbx_study_reader *r, const cbx_node *node, const cbx_row *row,
                                cb_distribution *out)
{
    written w = {0};
    unit_scale unit = {0};
    if (!read_parts(&w, node->text)) {
        return fail_form(r, node);
    }
    cb_status status = find_scale(r, node, row->kind, &w, &unit);
    if (status != CB_OK) {
        return status;
    }
    *out = in_si(&w, &unit);
    if (out->form == CB_LOGNORMAL && unit.offset != 0) {
        return cbx_fail_node(node, CBX_AT_VALUE, r->error,
                             "%s: a log-normal distribution needs a quantity whose zero means "
                             "nothing, not %s",
                             node->key, w.unit);
    }
    status = check(r, node, out);
    if (status == CB_OK) {
        status = fit_range(r, node, row, out);
    }
    return status == CB_OK ? check(r, node, out) : status;
}
