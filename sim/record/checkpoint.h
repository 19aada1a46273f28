// SPDX-License-Identifier: MIT
/// What a run needs to go on from the end of a month, kept in its file.
///
/// Two slots take turns. A slot loses its stamp, the hours done, before its values change, and gets
/// the new one when they have reached the file. So whenever the writer is killed, the other slot is
/// whole, and a torn one is known by its stamp.
#ifndef COILBED_RECORD_CHECKPOINT_H
#define COILBED_RECORD_CHECKPOINT_H

#include "coilbed/engine.h"
#include "record/h5.h"

#define CBX_CHECKPOINT_GROUP "/checkpoint"
#define CBX_WRITER "writer" // attribute of the group: number of the record that may append

/// Where a stored checkpoint is, and the rows the file had then.
typedef struct cbx_checkpoint_place {
    int slot; // negative: there is none
    long hours, days;
} cbx_checkpoint_place;

void cbx_layout_checkpoint(cbx_h5 *h5);

int cbx_checkpoint_other(int slot);

/// Bytes that storing it may take.
double cbx_checkpoint_bytes(const cb_checkpoint *checkpoint);

/// Takes the slot's stamp off. To be flushed before cbx_checkpoint_write.
void cbx_checkpoint_empty(cbx_h5 *h5, int slot);

/// @param days  rows of /ground/day at the checkpoint
void cbx_checkpoint_write(cbx_h5 *h5, int slot, const cb_checkpoint *checkpoint, long days);

/// Empties both slots.
void cbx_checkpoint_clear(cbx_h5 *h5);

/// The newest checkpoint of at most `hours` hours.
cbx_checkpoint_place cbx_checkpoint_find(cbx_h5 *h5, long hours);

/// Its values, owned by the caller (free()); NULL on failure.
double *cbx_checkpoint_read(cbx_h5 *h5, int slot, size_t *size);

#endif
