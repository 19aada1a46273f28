// SPDX-License-Identifier: MIT
#ifndef STUDY_INPUTS_H
#define STUDY_INPUTS_H

#include "coilbed/case.h"

/// Looks up fluid, pipe and bill of inputs->design. Errors: as cb_inputs_open; error is not NULL.
cb_status cbx_inputs_parts(cb_inputs *inputs, cb_error *error);

/// The design alone. Errors: those of cb_design_read.
cb_status cbx_source_design(cb_design **out, const cb_case_source *source, const cb_units *units,
                            cb_error *error);

#endif
