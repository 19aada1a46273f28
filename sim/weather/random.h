// SPDX-License-Identifier: MIT
/// Random numbers that depend on the seed alone.
#ifndef WEATHER_RANDOM_H
#define WEATHER_RANDOM_H

#include <stdint.h>

/// xoshiro256** (Blackman & Vigna 2021, ACM Transactions on Mathematical Software 47, 36).
typedef struct cbx_random {
    uint64_t state[4];
} cbx_random;

/// The state is filled by splitmix64 (Steele, Lea & Flood 2014, OOPSLA), so that any seed will do.
cbx_random cbx_random_seeded(uint64_t seed);

/// Uniform in (0, 1), both ends excluded.
double cbx_random_uniform(cbx_random *random);

/// Standard normal, by the inverse distribution.
double cbx_random_normal(cbx_random *random);

/// Fills `series` with a first-order autoregression of unit variance that closes on itself (the
/// last value leads to the first), driven by `noise` (standard normal). May not overlap.
void cbx_autoregression(double correlation, const double *noise, int count, double *series);

/// Inverse of the standard normal distribution, 0 < p < 1: algorithm AS 241 (PPND16), Wichura
/// 1988, Applied Statistics 37, 477-484; relative accuracy about 1e-16.
double cbx_inverse_normal(double p);

#endif
