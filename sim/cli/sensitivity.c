// SPDX-License-Identifier: MIT
#include "coilbed/sensitivity.h"

#include "cli/cases.h"
#include "cli/message.h"
#include "coilbed/version.h"
#include "findings/json_writer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TEXT = 48, PATH_COLUMN = 31 };

typedef struct quantity {
    char text[TEXT];
} quantity;

/// A temperature moves by degrees; what is per year has the year left to the heading.
static cb_kind change_kind(cb_kind kind)
{
    return kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE : kind;
}

static const char *unit_label(cb_kind kind, cb_unit_system system)
{
    return kind == CB_TEMPERATURE_DIFFERENCE && system == CB_UNITS_US
               ? "degF"
               : cb_units_label(kind, system);
}

static quantity shown(cb_kind kind, cb_unit_system system, double si, int digits)
{
    quantity out;
    snprintf(out.text, sizeof out.text, "%.*g %s", digits, cb_units_value(kind, system, si),
             unit_label(kind, system));
    return out;
}

static void print_row(const cb_sensitivity *got, const cb_effect *effect, cb_unit_system system)
{
    const cb_kind number = change_kind(cb_headline_row_of(got->number)->kind);
    const cb_kind kind = change_kind(effect->kind);
    printf("  %-*s %-13s ", PATH_COLUMN, effect->path,
           shown(effect->kind, system, effect->value, 3).text);
    if (isnan(effect->effect)) {
        printf("could not be moved\n");
        return;
    }
    printf("%-13s %+8.2f%s %8.2f %8.2f\n", shown(kind, system, effect->spread, 2).text,
           cb_units_value(number, system, effect->effect), effect->central ? " " : "~",
           effect->central ? cb_units_value(number, system, effect->bend) : 0.0,
           cb_units_value(number, system, effect->blur));
}

static void print_refusals(const cb_sensitivity *got)
{
    for (int i = 0; i < got->count; i++) {
        if (got->effect[i].refused[0]) {
            cli_wrap(stdout, got->effect[i].refused, 0, 2, cli_width());
        }
    }
}

static void print_sensitivity(const cb_sensitivity *got, const cli_options *options)
{
    const cb_headline_row *row = cb_headline_row_of(got->number);
    const cb_kind number = change_kind(row->kind);
    const cb_unit_system system = options->units;
    char head[200];
    printf("%s: what moves %s (%s)\n\n", options->operand, row->name, row->meaning);
    printf("As designed it is %s; the noise of a run is %s.\n\n",
           shown(row->kind, system, got->base, 4).text, shown(number, system, got->noise, 2).text);
    snprintf(head, sizeof head, "by, %s", unit_label(number, system));
    printf("  %-*s %-13s %-13s %9s %8s %8s\n", PATH_COLUMN, "value", "is", "if more by", head,
           "bend", "blur");
    for (int i = 0; i < got->count; i++) {
        print_row(got, &got->effect[i], system);
    }
    putchar('\n');
    cli_wrap(stdout,
             "Largest first. \"if more by\" is a plausible spread (a mark of this program, no "
             "source); less by as much moves it the other way. By differences over a step up and "
             "a step down; ~ has only one side, the design refuses the other. bend: by how much "
             "the straight line may be off over that spread; blur: what the noise of the runs "
             "makes of it.",
             0, 0, cli_width());
    print_refusals(got);
}

static void put_effect(cbx_json *json, const cb_effect *effect)
{
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "path", effect->path);
    cbx_json_text(json, "title", effect->title);
    cbx_json_text(json, "unit", cb_units_label(effect->kind, CB_UNITS_SI));
    cbx_json_number(json, "value", effect->value);
    cbx_json_number(json, "step", effect->step);
    cbx_json_number(json, "spread", effect->spread);
    cbx_json_number(json, "slope", effect->slope);
    cbx_json_number(json, "effect", effect->effect);
    cbx_json_flag(json, "central", effect->central);
    cbx_json_number(json, "bend", effect->bend);
    cbx_json_number(json, "blur", effect->blur);
    cbx_json_text(json, "refused", effect->refused[0] ? effect->refused : NULL);
    cbx_json_close(json, '}');
}

static void print_json(const cb_sensitivity *got, const cli_options *options)
{
    const cb_headline_row *row = cb_headline_row_of(got->number);
    cbx_json json = {.stream = stdout};
    cbx_json_open(&json, NULL, '{');
    cbx_json_text(&json, "program", "coilbed " CB_VERSION);
    cbx_json_text(&json, "file", options->operand);
    cbx_json_text(&json, "number", row->name);
    cbx_json_text(&json, "unit", row->unit);
    cbx_json_number(&json, "base", got->base);
    cbx_json_number(&json, "noise", got->noise);
    cbx_json_open(&json, "effects", '[');
    for (int i = 0; i < got->count; i++) {
        put_effect(&json, &got->effect[i]);
    }
    cbx_json_close(&json, ']');
    cbx_json_close(&json, '}');
    putchar('\n');
}

static cb_status get_case(void *context, const cb_case_source *source, const char *value,
                          cb_case **out, cb_error *error)
{
    cli_cases *cases = context;
    char what[300];
    snprintf(what, sizeof what, "%s, %s", source->path, value);
    return cli_cases_run(out, cases, source, what, error);
}

static bool read_factor(const char *text, double *factor)
{
    char *end = NULL;
    *factor = text ? strtod(text, &end) : 1.0;
    if (text && (end == text || *end || !(*factor >= 0.01 && *factor <= 10.0))) {
        cli_complain("--step-factor '%s': write a number from 0.01 to 10", text);
        return false;
    }
    return true;
}

static int sensitivity_run(const cli_options *options)
{
    cb_sensitivity_order order = {
        .source = {.path = options->operand, .set = options->set, .set_count = options->set_count},
        .number = options->of,
        .get = get_case};
    if (!read_factor(options->step, &order.step_factor)) {
        return CLI_FAILED;
    }
    cli_cases cases;
    cb_sensitivity got;
    cb_error error = {0};
    cb_status status = cli_cases_open(&cases, options, &error);
    if (status == CB_OK) {
        order.context = &cases;
        status = cb_sensitivity_run(&got, &order, cases.units, &error);
    }
    int result = CLI_HELD;
    if (status != CB_OK) {
        result = cli_cases_fail(&cases, &error);
    } else if (options->json) {
        print_json(&got, options);
    } else {
        print_sensitivity(&got, options);
    }
    cli_cases_close(&cases);
    return result;
}

const cli_command cli_sensitivity = {
    .name = "sensitivity",
    .operand = "FILE",
    .summary = "how far each value of a design moves its margin",
    .details =
        "Runs the design in FILE again with one value after the other moved a little up and\n"
        "down, and ranks by what a plausible spread of each would do to a headline number,\n"
        "the margin to the freezing limit unless --of names another: conductivity and water\n"
        "of the soil round the coil, depth, pitch, length, spacing, flow, antifreeze, heating\n"
        "load, and how hard winters may be. Some twenty runs, kept as by coilbed compare: try\n"
        "--set run.years=2 --set run.accuracy=draft first.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_JSON | CLI_TAKES_QUIET | CLI_TAKES_EFFECT,
    .run = sensitivity_run,
};
