// SPDX-License-Identifier: MIT
#include "design/read.h"
#include "design/value.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool is_nested(const cbx_row *row)
{
    return row->type == CBX_BLOCK || row->type == CBX_LIST || row->type == CBX_NORMALS;
}

static bool is_number_kind(cb_kind kind)
{
    return kind == CB_NUMBER || kind == CB_FRACTION;
}

// What range a value may have, in both systems; "" where there is none.
static void put_range(FILE *stream, const cbx_row *row)
{
    if (row->type == CBX_WHOLE) {
        fprintf(stream, "%.0f to %.0f%s%s%s", row->minimum, row->maximum,
                row->kind == CB_TIME ? " days" : "", row->word ? " or " : "",
                row->word ? row->word : "");
        return;
    }
    if (row->type != CBX_QUANTITY && row->type != CBX_VALUES) {
        return;
    }
    char text[2][2][64];
    const double per = row->per != 0 ? row->per : 1;
    for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
        cb_units_format(row->kind, (cb_unit_system)system, row->minimum * per, 3, text[system][0],
                        sizeof text[system][0]);
        cb_units_format(row->kind, (cb_unit_system)system, row->maximum * per, 3, text[system][1],
                        sizeof text[system][1]);
    }
    fprintf(stream, "%s to %s", text[0][0], text[0][1]);
    if (strcmp(text[0][1], text[1][1]) != 0) {
        fprintf(stream, " (%s to %s)", text[1][0], text[1][1]);
    }
}

// ---- JSON Schema -----------------------------------------------------------------------------

static void put_json_text(FILE *stream, const char *text)
{
    for (const char *at = text; *at; at++) {
        if (*at == '"' || *at == '\\') {
            fputc('\\', stream);
        }
        fputc(*at, stream);
    }
}

static void put_json_string(FILE *stream, const char *text)
{
    fputc('"', stream);
    put_json_text(stream, text);
    fputc('"', stream);
}

static void put_json_object(FILE *stream, const cbx_row *rows, int depth);

static void put_description(FILE *stream, const cbx_row *row)
{
    fputs("\"description\": \"", stream);
    put_json_text(stream, row->help);
    if (row->type == CBX_QUANTITY || row->type == CBX_VALUES || row->type == CBX_WHOLE) {
        fputs("; ", stream);
        put_range(stream, row);
    }
    if (row->standard) {
        fputs("; default ", stream);
        put_json_text(stream, row->standard);
    }
    if (row->reason) {
        fputs(row->standard ? ": " : "; when left out: ", stream);
        put_json_text(stream, row->reason);
    }
    fputc('"', stream);
}

static void put_json_quantity(FILE *stream, cb_kind kind)
{
    fprintf(stream, "\"type\": %s, \"examples\": [",
            is_number_kind(kind) ? "[\"number\", \"string\"]" : "\"string\"");
    put_json_string(stream, cb_kind_us_example(kind));
    fputs(", ", stream);
    put_json_string(stream, cb_kind_si_example(kind));
    fputs("]", stream);
}

static void put_json_choices(FILE *stream, const cbx_row *row)
{
    fputs("\"enum\": [", stream);
    for (int i = 0; row->choices[i]; i++) {
        fputs(i ? ", " : "", stream);
        put_json_string(stream, row->choices[i]);
    }
    fputs("]", stream);
}

static void put_json_list(FILE *stream, const cbx_row *row, int depth)
{
    fprintf(stream, "\"type\": \"array\", \"minItems\": %d, \"maxItems\": %d, \"items\": {",
            row->least, row->most);
    if (row->type == CBX_LIST) {
        put_json_object(stream, row->rows, depth + 1);
    } else {
        put_json_quantity(stream, row->kind);
    }
    fputs("}", stream);
}

static void put_json_shape(FILE *stream, const cbx_row *row, int depth)
{
    switch (row->type) {
        case CBX_QUANTITY:
            put_json_quantity(stream, row->kind);
            break;
        case CBX_WHOLE:
            fputs("\"type\": [\"integer\", \"string\"]", stream);
            break;
        case CBX_TEXT:
        case CBX_FILE:
            fputs("\"type\": \"string\"", stream);
            break;
        case CBX_WORD:
        case CBX_CHOICE:
        case CBX_SWITCH:
            put_json_choices(stream, row);
            break;
        case CBX_DATE:
            fputs("\"type\": \"string\", \"pattern\": \"^[01][0-9]-[0-3][0-9]$\"", stream);
            break;
        case CBX_VERSION:
            fprintf(stream, "\"const\": %.0f", row->minimum);
            break;
        case CBX_VALUES:
        case CBX_LIST:
            put_json_list(stream, row, depth);
            break;
        case CBX_BLOCK:
            put_json_object(stream, row->rows, depth);
            break;
        case CBX_NORMALS:
            fputs("\"anyOf\": [{\"type\": \"string\"}, {", stream);
            put_json_object(stream, row->rows, depth);
            fputs("}]", stream);
            break;
    }
}

