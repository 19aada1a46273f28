// SPDX-License-Identifier: MIT
// The ground answers a constant yearly balance by a sum of decaying exponentials; late in a run the
// slowest is what is left. For a given tau the fit is linear in the other two, so only tau is
// searched: a scan in log tau, then golden section around its best.
#include "coilbed/findings.h"

#include <math.h>

enum { SCAN = 240, GOLDEN_STEPS = 80, LEAST_YEARS = 4 };

static const double SHORTEST_TAU = 0.2; // years: gone after the first
static const double FLAT_K = 1e-3;      // no drift anyone could measure

typedef struct series {
    const double *value;
    const bool *use;
    int count, first, last;
} series;

typedef struct line {
    double settled, slope, residual; ///< residual: sum of squares
} line;

static line fit_at(const series *s, double tau)
{
    double n = 0.0, mean_e = 0.0, mean_a = 0.0;
    for (int i = s->first; i <= s->last; i++) {
        if (s->use[i]) {
            n += 1.0;
            mean_e += exp(-(i - s->first) / tau);
            mean_a += s->value[i];
        }
    }
    mean_e /= n;
    mean_a /= n;
    double spread = 0.0, shared = 0.0;
    for (int i = s->first; i <= s->last; i++) {
        if (s->use[i]) {
            const double e = exp(-(i - s->first) / tau) - mean_e;
            spread += e * e;
            shared += e * (s->value[i] - mean_a);
        }
    }
    const double slope = shared / spread;
    line out = {.settled = mean_a - slope * mean_e, .slope = slope};
    for (int i = s->first; i <= s->last; i++) {
        if (s->use[i]) {
            const double miss = s->value[i] - out.settled - slope * exp(-(i - s->first) / tau);
            out.residual += miss * miss;
        }
    }
    return out;
}

static double golden_log_tau(const series *s, double low, double high)
{
    const double ratio = 0.5 * (sqrt(5.0) - 1.0);
    double a = high - ratio * (high - low), b = low + ratio * (high - low);
    double at_a = fit_at(s, exp(a)).residual, at_b = fit_at(s, exp(b)).residual;
    for (int i = 0; i < GOLDEN_STEPS; i++) {
        if (at_a < at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - ratio * (high - low);
            at_a = fit_at(s, exp(a)).residual;
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + ratio * (high - low);
            at_b = fit_at(s, exp(b)).residual;
        }
    }
    return 0.5 * (low + high);
}

/// True if the years bend towards a value they can tell: tau within twice the span of the years, so
/// that what is left to come is at most 1.5 times what was seen, and half of the scatter explained.
static bool fit_settled(const series *s, cb_drift *drift)
{
    double mean = 0.0, total = 0.0, low = INFINITY, high = -INFINITY;
    for (int i = s->first; i <= s->last; i++) {
        if (s->use[i]) {
            mean += s->value[i] / s->count;
            low = fmin(low, s->value[i]);
            high = fmax(high, s->value[i]);
        }
    }
    if (high - low < FLAT_K) {
        drift->settled_c = s->value[s->last];
        return true;
    }
    for (int i = s->first; i <= s->last; i++) {
        total += s->use[i] ? (s->value[i] - mean) * (s->value[i] - mean) : 0.0;
    }
    const double from = log(SHORTEST_TAU), to = log(2.0 * (s->last - s->first));
    const double step = (to - from) / SCAN;
    int best = 0;
    double least = INFINITY;
    for (int k = 0; k <= SCAN; k++) {
        const double residual = fit_at(s, exp(from + k * step)).residual;
        if (residual < least) {
            least = residual;
            best = k;
        }
    }
    if (best == SCAN || !(least < 0.5 * total)) {
        return false;
    }
    const double middle = from + best * step;
    drift->tau_years = exp(golden_log_tau(s, fmax(from, middle - step), middle + step));
    const line fit = fit_at(s, drift->tau_years);
    drift->settled_c = fit.settled;
    drift->distance_k = fit.slope;
    return true;
}

cb_drift cb_drift_fit(const double *annual_c, const bool *use, int years)
{
    cb_drift drift = {.last_change_k = NAN, .settled_c = NAN, .tau_years = NAN};
    series s = {.value = annual_c, .use = use, .first = -1};
    int before = -1;
    for (int i = 0; i < years; i++) {
        if (use[i]) {
            before = s.count > 0 ? s.last : -1;
            s.first = s.count == 0 ? i : s.first;
            s.last = i;
            s.count++;
        }
    }
    if (s.count == 0) {
        return drift;
    }
    drift.settled_c = annual_c[s.last];
    if (before >= 0) {
        drift.last_change_k = (annual_c[s.last] - annual_c[before]) / (s.last - before);
    }
    drift.fitted = s.count >= LEAST_YEARS && fit_settled(&s, &drift);
    return drift;
}
