// SPDX-License-Identifier: MIT
#include "engine/crew.h"

#include <errno.h>
#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

// A pause takes some 10 to 40 ns. The serial stretches between two loops last some microseconds,
// less than it takes to wake a sleeper, so a wait spins that long first. It does not offer its
// core: with others on it, that would be gone for milliseconds.
enum { SPINS = 8192, LINE_BYTES = 64 };

// Alone in its line of memory, so that a round costs two lines on their way.
typedef struct worker {
    _Alignas(LINE_BYTES) atomic_uint done; // the last round it finished
    cbx_crew *crew;
    int place; // takes indices place, place + size, ...
    pthread_t thread;
} worker;

struct cbx_crew {
    // In one line: what a round is, set before its number.
    _Alignas(LINE_BYTES) atomic_uint round;
    int count;
    cbx_crew_task *task;
    void *context;
    bool leave;
    // Those who gave up spinning sleep under the mutex. Who changes what they wait for looks
    // afterwards whether they are there, and they look at it once more after saying so: in one
    // order for all, so that no one is left asleep.
    _Alignas(LINE_BYTES) atomic_int asleep;
    atomic_bool caller_asleep;
    pthread_mutex_t mutex;
    pthread_cond_t begin, finished;
    int size; // the caller, in place 0, counted
    worker *worker;
    // Where other programs want the cores, threads wait for one another longer than they work: the
    // caller then goes on alone for a while. Who does what changes no result.
    int lateness, alone; // rounds left
};

static void rest(void)
{
#if defined(__GNUC__) && (defined(__x86_64__) || defined(__i386__))
    __builtin_ia32_pause();
#endif
}

static void wait_for_round(worker *self, unsigned last)
{
    cbx_crew *crew = self->crew;
    for (int spent = 0; spent < SPINS; spent++) {
        if (atomic_load_explicit(&crew->round, memory_order_acquire) != last) {
            return;
        }
        rest();
    }
    pthread_mutex_lock(&crew->mutex);
    atomic_fetch_add(&crew->asleep, 1);
    while (atomic_load(&crew->round) == last) {
        pthread_cond_wait(&crew->begin, &crew->mutex);
    }
    atomic_fetch_sub(&crew->asleep, 1);
    pthread_mutex_unlock(&crew->mutex);
}

static void begin_round(cbx_crew *crew)
{
    atomic_fetch_add(&crew->round, 1);
    if (atomic_load(&crew->asleep) > 0) {
        pthread_mutex_lock(&crew->mutex);
        pthread_cond_broadcast(&crew->begin);
        pthread_mutex_unlock(&crew->mutex);
    }
}

static void finish(worker *self, unsigned round)
{
    cbx_crew *crew = self->crew;
    atomic_store(&self->done, round);
    if (atomic_load(&crew->caller_asleep)) {
        pthread_mutex_lock(&crew->mutex);
        pthread_cond_signal(&crew->finished);
        pthread_mutex_unlock(&crew->mutex);
    }
}

// False if it had to sleep for it.
static bool wait_for(cbx_crew *crew, const worker *other, unsigned round)
{
    for (int spent = 0; spent < SPINS; spent++) {
        if (atomic_load_explicit(&other->done, memory_order_acquire) == round) {
            return true;
        }
        rest();
    }
    pthread_mutex_lock(&crew->mutex);
    atomic_store(&crew->caller_asleep, true);
    while (atomic_load(&other->done) != round) {
        pthread_cond_wait(&crew->finished, &crew->mutex);
    }
    atomic_store(&crew->caller_asleep, false);
    pthread_mutex_unlock(&crew->mutex);
    return false;
}

static void wait_for_others(cbx_crew *crew)
{
    const unsigned round = atomic_load_explicit(&crew->round, memory_order_relaxed);
    bool in_time = true;
    for (int place = 1; place < crew->size; place++) {
        in_time = wait_for(crew, &crew->worker[place], round) && in_time;
    }
    // One in a hundred may be late.
    enum { LATE = 100, MOST = 1000, ALONE = 200000 };
    crew->lateness += in_time ? -(crew->lateness > 0) : LATE;
    if (crew->lateness > MOST) {
        crew->lateness = 0;
        crew->alone = ALONE;
    }
}

