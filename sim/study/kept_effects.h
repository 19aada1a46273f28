// SPDX-License-Identifier: MIT
/// Effects that are kept in the file of a run of the same design, where findings look for them.
#ifndef STUDY_KEPT_EFFECTS_H
#define STUDY_KEPT_EFFECTS_H

#include "coilbed/sensitivity.h"

/// What can be known before anything is run: the number is a margin that findings speak of, and the
/// file a whole run of this design. Errors: CB_BAD_INPUT; those of cb_record_read.
cb_status cbx_check_run_of(const char *run, const cb_sensitivity *got, const cb_design *design,
                           cb_error *error);

/// CB_BAD_INPUT if the number is another in that run than in got->base.
cb_status cbx_check_same_run(const char *run, const cb_sensitivity *got, const cb_units *units,
                             cb_error *error);

/// Errors: those of cb_record_write_effects.
cb_status cbx_keep_effects(const char *run, const cb_sensitivity *got, cb_error *error);

#endif
