// SPDX-License-Identifier: MIT
#ifndef STUDY_HEADLINE_H
#define STUDY_HEADLINE_H

#include "coilbed/case.h"

/// Boils a judged run down. @param bill  of the same design
/// Errors: those of cb_findings_create.
cb_status cbx_headline_of(cb_headline *out, const cb_run_data *data, const cb_design *design,
                          const cb_findings *findings, const cb_field_bill *bill, cb_error *error);

/// The place of a value in the headline.
double *cbx_headline_place(cb_headline *headline, int index);

#endif
