// SPDX-License-Identifier: MIT
/// Every published check, in the order of the table. A new one adds a line here, its file to
/// CMakeLists.txt, and there `const validation_case validation_<name> = {...}`.
#ifndef COILBED_VALIDATION_CASES_H
#define COILBED_VALIDATION_CASES_H

#include "table.h"

#define VALIDATION_CASE_LIST(X)                                                                    \
    X(pipe_size)                                                                                   \
    X(water)                                                                                       \
    X(brine)                                                                                       \
    X(brine_library)                                                                               \
    X(freezing_point)                                                                              \
    X(volume_percent)                                                                              \
    X(glycol_handbook)                                                                             \
    X(reynolds)                                                                                    \
    X(nusselt)                                                                                     \
    X(coil_length)                                                                                 \
    X(coil_rise)                                                                                   \
    X(ring_row_rise)                                                                               \
    X(ring_rise)

#define VALIDATION_DECLARE(name) extern const validation_case validation_##name;
VALIDATION_CASE_LIST(VALIDATION_DECLARE)
#undef VALIDATION_DECLARE

#endif
