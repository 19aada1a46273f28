// SPDX-License-Identifier: MIT
// A few threads that share the indices of a loop.
//
// Index n always goes to the same thread, and a loop's bodies write apart: what a run computes does
// not depend on the number of threads.
#ifndef COILBED_ENGINE_CREW_H
#define COILBED_ENGINE_CREW_H

#include "coilbed/status.h"

typedef struct cbx_crew cbx_crew;
typedef void cbx_crew_task(void *context, int index);

enum { CBX_MOST_THREADS = 64 };

// Threads for a loop of `count` bodies: not more than those, the cores online or 8. COILBED_THREADS
// in the environment takes the place of the last two. Errors: CB_BAD_INPUT if it is no whole number
// from 1 to CBX_MOST_THREADS.
cb_status cbx_crew_size_for(int *threads, int count, cb_error *error);

// `threads` counts the caller's own. With one thread, or where the system grants no more, the crew
// is the caller alone. Errors: CB_NO_MEMORY.
cb_status cbx_crew_create(cbx_crew **out, int threads, cb_error *error);
cbx_crew *cbx_crew_destroy(cbx_crew *crew);

// Calls task(context, index) once for each index below `count` and returns when all are done. NULL
// is a crew of the caller alone. Not from within a task, nor from two threads at a time.
void cbx_crew_run(cbx_crew *crew, cbx_crew_task *task, void *context, int count);

// The same, `together` neighbouring indices at a time by one thread, in their order.
void cbx_crew_run_together(cbx_crew *crew, cbx_crew_task *task, void *context, int count,
                           int together);

#endif
