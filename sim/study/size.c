// SPDX-License-Identifier: MIT
#include "coilbed/size.h"

#include "study/inputs.h"
#include "study/lever.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LOOKS = 3, MOST_RUNS = 30, RANGE_STEPS = 50 };

// The noise of a margin: what another grid around a moved pipe or another number of steps makes of
// it, at draft accuracy; own marks, well above the 0.0003 K seen on the starter.
static const struct holdable {
    const char *code;
    cb_kind margin_kind;
    double noise;
} holdable[] = {
    {"freeze_margin", CB_TEMPERATURE_DIFFERENCE, 0.05},
    {"entering_minimum", CB_TEMPERATURE_DIFFERENCE, 0.05},
    {"entering_maximum", CB_TEMPERATURE_DIFFERENCE, 0.05},
    {"pipe_temperature", CB_TEMPERATURE_DIFFERENCE, 0.05},
    {"drift_coldest", CB_TEMPERATURE_DIFFERENCE, 0.1},
    {"drift_minimum", CB_TEMPERATURE_DIFFERENCE, 0.1},
    {"drift_maximum", CB_TEMPERATURE_DIFFERENCE, 0.1},
    {"frost_depth", CB_LENGTH, 0.01},
    {"reynolds", CB_NUMBER, 5.0},
};
enum { HOLDABLE = sizeof holdable / sizeof *holdable };

const char *cb_size_holdable(int index)
{
    return index >= 0 && index < HOLDABLE ? holdable[index].code : NULL;
}

static const struct holdable *find_holdable(const char *code)
{
    for (int i = 0; i < HOLDABLE; i++) {
        if (strcmp(holdable[i].code, code) == 0) {
            return &holdable[i];
        }
    }
    return NULL;
}

static void add_word(char *list, size_t size, const char *word)
{
    const size_t used = strlen(list);
    snprintf(list + used, size - used, "%s%s", used > 0 ? ", " : "", word);
}

typedef struct sizing {
    const cb_size_order *order;
    const cb_sized *what;
    cbx_lever lever;
    cb_override *set; ///< [source.set_count + 1]: the order's, then the value
} sizing;

// ---- readable values -------------------------------------------------------------------------

/// Decimals that stand for less than half a step in the order's units.
static int decimals_of(const cb_sized *what, cb_unit_system system)
{
    const cb_kind kind = what->kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE : what->kind;
    const double shown = fabs(cb_units_value(kind, system, 0.5 * what->step));
    const double wanted = -floor(log10(shown));
    return (int)fmin(fmax(wanted, 0.0), 12.0);
}

/// The value in the order's units with no more decimals than a step needs, and what that reads as.
static double read_short(const sizing *s, double si, char text[CBX_LEVER_TEXT])
{
    const cb_unit_system system = s->order->system;
    const char *unit = cb_units_label(s->what->kind, system);
    double again = si;
    cb_error none = {0};
    snprintf(text, CBX_LEVER_TEXT, "%.*f%s%s", decimals_of(s->what, system),
             cb_units_value(s->what->kind, system, si), *unit ? " " : "", unit);
    return cb_units_parse(s->lever.units, s->what->kind, text, &again, &none) == CB_OK ? again : si;
}

static double snap(void *context, double value)
{
    char text[CBX_LEVER_TEXT];
    return read_short(context, value, text);
}

/// As a --set takes it: short where that is the value.
static void write_value(const sizing *s, double si, char text[CBX_LEVER_TEXT])
{
    if (s->what->whole || !(fabs(read_short(s, si, text) - si) <= 1e-12 * fabs(si))) {
        cbx_lever_write(&s->lever, si, text);
    }
}

// ---- one run ---------------------------------------------------------------------------------

static cb_status lacks_finding(const sizing *s, const cb_case *got, cb_error *error)
{
    char list[CB_MESSAGE_SIZE / 2] = "";
    for (size_t i = 0; i < got->findings->count; i++) {
        if (find_holdable(got->findings->finding[i].code)) {
            add_word(list, sizeof list, got->findings->finding[i].code);
        }
    }
    return cb_fail(error, CB_BAD_INPUT,
                   "--hold %s: these runs do not have that finding (drift needs two years without "
                   "a hard winter or hot summer); they have %s",
                   s->what->finding, list);
}

static cb_status margin_at(void *context, double value, double *margin, cb_error *error)
{
    sizing *s = context;
    const cb_case_source *given = &s->order->source;
    char text[CBX_LEVER_TEXT];
    write_value(s, value, text);
    s->set[given->set_count] = (cb_override){.path = s->lever.path, .value = text};
    const cb_case_source source = {
        .path = given->path, .text = given->text, .set = s->set, .set_count = given->set_count + 1};
    cb_case *got = NULL;
    cb_status status = s->order->get(s->order->context, &source, text, &got, error);
    if (status != CB_OK) {
        return status;
    }
    const cb_finding *finding = cb_case_finding(got, s->what->finding);
    if (finding) {
        *margin = finding->margin - s->what->margin;
    } else {
        status = lacks_finding(s, got, error);
    }
    cb_case_destroy(got);
    return status;
}

