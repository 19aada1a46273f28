// SPDX-License-Identifier: MIT
// Gathers a cb_ground_summary while the yard steps: first through the typical weather, then through
// the run.
#ifndef COILBED_ENGINE_GROUND_LOG_H
#define COILBED_ENGINE_GROUND_LOG_H

#include "coilbed/engine.h"
#include "coilbed/yard.h"

typedef struct cbx_ground_log cbx_ground_log;

// An empty log and the summary it fills, both owned by the caller; NULL on failure. `column` must
// outlive the log. Errors: CB_NO_MEMORY.
cb_status cbx_ground_log_create(cbx_ground_log **log, cb_ground_summary **summary,
                                const cb_section *column, const cb_design_run *run,
                                cb_error *error);
cbx_ground_log *cbx_ground_log_destroy(cbx_ground_log *log);

// Hours come in order, from 0 on, in whole days; temperature_c [nz] is that of the hour's end.
void cbx_ground_log_hour(cbx_ground_log *log, long hour, const double *temperature_c,
                         const cb_yard_hour *yard);

// Each puts what was gathered since the last into the summary and starts afresh.
void cbx_ground_log_end_typical(cbx_ground_log *log, cb_ground_summary *summary);
void cbx_ground_log_end_run(cbx_ground_log *log, cb_ground_summary *summary);

// Depth of the deepest 0 degC of a column; 0 if its cells are all above.
double cbx_frost_depth_m(const cb_section *column, const double *temperature_c);

#endif
