// SPDX-License-Identifier: MIT
/// What the tests of studies share: a folder, the units, and the starter cut down to a small, fast
/// case: one year, draft accuracy, one slice, an eighth of the field and house, no hard winter.
#ifndef TESTS_STUDY_BENCH_H
#define TESTS_STUDY_BENCH_H

#include "coilbed/case.h"

enum { BENCH_MOST = 32 };

typedef struct bench {
    cb_units *units;
    char folder[64];
    char cache[96]; ///< folder/cache, not made yet
    char path[96];  ///< folder/yard.yaml, written; the climate stands beside it
    char run[96];   ///< folder/yard.h5, not written
    cb_override set[BENCH_MOST];
    size_t set_count;
} bench;

/// cmocka's setup and teardown: *state is the bench.
int bench_open(void **state);
int bench_close(void **state);

/// The small case with more overrides (NULL-terminated paths).
cb_case_source bench_source(bench *b, const cb_override *more);

/// A cb_case_get whose context is the bench: runs the case, or takes it from the bench's cache.
cb_status bench_run(void *context, const cb_case_source *source, const char *value, cb_case **out,
                    cb_error *error);

/// Fails the test with the library's message unless status is CB_OK.
void bench_must(cb_status status, const cb_error *error);

/// Fails the test unless got is within tolerance of want; NaN only equals NaN.
void bench_expect(const char *what, double got, double want, double tolerance);

#endif
