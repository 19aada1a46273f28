// SPDX-License-Identifier: MIT
#ifndef STUDY_INPUTS_H
#define STUDY_INPUTS_H

#include "coilbed/case.h"

/// Looks up fluid, pipe and bill of inputs->design. Errors: as cb_inputs_open; error is not NULL.
cb_status cbx_inputs_parts(cb_inputs *inputs, cb_error *error);

#endif
