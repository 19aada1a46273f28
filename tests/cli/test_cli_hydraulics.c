// SPDX-License-Identifier: MIT
/// `coilbed check` about flow, head and pumps, and `coilbed check --fluid`.
#include "cli/program.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define SIZES "piping.headers.sizes=[{size: 1-1/4 in, take_offs: 4}, {size: 1 in}]"
#define HOUSE "piping.house={size: 1-1/2 in, length: 50 ft}"
#define UNITS "piping.units=[{flow: 8 gpm, drop: 1.3 psi}, {flow: 12 gpm, drop: 6.4 ftH2O}]"
static const char short_curve[] =
    "pumps.curve=[{flow: 0 gpm, head: 30 ft, power: 150 W}, {flow: 12 gpm, head: 23 ft, power: "
    "225 W}, {flow: 28 gpm, head: 2 ft, power: 245 W}]";

#define FACT(key) "o[\"hydraulics\"][\"" key "\"][\"value\"]"
static const char less_when_warm[] = FACT("head_at_10_degC") " < " FACT("head_at_coldest_allowed");
static const char more_when_warm[] = FACT("flow_at_10_degC") " > " FACT("flow_at_coldest_allowed");
static const char same_flush[] = FACT("purge_house") " == " FACT("purge_circuit");

static void check_explains_the_hydraulics(void **state)
{
    (void)state;
    program ended = program_run(
        ARGUMENTS("check", "--json", "--set", SIZES, "--set", HOUSE, "--set", UNITS, "yard.yaml"));
    assert_status(&ended, 0);
    // 12 gpm wanted; all parts count; some 26 ft of head with the coldest fluid allowed.
    assert_json(
        ended.out,
        ARGUMENTS(
            "0.95 < o[\"hydraulics\"][\"flow_at_coldest_allowed\"][\"value\"] / 7.5708e-4 < 1.1",
            "6e4 < o[\"hydraulics\"][\"head_at_coldest_allowed\"][\"value\"] < 1e5", less_when_warm,
            "o[\"hydraulics\"][\"header_gradient\"][\"value\"] > 0.01",
            "o[\"hydraulics\"][\"house_gradient\"][\"value\"] > 0.01",
            "abs(o[\"hydraulics\"][\"purge_circuit\"][\"value\"] / 2.2243e-4 - 1) < 1e-3",
            "\"circuit_spread\" in o[\"cautions\"]", "\"pump_short\" not in o[\"cautions\"]"));
    program_free(&ended);
    // One size everywhere: no key of the answer stands twice.
    ended =
        program_run(ARGUMENTS("check", "--json", "--set", "piping.headers.sizes=[{size: 3/4 in}]",
                              "--set", "piping.house={size: 3/4 in, length: 9 m}", "yard.yaml"));
    assert_status(&ended, 0);
    assert_json(ended.out, ARGUMENTS(same_flush, "\"header_gradient\" in o[\"cautions\"]"));
    program_free(&ended);
}

static void a_curve_that_is_short_is_a_caution(void **state)
{
    (void)state;
    program ended = program_run(ARGUMENTS("check", "--json", "--set", SIZES, "--set", HOUSE,
                                          "--set", UNITS, "--set", short_curve, "yard.yaml"));
    assert_status(&ended, 0);
    assert_json(ended.out,
                ARGUMENTS("o[\"hydraulics\"][\"flow_at_coldest_allowed\"][\"value\"] < 7.5e-4",
                          more_when_warm,
                          "\"of the flow wanted\" in o[\"cautions\"][\"pump_short\"][\"text\"]"));
    program_free(&ended);
}

