// SPDX-License-Identifier: MIT
#include "weather/csv.h"

#include <errno.h>
#include <math.h>
#include <nettle/sha2.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// A century of minutely rows would fit; an endless device does not.
enum { LARGEST_FILE = 256 * 1024 * 1024, FIRST_BUFFER = 1 << 16 };

void cbx_sha256(const void *bytes, size_t size, char text[65])
{
    struct sha256_ctx context;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&context);
    sha256_update(&context, size, bytes);
    sha256_digest(&context, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++) {
        snprintf(text + 2 * i, 3, "%02x", digest[i]);
    }
}

static cb_status read_all(cbx_csv *csv, FILE *file, cb_error *error)
{
    size_t capacity = 0;
    for (;;) {
        if (csv->size + 1 >= capacity) {
            capacity = capacity ? 2 * capacity : FIRST_BUFFER;
            char *grown = realloc(csv->text, capacity);
            if (!grown) {
                return cb_fail(error, CB_NO_MEMORY, "no memory to read %s", csv->path);
            }
            csv->text = grown;
        }
        const size_t got = fread(csv->text + csv->size, 1, capacity - csv->size - 1, file);
        csv->size += got;
        if (csv->size > LARGEST_FILE) {
            return cb_fail_at(error, CB_BAD_INPUT, csv->path, 0, 0,
                              "the file is larger than 256 MiB; an hourly file is far smaller");
        }
        if (got == 0) {
            break;
        }
    }
    if (ferror(file)) {
        return cb_fail_at(error, CB_IO, csv->path, 0, 0, "cannot be read: %s", strerror(errno));
    }
    csv->text[csv->size] = '\0';
    return CB_OK;
}

static cb_status check_text(cbx_csv *csv, cb_error *error)
{
    const unsigned char *head = (const unsigned char *)csv->text;
    if (csv->size >= 2 && head[0] == 0x1f && head[1] == 0x8b) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, 0, 0,
                          "the file is gzip-compressed; unpack it first (gzip -d)");
    }
    if (memchr(csv->text, '\0', csv->size)) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, 0, 0,
                          "the file holds bytes that are not text; expected comma-separated text");
    }
    if (strspn(csv->text, " \t\r\n") == csv->size) {
        return cb_fail_at(error, CB_BAD_INPUT, csv->path, 1, 1, "the file is empty");
    }
    if (strncmp(csv->text, "\xef\xbb\xbf", 3) == 0) {
        csv->next = 3; // byte order mark, as spreadsheets write it
    }
    return CB_OK;
}

cb_status cbx_csv_open(cbx_csv *csv, const char *path, cb_error *error)
{
    *csv = (cbx_csv){.path = path};
    csv->c_locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (csv->c_locale == (locale_t)0) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to read %s", path);
    }
    FILE *file = fopen(path, "rb");
    if (!file) {
        return cb_fail_at(error, CB_IO, path, 0, 0, "cannot be opened: %s", strerror(errno));
    }
    cb_status status = read_all(csv, file, error);
    fclose(file);
    if (status == CB_OK) {
        status = check_text(csv, error);
    }
    if (status == CB_OK) {
        cbx_sha256(csv->text, csv->size, csv->sha256);
    }
    return status;
}

void cbx_csv_close(cbx_csv *csv)
{
    if (csv->c_locale != (locale_t)0) {
        freelocale(csv->c_locale);
    }
    free(csv->text);
    free(csv->field);
    *csv = (cbx_csv){0};
}

// Cuts the next line off; NULL at the end of the file.
static char *take_line(cbx_csv *csv)
{
    if (csv->next >= csv->size) {
        return NULL;
    }
    char *line = csv->text + csv->next;
    char *end = memchr(line, '\n', csv->size - csv->next);
    if (!end) {
        end = csv->text + csv->size;
    }
    csv->next = (size_t)(end - csv->text) + 1;
    if (end > line && end[-1] == '\r') {
        end--;
    }
    *end = '\0';
    csv->line++;
    return line;
}

cb_status cbx_csv_skip(cbx_csv *csv, int count, cb_error *error)
{
    for (int i = 0; i < count; i++) {
        if (!take_line(csv)) {
            return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 0,
                              "the file ends within its %d header lines", count);
        }
    }
    return CB_OK;
}

static bool is_blank(const char *text)
{
    return text[strspn(text, " \t\r")] == '\0';
}

static bool add_field(cbx_csv *csv, const char *text, int column)
{
    if (csv->count == csv->capacity) {
        const int capacity = csv->capacity ? 2 * csv->capacity : 32;
        cbx_csv_field *grown = realloc(csv->field, (size_t)capacity * sizeof *grown);
        if (!grown) {
            return false;
        }
        csv->field = grown;
        csv->capacity = capacity;
    }
    csv->field[csv->count++] = (cbx_csv_field){text, column};
    return true;
}

// Undoes "..." in place ("" inside stands for one quote). Returns what follows the closing quote,
// or NULL if there is none on the line.
static char *unquote(char *quoted)
{
    char *to = quoted;
    for (char *from = quoted + 1; *from; from++) {
        if (*from == '"' && from[1] == '"') {
            from++;
        } else if (*from == '"') {
            char *rest = from + 1;
            *to = '\0';
            return rest;
        }
        *to++ = *from;
    }
    return NULL;
}

