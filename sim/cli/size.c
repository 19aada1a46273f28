// SPDX-License-Identifier: MIT
#include "coilbed/size.h"

#include "cli/cases.h"
#include "cli/message.h"
#include "coilbed/version.h"
#include "findings/json_writer.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TEXT = 64 };

typedef struct quantity {
    char text[TEXT];
} quantity;

static quantity value_text(const cb_sized *sized, cb_unit_system system, double si)
{
    quantity out;
    if (sized->whole && sized->kind == CB_NUMBER) {
        snprintf(out.text, sizeof out.text, "%.0f", si);
    } else {
        cb_units_format(sized->kind, system, si, 4, out.text, sizeof out.text);
    }
    return out;
}

static quantity margin_text(const cb_sized *sized, cb_unit_system system, double si)
{
    quantity out;
    const bool degrees = sized->margin_kind == CB_TEMPERATURE_DIFFERENCE;
    const double shown = cb_units_value(sized->margin_kind, system, si);
    // What just fails must not read as if it just held.
    const bool tiny = shown != 0.0 && fabs(shown) < 0.0095;
    snprintf(out.text, sizeof out.text, tiny ? "%+.1g %s" : "%+.2f %s", shown,
             degrees && system == CB_UNITS_US ? "degF"
                                              : cb_units_label(sized->margin_kind, system));
    return out;
}

// ---- print -----------------------------------------------------------------------------------

static void print_points(const cb_sized *sized, cb_unit_system system)
{
    const cb_search_result *search = &sized->search;
    int order[CB_SEARCH_POINTS];
    for (int i = 0; i < search->count; i++) {
        int at = i;
        for (; at > 0 && search->point[order[at - 1]].value > search->point[i].value; at--) {
            order[at] = order[at - 1];
        }
        order[at] = i;
    }
    printf("\n  %-18s %-14s %-6s %s\n", sized->path, sized->finding, "", "run");
    for (int i = 0; i < search->count; i++) {
        const cb_search_point *point = &search->point[order[i]];
        printf("  %-18s %-14s %-6s %d%s%s\n", value_text(sized, system, point->value).text,
               margin_text(sized, system, point->margin + sized->margin).text,
               point->margin >= 0 ? "holds" : "fails", order[i] + 1,
               point->look ? ", a look beside" : "",
               point->value == search->value    ? "   <- the answer"
               : point->value == search->beyond ? "   <- does not hold"
                                                : "");
    }
}

static const cb_search_point *best_point(const cb_search_result *search)
{
    const cb_search_point *best = &search->point[0];
    for (int i = 1; i < search->count; i++) {
        best = search->point[i].margin > best->margin ? &search->point[i] : best;
    }
    return best;
}

/// Of values that all fail: the one that came nearest, and where it is worth to look closer.
static void print_nearest(const cb_sized *sized, cb_unit_system system)
{
    const cb_search_result *search = &sized->search;
    const cb_search_point *best = best_point(search);
    double below = -INFINITY, above = INFINITY; // its neighbours
    for (int i = 0; i < search->count; i++) {
        const double value = search->point[i].value;
        below = value < best->value ? fmax(below, value) : below;
        above = value > best->value ? fmin(above, value) : above;
    }
    char text[400];
    int used = snprintf(text, sizeof text, "Nearest to it came %s (%s %s).",
                        value_text(sized, system, best->value).text, sized->finding,
                        margin_text(sized, system, best->margin + sized->margin).text);
    if (isfinite(below) && isfinite(above)) {
        snprintf(text + used, sizeof text - (size_t)used,
                 " It is best inside the range: between %s and %s something may hold.",
                 value_text(sized, system, below).text, value_text(sized, system, above).text);
    }
    cli_wrap(stdout, text, 0, 0, cli_width());
}

static void print_answer(const cb_sized *sized, const cli_options *options)
{
    const cb_search_result *search = &sized->search;
    const char *which = options->most ? "most" : "least";
    const quantity value = value_text(sized, options->units, search->value);
    const quantity margin = margin_text(sized, options->units, search->margin + sized->margin);
    switch (search->outcome) {
        case CB_SEARCH_FOUND:
            printf("The %s %s that holds is %s (%s %s); at %s it does not hold.\n", which,
                   sized->path, value.text, sized->finding, margin.text,
                   value_text(sized, options->units, search->beyond).text);
            break;
        case CB_SEARCH_ALL_HOLD:
            printf("%s, the end of the range, holds (%s %s). The %s lies there or beyond.\n",
                   value.text, sized->finding, margin.text, which);
            break;
        case CB_SEARCH_NONE_HOLD:
            printf("No value asked for holds, from %s to %s.\n",
                   value_text(sized, options->units, search->point[!options->most].value).text,
                   value_text(sized, options->units, search->point[options->most].value).text);
            print_nearest(sized, options->units);
            break;
        case CB_SEARCH_UNFINISHED:
            printf("%s holds (%s %s); where the %s lies was not found more closely.\n", value.text,
                   sized->finding, margin.text, which);
            break;
    }
}

