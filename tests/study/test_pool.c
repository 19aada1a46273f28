// SPDX-License-Identifier: MIT
/// Work in processes: results come back, one that is killed loses one item, and a stop stops.
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "study/pool.h"

enum { ITEMS = 12, KILLED = 3, CRASHED = 7, SLOW = 1000 };

/// Larger than a pipe holds at once.
typedef struct result {
    size_t item, square;
    char bulk[200000];
} result;

typedef struct heard {
    int times[ITEMS];
    size_t square[ITEMS];
    char lost[ITEMS][100];
    int ticks, stop_after, fail_after, done;
} heard;

static void work(void *context, size_t item, void *out)
{
    (void)context;
    if (item == KILLED) {
        raise(SIGKILL);
    }
    if (item == CRASHED) {
        _exit(5);
    }
    if (item >= SLOW) {
        sleep(60);
    }
    result *to = out;
    to->item = item;
    to->square = item * item;
    memset(to->bulk, (int)item, sizeof to->bulk);
}

static cb_status done(void *context, size_t item, const void *from, const char *lost,
                      cb_error *error)
{
    heard *h = context;
    const result *got = from;
    h->times[item]++;
    if (got) {
        assert_int_equal(got->item, item);
        assert_int_equal(got->bulk[sizeof got->bulk - 1], (int)item);
        h->square[item] = got->square;
    } else {
        snprintf(h->lost[item], sizeof h->lost[item], "%s", lost);
    }
    h->done++;
    return h->fail_after > 0 && h->done >= h->fail_after ? cb_fail(error, CB_IO, "disk full")
                                                         : CB_OK;
}

static bool tick(void *context)
{
    heard *h = context;
    h->ticks++;
    return h->stop_after > 0 && h->ticks >= h->stop_after;
}

static void every_item_comes_back_once_and_a_killed_one_is_lost_alone(void **state)
{
    (void)state;
    size_t item[ITEMS];
    for (size_t i = 0; i < ITEMS; i++) {
        item[i] = ITEMS - 1 - i;
    }
    for (int jobs = 1; jobs <= 5; jobs += 2) {
        heard h = {0};
        const cbx_pool pool = {&h, item, ITEMS, jobs, sizeof(result), work, done, tick};
        assert_int_equal(cbx_pool_run(&pool, NULL), CB_OK);
        for (size_t i = 0; i < ITEMS; i++) {
            assert_int_equal(h.times[i], 1);
            if (i != KILLED && i != CRASHED) {
                assert_int_equal(h.square[i], i * i);
                assert_string_equal(h.lost[i], "");
            }
        }
        assert_string_equal(h.lost[KILLED], "its process was ended by signal 9");
        assert_string_equal(h.lost[CRASHED], "its process ended with status 5 and no result");
    }
}

static void a_stop_kills_what_runs_and_hands_nothing_over(void **state)
{
    (void)state;
    const size_t item[] = {SLOW, SLOW + 1, SLOW + 2};
    heard h = {.stop_after = 2};
    cb_error error = {0};
    const cbx_pool pool = {&h, item, 3, 2, sizeof(result), work, done, tick};
    const time_t start = time(NULL);
    assert_int_equal(cbx_pool_run(&pool, &error), CB_STOPPED);
    assert_true(time(NULL) - start < 20);
    assert_int_equal(h.done, 0);
}

static void what_cannot_be_kept_ends_the_pool(void **state)
{
    (void)state;
    const size_t item[] = {0, 1, 2, 4, 5};
    heard h = {.fail_after = 2};
    cb_error error = {0};
    const cbx_pool pool = {&h, item, 5, 1, sizeof(result), work, done, tick};
    assert_int_equal(cbx_pool_run(&pool, &error), CB_IO);
    assert_string_equal(error.message, "disk full");
    assert_int_equal(h.done, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_item_comes_back_once_and_a_killed_one_is_lost_alone),
        cmocka_unit_test(a_stop_kills_what_runs_and_hands_nothing_over),
        cmocka_unit_test(what_cannot_be_kept_ends_the_pool),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
