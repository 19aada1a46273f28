// SPDX-License-Identifier: MIT
#ifndef STUDY_VALUE_KIND_H
#define STUDY_VALUE_KIND_H

#include "coilbed/design.h"

/// The kind of a number of a design by its path. False for a path that leads nowhere, or to words.
bool cbx_value_kind(cb_kind *kind, const cb_design *design, const char *path,
                    const cb_units *units);

#endif