static void put_json_required(FILE *stream, const cbx_row *rows)
{
    int count = 0;
    for (const cbx_row *row = rows; row->name; row++) {
        if (row->required && !row->applies) {
            fputs(count++ ? ", " : ", \"required\": [", stream);
            put_json_string(stream, row->name);
        }
    }
    fputs(count ? "]" : "", stream);
}

static void put_json_object(FILE *stream, const cbx_row *rows, int depth)
{
    fputs("\"type\": \"object\", \"additionalProperties\": false", stream);
    put_json_required(stream, rows);
    fputs(", \"properties\": {", stream);
    for (const cbx_row *row = rows; row->name; row++) {
        fprintf(stream, "%s\n%*s\"%s\": {", row == rows ? "" : ",", 2 * depth, "", row->name);
        put_description(stream, row);
        fputs(", ", stream);
        put_json_shape(stream, row, depth + 1);
        fputs("}", stream);
    }
    fputs("}", stream);
}

// ---- Markdown --------------------------------------------------------------------------------

static void put_cell(FILE *stream, const char *text)
{
    for (const char *at = text; *at; at++) {
        fputs(*at == '|' ? "\\|" : (char[]){*at, '\0'}, stream);
    }
}

static void put_accepted(FILE *stream, const cbx_row *row)
{
    char list[256];
    switch (row->type) {
        case CBX_WORD:
        case CBX_CHOICE:
        case CBX_SWITCH:
            put_cell(stream, cbx_choices_text(row, list, sizeof list));
            break;
        case CBX_TEXT:
            fputs("text", stream);
            break;
        case CBX_FILE:
            fputs("path", stream);
            break;
        case CBX_NORMALS:
            fputs("path, or the keys below", stream);
            break;
        case CBX_DATE:
            fputs("month-day", stream);
            break;
        case CBX_VERSION:
            fprintf(stream, "%.0f", row->minimum);
            break;
        case CBX_VALUES:
            fprintf(stream,
                    row->least == row->most ? "list of %d, each " : "list of up to %d, each ",
                    row->most);
            put_range(stream, row);
            break;
        case CBX_LIST:
            fprintf(stream, "list of up to %d", row->most);
            break;
        default:
            put_range(stream, row);
            break;
    }
}

static void put_default(FILE *stream, const cbx_row *row)
{
    if (row->required) {
        fputs(row->applies ? "needed where it applies" : "needed", stream);
    } else if (row->standard) {
        fprintf(stream, "`%s`: ", row->standard);
    }
    if (!row->required) {
        put_cell(stream, row->reason ? row->reason : "");
    }
}

static void put_reference_rows(FILE *stream, const cbx_row *rows, const char *prefix)
{
    for (const cbx_row *row = rows; row->name; row++) {
        char path[CBX_PATH_SIZE];
        snprintf(path, sizeof path, "%s%s%s%s", prefix, *prefix ? "." : "", row->name,
                 row->type == CBX_LIST ? "[]" : "");
        fprintf(stream, "| `%s` | ", path);
        put_accepted(stream, row);
        fputs(" | ", stream);
        put_default(stream, row);
        fputs(" | ", stream);
        put_cell(stream, row->help);
        fputs(" |\n", stream);
        if (is_nested(row)) {
            put_reference_rows(stream, row->rows, path);
        }
    }
}

static void put_reference(FILE *stream)
{
    static const char heading[] =
        "| key | accepted | default, and why | meaning |\n| --- | --- | --- | --- |\n";
    for (const cbx_row *row = cbx_design_rows; row->name; row++) {
        fprintf(stream, "%s### `%s`\n\n%c%s.\n\n%s", row == cbx_design_rows ? "" : "\n", row->name,
                toupper((unsigned char)row->help[0]), row->help + 1, heading);
        if (is_nested(row)) {
            char prefix[CBX_PATH_SIZE];
            snprintf(prefix, sizeof prefix, "%s%s", row->name, row->type == CBX_LIST ? "[]" : "");
            put_reference_rows(stream, row->rows, prefix);
        } else {
            fprintf(stream, "| `%s` | ", row->name);
            put_accepted(stream, row);
            fprintf(stream, " | needed | %s |\n", row->help);
        }
    }
}

static void put_json_schema(FILE *stream)
{
    fputs("{\"$schema\": \"https://json-schema.org/draft/2020-12/schema\", "
          "\"title\": \"coilbed design\", ",
          stream);
    put_json_object(stream, cbx_design_rows, 1);
    fputs("}\n", stream);
}

// ---- both ------------------------------------------------------------------------------------

static char *printed(void (*put)(FILE *stream))
{
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    if (!stream) {
        return NULL;
    }
    put(stream);
    const bool failed = ferror(stream) != 0;
    if (fclose(stream) != 0 || failed) {
        free(text);
        return NULL;
    }
    return text;
}

char *cb_design_json_schema(void)
{
    return printed(put_json_schema);
}

char *cb_design_reference(void)
{
    return printed(put_reference);
}