static void bad_hydraulics_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *set, *wanted;
    } row[] = {
        {"piping.headers.sizes=[{size: 7/8 in}]", "pipe size \"7/8 in\" is unknown; sizes are"},
        {"piping.house={size: 1 in, sdr: 12, length: 9 ft}", "does not exist in SDR 12"},
        {"piping.circuit_fittings=-3", "-3 is outside 0 to 1000"},
        {"pumps.curve=[{flow: 0 gpm, head: 9 ft, power: 90 W}]", "one point is no curve"},
        {"pumps.curve=[{flow: 0 gpm, head: 9 ft, power: 90 W}, {flow: 5 gpm, head: 10 ft, power: "
         "90 W}]",
         "must not rise with the flow"},
        {"pumps.curve=[{flow: 0 gpm, head: 90 ft, power: 90 W}, {flow: 1 gpm, head: 80 ft, power: "
         "90 W}]",
         "the curve meets the loop at no fluid temperature: at its last point"},
        {"fluid.type=calcium_chloride", "is a salt and has no share by volume; write basis: mass"},
        {"pumps.flow_per_circuit=0.1 gpm", "at most 40 K can be modelled"},
        {"pumps.curve=[{flow: 0 gpm, head: 0.5 ft, power: 90 W}, {flow: 1 gpm, head: 0.1 ft, "
         "power: "
         "90 W}]",
         "stronger pumps or wider pipes are wanted"},
        {"fluid.concentration=59 %", "is outside the data for propylene glycol"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        program ended = program_run(ARGUMENTS("check", "--set", row[i].set, "yard.yaml"));
        assert_status(&ended, 2);
        assert_contains(ended.err, row[i].wanted);
        assert_string_equal(ended.out, "");
        program_free(&ended);
    }
}

static void the_fluid_is_told_over_temperature(void **state)
{
    (void)state;
    static const char *const wanted[] = {"propylene glycol", "20.6 % by mass, 20.0 % by volume",
                                         "which takes",      "corrosion inhibitors",
                                         "burst protection", "heat capacity",
                                         "lb/ft3",           "Needed with the margin"};
    program ended = program_run(ARGUMENTS("check", "--fluid", "yard.yaml"));
    assert_status(&ended, 0);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        assert_contains(ended.out, wanted[i]);
    }
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--fluid", "--units", "si", "yard.yaml"));
    assert_status(&ended, 0);
    assert_contains(ended.out, "mPa s");
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--fluid", "--ground", "yard.yaml"));
    assert_status(&ended, 1);
    assert_contains(ended.err, "give one");
    program_free(&ended);
}

// 20 % by mass at 0 degC, of the published rows; the table of needs runs against the freezing
// point.
static void the_fluid_in_json_hangs_together(void **state)
{
    (void)state;
    program ended = program_run(
        ARGUMENTS("check", "--fluid", "--json", "--set", "fluid.basis=mass", "yard.yaml"));
    assert_status(&ended, 0);
    assert_json(
        ended.out,
        ARGUMENTS("[abs(p[\"density_kg_m3\"] - 1020.0811) < 1e-3 for p in o[\"properties\"] if "
                  "p[\"temperature_c\"] == 0] == [True]",
                  "[p[\"viscosity_pa_s\"] for p in o[\"properties\"]] == "
                  "sorted([p[\"viscosity_pa_s\"] for p in o[\"properties\"]], reverse=True)",
                  "all(n[\"volume_fraction\"] < n[\"mass_fraction\"] for n in o[\"needed\"])",
                  "len(o[\"needed\"]) == 8"));
    program_free(&ended);
    ended = program_run(ARGUMENTS("check", "--fluid", "--json", "--set", "fluid.basis=mass",
                                  "--set", "fluid.type=calcium_chloride", "yard.yaml"));
    assert_status(&ended, 0);
    assert_json(ended.out, ARGUMENTS("all(n[\"volume_fraction\"] is None for n in o[\"needed\"])"));
    program_free(&ended);
}

int main(void)
{
#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, starter_setup, folder_teardown)
    const struct CMUnitTest tests[] = {
        IN_FOLDER(check_explains_the_hydraulics),    IN_FOLDER(a_curve_that_is_short_is_a_caution),
        IN_FOLDER(bad_hydraulics_are_refused),       IN_FOLDER(the_fluid_is_told_over_temperature),
        IN_FOLDER(the_fluid_in_json_hangs_together),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
