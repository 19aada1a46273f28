// SPDX-License-Identifier: MIT
/// The case of coil_two_scale.h by the resolved cell.
#ifndef COILBED_VALIDATION_RESOLVED_COIL_H
#define COILBED_VALIDATION_RESOLVED_COIL_H

#include "coil_two_scale.h"
#include "resolved_run.h"

/// Cells of the size at which the spread heat is the pipe's own radius, their growth away from it
/// 0.18 a metre.
resolved_plan resolved_coil_plan(const coil_case *one, pipe_path_kind kind);

/// As coil_two_scale_rises.
bool resolved_coil_rises(const coil_case *one, bool rings, const double *time_s, int count,
                         double *rise_k, cb_error *error);

#endif
