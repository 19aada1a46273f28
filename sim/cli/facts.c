// SPDX-License-Identifier: MIT
#include "cli/facts.h"

#include "cli/failure.h"
#include "cli/message.h"
#include "cli/terminal.h"
#include "coilbed/version.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { INDENT = 2, VALUE_COLUMN = 31, SHOWN_DIGITS = 3 };

static cli_fact *add(cli_facts *facts, const char *key, const char *label)
{
    if (facts->failed) {
        return NULL;
    }
    if (facts->count == facts->room) {
        const size_t room = facts->room ? 2 * facts->room : 64;
        cli_fact *larger = realloc(facts->fact, room * sizeof *larger);
        if (!larger) {
            facts->failed = true;
            return NULL;
        }
        facts->fact = larger;
        facts->room = room;
    }
    cli_fact *fact = &facts->fact[facts->count++];
    *fact = (cli_fact){.section = facts->section, .unit = ""};
    snprintf(fact->key, sizeof fact->key, "%s", key);
    snprintf(fact->label, sizeof fact->label, "%s", label);
    return fact;
}

/// The unit of `value`, as UDUNITS spells it; the label of SI output may be a multiple ("kW").
static const char *si_unit(cb_kind kind)
{
#define AS_SI(kind, name, si, us, us_example, si_example) [kind] = (si),
    static const char *const text[CB_KIND_COUNT] = {CB_KIND_LIST(AS_SI)};
#undef AS_SI
    return text[kind];
}

cli_fact *cli_fact_quantity(cli_facts *facts, const char *key, const char *label, cb_kind kind,
                            double si)
{
    cli_fact *fact = add(facts, key, label);
    if (fact) {
        fact->has_value = true;
        fact->value = si;
        fact->unit = si_unit(kind);
        cb_units_format(kind, facts->system, si, SHOWN_DIGITS, fact->shown, sizeof fact->shown);
    }
    return fact;
}

cli_fact *cli_fact_value(cli_facts *facts, const char *key, const char *label, double si,
                         const char *unit, const char *format, ...)
{
    cli_fact *fact = add(facts, key, label);
    if (fact) {
        fact->has_value = true;
        fact->value = si;
        fact->unit = unit;
        va_list arguments;
        va_start(arguments, format);
        vsnprintf(fact->shown, sizeof fact->shown, format, arguments);
        va_end(arguments);
    }
    return fact;
}

cli_fact *cli_fact_text(cli_facts *facts, const char *key, const char *label, const char *format,
                        ...)
{
    cli_fact *fact = add(facts, key, label);
    if (fact) {
        va_list arguments;
        va_start(arguments, format);
        vsnprintf(fact->shown, sizeof fact->shown, format, arguments);
        va_end(arguments);
    }
    return fact;
}

void cli_fact_note(cli_fact *fact, const char *format, ...)
{
    if (!fact) {
        return;
    }
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(fact->note, sizeof fact->note, format, arguments);
    va_end(arguments);
}

static void print_fact(const cli_fact *fact, int width, FILE *stream)
{
    char text[CLI_SHOWN_SIZE + CLI_NOTE_SIZE + 4];
    snprintf(text, sizeof text, fact->note[0] ? "%s (%s)" : "%s", fact->shown, fact->note);
    if (!fact->label[0]) {
        fputs("  -", stream);
        cli_wrap(stream, text, INDENT + 1, INDENT + 2, width);
        return;
    }
    const int column = fprintf(stream, "%*s%s", INDENT, "", fact->label);
    if (column < VALUE_COLUMN) {
        cli_wrap(stream, text, column, VALUE_COLUMN, width);
    } else {
        fputc('\n', stream);
        cli_wrap(stream, text, 0, VALUE_COLUMN, width);
    }
}

void cli_facts_print(const cli_facts *facts, int width, FILE *stream)
{
    const char *section = NULL;
    for (size_t i = 0; i < facts->count; i++) {
        const cli_fact *fact = &facts->fact[i];
        if (!section || strcmp(section, fact->section) != 0) {
            fprintf(stream, "%s%c%s\n", section ? "\n" : "",
                    toupper((unsigned char)fact->section[0]), fact->section + 1);
            section = fact->section;
        }
        print_fact(fact, width, stream);
    }
}

static void json_fact(cbx_json *json, const cli_fact *fact)
{
    cbx_json_open(json, fact->key, '{');
    if (fact->has_value) {
        cbx_json_number(json, "value", fact->value);
        cbx_json_text(json, "unit", fact->unit);
    }
    cbx_json_text(json, "text", fact->shown);
    if (fact->note[0]) {
        cbx_json_text(json, "note", fact->note);
    }
    cbx_json_close(json, '}');
}

void cli_facts_json_head(cbx_json *json, const char *file)
{
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "program", "coilbed " CB_VERSION);
    cbx_json_text(json, "file", file);
    cbx_json_text(json, "verdict", "valid");
    cbx_json_number(json, "exit_status", CLI_HELD);
    cbx_json_text(json, "exit_meaning", cli_exit_meaning(CLI_HELD));
    cbx_json_null(json, "quality"); // the field was not simulated
}

void cli_facts_json_sections(const cli_facts *facts, cbx_json *json)
{
    const char *section = NULL;
    for (size_t i = 0; i < facts->count; i++) {
        const cli_fact *fact = &facts->fact[i];
        if (!section || strcmp(section, fact->section) != 0) {
            if (section) {
                cbx_json_close(json, '}');
            }
            section = fact->section;
            cbx_json_open(json, section, '{');
        }
        json_fact(json, fact);
    }
    if (section) {
        cbx_json_close(json, '}');
    }
}

void cli_facts_json(const cli_facts *facts, const char *file, FILE *stream)
{
    cbx_json json = {.stream = stream};
    cli_facts_json_head(&json, file);
    cli_facts_json_sections(facts, &json);
    cbx_json_close(&json, '}');
    fputc('\n', stream);
}

void cli_facts_free(cli_facts *facts)
{
    free(facts->fact);
    *facts = (cli_facts){0};
}

int cli_facts_tell(cli_facts *facts, const cli_options *options, const char *path,
                   const char *heading)
{
    int result = CLI_HELD;
    if (facts->failed) {
        cb_error error = {0};
        cb_fail(&error, CB_NO_MEMORY, "out of memory");
        result = cli_fail(options, &error);
    } else if (options->json) {
        cli_facts_json(facts, path, stdout);
    } else {
        printf("%s: %s\n\n", path, heading);
        cli_facts_print(facts, cli_width(), stdout);
    }
    cli_facts_free(facts);
    return result;
}
