// SPDX-License-Identifier: MIT
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "coilbed/units.h"
#include "units/number.h"

static int load(void **state)
{
    cb_units *units = NULL;
    const cb_status status = cb_units_create(&units, NULL);
    *state = units;
    return status == CB_OK ? 0 : -1;
}

static int unload(void **state)
{
    *state = cb_units_destroy(*state);
    return 0;
}

// Exact definitions: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, 1 US gal = 231 in3,
// 1 IT BTU = 1055.05585262 J, 1 degF step = 1/1.8 K, standard gravity 9.80665 m/s2.
static void text_becomes_si(void **state)
{
    static const struct {
        cb_kind kind;
        const char *text;
        double want, tolerance;
    } row[] = {
        {CB_NUMBER, "4", 4, 0},
        {CB_NUMBER, " 1e3 ", 1000, 0},
        {CB_FRACTION, "0.2", 0.2, 0},
        {CB_FRACTION, "20 %", 0.2, 1e-16},
        {CB_FRACTION, "20%", 0.2, 1e-16},
        {CB_FRACTION, "20 percent", 0.2, 1e-16},
        {CB_LENGTH, "6 ft", 1.8288, 1e-15},
        {CB_LENGTH, "6ft", 1.8288, 1e-15},
        {CB_LENGTH, "1.8 m", 1.8, 0},
        {CB_LENGTH, "5 ft 6 in", 1.6764, 1e-15},
        {CB_LENGTH, "5' 6\"", 1.6764, 1e-15},
        {CB_LENGTH, "-5 feet 6 inches", -1.6764, 1e-15},
        {CB_LENGTH, "100 yards", 91.44, 1e-13},
        {CB_SMALL_LENGTH, "24 in", 0.6096, 1e-15},
        {CB_SMALL_LENGTH, "3/4 in", 0.01905, 1e-16},
        {CB_SMALL_LENGTH, "1 1/2 in", 0.0381, 1e-16},
        {CB_SMALL_LENGTH, "600 mm", 0.6, 1e-15},
        {CB_TEMPERATURE, "-4 degF", -20, 1e-12},
        {CB_TEMPERATURE, "-4 F", -20, 1e-12},
        {CB_TEMPERATURE, "41 °F", 5, 1e-12},
        {CB_TEMPERATURE, "5 degC", 5, 0},
        {CB_TEMPERATURE, "-7.25 C", -7.25, 0},
        {CB_TEMPERATURE, "-7.25 °C", -7.25, 0},
        {CB_TEMPERATURE_DIFFERENCE, "9 delta_degF", 5, 1e-14},
        {CB_TEMPERATURE_DIFFERENCE, "3 delta_degC", 3, 0},
        {CB_TEMPERATURE_DIFFERENCE, "3 K", 3, 0},
        {CB_POWER, "3 tons", 36000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "1 ton", 12000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "36 kBTU/h", 36000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "36 KBTU/h", 36000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "36 kBtu/hr", 36000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "36 MBH", 36000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "36000 Btuh", 36000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "36000 btu/h", 36000 * 1055.05585262 / 3600, 1e-10},
        {CB_POWER, "10.5 kW", 10500, 1e-12},
        {CB_ELECTRIC_POWER, "2.1 KW", 2100, 1e-12},
        {CB_ELECTRIC_POWER, "245 W", 245, 0},
        {CB_ENERGY, "900 kWh", 3.24e9, 1e-6},
        {CB_ENERGY, "3.2 GJ", 3.2e9, 1e-6},
        {CB_ENERGY, "1 MMBtu", 1055055852.62, 1e-5},
        {CB_CONDUCTIVITY, "1 BTU/h/ft/degF", 1.730734666371391, 1e-14},
        {CB_CONDUCTIVITY, "1 Btu/(h ft F)", 1.730734666371391, 1e-14},
        {CB_CONDUCTIVITY, "1.5 W/m/K", 1.5, 0},
        {CB_CONDUCTIVITY, "1.5 W/(m.K)", 1.5, 0},
        {CB_HEAT_CAPACITY, "1 BTU/ft3/degF", 1055.05585262 * 1.8 / 0.028316846592, 1e-9},
        {CB_HEAT_CAPACITY, "2.5 MJ/m3/K", 2.5e6, 1e-9},
        {CB_HEAT_CAPACITY, "2500000 J m-3 K-1", 2.5e6, 0},
        {CB_DENSITY, "1 lb/ft3", 0.45359237 / 0.028316846592, 1e-13},
        {CB_DENSITY, "1500 kg/m^3", 1500, 0},
        {CB_VOLUME, "40 gal", 40 * 3.785411784e-3, 1e-15},
        {CB_VOLUME, "150 L", 0.150, 1e-15},
        {CB_VOLUME, "2 ft3", 0.056633693184, 1e-15},
        {CB_VOLUME_FLOW, "3 gpm", 3 * 3.785411784e-3 / 60, 1e-18},
        {CB_VOLUME_FLOW, "3 GPM", 3 * 3.785411784e-3 / 60, 1e-18},
        {CB_VOLUME_FLOW, "0.19 L/s", 1.9e-4, 1e-18},
        {CB_PRESSURE, "1 psi", 6894.757293168361, 1e-9},
        {CB_PRESSURE, "80 kPa", 80000, 1e-10},
        {CB_SPEED, "1 mph", 0.44704, 1e-16},
        {CB_SPEED, "3.5 m/s", 3.5, 0},
        {CB_TIME, "30 h", 108000, 0},
        {CB_TIME, "2 days", 172800, 0},
        {CB_ANGLE, "46.9 deg", 46.9, 0},
        {CB_ANGLE, "-97.5 degrees", -97.5, 0},
        {CB_HEAT_FLUX, "0.06 W/m2", 0.06, 0},
        {CB_HEAT_FLUX, "1 BTU/h/ft2", 1055.05585262 / 3600 / 0.09290304, 1e-13},
        {CB_SOLAR_ENERGY, "1 kWh/m2", 3.6e6, 1e-9},
        {CB_SOLAR_ENERGY, "1 BTU/ft2", 1055.05585262 / 0.09290304, 1e-9},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double got = NAN;
        cb_error error = {0};
        if (cb_units_parse(*state, row[i].kind, row[i].text, &got, &error) != CB_OK) {
            fail_msg("\"%s\": %s", row[i].text, error.message);
        }
        if (!(fabs(got - row[i].want) <= row[i].tolerance)) {
            fail_msg("\"%s\": got %.17g, want %.17g", row[i].text, got, row[i].want);
        }
    }
}

