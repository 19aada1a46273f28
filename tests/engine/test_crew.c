// SPDX-License-Identifier: MIT
#include "engine/crew.h"
#include "engine/field.h"

#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

enum { MOST = 9 };

// Plain, not atomic: each index writes its own place, and a caller may read all of them after the
// loop. A thread sanitizer would object if the crew did not order that.
typedef struct tally {
    int times[MOST];
    long seen[MOST]; // what the caller had written before the loop
    long round;
} tally;

static void count_one(void *context, int index)
{
    tally *self = context;
    self->times[index]++;
    self->seen[index] = self->round;
}

static void check_round(tally *self, int threads, int count, long round)
{
    for (int n = 0; n < MOST; n++) {
        const int wanted = n < count ? 1 : 0;
        if (self->times[n] != wanted || (wanted && self->seen[n] != round)) {
            fail_msg("%d threads, %d indices, round %ld: index %d ran %d times, last in round %ld",
                     threads, count, round, n, self->times[n], self->seen[n]);
        }
        self->times[n] = 0;
    }
}

typedef struct order_log {
    atomic_int next;
    int place[MOST];        // when each index ran
    pthread_t thread[MOST]; // and in which thread
} order_log;

static void log_one(void *context, int index)
{
    order_log *self = context;
    self->place[index] = atomic_fetch_add(&self->next, 1);
    self->thread[index] = pthread_self();
}

static void neighbours_run_in_one_thread_in_their_order(void **state)
{
    (void)state;
    for (int threads = 1; threads <= 3; threads++) {
        for (int count = 0; count <= MOST; count++) {
            cbx_crew *crew;
            order_log log = {0};
            assert_int_equal(cbx_crew_create(&crew, threads, NULL), CB_OK);
            cbx_crew_run_together(crew, log_one, &log, count, 2);
            assert_null(cbx_crew_destroy(crew));
            assert_int_equal(atomic_load(&log.next), count);
            for (int n = 0; n + 1 < count; n += 2) {
                assert_true(pthread_equal(log.thread[n], log.thread[n + 1]));
                assert_true(log.place[n] < log.place[n + 1]);
            }
        }
    }
}

static void every_index_runs_once_in_every_round(void **state)
{
    (void)state;
    enum { ROUNDS = 3000 };
    for (int threads = 1; threads <= 4; threads++) {
        cbx_crew *crew;
        tally own = {0};
        assert_int_equal(cbx_crew_create(&crew, threads, NULL), CB_OK);
        for (own.round = 1; own.round <= ROUNDS; own.round++) {
            const int count = (int)(own.round % (MOST + 1));
            cbx_crew_run(crew, count_one, &own, count);
            check_round(&own, threads, count, own.round);
        }
        assert_null(cbx_crew_destroy(crew));
    }
}

static void a_crew_that_fell_asleep_wakes_up(void **state)
{
    (void)state;
    cbx_crew *crew;
    tally own = {0};
    assert_int_equal(cbx_crew_create(&crew, 3, NULL), CB_OK);
    for (own.round = 1; own.round <= 20; own.round++) {
        const struct timespec pause = {.tv_nsec = 2000000};
        nanosleep(&pause, NULL);
        cbx_crew_run(crew, count_one, &own, MOST);
        check_round(&own, 3, MOST, own.round);
    }
    cbx_crew_destroy(crew);
}

static void no_crew_and_a_crew_never_used(void **state)
{
    (void)state;
    tally own = {.round = 1};
    cbx_crew_run(NULL, count_one, &own, MOST);
    check_round(&own, 1, MOST, 1);
    cbx_crew *crew;
    assert_int_equal(cbx_crew_create(&crew, 4, NULL), CB_OK);
    cbx_crew_destroy(crew);
    assert_null(cbx_crew_destroy(NULL));
}

static void the_environment_sets_the_size(void **state)
{
    (void)state;
    static const struct {
        const char *wish;
        int slices, threads; // 0: refused
    } cases[] = {{"1", 8, 1}, {"2", 8, 2},   {"3", 2, 2},  {"64", 64, 64},
                 {"0", 4, 0}, {"65", 4, 0},  {"-1", 4, 0}, {"two", 4, 0},
                 {"", 4, 0},  {"2.5", 4, 0}, {"2 ", 4, 0}, {"99999999999999999999", 4, 0}};
    for (size_t n = 0; n < sizeof cases / sizeof *cases; n++) {
        cb_error error = {0};
        int threads = -1;
        setenv("COILBED_THREADS", cases[n].wish, 1);
        const cb_status status = cbx_crew_size_for(&threads, cases[n].slices, &error);
        unsetenv("COILBED_THREADS");
        if (cases[n].threads == 0) {
            assert_int_equal(status, CB_BAD_INPUT);
            assert_non_null(strstr(error.message, "COILBED_THREADS"));
            assert_non_null(strstr(error.message, cases[n].wish));
            assert_non_null(strstr(error.message, "from 1 to 64"));
        } else if (status != CB_OK || threads != cases[n].threads) {
            fail_msg("\"%s\" for %d slices: got %d threads, want %d", cases[n].wish,
                     cases[n].slices, threads, cases[n].threads);
        }
    }
    int threads = 0;
    assert_int_equal(cbx_crew_size_for(&threads, 1, NULL), CB_OK);
    assert_int_equal(threads, 1);
    assert_int_equal(cbx_crew_size_for(&threads, 64, NULL), CB_OK);
    assert_in_range(threads, 1, 8);
}

static void the_engine_refuses_a_size_that_is_none(void **state)
{
    (void)state;
    test_field f;
    cb_engine *engine;
    cb_error error = {0};
    field_open(&f, NULL, 0);
    setenv("COILBED_THREADS", "many", 1);
    const cb_status status = cb_engine_create(&engine, f.design, f.run_weather, f.house, &error);
    unsetenv("COILBED_THREADS");
    assert_int_equal(status, CB_BAD_INPUT);
    assert_null(engine);
    assert_non_null(strstr(error.message, "COILBED_THREADS in the environment is \"many\""));
    field_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_index_runs_once_in_every_round),
        cmocka_unit_test(neighbours_run_in_one_thread_in_their_order),
        cmocka_unit_test(a_crew_that_fell_asleep_wakes_up),
        cmocka_unit_test(no_crew_and_a_crew_never_used),
        cmocka_unit_test(the_environment_sets_the_size),
        cmocka_unit_test(the_engine_refuses_a_size_that_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