// ---- reading the order -----------------------------------------------------------------------

static cb_status choose_finding(cb_sized *out, const cb_size_order *order, const cb_units *units,
                                cb_error *error)
{
    out->finding = order->finding ? order->finding : holdable[0].code;
    const struct holdable *known = find_holdable(out->finding);
    if (!known) {
        char list[CB_MESSAGE_SIZE / 2] = "";
        for (int i = 0; i < HOLDABLE; i++) {
            add_word(list, sizeof list, holdable[i].code);
        }
        return cb_fail(error, CB_BAD_INPUT,
                       "--hold %s: no such finding can be held; take one of %s", out->finding,
                       list);
    }
    out->margin_kind = known->margin_kind;
    cb_error why = {0};
    if (order->margin &&
        cb_units_parse(units, out->margin_kind, order->margin, &out->margin, &why) != CB_OK) {
        return cb_fail(error, CB_BAD_INPUT, "--margin: %s", why.message);
    }
    return CB_OK;
}

/// A step may lie outside the range that the key accepts.
static cb_status read_step(sizing *s, cb_sized *out, cb_search *search, const cb_units *units,
                           cb_error *error)
{
    search->step = search->whole ? 1.0 : (search->high - search->low) / RANGE_STEPS;
    if (s->order->step) {
        const cb_kind kind = out->kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE : out->kind;
        cb_error why = {0};
        if (cb_units_parse(units, kind, s->order->step, &search->step, &why) != CB_OK) {
            return cb_fail(error, CB_BAD_INPUT, "--step: %s", why.message);
        }
    }
    const double least = search->whole ? 1.0 : (search->high - search->low) * 1e-6;
    if (!(search->step >= least && search->step < search->high - search->low) &&
        search->high - search->low > least) {
        return cb_fail(error, CB_BAD_INPUT,
                       "--step %s: a step is above 0 (whole numbers: 1 or more) and smaller than "
                       "the range",
                       s->order->step ? s->order->step : "");
    }
    out->step = search->step;
    return CB_OK;
}

static cb_status read_range(sizing *s, cb_sized *out, cb_search *search, cb_error *error)
{
    const cb_size_order *order = s->order;
    cb_status status = cbx_lever_read(&s->lever, "--between", order->low, &search->low, error);
    if (status == CB_OK) {
        status = cbx_lever_read(&s->lever, "--between", order->high, &search->high, error);
    }
    if (status == CB_OK && !(search->low < search->high)) {
        status = cb_fail(error, CB_BAD_INPUT, "--between %s..%s: the range is %s", order->low,
                         order->high, search->low == search->high ? "empty" : "reversed");
    }
    out->kind = s->lever.kind;
    out->whole = search->whole = s->lever.whole;
    return status;
}

static cb_status find(sizing *s, cb_sized *out, const cb_units *units, cb_error *error)
{
    cb_search search = {.most = s->order->most,
                        .noise = find_holdable(out->finding)->noise,
                        .looks = LOOKS,
                        .most_points = MOST_RUNS,
                        .margin = margin_at,
                        .snap = snap,
                        .context = s};
    cb_status status = read_range(s, out, &search, error);
    if (status == CB_OK) {
        status = read_step(s, out, &search, units, error);
    }
    if (status == CB_OK) {
        status = cb_search_run(&out->search, &search, error);
    }
    if (status == CB_OK && !isnan(out->search.value)) {
        char text[CBX_LEVER_TEXT];
        write_value(s, out->search.value, text);
        snprintf(out->answer, sizeof out->answer, "%.*s", (int)sizeof out->answer - 1, text);
    }
    return status;
}

cb_status cb_size_run(cb_sized *out, const cb_size_order *order, const cb_units *units,
                      cb_error *error)
{
    if (!out || !order || !units || !order->path || !order->low || !order->high || !order->get) {
        return cb_fail(error, CB_BAD_CALL, "cb_size_run needs a path, a range and a way to run");
    }
    *out = (cb_sized){.path = order->path};
    const cb_case_source *given = &order->source;
    sizing s = {.order = order,
                .what = out,
                .lever = {.path = order->path, .option = "--vary"},
                .set = calloc(given->set_count + 1, sizeof *s.set)};
    if (!s.set) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the values to set");
    }
    for (size_t i = 0; i < given->set_count; i++) {
        s.set[i] = given->set[i];
    }
    cb_design *design = NULL;
    cb_status status = choose_finding(out, order, units, error);
    if (status == CB_OK) {
        status = cbx_source_design(&design, given, units, error);
    }
    if (status == CB_OK) {
        status = cbx_lever_open(&s.lever, design, units, error);
    }
    if (status == CB_OK) {
        status = find(&s, out, units, error);
    }
    cbx_lever_close(&s.lever);
    cb_design_destroy(design);
    free(s.set);
    return status;
}
