// SPDX-License-Identifier: MIT
#ifndef COILBED_BASE_CLOCK_H
#define COILBED_BASE_CLOCK_H

#include <time.h>

// Seconds of a clock that nobody sets, from a start of its own.
static inline double cbx_clock_s(void)
{
    struct timespec now = {0};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

#endif
