// SPDX-License-Identifier: MIT
/// A loop by hand for the tests of its hydraulics: invented, eight circuits of 3/4 in pipe.
#ifndef COILBED_TESTS_LOOP_LOOP_DESIGN_H
#define COILBED_TESTS_LOOP_LOOP_DESIGN_H

#include "coilbed/hydraulics.h"

#include "loop/table.h"

#include <string.h>

static const double gpm_m3_s = 3.785411784e-3 / 60.0, foot_m = 0.3048;

/// Without headers, house, units or curve: circuits alone, 1.5 gpm wanted in each.
static inline cb_design bare_design(void)
{
    return (cb_design){.path = "loop.yaml",
                       .fluid = {CB_PROPYLENE_GLYCOL, 0.2, true},
                       .piping = {.roughness_m = 1.5e-6, .take_off_spacing_m = 3.6},
                       .pumps = {.flow_per_circuit_m3_s = 1.5 * gpm_m3_s,
                                 .power_w = 245.0,
                                 .heat_to_fluid = 0.8,
                                 .in_series = 1,
                                 .in_parallel = 1,
                                 .speed = 1.0,
                                 .lowest_speed = 0.3}};
}

/// Headers stepping down, house pipe, fittings and units.
static inline cb_design piped_design(void)
{
    cb_design design = bare_design();
    cb_design_piping *piping = &design.piping;
    piping->circuit_fittings_k = 6.0;
    piping->header_size_count = 2;
    piping->header_size[0] = (cb_header_size){"1-1/4 in", 11.0, 4};
    piping->header_size[1] = (cb_header_size){"1 in", 11.0, 0};
    piping->take_off_fittings_k = 0.5;
    piping->has_house = true;
    piping->house_nominal = "1-1/2 in";
    piping->house_sdr = 11.0;
    piping->house_length_m = 15.0;
    piping->house_fittings_k = 10.0;
    piping->unit_drop_count = 3;
    piping->unit_drop[0] = (cb_flow_point){8.0 * gpm_m3_s, 9000.0};
    piping->unit_drop[1] = (cb_flow_point){12.0 * gpm_m3_s, 19000.0};
    piping->unit_drop[2] = (cb_flow_point){16.0 * gpm_m3_s, 32000.0};
    piping->unit_water_c = 10.0;
    return design;
}

/// A wet-rotor circulator of a sixth of a horsepower, invented.
static inline void add_curve(cb_design *design)
{
    static const cb_pump_point curve[] = {{0.0, 9.2, 150.0},
                                          {5.0 * gpm_m3_s, 8.6, 190.0},
                                          {12.0 * gpm_m3_s, 6.9, 225.0},
                                          {20.0 * gpm_m3_s, 4.1, 240.0},
                                          {28.0 * gpm_m3_s, 0.6, 245.0}};
    design->pumps.curve_count = (int)COUNT(curve);
    memcpy(design->pumps.curve, curve, sizeof curve);
}

static const cb_network_circuit eight_circuits[] = {{150.0, 105.0, 0.9144, 8}};

static inline cb_status make_network(cb_network **out, const cb_design *design,
                                     const cb_network_circuit *circuit, int count, cb_error *error)
{
    cb_pipe pipe;
    cb_fluid fluid;
    assert_int_equal(cb_pipe_find(&pipe, "3/4 in", 11.0, error), CB_OK);
    assert_int_equal(cb_fluid_define(&fluid, &design->fluid, error), CB_OK);
    const cb_network_setup setup = {circuit, count, &pipe, &fluid, design};
    return cb_network_create(out, &setup, error);
}

static inline cb_network *network_of(const cb_design *design, const cb_network_circuit *circuit,
                                     int count)
{
    cb_network *network = NULL;
    cb_error error = {.message = ""};
    if (make_network(&network, design, circuit, count, &error) != CB_OK) {
        fail_msg("%s: %s", error.file, error.message);
    }
    return network;
}

/// The report at a temperature, and the circuits' flows when `flow` is given.
static inline cb_network_report solved(const cb_network *network, double temperature_c,
                                       double *flow)
{
    cb_network_report report;
    assert_int_equal(cb_network_solve(network, temperature_c, &report, flow, NULL), CB_OK);
    return report;
}

static inline void expect_said(const cb_error *error, const char *part)
{
    if (!strstr(error->message, part)) {
        fail_msg("\"%s\" is missing in \"%s\"", part, error->message);
    }
}

#endif
