// SPDX-License-Identifier: MIT
#include "engine/crew.h"

#include <errno.h>
#include <pthread.h>
#include <sched.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>
#include <unistd.h>

// A pause takes some 10 to 40 ns. The serial stretches between two loops last a hundred
// microseconds or two, less than it takes to wake a sleeper on some machines, so a wait spins that
// long first. Now and then it offers its core, so that where other programs want it, waiting does
// not keep the thread that is waited for from running.
enum { SPINS = 16384, SPINS_PER_OFFER = 1024 };

typedef struct worker {
    cbx_crew *crew;
    int place; // takes indices place, place + size, ...
    pthread_t thread;
} worker;

struct cbx_crew {
    int size; // the caller, in place 0, counted
    worker *worker;
    pthread_mutex_t mutex;
    pthread_cond_t begin, done;
    // Both change under the mutex; a thread that spins reads them without.
    atomic_uint round; // a loop's number
    atomic_int busy;   // workers that have not finished it
    // Set before a round begins.
    bool leave;
    cbx_crew_task *task;
    void *context;
    int count;
};

static void rest(int spent)
{
    if (spent % SPINS_PER_OFFER == SPINS_PER_OFFER - 1) {
        sched_yield();
    }
#if defined(__GNUC__) && (defined(__x86_64__) || defined(__i386__))
    __builtin_ia32_pause();
#endif
}

static void wait_for_round(worker *self, unsigned last)
{
    cbx_crew *crew = self->crew;
    for (int spent = 0;
         spent < SPINS && atomic_load_explicit(&crew->round, memory_order_acquire) == last;
         spent++) {
        rest(spent);
    }
    pthread_mutex_lock(&crew->mutex);
    while (atomic_load(&crew->round) == last) {
        pthread_cond_wait(&crew->begin, &crew->mutex);
    }
    pthread_mutex_unlock(&crew->mutex);
}

static void begin_round(cbx_crew *crew)
{
    pthread_mutex_lock(&crew->mutex);
    atomic_store(&crew->busy, crew->size - 1);
    atomic_fetch_add(&crew->round, 1);
    pthread_mutex_unlock(&crew->mutex);
    pthread_cond_broadcast(&crew->begin);
}

static void finish(cbx_crew *crew)
{
    pthread_mutex_lock(&crew->mutex);
    const bool last = atomic_fetch_sub(&crew->busy, 1) == 1;
    pthread_mutex_unlock(&crew->mutex);
    if (last) {
        pthread_cond_signal(&crew->done);
    }
}

static void wait_for_others(cbx_crew *crew)
{
    for (int spent = 0;
         spent < SPINS && atomic_load_explicit(&crew->busy, memory_order_acquire) > 0; spent++) {
        rest(spent);
    }
    pthread_mutex_lock(&crew->mutex);
    while (atomic_load(&crew->busy) > 0) {
        pthread_cond_wait(&crew->done, &crew->mutex);
    }
    pthread_mutex_unlock(&crew->mutex);
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
        finish(crew);
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
        *next = (worker){.crew = crew, .place = place};
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
    cbx_crew *crew = calloc(1, sizeof *crew);
    worker *workers = calloc((size_t)(threads > 1 ? threads : 1), sizeof *workers);
    if (!crew || !workers) {
        free(crew);
        free(workers);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the threads");
    }
    crew->worker = workers;
    pthread_mutex_init(&crew->mutex, NULL);
    pthread_cond_init(&crew->begin, NULL);
    pthread_cond_init(&crew->done, NULL);
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
        pthread_cond_destroy(&crew->done);
        pthread_cond_destroy(&crew->begin);
        pthread_mutex_destroy(&crew->mutex);
        free(crew->worker);
        free(crew);
    }
    return NULL;
}

void cbx_crew_run(cbx_crew *crew, cbx_crew_task *task, void *context, int count)
{
    if (!crew || crew->size == 1 || count <= 1) {
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
