// SPDX-License-Identifier: MIT
#include "study/pool.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#ifdef __linux__
#include <sys/prctl.h>
#endif

enum { TICK_MS = 200 };

/// A process at work; pid 0: none.
typedef struct worker {
    pid_t pid;
    int pipe; ///< its result comes in here
    size_t item, filled;
    char *result; ///< [result_size]
} worker;

typedef struct state {
    const cbx_pool *pool;
    worker *worker;       ///< [jobs]
    struct pollfd *watch; ///< [jobs]
    size_t next;          ///< of the items not begun
    size_t running;
    cb_error *error;
} state;

// ---- in the worker ---------------------------------------------------------------------------

static bool write_all(int file, const char *bytes, size_t size)
{
    while (size > 0) {
        const ssize_t written = write(file, bytes, size);
        if (written < 0 && errno == EINTR) {
            continue;
        }
        if (written <= 0) {
            return false;
        }
        bytes += written;
        size -= (size_t)written;
    }
    return true;
}

// Ctrl-C goes to all processes of a terminal: this one leaves it to its parent to end it, so that
// a case that was stopped is never taken for one that failed. It must not outlive the parent
// either.
static void set_signals(pid_t parent)
{
    const struct sigaction ignore = {.sa_handler = SIG_IGN}, usual = {.sa_handler = SIG_DFL};
    sigaction(SIGINT, &ignore, NULL);
    sigaction(SIGTERM, &usual, NULL);
#ifdef __linux__
    prctl(PR_SET_PDEATHSIG, SIGKILL);
#endif
    if (getppid() != parent) {
        _exit(1);
    }
}

static void work(const cbx_pool *pool, size_t item, int out, pid_t parent)
{
    set_signals(parent);
    char *result = calloc(1, pool->result_size);
    if (!result) {
        _exit(1);
    }
    pool->work(pool->context, item, result);
    _exit(write_all(out, result, pool->result_size) ? 0 : 1);
}

// ---- in the parent ---------------------------------------------------------------------------

static cb_status start(state *s, worker *at)
{
    const pid_t parent = getpid();
    int ends[2];
    if (pipe(ends) != 0) {
        return cb_fail(s->error, CB_IO, "no pipe for another process: %s", strerror(errno));
    }
    at->item = s->pool->item[s->next];
    at->filled = 0;
    at->pid = fork();
    if (at->pid == 0) {
        close(ends[0]);
        work(s->pool, at->item, ends[1], parent);
    }
    close(ends[1]);
    if (at->pid < 0) {
        at->pid = 0;
        close(ends[0]);
        return cb_fail(s->error, CB_IO, "no other process can be started: %s", strerror(errno));
    }
    at->pipe = ends[0];
    s->next++;
    s->running++;
    return CB_OK;
}

static void describe_end(int status, char *text, size_t size)
{
    if (WIFSIGNALED(status)) {
        snprintf(text, size, "its process was ended by signal %d", WTERMSIG(status));
    } else {
        snprintf(text, size, "its process ended with status %d and no result",
                 WIFEXITED(status) ? WEXITSTATUS(status) : -1);
    }
}

static int reap(state *s, worker *at)
{
    int status = 0;
    while (waitpid(at->pid, &status, 0) < 0 && errno == EINTR) {
    }
    close(at->pipe);
    at->pid = 0;
    s->running--;
    return status;
}

static cb_status finish(state *s, worker *at)
{
    char lost[100];
    const bool whole = at->filled == s->pool->result_size;
    describe_end(reap(s, at), lost, sizeof lost);
    return s->pool->done(s->pool->context, at->item, whole ? at->result : NULL, whole ? NULL : lost,
                         s->error);
}

// A worker that has no more to say has ended, one way or the other.
static cb_status receive(state *s, worker *at)
{
    const size_t wanted = s->pool->result_size - at->filled;
    char beyond;
    const ssize_t got =
        wanted > 0 ? read(at->pipe, at->result + at->filled, wanted) : read(at->pipe, &beyond, 1);
    if (got < 0 && errno == EINTR) {
        return CB_OK;
    }
    if (got <= 0) {
        return finish(s, at);
    }
    at->filled += wanted > 0 ? (size_t)got : 0;
    return CB_OK;
}

static void kill_all(state *s)
{
    for (int j = 0; j < s->pool->jobs; j++) {
        if (s->worker[j].pid > 0) {
            kill(s->worker[j].pid, SIGKILL);
            reap(s, &s->worker[j]);
        }
    }
}

static cb_status start_more(state *s)
{
    cb_status status = CB_OK;
    for (int j = 0; status == CB_OK && j < s->pool->jobs && s->next < s->pool->count; j++) {
        if (s->worker[j].pid == 0) {
            status = start(s, &s->worker[j]);
        }
    }
    return status;
}

static cb_status wait_for_some(state *s)
{
    for (int j = 0; j < s->pool->jobs; j++) {
        const worker *at = &s->worker[j];
        s->watch[j] = (struct pollfd){.fd = at->pid > 0 ? at->pipe : -1, .events = POLLIN};
    }
    const int ready = poll(s->watch, (nfds_t)s->pool->jobs, TICK_MS);
    cb_status status = CB_OK;
    for (int j = 0; status == CB_OK && ready > 0 && j < s->pool->jobs; j++) {
        if (s->watch[j].fd >= 0 && s->watch[j].revents != 0) {
            status = receive(s, &s->worker[j]);
        }
    }
    return status;
}

static cb_status run(state *s)
{
    cb_status status = start_more(s);
    while (status == CB_OK && s->running > 0) {
        if (s->pool->tick && s->pool->tick(s->pool->context)) {
            status = cb_fail(s->error, CB_STOPPED, "stopped");
            break;
        }
        status = wait_for_some(s);
        if (status == CB_OK) {
            status = start_more(s);
        }
    }
    kill_all(s);
    return status;
}

cb_status cbx_pool_run(const cbx_pool *pool, cb_error *error)
{
    const size_t jobs = (size_t)pool->jobs;
    state s = {.pool = pool, .error = error};
    s.worker = calloc(jobs, sizeof *s.worker);
    s.watch = calloc(jobs, sizeof *s.watch);
    char *results = calloc(jobs, pool->result_size);
    const bool room = s.worker && s.watch && results;
    for (size_t j = 0; room && j < jobs; j++) {
        s.worker[j].result = results + j * pool->result_size;
    }
    const cb_status status =
        room ? run(&s) : cb_fail(error, CB_NO_MEMORY, "no memory for %d processes", pool->jobs);
    free(results);
    free(s.watch);
    free(s.worker);
    return status;
}
