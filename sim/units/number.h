// SPDX-License-Identifier: MIT
/// Numbers as text, the same in every locale.
#ifndef COILBED_UNITS_NUMBER_H
#define COILBED_UNITS_NUMBER_H

#include <stdbool.h>
#include <stddef.h>

/// Reads a decimal number ("-4", "0.25", "1e3", "3/4", "1 1/2") at the start of text. On success
/// *end is the first character after it. Hexadecimal, NaN, infinities and overflow are refused.
bool cbx_number_scan(const char *text, const char **end, double *value);

/// Prints the shortest decimal text that reads back to the same bits. Returns buffer.
const char *cbx_number_print(double value, char *buffer, size_t size);

/// Prints a number with so many significant digits, without an exponent. Returns buffer.
const char *cbx_number_round(double value, int digits, char *buffer, size_t size);

#endif
