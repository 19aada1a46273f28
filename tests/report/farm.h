// SPDX-License-Identifier: MIT
// A run of the starter design, cut short after some days: a report's input within a second.
#ifndef COILBED_TESTS_FARM_H
#define COILBED_TESTS_FARM_H

#include "coilbed/design.h"

/// Writes `path`, draft accuracy, one slice, no hard winters, with the overrides. Fails the test if
/// anything is wrong.
void farm_run(const char *path, long days, const cb_override *overrides, size_t count);

#endif
