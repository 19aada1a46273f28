// SPDX-License-Identifier: MIT
#include "coilbed/sampling.h"

#include "study/gsl_call.h"

#include <float.h>
#include <gsl/gsl_qrng.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>

static cb_status no_memory(cb_error *error)
{
    return cb_fail(error, CB_NO_MEMORY, "no memory for the points of a study");
}

// An end of the unit interval would be an infinity of a normal distribution.
static double inside(double share)
{
    return fmin(fmax(share, DBL_EPSILON), 1 - DBL_EPSILON);
}

static gsl_rng *new_generator(unsigned seed)
{
    gsl_rng *generator = gsl_rng_alloc(gsl_rng_mt19937);
    if (generator) {
        gsl_rng_set(generator, (unsigned long)seed + 1); // GSL takes 0 for a seed of its own
    }
    return generator;
}

static void deal_slices(const cb_points *points, gsl_rng *generator, size_t *slice, double *share)
{
    for (size_t d = 0; d < points->dimensions; d++) {
        for (size_t i = 0; i < points->count; i++) {
            slice[i] = i;
        }
        gsl_ran_shuffle(generator, slice, points->count, sizeof *slice);
        for (size_t i = 0; i < points->count; i++) {
            const double place = gsl_rng_uniform_pos(generator);
            share[i * points->dimensions + d] =
                inside(((double)slice[i] + place) / (double)points->count);
        }
    }
}

cb_status cb_points_latin(const cb_points *points, double *share, cb_error *error)
{
    gsl_error_handler_t *before = cbx_gsl_begin();
    gsl_rng *generator = new_generator(points->seed);
    size_t *slice = calloc(points->count ? points->count : 1, sizeof *slice);
    const bool ok = generator && slice;
    if (ok) {
        deal_slices(points, generator, slice, share);
    }
    free(slice);
    gsl_rng_free(generator);
    cbx_gsl_end(before);
    return ok ? CB_OK : no_memory(error);
}

cb_status cb_points_sobol(const cb_points *points, double *share, cb_error *error)
{
    const size_t dimensions = points->dimensions;
    if (dimensions < 1 || dimensions > CB_MOST_SOBOL) {
        return cb_fail(error, CB_BAD_INPUT, "a Sobol sequence has 1 to %d dimensions, not %zu",
                       CB_MOST_SOBOL, dimensions);
    }
    gsl_error_handler_t *before = cbx_gsl_begin();
    gsl_rng *generator = new_generator(points->seed);
    gsl_qrng *sequence = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)dimensions);
    const bool ok = generator && sequence;
    double shift[CB_MOST_SOBOL];
    for (size_t d = 0; ok && d < dimensions; d++) {
        shift[d] = gsl_rng_uniform(generator);
    }
    for (size_t i = 0; ok && i < points->count; i++) {
        double *row = share + i * dimensions;
        gsl_qrng_get(sequence, row);
        for (size_t d = 0; d < dimensions; d++) {
            row[d] = inside(fmod(row[d] + shift[d], 1));
        }
    }
    if (sequence) {
        gsl_qrng_free(sequence);
    }
    gsl_rng_free(generator);
    cbx_gsl_end(before);
    return ok ? CB_OK : no_memory(error);
}
