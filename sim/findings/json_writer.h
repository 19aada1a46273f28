// SPDX-License-Identifier: MIT
/// Writes JSON (RFC 8259) value by value; the commas are its own affair. Failures to write are the
/// stream's: look at ferror in the end.
#ifndef FINDINGS_JSON_WRITER_H
#define FINDINGS_JSON_WRITER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

typedef struct cbx_json {
    FILE *stream;
    bool comma; ///< a value precedes in the open object or array
} cbx_json;

/// Bytes of the UTF-8 character at text, 0 if it is none.
size_t cbx_utf8_bytes(const unsigned char *text);

/// bracket: '{' or '[', closed by '}' or ']'. key: NULL in an array and for the whole document.
void cbx_json_open(cbx_json *json, const char *key, char bracket);
void cbx_json_close(cbx_json *json, char bracket);

/// What stands before a value that the caller writes himself.
void cbx_json_begin(cbx_json *json, const char *key);

/// Bytes that are no UTF-8 become U+FFFD. NULL text: null.
void cbx_json_text(cbx_json *json, const char *key, const char *text);
/// Ten digits; null for what is not a finite number.
void cbx_json_number(cbx_json *json, const char *key, double value);
void cbx_json_flag(cbx_json *json, const char *key, bool value);
void cbx_json_null(cbx_json *json, const char *key);

#endif
