// SPDX-License-Identifier: MIT
/// What cb_dataset_write wrote comes back.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "record/stored.h"

static char path[] = "/tmp/coilbed-stored-XXXXXX";

static int setup(void **state)
{
    (void)state;
    const int file = mkstemp(path);
    return file < 0 ? 1 : close(file);
}

static int teardown(void **state)
{
    (void)state;
    return unlink(path);
}

static void write_file(void)
{
    static const double depth[] = {1.5, 2.0}, margin[] = {1, 2, 3, 4, NAN, 6};
    static const char *const fluid[] = {"ethanol", "", "methanol, über"};
    static const int severity[] = {0, -1, 2};
    const cb_dataset_axis axis[] = {
        {.group = "",
         .name = "depth",
         .length = 2,
         .number = depth,
         .units = "m",
         .long_name = "field.depth"},
        {.group = "", .name = "fluid", .length = 3, .text = fluid},
        {.group = "/statistics", .name = "limit", .length = 3, .text = fluid}};
    const cb_dataset_variable variable[] = {
        {.group = "", .name = "margin", .rank = 2, .axis = {0, 1}, .number = margin},
        {.group = "", .name = "severity", .rank = 1, .axis = {1}, .integer = severity},
        {.group = "", .name = "study_text", .text = (const char *const[]){"whole"}}};
    const cb_dataset dataset = {
        .axis_count = 3, .axis = axis, .variable_count = 3, .variable = variable};
    cb_error error = {0};
    if (cb_dataset_write(path, &dataset, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
}

static const cbx_stored_variable *need(const cbx_stored *stored, const char *name)
{
    const cbx_stored_variable *found = cbx_stored_find(stored, name);
    if (!found) {
        fail_msg("%s is missing", name);
    }
    return found;
}

static void shapes_values_and_texts_come_back(void **state)
{
    (void)state;
    write_file();
    cb_error error = {0};
    cbx_stored *stored = NULL;
    if (cbx_stored_read(&stored, path, "/", &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    assert_int_equal(stored->count, 5);
    const cbx_stored_variable *margin = need(stored, "margin"), *fluid = need(stored, "fluid");
    assert_int_equal(margin->rank, 2);
    assert_int_equal(margin->size[0], 2);
    assert_int_equal(margin->size[1], 3);
    assert_string_equal(margin->dimension[0], "depth");
    assert_string_equal(margin->dimension[1], "fluid");
    assert_true(margin->number[3] == 4.0);
    assert_true(isnan(margin->number[4]));
    assert_string_equal(cbx_stored_text(fluid, 0), "ethanol");
    assert_string_equal(cbx_stored_text(fluid, 1), "");
    assert_string_equal(cbx_stored_text(fluid, 2), "methanol, über");
    assert_string_equal(cbx_stored_text(fluid, 3), "");
    assert_string_equal(need(stored, "depth")->units, "m");
    assert_string_equal(need(stored, "depth")->long_name, "field.depth");
    assert_true(need(stored, "severity")->number[1] == -1.0);
    assert_string_equal(cbx_stored_text(need(stored, "study_text"), 0), "whole");
    assert_null(cbx_stored_find(stored, "limit"));
    cbx_stored_destroy(stored);
    assert_int_equal(cbx_stored_read(&stored, path, "/statistics", &error), CB_OK);
    assert_int_equal(stored->count, 1);
    cbx_stored_destroy(stored);
    assert_int_equal(cbx_stored_read(&stored, path, "/nothing", &error), CB_OK);
    assert_int_equal(stored->count, 0);
    cbx_stored_destroy(stored);
    assert_null(cbx_stored_destroy(NULL));
}

static void what_is_no_such_file_is_refused(void **state)
{
    (void)state;
    cb_error error = {0};
    cbx_stored *stored = NULL;
    assert_int_equal(cbx_stored_read(&stored, "/nowhere/at.h5", "/", &error), CB_IO);
    assert_null(stored);
    write_file();
    assert_int_equal(truncate(path, 1000), 0);
    assert_int_equal(cbx_stored_read(&stored, path, "/", &error), CB_IO);
    assert_null(stored);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(shapes_values_and_texts_come_back),
                                       cmocka_unit_test(what_is_no_such_file_is_refused)};
    return cmocka_run_group_tests(tests, setup, teardown);
}
