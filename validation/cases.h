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
    X(salt)                                                                                        \
    X(glycol_handbook)                                                                             \
    X(reynolds)                                                                                    \
    X(nusselt)                                                                                     \
    X(head_loss)                                                                                   \
    X(friction)                                                                                    \
    X(unit_drop)                                                                                   \
    X(flow_split)                                                                                  \
    X(coil_length)                                                                                 \
    X(coil_rise)                                                                                   \
    X(ring_row_rise)                                                                               \
    X(ring_rise)                                                                                   \
    X(ground_step)                                                                                 \
    X(ground_flux)                                                                                 \
    X(ground_film)                                                                                 \
    X(ground_sheet)                                                                                \
    X(ground_annual)                                                                               \
    X(ground_extremes)                                                                             \
    X(ground_inch_pound)                                                                           \
    X(ground_daily)                                                                                \
    X(ground_periodic_film)                                                                        \
    X(ground_line)                                                                                 \
    X(ground_periodic_line)                                                                        \
    X(ground_pulses)                                                                               \
    X(ground_single_pipe)                                                                          \
    X(ground_row)                                                                                  \
    X(ground_row_flux)                                                                             \
    X(ground_groups)                                                                               \
    X(ground_strip)                                                                                \
    X(ground_coil)                                                                                 \
    X(ground_coil_others)                                                                          \
    X(finite_rings)                                                                                \
    X(resolved_pipe)                                                                               \
    X(resolved_turns)                                                                              \
    X(freezing_front)                                                                              \
    X(freezing_profile)                                                                            \
    X(frost_index)                                                                                 \
    X(freezing_sink)                                                                               \
    X(soil_johansen)                                                                               \
    X(soil_cote_konrad)                                                                            \
    X(soil_lu)                                                                                     \
    X(soil_capacity)                                                                               \
    X(unfrozen_water)                                                                              \
    X(clear_sky)                                                                                   \
    X(fao56)                                                                                       \
    X(snow_conductivity)                                                                           \
    X(fresh_snow)                                                                                  \
    X(ground_order)                                                                                \
    X(ground_energy)                                                                               \
    X(yard_annual)                                                                                 \
    X(yard_settled)                                                                                \
    X(yard_daily)                                                                                  \
    X(yard_front)                                                                                  \
    X(yard_cycles)                                                                                 \
    X(house_network)                                                                               \
    X(house_sun)                                                                                   \
    X(diffuse_share)                                                                               \
    X(generic_cop)

#define VALIDATION_DECLARE(name) extern const validation_case validation_##name;
VALIDATION_CASE_LIST(VALIDATION_DECLARE)
#undef VALIDATION_DECLARE

#endif