static void wrong_text_is_refused_with_a_reason(void **state)
{
    static const struct {
        cb_kind kind;
        const char *text, *message;
    } row[] = {
        {CB_LENGTH, "6", "\"6\" has no unit: a length is wanted, write e.g. 6 ft or 1.8 m"},
        {CB_POWER, "6 ft",
         "\"6 ft\" is a length: a power is wanted, write e.g. 36 kBTU/h or 3 tons or 10.5 kW"},
        {CB_ELECTRIC_POWER, "900 kWh", "\"900 kWh\" is an energy: an electric power is wanted"},
        {CB_TEMPERATURE, "5 K", "\"5 K\" is a temperature difference: a temperature is wanted"},
        {CB_TEMPERATURE, "278.15 K", "is a temperature difference: a temperature is wanted"},
        {CB_TEMPERATURE, "5 delta_degF", "is a temperature difference: a temperature is wanted"},
        {CB_TEMPERATURE_DIFFERENCE, "5 degF",
         "\"5 degF\" is a temperature: a temperature difference is wanted, write e.g. 5 "
         "delta_degF or 3 K"},
        {CB_TEMPERATURE_DIFFERENCE, "5 degC", "is a temperature:"},
        {CB_LENGTH, "3 tons", "is a power: a length is wanted"},
        {CB_LENGTH, "6 fathomz", "has an unknown unit \"fathomz\": a length is wanted"},
        {CB_LENGTH, "6 %", "is a fraction: a length is wanted"},
        {CB_NUMBER, "6 %", "is a fraction: a plain number is wanted, write e.g. 4"},
        {CB_NUMBER, "6 ft", "is a length: a plain number is wanted"},
        {CB_FRACTION, "6 ft/ft", "is of another kind: a fraction is wanted"},
        {CB_LENGTH, "", "\"\" is empty"},
        {CB_LENGTH, "   ", "\"\" is empty"},
        {CB_LENGTH, "ft", "is not a number"},
        {CB_LENGTH, "nan ft", "is not a number"},
        {CB_LENGTH, "inf ft", "is not a number"},
        {CB_NUMBER, "1e999", "is not a number"},
        {CB_LENGTH, "1e308 km", "is too large"},
        {CB_LENGTH, "0x10 ft", "has an unknown unit \"x10 ft\""},
        {CB_LENGTH, "6 ft deep", "has an unknown unit \"ft deep\""},
        {CB_LENGTH, "6 ft 6", "has a number without a unit"},
        {CB_LENGTH, "6 in 5 ft", "is not one length"},
        {CB_LENGTH, "6 ft -6 in", "has an unknown unit"},
        {CB_LENGTH, "1,000 ft", "has a comma in its number (write 12000, not 12,000)"},
        {CB_POWER, "6 kW 3", "has an unknown unit \"kW 3\""},
        {CB_LENGTH, "6 m @ 3", "has an unknown unit"},
        {CB_POWER, "3 lg(re W)", "a power is wanted"},
        {CB_POWER, "36 MBTU/h", "may mean a thousand or a million BTU (write kBTU or MMBTU)"},
        {CB_TEMPERATURE, "20 W/m/K",
         "\"20 W/m/K\" is a thermal conductivity: a temperature is wanted"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double untouched = -99;
        cb_error error = {0};
        const cb_status status =
            cb_units_parse(*state, row[i].kind, row[i].text, &untouched, &error);
        if (status != CB_BAD_INPUT || !strstr(error.message, row[i].message)) {
            fail_msg("\"%s\": status %d, got \"%s\", want \"%s\"", row[i].text, (int)status,
                     error.message, row[i].message);
        }
        assert_true(untouched == -99);
    }
}

static void overlong_text_is_refused(void **state)
{
    char text[5000];
    memset(text, '7', sizeof text);
    text[sizeof text - 1] = '\0';
    double si = 0;
    cb_error error = {0};
    assert_int_equal(cb_units_parse(*state, CB_LENGTH, text, &si, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "too long"));
    assert_int_equal(cb_units_parse(*state, CB_KIND_COUNT, "1", &si, &error), CB_BAD_CALL);
    assert_int_equal(cb_units_parse(NULL, CB_LENGTH, "1 m", &si, &error), CB_BAD_CALL);
}

// The factors of the printing table against UDUNITS, through the labels themselves.
static void printing_inverts_parsing(void **state)
{
    static const double probe[] = {1, 0, -40, 12.5, 98765.4321};
    for (int kind = 0; kind < CB_KIND_COUNT; kind++) {
        for (int system = CB_UNITS_US; system <= CB_UNITS_SI; system++) {
            for (size_t i = 0; i < sizeof probe / sizeof *probe; i++) {
                char text[64];
                double si = NAN;
                const char *label = cb_units_label((cb_kind)kind, (cb_unit_system)system);
                snprintf(text, sizeof text, "%.17g %s", probe[i], label);
                assert_int_equal(cb_units_parse(*state, (cb_kind)kind, text, &si, NULL), CB_OK);
                const double got = cb_units_value((cb_kind)kind, (cb_unit_system)system, si);
                if (!(fabs(got - probe[i]) <= 1e-13 * (100 + fabs(probe[i])))) {
                    fail_msg("\"%s\" comes back as %.17g", text, got);
                }
            }
        }
    }
}

static void every_kind_has_a_name_and_examples_of_itself(void **state)
{
    for (int k = 0; k < CB_KIND_COUNT; k++) {
        const cb_kind kind = (cb_kind)k;
        assert_true(cb_kind_name(kind)[0] != '\0');
        char us[64];
        snprintf(us, sizeof us, "%s", cb_kind_us_example(kind));
        char *other = strstr(us, " or ");
        if (other) {
            *other = '\0';
        }
        double si = 0;
        assert_int_equal(cb_units_parse(*state, kind, us, &si, NULL), CB_OK);
        assert_int_equal(cb_units_parse(*state, kind, cb_kind_si_example(kind), &si, NULL), CB_OK);
    }
}

static void formatted_text_has_the_digits_asked_for(void **state)
{
    (void)state;
    static const struct {
        cb_kind kind;
        cb_unit_system system;
        double si;
        int digits;
        const char *want;
    } row[] = {
        {CB_LENGTH, CB_UNITS_US, 1.8288, 3, "6.00 ft"},
        {CB_LENGTH, CB_UNITS_SI, 1.8288, 3, "1.83 m"},
        {CB_TEMPERATURE, CB_UNITS_US, -20, 2, "-4.0 degF"},
        {CB_TEMPERATURE, CB_UNITS_US, 0, 3, "32.0 degF"},
        {CB_TEMPERATURE, CB_UNITS_SI, 0, 3, "0 degC"},
        {CB_TEMPERATURE, CB_UNITS_SI, -0.0, 3, "0 degC"},
        {CB_POWER, CB_UNITS_US, 10550.5585262, 3, "36000 BTU/h"},
        {CB_POWER, CB_UNITS_SI, 10550.5585262, 3, "10.6 kW"},
        {CB_FRACTION, CB_UNITS_US, 0.2, 2, "20 %"},
        {CB_NUMBER, CB_UNITS_US, 9.9996, 3, "10.0"},
        {CB_NUMBER, CB_UNITS_US, 0.00012345, 3, "0.000123"},
        {CB_VOLUME_FLOW, CB_UNITS_US, 3.785411784e-3 / 60, 2, "1.0 gpm"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        char text[64];
        cb_units_format(row[i].kind, row[i].system, row[i].si, row[i].digits, text, sizeof text);
        if (strcmp(text, row[i].want) != 0) {
            fail_msg("got \"%s\", want \"%s\"", text, row[i].want);
        }
    }
    char small[4] = "xxx";
    assert_string_equal(cb_units_format(CB_LENGTH, CB_UNITS_US, 1.8288, 3, small, 4), "6.0");
}

static void printed_numbers_read_back_to_the_same_bits(void **state)
{
    (void)state;
    uint64_t bits = 88172645463325252u;
    for (int i = 0; i < 100000; i++) {
        bits ^= bits << 13; // xorshift, Marsaglia 2003
        bits ^= bits >> 7;
        bits ^= bits << 17;
        double value = 0;
        memcpy(&value, &bits, sizeof value);
        if (!isfinite(value)) {
            continue;
        }
        char text[40];
        const char *end = NULL;
        double back = 0;
        cbx_number_print(value, text, sizeof text);
        assert_true(cbx_number_scan(text, &end, &back) && *end == '\0');
        assert_memory_equal(&value, &back, sizeof value);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_becomes_si),
        cmocka_unit_test(wrong_text_is_refused_with_a_reason),
        cmocka_unit_test(overlong_text_is_refused),
        cmocka_unit_test(printing_inverts_parsing),
        cmocka_unit_test(every_kind_has_a_name_and_examples_of_itself),
        cmocka_unit_test(formatted_text_has_the_digits_asked_for),
        cmocka_unit_test(printed_numbers_read_back_to_the_same_bits),
    };
    return cmocka_run_group_tests(tests, load, unload);
}
