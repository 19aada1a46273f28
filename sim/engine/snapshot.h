// SPDX-License-Identifier: MIT
// The daily picture of the soil: sections, ice, walls, in the order of the record.
#ifndef COILBED_ENGINE_SNAPSHOT_H
#define COILBED_ENGINE_SNAPSHOT_H

#include "coilbed/engine.h"
#include "engine/system.h"

typedef struct cbx_snapshot cbx_snapshot;

cb_status cbx_snapshot_create(cbx_snapshot **out, const cbx_system *system, cb_error *error);
cbx_snapshot *cbx_snapshot_destroy(cbx_snapshot *snapshot);
const cb_sections *cbx_snapshot_sections(const cbx_snapshot *snapshot);

// Arrays of the result are the snapshot's, valid until the next call.
cb_day cbx_snapshot_take(cbx_snapshot *snapshot, const double *y, long run_day);

#endif
