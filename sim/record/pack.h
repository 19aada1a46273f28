// SPDX-License-Identifier: MIT
/// Chunks as HDF5's filters shuffle, deflate and fletcher32 store them.
///
/// HDF5's own deflate sets up a new zlib stream for every chunk, which costs more than the
/// compression. Here one compressor of libdeflate's serves all chunks; what it makes is an ordinary
/// zlib stream.
#ifndef COILBED_RECORD_PACK_H
#define COILBED_RECORD_PACK_H

#include <stddef.h>

typedef struct cbx_pack cbx_pack;

/// Values of a chunk, in the byte order of the file.
typedef struct cbx_chunk {
    const void *value;
    size_t value_bytes; // of one value
    size_t given;       // values there are, at least 1
    size_t count;       // values of the chunk; those that are not given become NaN
} cbx_chunk;

/// NULL without memory.
cbx_pack *cbx_pack_create(void);
/// NULL is fine; returns NULL.
cbx_pack *cbx_pack_destroy(cbx_pack *pack);

/// The bytes of the chunk in the file, valid until the next call; NULL without memory.
const void *cbx_pack_chunk(cbx_pack *pack, const cbx_chunk *chunk, size_t *size);

#endif
