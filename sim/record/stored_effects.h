// SPDX-License-Identifier: MIT
/// The group /sensitivity of a run file.
#ifndef COILBED_RECORD_STORED_EFFECTS_H
#define COILBED_RECORD_STORED_EFFECTS_H

#include "coilbed/record.h"
#include "record/h5.h"

/// Makes the group, without rows.
void cbx_layout_effects(cbx_h5 *h5);

/// Fills *out; count is 0 if the file has none.
void cbx_read_effects(cbx_h5 *h5, cb_run_effects *out);

#endif
