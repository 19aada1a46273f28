// SPDX-License-Identifier: MIT
#include "record/pack.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

enum {
    ZLIB_HEADER = 2,
    ZLIB_CHECKSUM = 4,
    BLOCK_HEADER = 5,   // of a stored block
    BLOCK_MOST = 65535, // bytes in one
    CHUNK_CHECKSUM = 4
};

struct cbx_pack {
    z_stream stream; // raw deflate: header and checksum are written here
    unsigned char *shuffled, *packed;
    size_t shuffled_room, packed_room;
};

cbx_pack *cbx_pack_create(void)
{
    enum { LEVEL = 1, RAW_WINDOW = -15, MEMORY = 8 };
    cbx_pack *pack = calloc(1, sizeof *pack);
    if (pack && deflateInit2(&pack->stream, LEVEL, Z_DEFLATED, RAW_WINDOW, MEMORY,
                             Z_DEFAULT_STRATEGY) != Z_OK) {
        free(pack);
        pack = NULL;
    }
    return pack;
}

cbx_pack *cbx_pack_destroy(cbx_pack *pack)
{
    if (pack) {
        deflateEnd(&pack->stream);
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

// ---- deflate ---------------------------------------------------------------------------------

// Whether Huffman codes would save little. The chance that two bytes of the row are alike bounds
// its entropy from below (it is Renyi's of order 2): at 1.5 times that of noise, 8 bits can shrink
// by no more than log2(1.5) = 0.6. Runs of equal bytes make that chance far larger.
static bool is_noise(const unsigned char *row, size_t count)
{
    static const double alike_at_most = 1.5 / 256.0;
    uint32_t tally[256] = {0};
    uint64_t alike = 0; // ordered pairs, and each byte with itself
    for (size_t i = 0; i < count; i++) {
        alike += 2 * tally[row[i]]++ + 1;
    }
    const double n = (double)count;
    return (double)alike - n < alike_at_most * n * (n - 1.0);
}

// The bytes in front that are noise: of floating-point numbers the low ends of the mantissa.
static size_t noisy_bytes(const cbx_chunk *chunk, const unsigned char *shuffled)
{
    size_t rows = 0;
    while (rows < chunk->value_bytes && is_noise(shuffled + rows * chunk->count, chunk->count)) {
        rows++;
    }
    return rows * chunk->count;
}

// RFC 1951, section 3.2.4.
static unsigned char *store(const unsigned char *bytes, size_t size, bool ends, unsigned char *to)
{
    for (size_t at = 0; at < size;) {
        const size_t length = size - at < BLOCK_MOST ? size - at : BLOCK_MOST;
        *to++ = ends && at + length == size;
        *to++ = (unsigned char)length;
        *to++ = (unsigned char)(length >> 8);
        *to++ = (unsigned char)~length;
        *to++ = (unsigned char)(~length >> 8);
        memcpy(to, bytes + at, length);
        to += length;
        at += length;
    }
    return to;
}

// Blocks stored here, then blocks by zlib, whose references reach back to their own start only; in
// the frame of RFC 1950.
static unsigned char *deflate_bytes(cbx_pack *pack, size_t size, size_t noisy)
{
    z_stream *stream = &pack->stream;
    unsigned char *to = pack->packed;
    *to++ = 0x78;
    *to++ = 0x01;
    to = store(pack->shuffled, noisy, noisy == size, to);
    if (noisy < size) {
        deflateReset(stream);
        stream->next_in = pack->shuffled + noisy;
        stream->avail_in = (uInt)(size - noisy);
        stream->next_out = to;
        stream->avail_out = (uInt)(pack->packed_room - (size_t)(to - pack->packed));
        if (deflate(stream, Z_FINISH) != Z_STREAM_END) {
            return NULL;
        }
        to = stream->next_out;
    }
    const uLong sum = adler32(adler32(0, NULL, 0), pack->shuffled, (uInt)size);
    for (int shift = 24; shift >= 0; shift -= 8) {
        *to++ = (unsigned char)(sum >> shift);
    }
    return to;
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
    const size_t most = deflateBound(&pack->stream, (uLong)bytes) + ZLIB_HEADER + ZLIB_CHECKSUM +
                        BLOCK_HEADER * (bytes / BLOCK_MOST + 1) + CHUNK_CHECKSUM;
    *size = 0;
    if (!make_room(&pack->shuffled, &pack->shuffled_room, bytes) ||
        !make_room(&pack->packed, &pack->packed_room, most)) {
        return NULL;
    }
    shuffle(chunk, pack->shuffled);
    unsigned char *end = deflate_bytes(pack, bytes, noisy_bytes(chunk, pack->shuffled));
    if (!end) {
        return NULL;
    }
    const uint32_t sum = fletcher32(pack->packed, (size_t)(end - pack->packed));
    for (int shift = 0; shift < 32; shift += 8) {
        *end++ = (unsigned char)(sum >> shift);
    }
    *size = (size_t)(end - pack->packed);
    return pack->packed;
}
