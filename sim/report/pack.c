// SPDX-License-Identifier: MIT
#include "report/pack.h"

#include <math.h>
#include <stdlib.h>

enum { MISSING = -32768, MOST = 32767 };

static void put_base64(FILE *stream, const uint8_t *bytes, size_t count)
{
    static const char digit[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < count; i += 3) {
        const size_t left = count - i;
        const unsigned b = left > 1 ? bytes[i + 1] : 0u, c = left > 2 ? bytes[i + 2] : 0u;
        const unsigned group = (unsigned)bytes[i] << 16u | b << 8u | c;
        fputc(digit[group >> 18u], stream);
        fputc(digit[group >> 12u & 63u], stream);
        fputc(left > 1 ? digit[group >> 6u & 63u] : '=', stream);
        fputc(left > 2 ? digit[group & 63u] : '=', stream);
    }
}

void cbx_pack_bytes(cbx_json *json, const char *key, const uint8_t *bytes, size_t count)
{
    cbx_json_begin(json, key);
    fputc('"', json->stream);
    put_base64(json->stream, bytes, count);
    fputc('"', json->stream);
}

bool cbx_pack_values(cbx_json *json, const char *key, const double *values, size_t count,
                     double step)
{
    uint8_t *bytes = malloc(2 * count + 1);
    if (!bytes) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        const double steps = round(values[i] / step);
        const int whole = steps >= -MOST && steps <= MOST ? (int)steps : MISSING;
        const unsigned bits = (unsigned)whole & 0xFFFFu;
        bytes[2 * i] = (uint8_t)(bits & 0xFFu);
        bytes[2 * i + 1] = (uint8_t)(bits >> 8u);
    }
    cbx_pack_bytes(json, key, bytes, 2 * count);
    free(bytes);
    return true;
}