static void trim_right(char *text)
{
    size_t length = strlen(text);
    while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == '\t')) {
        text[--length] = '\0';
    }
}

static cb_status split(cbx_csv *csv, char *line, cb_error *error)
{
    csv->count = 0;
    char *at = line;
    for (;;) {
        at += strspn(at, " \t");
        char *text = at;
        const int column = (int)(text - line) + 1;
        if (*text == '"') {
            at = unquote(text);
            if (!at) {
                return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, column,
                                  "a quoted field is not closed on its line");
            }
            at += strspn(at, " \t");
            if (*at != ',' && *at != '\0') {
                return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, column,
                                  "text follows a closing quote; expected a comma");
            }
        } else {
            at += strcspn(at, ",");
        }
        const bool last = *at == '\0';
        *at = '\0';
        trim_right(text);
        if (!add_field(csv, text, column)) {
            return cb_fail(error, CB_NO_MEMORY, "no memory to read %s", csv->path);
        }
        if (last) {
            return CB_OK;
        }
        at++;
    }
}

cb_status cbx_csv_next(cbx_csv *csv, bool *more, cb_error *error)
{
    *more = false;
    char *line = take_line(csv);
    if (!line) {
        return CB_OK;
    }
    if (is_blank(line)) {
        const int blank = csv->line;
        do {
            line = take_line(csv);
        } while (line && is_blank(line) && !csv->notes_follow);
        if (line && !csv->notes_follow) {
            return cb_fail_at(error, CB_BAD_INPUT, csv->path, blank, 1,
                              "a blank line stands inside the data");
        }
        csv->line = blank - 1; // messages about the end point at the last line with data
        return CB_OK;
    }
    *more = true;
    return split(csv, line, error);
}

cb_status cbx_csv_fail(const cbx_csv *csv, int index, cb_error *error, const char *format, ...)
{
    char message[CB_MESSAGE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    const int column = index < csv->count ? csv->field[index].column : 0;
    return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, column, "%s", message);
}

static cb_status fail_unknown(const cbx_csv *csv, const cbx_column *column, cb_error *error)
{
    char names[CB_MESSAGE_SIZE / 2];
    size_t used = 0;
    names[0] = '\0';
    for (int i = 0; i < csv->count && used < sizeof names - 1; i++) {
        const int wrote = snprintf(names + used, sizeof names - used, "%s\"%.60s\"",
                                   i > 0 ? ", " : "", csv->field[i].text);
        used += (size_t)wrote;
    }
    const bool cut = used >= sizeof names;
    return cb_fail_at(error, CB_BAD_INPUT, csv->path, csv->line, 1,
                      "there is no column \"%.100s\"%s%s%s; the columns are %s%s", column->name,
                      column->key ? " (asked for by " : "", column->key ? column->key : "",
                      column->key ? ")" : "", names, cut ? " ..." : "");
}

cb_status cbx_csv_find(const cbx_csv *csv, cbx_column *column, cb_error *error)
{
    column->index = -1;
    for (int i = 0; i < csv->count; i++) {
        if (strcmp(csv->field[i].text, column->name) != 0) {
            continue;
        }
        if (column->index >= 0) {
            return cbx_csv_fail(csv, i, error, "column \"%.100s\" stands twice in the row of names",
                                column->name);
        }
        column->index = i;
    }
    return column->index >= 0 ? CB_OK : fail_unknown(csv, column, error);
}

// Codes that public agencies' files write where a measurement is missing.
static bool is_missing_code(double number)
{
    static const double code[] = {-9900, -9999, -999, -99, -6999, 9999, 99999, 999};
    for (size_t i = 0; i < sizeof code / sizeof *code; i++) {
        if (number == code[i]) {
            return true;
        }
    }
    return false;
}

bool cbx_csv_real(const cbx_csv *csv, const char *text, double *number)
{
    // strtod alone would also take "nan", "inf" and hexadecimal.
    if (*text == '\0' || text[strspn(text, "+-.0123456789eE")] != '\0') {
        return false;
    }
    char *end = NULL;
    const locale_t before = uselocale(csv->c_locale);
    *number = strtod(text, &end);
    uselocale(before);
    return *end == '\0' && isfinite(*number);
}

cb_status cbx_csv_number(const cbx_csv *csv, const cbx_column *column, double *si, cb_error *error)
{
    const int index = column->index;
    const char *text = csv->field[index].text;
    double number = 0;
    if (*text == '\0') {
        return cbx_csv_fail(csv, index, error, "column \"%.100s\" is empty; expected a number",
                            column->name);
    }
    if (!cbx_csv_real(csv, text, &number)) {
        return cbx_csv_fail(csv, index, error, "\"%.40s\" in column \"%.100s\" is not a number",
                            text, column->name);
    }
    const double value = column->offset + column->scale * number;
    if (column->low <= value && value <= column->high) {
        *si = value;
        return CB_OK;
    }
    if (is_missing_code(number)) {
        return cbx_csv_fail(csv, index, error,
                            "%.40s in column \"%.100s\" is a missing-value code; every hour of a "
                            "used column needs a value",
                            text, column->name);
    }
    return cbx_csv_fail(
        csv, index, error, "%.40s in column \"%.100s\" is %.6g %s, outside %.6g to %.6g %s", text,
        column->name, value, column->unit_name, column->low, column->high, column->unit_name);
}
