// SPDX-License-Identifier: MIT
#ifndef COILBED_STUDY_KEY_H
#define COILBED_STUDY_KEY_H

#include "coilbed/study.h"

/// SHA-256 that stands for a study: of its design, weather, loads and the library's version (as of
/// a case with nothing varied), of the study's text and of what it sets in all cases.
/// Errors: those of cb_inputs_open; CB_NO_MEMORY.
cb_status cbx_study_key(char key[65], const cb_study *study, const cb_units *units,
                        cb_error *error);

#endif
