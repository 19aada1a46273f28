// SPDX-License-Identifier: MIT
#include "findings/json_writer.h"

#include <math.h>
#include <string.h>

size_t cbx_utf8_bytes(const unsigned char *text)
{
    static const struct {
        size_t bytes;
        unsigned least; ///< shorter forms exist below this
        unsigned char mask, lead;
    } form[] = {{1, 0, 0x80, 0x00},
                {2, 0x80, 0xE0, 0xC0},
                {3, 0x800, 0xF0, 0xE0},
                {4, 0x10000, 0xF8, 0xF0}};
    for (size_t i = 0; i < sizeof form / sizeof *form; i++) {
        if ((text[0] & form[i].mask) != form[i].lead) {
            continue;
        }
        unsigned code = text[0] & (unsigned char)~form[i].mask;
        for (size_t k = 1; k < form[i].bytes; k++) {
            if ((text[k] & 0xC0u) != 0x80u) {
                return 0;
            }
            code = code << 6u | (text[k] & 0x3Fu);
        }
        const bool surrogate = code >= 0xD800u && code <= 0xDFFFu;
        return code >= form[i].least && code <= 0x10FFFFu && !surrogate ? form[i].bytes : 0;
    }
    return 0;
}

static void put_text(FILE *stream, const char *text)
{
    fputc('"', stream);
    const unsigned char *at = (const unsigned char *)text;
    while (*at) {
        const size_t bytes = cbx_utf8_bytes(at);
        if (bytes == 0) {
            fputs("\\ufffd", stream);
        } else if (*at == '"' || *at == '\\') {
            fprintf(stream, "\\%c", *at);
        } else if (*at < 0x20u) {
            fprintf(stream, "\\u%04x", *at);
        } else {
            fwrite(at, 1, bytes, stream);
        }
        at += bytes > 0 ? bytes : 1;
    }
    fputc('"', stream);
}

void cbx_json_begin(cbx_json *json, const char *key)
{
    if (json->comma) {
        fputs(", ", json->stream);
    }
    json->comma = true;
    if (key) {
        put_text(json->stream, key);
        fputs(": ", json->stream);
    }
}

void cbx_json_open(cbx_json *json, const char *key, char bracket)
{
    cbx_json_begin(json, key);
    fputc(bracket, json->stream);
    json->comma = false;
}

void cbx_json_close(cbx_json *json, char bracket)
{
    fputc(bracket, json->stream);
    json->comma = true;
}

void cbx_json_text(cbx_json *json, const char *key, const char *text)
{
    if (!text) {
        cbx_json_null(json, key);
        return;
    }
    cbx_json_begin(json, key);
    put_text(json->stream, text);
}

void cbx_json_number(cbx_json *json, const char *key, double value)
{
    if (!isfinite(value)) {
        cbx_json_null(json, key);
        return;
    }
    cbx_json_begin(json, key);
    char digits[40];
    snprintf(digits, sizeof digits, "%.10g", value);
    char *comma = strchr(digits, ','); // a locale's decimal mark is not JSON's
    if (comma) {
        *comma = '.';
    }
    fputs(digits, json->stream);
}

void cbx_json_flag(cbx_json *json, const char *key, bool value)
{
    cbx_json_begin(json, key);
    fputs(value ? "true" : "false", json->stream);
}

void cbx_json_null(cbx_json *json, const char *key)
{
    cbx_json_begin(json, key);
    fputs("null", json->stream);
}
