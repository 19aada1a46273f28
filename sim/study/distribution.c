// SPDX-License-Identifier: MIT
#include "coilbed/sampling.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

// Of ln X, from mean m and standard deviation s of X itself:
//     sigma^2 = ln(1 + s^2 / m^2),  mu = ln m - sigma^2 / 2
typedef struct logarithm {
    double mu, sigma;
} logarithm;

static logarithm logarithm_of(const cb_distribution *d)
{
    const double variance = log1p((d->b / d->a) * (d->b / d->a));
    return (logarithm){.mu = log(d->a) - variance / 2, .sigma = sqrt(variance)};
}

static double triangular_share(const cb_distribution *d, double x)
{
    if (x <= d->a) {
        return 0;
    }
    if (x >= d->c) {
        return 1;
    }
    return x < d->b ? (x - d->a) * (x - d->a) / ((d->c - d->a) * (d->b - d->a))
                    : 1 - (d->c - x) * (d->c - x) / ((d->c - d->a) * (d->c - d->b));
}

static double triangular_quantile(const cb_distribution *d, double share)
{
    const double width = d->c - d->a, left = (d->b - d->a) / width;
    return share < left ? d->a + sqrt(share * width * (d->b - d->a))
                        : d->c - sqrt((1 - share) * width * (d->c - d->b));
}

double cb_distribution_share(const cb_distribution *d, double x)
{
    switch (d->form) {
        case CB_NORMAL:
            return gsl_cdf_ugaussian_P((x - d->a) / d->b);
        case CB_LOGNORMAL: {
            const logarithm of = logarithm_of(d);
            return x > 0 ? gsl_cdf_ugaussian_P((log(x) - of.mu) / of.sigma) : 0;
        }
        case CB_UNIFORM:
            return fmin(fmax((x - d->a) / (d->b - d->a), 0), 1);
        case CB_TRIANGULAR:
            return triangular_share(d, x);
    }
    return NAN;
}

static double whole_quantile(const cb_distribution *d, double share)
{
    switch (d->form) {
        case CB_NORMAL:
            return d->a + d->b * gsl_cdf_ugaussian_Pinv(share);
        case CB_LOGNORMAL: {
            const logarithm of = logarithm_of(d);
            return exp(of.mu + of.sigma * gsl_cdf_ugaussian_Pinv(share));
        }
        case CB_UNIFORM:
            return d->a + share * (d->b - d->a);
        case CB_TRIANGULAR:
            return triangular_quantile(d, share);
    }
    return NAN;
}

double cb_distribution_quantile(const cb_distribution *d, double share)
{
    const double below = cb_distribution_share(d, d->low),
                 above = cb_distribution_share(d, d->high);
    const double value = whole_quantile(d, below + share * (above - below));
    return fmin(fmax(value, d->low), d->high); // rounding must not leave the bounds
}

cb_status cb_distribution_check(const cb_distribution *d, cb_error *error)
{
    if (!isfinite(d->a) || !isfinite(d->b) || (d->form == CB_TRIANGULAR && !isfinite(d->c))) {
        return cb_fail(error, CB_BAD_INPUT, "a distribution's numbers must be finite");
    }
    if ((d->form == CB_NORMAL || d->form == CB_LOGNORMAL) && !(d->b > 0)) {
        return cb_fail(error, CB_BAD_INPUT, "the standard deviation must be above 0");
    }
    if (d->form == CB_LOGNORMAL && !(d->a > 0)) {
        return cb_fail(error, CB_BAD_INPUT, "the mean of a log-normal must be above 0");
    }
    if (d->form == CB_UNIFORM && !(d->a < d->b)) {
        return cb_fail(error, CB_BAD_INPUT, "the lowest must be below the highest");
    }
    if (d->form == CB_TRIANGULAR && !(d->a <= d->b && d->b <= d->c && d->a < d->c)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "lowest, most likely and highest must stand in this order");
    }
    if (!(d->low < d->high)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "the bound behind \"from\" must be below that behind "
                       "\"to\"");
    }
    const double inside = cb_distribution_share(d, d->high) - cb_distribution_share(d, d->low);
    if (!(inside >= 1e-6)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "less than a millionth of the distribution is left between its bounds");
    }
    return CB_OK;
}
