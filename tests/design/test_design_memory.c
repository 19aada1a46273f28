// SPDX-License-Identifier: MIT
// Every allocation of the library's own code is made to fail once; the linker hands them to the
// functions below (-Wl,--wrap). Under AddressSanitizer this also proves that nothing leaks.
#include "workshop.h"

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);

static long budget = -1; // -1: never fail

static bool spend(void)
{
    if (budget == 0) {
        return false;
    }
    budget -= budget > 0;
    return true;
}

void *__wrap_malloc(size_t size)
{
    return spend() ? __real_malloc(size) : NULL;
}

void *__wrap_calloc(size_t count, size_t size)
{
    return spend() ? __real_calloc(count, size) : NULL;
}

void *__wrap_realloc(void *block, size_t size)
{
    return spend() ? __real_realloc(block, size) : NULL;
}

static void reading_survives_every_failed_allocation(void **state)
{
    const workshop *w = *state;
    static const cb_override set[] = {{"ground.layers[2]", "{material: sand}"},
                                      {"ground.layers[1].down_to", "2 m"}};
    cb_status status = CB_NO_MEMORY;
    long made = 0;
    for (; status != CB_OK; made++) {
        cb_design *design = NULL;
        cb_error error = {0};
        budget = made;
        status = cb_design_parse(&design, fixture_design(), w->name, set, 2, w->units, &error);
        budget = -1;
        if (status != CB_OK && status != CB_NO_MEMORY) {
            fail_msg("allocation %ld: %s", made, error.message);
        }
        assert_int_equal(design == NULL, status != CB_OK);
        cb_design_destroy(design);
    }
    assert_true(made > 500);
}

static void units_survive_a_failed_allocation(void **state)
{
    (void)state;
    cb_units *units = NULL;
    cb_error error = {0};
    budget = 0;
    const cb_status status = cb_units_create(&units, &error);
    budget = -1;
    assert_int_equal(status, CB_NO_MEMORY);
    assert_null(units);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reading_survives_every_failed_allocation),
        cmocka_unit_test(units_survive_a_failed_allocation),
    };
    return cmocka_run_group_tests(tests, workshop_open, workshop_close);
}