/// The range's end holds, the other end does not, and the margin only ever gets worse towards it.
static bool is_reversed(const cb_sized *sized)
{
    const cb_search_result *search = &sized->search;
    bool reversed = search->outcome == CB_SEARCH_ALL_HOLD && search->count >= 2;
    for (int i = 0; reversed && i < search->count; i++) {
        for (int k = 0; k < search->count; k++) {
            const double far_i = fabs(search->point[i].value - search->value);
            const double far_k = fabs(search->point[k].value - search->value);
            reversed =
                reversed && (far_i <= far_k || search->point[i].margin <= search->point[k].margin);
        }
    }
    return reversed;
}

static void print_caution(const cb_sized *sized, const cli_options *options)
{
    const cb_search_result *search = &sized->search;
    if (!search->turns) {
        return;
    }
    char text[400];
    const quantity from = value_text(sized, options->units, search->turn_from);
    const quantity to = value_text(sized, options->units, search->turn_to);
    if (isnan(search->value)) {
        snprintf(text, sizeof text,
                 "Caution: %s does not act one way only here. From %s to %s the margin gets "
                 "smaller, though it should grow.",
                 sized->path, from.text, to.text);
    } else if (is_reversed(sized)) {
        snprintf(text, sizeof text,
                 "Caution: here it is the %s values that do not hold, so the %s has no bound "
                 "inside the range; the %s may be meant (%s --most).",
                 options->most ? "small" : "large", options->most ? "most" : "least",
                 options->most ? "least" : "most", options->most ? "leave out" : "add");
    } else if (search->contradicted) {
        snprintf(text, sizeof text,
                 "Caution: %s does not act one way only here. %s holds, yet %s, on the side that "
                 "should hold better, does not; more than one value may be the %s. Look closer, "
                 "between narrower limits or with coilbed vary.",
                 sized->path, from.text, to.text, options->most ? "most" : "least");
    } else {
        snprintf(text, sizeof text,
                 "Caution: %s does not act one way only here. From %s to %s the margin gets "
                 "smaller, though it should grow; the answer holds as far as it was looked at.",
                 sized->path, from.text, to.text);
    }
    putchar('\n');
    cli_wrap(stdout, text, 0, 0, cli_width());
}

static void print_sized(const cb_sized *sized, const cli_options *options)
{
    const quantity margin = margin_text(sized, options->units, sized->margin);
    printf("%s: the %s %s that holds %s by %s, to %s\n\n", options->operand,
           options->most ? "most" : "least", sized->path, sized->finding, margin.text,
           value_text(sized, options->units, sized->step).text);
    print_answer(sized, options);
    print_caution(sized, options);
    print_points(sized, options->units);
    if (sized->answer[0]) {
        printf("\nAs a run: coilbed run %s --set %s='%s'\n", options->operand, sized->path,
               sized->answer);
    }
}

// ---- JSON ------------------------------------------------------------------------------------