static void work(const cbx_crew *crew, int place)
{
    for (int n = place; n < crew->count; n += crew->size) {
        crew->task(crew->context, n);
    }
}

static void *live(void *argument)
{
    worker *self = argument;
    cbx_crew *crew = self->crew;
    for (unsigned round = 0;; round++) {
        wait_for_round(self, round);
        if (crew->leave) {
            return NULL;
        }
        work(crew, self->place);
        finish(self, round + 1);
    }
}

// Signals are the program's business and go to its own threads.
static void start_workers(cbx_crew *crew, int wanted)
{
    sigset_t all, before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    int place = 1;
    for (; place < wanted; place++) {
        worker *next = &crew->worker[place];
        next->crew = crew;
        next->place = place;
        if (pthread_create(&next->thread, NULL, live, next) != 0) {
            break;
        }
    }
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    crew->size = place; // no worker reads it before its first round
}

cb_status cbx_crew_create(cbx_crew **out, int threads, cb_error *error)
{
    *out = NULL;
    const size_t most = threads > 1 ? (size_t)threads : 1;
    cbx_crew *crew = aligned_alloc(LINE_BYTES, sizeof *crew);
    worker *workers = aligned_alloc(LINE_BYTES, most * sizeof *workers);
    if (!crew || !workers) {
        free(crew);
        free(workers);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the threads");
    }
    memset(crew, 0, sizeof *crew);
    memset(workers, 0, most * sizeof *workers);
    crew->worker = workers;
    pthread_mutex_init(&crew->mutex, NULL);
    pthread_cond_init(&crew->begin, NULL);
    pthread_cond_init(&crew->finished, NULL);
    start_workers(crew, threads);
    *out = crew;
    return CB_OK;
}

cbx_crew *cbx_crew_destroy(cbx_crew *crew)
{
    if (crew) {
        crew->leave = true;
        begin_round(crew);
        for (int place = 1; place < crew->size; place++) {
            pthread_join(crew->worker[place].thread, NULL);
        }
        pthread_cond_destroy(&crew->finished);
        pthread_cond_destroy(&crew->begin);
        pthread_mutex_destroy(&crew->mutex);
        free(crew->worker);
        free(crew);
    }
    return NULL;
}

void cbx_crew_run(cbx_crew *crew, cbx_crew_task *task, void *context, int count)
{
    const bool alone = !crew || crew->size == 1 || count <= 1 || crew->alone > 0;
    if (alone) {
        if (crew && crew->alone > 0) {
            crew->alone--;
        }
        for (int n = 0; n < count; n++) {
            task(context, n);
        }
        return;
    }
    crew->task = task;
    crew->context = context;
    crew->count = count;
    begin_round(crew);
    work(crew, 0);
    wait_for_others(crew);
}

typedef struct some_tasks {
    cbx_crew_task *task;
    void *context;
    int count, together;
} some_tasks;

static void run_some(void *context, int index)
{
    const some_tasks *all = context;
    const int first = index * all->together;
    for (int n = first; n < first + all->together && n < all->count; n++) {
        all->task(all->context, n);
    }
}

void cbx_crew_run_together(cbx_crew *crew, cbx_crew_task *task, void *context, int count,
                           int together)
{
    some_tasks all = {task, context, count, together};
    cbx_crew_run(crew, run_some, &all, (count + together - 1) / together);
}

static int cores_online(void)
{
#ifdef _SC_NPROCESSORS_ONLN // no part of POSIX, but everywhere
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    return cores < 1 ? 1 : cores > 8 ? 8 : (int)cores;
#else
    return 1;
#endif
}

cb_status cbx_crew_size_for(int *threads, int count, cb_error *error)
{
    const char *wish = getenv("COILBED_THREADS");
    long most = cores_online();
    if (wish) {
        char *end;
        errno = 0;
        most = strtol(wish, &end, 10);
        if (end == wish || *end != '\0' || errno != 0 || most < 1 || most > CBX_MOST_THREADS) {
            return cb_fail(error, CB_BAD_INPUT,
                           "COILBED_THREADS in the environment is \"%s\"; it must be a whole "
                           "number from 1 to %d",
                           wish, CBX_MOST_THREADS);
        }
    }
    *threads = count < most ? count : (int)most;
    return CB_OK;
}
