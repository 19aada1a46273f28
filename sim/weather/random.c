// SPDX-License-Identifier: MIT
#include "weather/random.h"

#include <math.h>

static uint64_t splitmix64(uint64_t *state)
{
    uint64_t z = (*state += 0x9e3779b97f4a7c15u);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

cbx_random cbx_random_seeded(uint64_t seed)
{
    cbx_random random;
    for (int i = 0; i < 4; i++) {
        random.state[i] = splitmix64(&seed);
    }
    return random;
}

static uint64_t rotate_left(uint64_t x, int bits)
{
    return (x << bits) | (x >> (64 - bits));
}

static uint64_t next(cbx_random *random)
{
    uint64_t *s = random->state;
    const uint64_t result = rotate_left(s[1] * 5, 7) * 9;
    const uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

double cbx_random_uniform(cbx_random *random)
{
    return ((double)(next(random) >> 11) + 0.5) * 0x1p-53;
}

double cbx_random_normal(cbx_random *random)
{
    return cbx_inverse_normal(cbx_random_uniform(random));
}

void cbx_autoregression(double correlation, const double *noise, int count, double *series)
{
    const double fresh = sqrt(1.0 - correlation * correlation);
    double value = 0;
    for (int lap = 0; lap < 2; lap++) { // the first lap forgets the start and finds the seam
        for (int i = 0; i < count; i++) {
            value = correlation * value + fresh * noise[i];
            series[i] = value;
        }
    }
}
