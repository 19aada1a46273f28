// SPDX-License-Identifier: MIT
/// Numbers into text: arrays as base64 (RFC 4648) members of a JSON object.
#ifndef REPORT_PACK_H
#define REPORT_PACK_H

#include "findings/json_writer.h"

#include <stddef.h>
#include <stdint.h>

void cbx_pack_bytes(cbx_json *json, const char *key, const uint8_t *bytes, size_t count);

/// 16-bit integers, low byte first, of value / step; -32768 for what is not finite or out of reach.
/// False without memory.
bool cbx_pack_values(cbx_json *json, const char *key, const double *values, size_t count,
                     double step);

#endif
