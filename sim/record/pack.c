// SPDX-License-Identifier: MIT
#include "record/pack.h"

#include <libdeflate.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNK_CHECKSUM = 4 };

struct cbx_pack {
    struct libdeflate_compressor *deflate;
    unsigned char *shuffled, *packed;
    size_t shuffled_room, packed_room;
};

cbx_pack *cbx_pack_create(void)
{
    enum { LEVEL = 1 };
    cbx_pack *pack = calloc(1, sizeof *pack);
    if (pack && !(pack->deflate = libdeflate_alloc_compressor(LEVEL))) {
        free(pack);
        pack = NULL;
    }
    return pack;
}

cbx_pack *cbx_pack_destroy(cbx_pack *pack)
{
    if (pack) {
        libdeflate_free_compressor(pack->deflate);
        free(pack->shuffled);
        free(pack->packed);
        free(pack);
    }
    return NULL;
}

static bool make_room(unsigned char **buffer, size_t *room, size_t size)
{
    if (size > *room) {
        unsigned char *larger = realloc(*buffer, size);
        if (!larger) {
            return false;
        }
        *buffer = larger;
        *room = size;
    }
    return true;
}

// ---- shuffle ---------------------------------------------------------------------------------

// The first bytes of all values, then the second ones, ... Inlined, so that `bytes` is known.
static inline void spread(const cbx_chunk *chunk, size_t bytes, unsigned char *to)
{
    const unsigned char *from = chunk->value;
    for (size_t i = 0; i < chunk->given; i++) {
        for (size_t b = 0; b < bytes; b++) {
            to[b * chunk->count + i] = from[i * bytes + b];
        }
    }
}

static void shuffle(const cbx_chunk *chunk, unsigned char *to)
{
    switch (chunk->value_bytes) {
        case sizeof(double):
            spread(chunk, sizeof(double), to);
            break;
        case sizeof(float):
            spread(chunk, sizeof(float), to);
            break;
        default:
            spread(chunk, chunk->value_bytes, to);
    }
    for (size_t b = 0; b < chunk->value_bytes; b++) { // all bits set are a NaN of any size
        memset(to + b * chunk->count + chunk->given, 0xff, chunk->count - chunk->given);
    }
}

// ---- fletcher32 ------------------------------------------------------------------------------

// As HDF5 has it: 16-bit words, high byte first, an odd last byte being a high one; sums modulo
// 65535 that never become 0 but of zeros. The result stands low byte first.
static uint32_t fletcher32(const unsigned char *bytes, size_t size)
{
    enum { WORDS = 360 }; // whose sums fit into 32 bits
    uint32_t low = 0;
    uint32_t high = 0;
    for (size_t at = 0; at < size;) {
        const size_t end = size - at < (size_t)2 * WORDS ? size : at + (size_t)2 * WORDS;
        for (; at < end; at += 2) {
            low += (uint32_t)bytes[at] << 8 | (at + 1 < size ? bytes[at + 1] : 0U);
            high += low;
        }
        low = (low & 0xffff) + (low >> 16);
        high = (high & 0xffff) + (high >> 16);
    }
    low = (low & 0xffff) + (low >> 16);
    high = (high & 0xffff) + (high >> 16);
    return high << 16 | low;
}

// ---- all of it -------------------------------------------------------------------------------

const void *cbx_pack_chunk(cbx_pack *pack, const cbx_chunk *chunk, size_t *size)
{
    const size_t bytes = chunk->count * chunk->value_bytes;
    const size_t most = libdeflate_zlib_compress_bound(pack->deflate, bytes);
    *size = 0;
    if (!make_room(&pack->shuffled, &pack->shuffled_room, bytes) ||
        !make_room(&pack->packed, &pack->packed_room, most + CHUNK_CHECKSUM)) {
        return NULL;
    }
    shuffle(chunk, pack->shuffled);
    const size_t packed =
        libdeflate_zlib_compress(pack->deflate, pack->shuffled, bytes, pack->packed, most);
    if (packed == 0) {
        return NULL;
    }
    unsigned char *end = pack->packed + packed;
    const uint32_t sum = fletcher32(pack->packed, packed);
    for (int shift = 0; shift < 32; shift += 8) {
        *end++ = (unsigned char)(sum >> shift);
    }
    *size = packed + CHUNK_CHECKSUM;
    return pack->packed;
}
