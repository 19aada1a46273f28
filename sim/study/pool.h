// SPDX-License-Identifier: MIT
/// Items of work, each in a process of its own: one that crashes or is killed loses one item.
#ifndef COILBED_STUDY_POOL_H
#define COILBED_STUDY_POOL_H

#include "coilbed/status.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct cbx_pool {
    void *context;
    const size_t *item; ///< [count] numbers of the items, begun in this order
    size_t count;
    int jobs; ///< processes at a time, at least 1
    size_t result_size;
    /// In a process of its own: fills the zeroed result, which must hold no pointers.
    void (*work)(void *context, size_t item, void *result);
    /// In this process, as items end, in any order. result is NULL if the process ended without
    /// one; `lost` then says how. Another status than CB_OK ends the pool with it.
    cb_status (*done)(void *context, size_t item, const void *result, const char *lost,
                      cb_error *error);
    /// Called about five times a second; true ends the pool with CB_STOPPED: what runs is killed,
    /// and is not handed to done.
    bool (*tick)(void *context);
} cbx_pool;

/// Errors: CB_IO if no process can be started; CB_NO_MEMORY; CB_STOPPED; those of done.
cb_status cbx_pool_run(const cbx_pool *pool, cb_error *error);

#endif
