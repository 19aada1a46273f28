// SPDX-License-Identifier: MIT
// The starter design and all that a run of it needs, with overrides, for tests of the engine.
#ifndef COILBED_TESTS_FIELD_H
#define COILBED_TESTS_FIELD_H

#include "coilbed/engine.h"
#include "engine/assemble.h"

typedef struct test_field {
    cb_units *units;
    cb_design *design;
    cb_weather *weather;
    cb_run_weather *run_weather;
    cb_house *house;
} test_field;

// Fails the test with the library's message if anything is wrong. The starter's hard winters are
// left out unless an override brings them back.
void field_open(test_field *field, const cb_override *overrides, size_t count);
// The field as one system, its surface a plain film to air of 2 degC: for tests that do not run.
cbx_system *field_system(const test_field *field);
void field_close(test_field *field);

// Opens the field, runs it until `stop`, given each hour, says so, and closes it.
void field_run(const cb_override *overrides, size_t count, const cb_sink *sink);

#endif
