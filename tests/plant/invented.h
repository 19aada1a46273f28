// SPDX-License-Identifier: MIT
/// An invented plant, and what the plant's tests share.
#ifndef COILBED_TEST_PLANT_INVENTED_H
#define COILBED_TEST_PLANT_INVENTED_H

#include "coilbed/plant.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/// An invented machine; round numbers so that expected values can be worked out by hand.
static inline cb_design_heat_pump invented_unit(void)
{
    return (cb_design_heat_pump){
        .name = "invented unit",
        .heating = {4,
                    {{-5.0, 6000.0, 1900.0, 0.0, 0.0},
                     {0.0, 7000.0, 2000.0, 0.0, 0.0},
                     {5.0, 8200.0, 2080.0, 0.0, 0.0},
                     {10.0, 9600.0, 2150.0, 0.0, 0.0}}},
        .cooling = {4,
                    {{10.0, 9000.0, 1200.0, 0.0, 0.0},
                     {20.0, 8500.0, 1600.0, 0.0, 0.0},
                     {30.0, 7700.0, 2100.0, 0.0, 0.0},
                     {40.0, 6500.0, 2800.0, 0.0, 0.0}}},
        .low_lockout_c = -6.0,
        .high_lockout_c = 41.0,
        .table_margin_k = 2.0,
    };
}

static inline cb_design invented_design(int units)
{
    cb_design design = {.name = "test",
                        .path = "",
                        .heat_pump_count = units,
                        .backup = {2, {3000.0, 2000.0}},
                        .pumps = {.power_w = 150.0, .heat_to_fluid = 0.8}};
    for (int i = 0; i < units; i++) {
        design.heat_pump[i] = invented_unit();
    }
    return design;
}

static inline cb_plant *plant_of(const cb_design *design)
{
    cb_plant *plant = NULL;
    cb_error error = {0};
    if (cb_plant_create(&plant, design, &error) != CB_OK) {
        fail_msg("create: %s", error.message);
    }
    return plant;
}

static inline void expect(const char *what, double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        fail_msg("%s: got %.15g, want %.15g +- %g", what, got, want, tolerance);
    }
}

static inline double random_between(uint64_t *seed, double low, double high)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*seed >> 11) / 9007199254740992.0;
}

/// Half of the loads are zero, so that single modes come up as often as both.
static inline double random_load_w(uint64_t *seed)
{
    return fmax(0.0, random_between(seed, -25000.0, 25000.0));
}

#endif
