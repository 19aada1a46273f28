// SPDX-License-Identifier: MIT
#include "units/number.h"

#include <ctype.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// glibc and the BSDs hand out the C locale without allocating; (locale_t)0 means it could not be
// had, and the caller then stays in the locale it is in.
static locale_t enter_c_locale(locale_t *made)
{
    *made = newlocale(LC_NUMERIC_MASK, "C", (locale_t)0);
    return *made ? uselocale(*made) : (locale_t)0;
}

static void leave_c_locale(locale_t before, locale_t made)
{
    if (made) {
        uselocale(before);
        freelocale(made);
    }
}

static const char *skip_digits(const char *text)
{
    while (isdigit((unsigned char)*text)) {
        text++;
    }
    return text;
}

// End of the decimal number at `text`, or NULL if there is none.
static const char *decimal_end(const char *text)
{
    const char *at = text + (*text == '+' || *text == '-');
    const char *whole = skip_digits(at);
    const char *end = whole;
    if (*end == '.') {
        end = skip_digits(end + 1);
    }
    if (end == at || (end == at + 1 && *at == '.')) {
        return NULL;
    }
    if (*end == 'e' || *end == 'E') {
        const char *exponent = end + 1 + (end[1] == '+' || end[1] == '-');
        if (isdigit((unsigned char)*exponent)) {
            end = skip_digits(exponent);
        }
    }
    return end;
}

static bool decimal_value(const char *text, const char *end, double *value)
{
    char copy[64];
    const size_t length = (size_t)(end - text);
    if (length >= sizeof copy) {
        return false;
    }
    memcpy(copy, text, length);
    copy[length] = '\0';
    locale_t made = (locale_t)0;
    const locale_t before = enter_c_locale(&made);
    *value = strtod(copy, NULL);
    leave_c_locale(before, made);
    return isfinite(*value);
}

// "3/4": digits, a slash, digits; nothing else counts as a fraction.
static bool fraction_scan(const char *text, const char **end, double *value)
{
    const char *slash = skip_digits(text);
    if (slash == text || *slash != '/') {
        return false;
    }
    const char *stop = skip_digits(slash + 1);
    double above = 0, below = 0;
    if (stop == slash + 1 || !decimal_value(text, slash, &above) ||
        !decimal_value(slash + 1, stop, &below) || !(below > 0)) {
        return false;
    }
    *end = stop;
    *value = above / below;
    return true;
}

bool cbx_number_scan(const char *text, const char **end, double *value)
{
    const bool negative = *text == '-';
    const char *digits = text + (*text == '+' || *text == '-');
    double part = 0;
    if (fraction_scan(digits, end, &part)) {
        *value = negative ? -part : part;
        return true;
    }
    const char *stop = decimal_end(text);
    if (!stop || !decimal_value(text, stop, value)) {
        return false;
    }
    *end = stop;
    if (stop == skip_digits(digits) && *stop == ' ' && fraction_scan(stop + 1, end, &part)) {
        *value += negative ? -part : part;
    }
    return true;
}

const char *cbx_number_print(double value, char *buffer, size_t size)
{
    locale_t made = (locale_t)0;
    const locale_t before = enter_c_locale(&made);
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(buffer, size, "%.*g", digits, value);
        if (strtod(buffer, NULL) == value) {
            break;
        }
    }
    leave_c_locale(before, made);
    return buffer;
}

const char *cbx_number_round(double value, int digits, char *buffer, size_t size)
{
    const double magnitude = fabs(value);
    int decimals = 0;
    if (magnitude > 0 && isfinite(magnitude)) {
        // The tiny factor keeps 9.9999 at 3 digits from printing as 10.00.
        const double tens = floor(log10(magnitude * (1 + 0.5 * pow(10, -digits))));
        decimals = (int)fmin(fmax(digits - 1 - tens, 0), 17);
    } else {
        value = isnan(value) ? value : magnitude;
    }
    locale_t made = (locale_t)0;
    const locale_t before = enter_c_locale(&made);
    snprintf(buffer, size, "%.*f", decimals, value);
    leave_c_locale(before, made);
    return buffer;
}
