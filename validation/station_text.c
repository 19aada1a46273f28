// SPDX-License-Identifier: MIT
#include "station_text.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

static cb_status read_all(station_text *text, gzFile file, cb_error *error)
{
    size_t capacity = 0;
    for (int got = 1; got > 0;) {
        if (text->size + 1 >= capacity) {
            capacity = capacity ? 2 * capacity : (size_t)1 << 20;
            char *bigger = realloc(text->bytes, capacity);
            if (!bigger) {
                return cb_fail(error, CB_NO_MEMORY, "no memory to read %s", text->path);
            }
            text->bytes = bigger;
        }
        const size_t room = capacity - text->size - 1;
        got = gzread(file, text->bytes + text->size, room > 1u << 30 ? 1u << 30 : (unsigned)room);
        if (got < 0) {
            int code;
            return cb_fail_at(error, CB_IO, text->path, 0, 0, "cannot be read: %s",
                              gzerror(file, &code));
        }
        text->size += (size_t)got;
    }
    text->bytes[text->size] = '\0';
    return CB_OK;
}

static cb_status check_text(station_text *text, cb_error *error)
{
    if (text->size == 0) {
        return cb_fail_at(error, CB_BAD_INPUT, text->path, 1, 0, "the file is empty");
    }
    if (memchr(text->bytes, '\0', text->size)) {
        return cb_fail_at(error, CB_BAD_INPUT, text->path, 1, 0, "the file is not text");
    }
    if (text->size >= 3 && memcmp(text->bytes, "\xEF\xBB\xBF", 3) == 0) {
        text->next = 3;
    }
    return CB_OK;
}

cb_status station_text_open(station_text *text, const char *path, cb_error *error)
{
    *text = (station_text){.path = path, .separator = ','};
    gzFile file = gzopen(path, "rb"); // reads files that are not compressed as they are
    if (!file) {
        return cb_fail_at(error, CB_IO, path, 0, 0, "cannot be opened");
    }
    cb_status status = read_all(text, file, error);
    if (gzclose(file) != Z_OK && status == CB_OK) {
        status = cb_fail_at(error, CB_IO, path, 0, 0, "the compressed file is cut short");
    }
    return status == CB_OK ? check_text(text, error) : status;
}

void station_text_close(station_text *text)
{
    free(text->bytes);
    *text = (station_text){0};
}

static char *trimmed(char *field)
{
    while (isspace((unsigned char)*field)) {
        field++;
    }
    size_t length = strlen(field);
    while (length > 0 && isspace((unsigned char)field[length - 1])) {
        field[--length] = '\0';
    }
    if (length >= 2 && field[0] == '"' && field[length - 1] == '"') {
        field[length - 1] = '\0';
        field++;
    }
    return field;
}

static char shown_separator(const char *line)
{
    static const char known[] = ",;\t";
    for (const char *separator = known; *separator; separator++) {
        if (strchr(line, *separator)) {
            return *separator;
        }
    }
    return ' ';
}

static void cut_blanks(station_text *text, char *line)
{
    char *rest;
    for (char *field = strtok_r(line, " \t\r", &rest); field;
         field = strtok_r(NULL, " \t\r", &rest)) {
        if (text->fields < STATION_MOST_FIELDS) {
            text->field[text->fields++] = field;
        }
    }
}

static void cut(station_text *text, char *line)
{
    text->fields = 0;
    if (text->separator == ' ') {
        cut_blanks(text, line);
        return;
    }
    bool quoted = false;
    char *start = line;
    for (char *at = line;; at++) {
        quoted = *at == '"' ? !quoted : quoted;
        const bool end = *at == '\0';
        if (end || (*at == text->separator && !quoted)) {
            *at = '\0';
            if (text->fields < STATION_MOST_FIELDS) {
                text->field[text->fields++] = trimmed(start);
            }
            start = at + 1;
        }
        if (end) {
            return;
        }
    }
}

bool station_text_next(station_text *text, bool detect)
{
    while (text->next < text->size) {
        text->start = text->next;
        char *line = text->bytes + text->next;
        char *end = strchr(line, '\n');
        if (end) {
            *end = '\0';
        }
        text->next += strlen(line) + 1;
        text->line++;
        const char *first = line + strspn(line, " \t\r");
        if (*first == '\0' || *first == '#') {
            continue;
        }
        if (detect) {
            text->separator = shown_separator(line);
        }
        cut(text, line);
        return true;
    }
    return false;
}

void station_text_again(station_text *text)
{
    for (size_t n = text->start; n + 1 < text->next; n++) {
        text->bytes[n] = text->bytes[n] ? text->bytes[n] : ' ';
    }
    if (text->next <= text->size) {
        text->bytes[text->next - 1] = '\n';
    }
    text->next = text->start;
    text->line--;
}

cb_status station_text_fail(const station_text *text, cb_error *error, const char *format, ...)
{
    char message[CB_MESSAGE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    // NOLINTNEXTLINE(clang-analyzer-valist.Uninitialized): started above
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    return cb_fail_at(error, CB_BAD_INPUT, text->path, text->line, 0, "%s", message);
}