static void print_json(const cb_sized *sized, const cli_options *options, int status)
{
    static const char *const outcome[] = {"found", "all_hold", "none_hold", "unfinished"};
    const cb_search_result *search = &sized->search;
    cbx_json json = {.stream = stdout};
    cbx_json_open(&json, NULL, '{');
    cbx_json_text(&json, "program", "coilbed " CB_VERSION);
    cbx_json_text(&json, "file", options->operand);
    cbx_json_text(&json, "path", sized->path);
    cbx_json_text(&json, "unit", cb_kind_si_unit(sized->kind));
    cbx_json_text(&json, "finding", sized->finding);
    cbx_json_number(&json, "margin_wanted", sized->margin);
    cbx_json_text(&json, "margin_unit", cb_kind_si_unit(sized->margin_kind));
    cbx_json_flag(&json, "most", options->most);
    cbx_json_number(&json, "step", sized->step);
    cbx_json_text(&json, "outcome", outcome[search->outcome]);
    cbx_json_number(&json, "value", search->value);
    cbx_json_number(&json, "does_not_hold", search->beyond);
    cbx_json_text(&json, "set", sized->answer[0] ? sized->answer : NULL);
    cbx_json_flag(&json, "one_way", !search->turns);
    cbx_json_flag(&json, "contradicted", search->contradicted);
    cbx_json_open(&json, "runs", '[');
    for (int i = 0; i < search->count; i++) {
        cbx_json_open(&json, NULL, '{');
        cbx_json_number(&json, "value", search->point[i].value);
        cbx_json_number(&json, "margin", search->point[i].margin + sized->margin);
        cbx_json_flag(&json, "holds", search->point[i].margin >= 0);
        cbx_json_flag(&json, "look", search->point[i].look);
        cbx_json_close(&json, '}');
    }
    cbx_json_close(&json, ']');
    cbx_json_number(&json, "exit_status", status);
    cbx_json_text(&json, "exit_meaning", cli_exit_meaning(status));
    cbx_json_close(&json, '}');
    putchar('\n');
}

// ---- the command -----------------------------------------------------------------------------

static cb_status get_case(void *context, const cb_case_source *source, const char *value,
                          cb_case **out, cb_error *error)
{
    cli_cases *cases = context;
    char what[200];
    snprintf(what, sizeof what, "%s with %s=%s", source->path, cases->options->vary, value);
    return cli_cases_run(out, cases, source, what, error);
}

/// "LOW..HIGH" in two, in a copy that the caller frees.
static char *split_range(const char *text, const char **high)
{
    char *low = strdup(text);
    char *dots = low ? strstr(low, "..") : NULL;
    if (dots) {
        *dots = '\0';
        *high = dots + 2;
    }
    return low;
}

static int size_run(const cli_options *options)
{
    if (!options->vary || !options->between) {
        return cli_complain(
            "size: %s is missing; e.g. --vary field.length --between '100 ft..250 ft'",
            options->vary ? "--between" : "--vary");
    }
    const char *high = NULL;
    char *low = split_range(options->between, &high);
    if (!low || !high) {
        free(low);
        return cli_complain("--between '%s': write LOW..HIGH, e.g. '100 ft..250 ft'",
                            options->between);
    }
    cli_cases cases;
    cb_sized sized;
    cb_error error = {0};
    cb_status status = cli_cases_open(&cases, options, &error);
    if (status == CB_OK) {
        const cb_size_order order = {.source = {.path = options->operand,
                                                .set = options->set,
                                                .set_count = options->set_count},
                                     .path = options->vary,
                                     .low = low,
                                     .high = high,
                                     .finding = options->hold,
                                     .margin = options->margin,
                                     .step = options->step,
                                     .most = options->most,
                                     .system = options->units,
                                     .get = get_case,
                                     .context = &cases};
        status = cb_size_run(&sized, &order, cases.units, &error);
    }
    int result = CLI_HELD;
    if (status != CB_OK) {
        result = cli_cases_fail(&cases, &error);
    } else {
        result = isnan(sized.search.value) ? CLI_BROKEN : CLI_HELD;
        if (options->json) {
            print_json(&sized, options, result);
        } else {
            print_sized(&sized, options);
        }
    }
    free(low);
    cli_cases_close(&cases);
    return result;
}

const cli_command cli_size = {
    .name = "size",
    .operand = "FILE",
    .summary = "the least or most of one value that still holds",
    .details =
        "Finds the least of one number of the design in FILE (or with --most the largest)\n"
        "that still holds a finding by a margin, by running it at both ends of a range and\n"
        "then ever closer between what holds and what does not. Whole numbers stay whole. A\n"
        "few looks beside the search show whether the value acts one way only; where it does\n"
        "not, that is said. Findings that can be held: freeze_margin, entering_minimum,\n"
        "entering_maximum, pipe_temperature, drift_coldest, drift_minimum, drift_maximum,\n"
        "frost_depth, reynolds.\n"
        "\n"
        "  coilbed size yard.yaml --vary field.length --between '100 ft..250 ft' \\\n"
        "      --hold freeze_margin --margin '2 delta_degF'\n"
        "  coilbed size yard.yaml --vary field.coil.pitch --between '12 in..60 in' --most\n"
        "\n"
        "Cases are kept as by coilbed compare. The exit status is 3 if no value holds.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_JSON | CLI_TAKES_QUIET | CLI_TAKES_SEARCH,
    .run = size_run,
};
