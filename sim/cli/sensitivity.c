// SPDX-License-Identifier: MIT
#include "coilbed/sensitivity.h"

#include "cli/cases.h"
#include "cli/message.h"
#include "coilbed/version.h"
#include "findings/json_writer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TEXT = 48, PATH_COLUMN = 30, CHANGE_COLUMN = 27 };

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

/// To three digits, large numbers whole: never as 2.6e+04.
static quantity number(cb_kind kind, cb_unit_system system, double si)
{
    const double value = cb_units_value(kind, system, si);
    quantity out;
    if (fabs(value) >= 1000.0) {
        snprintf(out.text, sizeof out.text, "%.0f", value);
    } else {
        snprintf(out.text, sizeof out.text, "%.3g", value);
    }
    return out;
}

static quantity shown(cb_kind kind, cb_unit_system system, double si)
{
    quantity out;
    snprintf(out.text, sizeof out.text, "%.20s %.20s", number(kind, system, si).text,
             unit_label(kind, system));
    return out;
}

static void print_row(const cb_sensitivity *got, const cb_effect *effect, cb_unit_system system)
{
    const cb_kind out = change_kind(cb_headline_row_of(got->number)->kind);
    char spread[CHANGE_COLUMN + 20];
    snprintf(spread, sizeof spread, "%.12s + %.12s %.18s",
             number(effect->kind, system, effect->value).text,
             number(change_kind(effect->kind), system, effect->spread).text,
             unit_label(effect->kind, system));
    printf("  %-*s %-*s ", PATH_COLUMN, effect->path, CHANGE_COLUMN, spread);
    if (isnan(effect->effect)) {
        printf("not moved\n");
        return;
    }
    char bend[20] = "-";
    if (effect->central) {
        snprintf(bend, sizeof bend, "%.2f", cb_units_value(out, system, effect->bend));
    }
    printf("%+6.2f %5s %5.1g%s\n", cb_units_value(out, system, effect->effect), bend,
           cb_units_value(out, system, effect->blur),
           fabs(effect->effect) > 2.0 * effect->blur ? "" : " !");
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
    const cb_kind kind = change_kind(row->kind);
    const cb_unit_system system = options->units;
    printf("%s: what moves %s\n", options->operand, row->name);
    cli_wrap(stdout, row->meaning, 0, 2, cli_width());
    printf("\nAs designed it is %s; the noise of a run is %s.\n\n",
           shown(row->kind, system, got->base).text, shown(kind, system, got->noise).text);
    printf("  %-*s %-*s %6s %5s %5s\n", PATH_COLUMN, "value", CHANGE_COLUMN, "is, and if more by",
           unit_label(kind, system), "bend", "noise");
    for (int i = 0; i < got->count; i++) {
        print_row(got, &got->effect[i], system);
    }
    putchar('\n');
    cli_wrap(stdout,
             "Largest first. What stands after + is a plausible spread (a mark of this program, no "
             "source); less by as much moves the number the other way. Found by differences over "
             "a small step up and one down, or over the one side that the design accepts (no "
             "bend then). bend: by how much the straight line may be off over the spread. noise: "
             "what the noise of the runs, over the step, makes of it; !: it is no larger than "
             "that.",
             0, 0, cli_width());
    print_refusals(got);
}

static void put_effect(cbx_json *json, const cb_effect *effect)
{
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "path", effect->path);
    cbx_json_text(json, "title", effect->title);
    cbx_json_text(json, "unit", cb_kind_si_unit(effect->kind));
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
        .into = options->into,
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
        if (options->into && !options->quiet) {
            printf("\nNow coilbed findings %s ranks by it what would help.\n", options->into);
        }
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
        "--set run.years=2 --set run.accuracy=draft first.\n"
        "\n"
        "--into keeps the derivatives in the file of a finished run of the same design, made\n"
        "with the same --set options: coilbed findings then ranks what would help by how far\n"
        "each step moves the margin.\n",
    .takes = CLI_TAKES_UNITS | CLI_TAKES_SET | CLI_TAKES_JSON | CLI_TAKES_QUIET | CLI_TAKES_EFFECT,
    .run = sensitivity_run,
};
