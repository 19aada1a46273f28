// SPDX-License-Identifier: MIT
#include "ground/soil_curve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// H(T) = integral of C(T) from 0 degC - L theta (1 - phi(T)),  C = C_f + (C_u - C_f) phi,
// phi = (T_f / u)^b with u = max(-T, -T_f) rounded by a parabola of half-width `round_k`.
//
// Rounding the onset keeps dH/dT continuous: its jump there is by a factor of about a hundred, and
// Newton's method fails on it. phi reaches 1 at T_f + round_k <= 0, so unfrozen soil holds no ice
// and H = C_u T holds exactly above.
//
// The table's nodes lie at H = H_onset - n^2 step: the slope falls by that factor within the first
// hundredths of a kelvin, which equal steps would pass over in one.
enum { NODES = 2048 };
static const double latent_j_m3 = 334e6; // 334 kJ/kg of water of 1000 kg/m3
static const double coldest_c = -60.0;

typedef struct node {
    double temperature_c, slope_k_m3_j, conductivity_w_mk, ice;
} node;

// Between two nodes, of which the colder is at s = 0 and the other at 1: T is a cubic of s, so that
// T(H) is continuously differentiable, conductivity and ice are linear. A line of the processor's
// memory each, which holds all that many cells at a time are asked for.
typedef struct span {
    _Alignas(64) double low_j_m3;
    double per_j_m3;                     // s = (H - low) per
    double t0, t1, t2, t3;               // degC
    double conductivity, conductivity_1; // W/mK, and what it gains up to s = 1
} span;

struct cb_soil_curve {
    double unfrozen_capacity, frozen_capacity, latent;
    double unfrozen_slope; // 1 / unfrozen_capacity
    double unfrozen_conductivity, log_frozen_ratio, dry_ratio;
    double start_k, exponent, round_k; // start_k = -T_f > 0
    double onset_j_m3, step_j_m3, per_step_j_m3;
    node table[NODES + 1]; // from the onset down
    span span[NODES];      // from table[n] to table[n + 1]
};

static double node_enthalpy(const cb_soil_curve *curve, int n)
{
    return curve->onset_j_m3 - curve->step_j_m3 * n * n;
}

static double unfrozen_share(const cb_soil_curve *curve, double temperature_c)
{
    const double x = -temperature_c - curve->start_k, w = curve->round_k;
    if (x <= -w) {
        return 1.0;
    }
    const double excess = x >= w ? x : (x + w) * (x + w) / (4.0 * w);
    return pow(curve->start_k / (curve->start_k + excess), curve->exponent);
}

static double unfrozen_share_slope(const cb_soil_curve *curve, double temperature_c)
{
    const double x = -temperature_c - curve->start_k, w = curve->round_k;
    if (x <= -w) {
        return 0.0;
    }
    const double excess = x >= w ? x : (x + w) * (x + w) / (4.0 * w);
    const double excess_slope = x >= w ? -1.0 : -(x + w) / (2.0 * w);
    return -curve->exponent * unfrozen_share(curve, temperature_c) / (curve->start_k + excess) *
           excess_slope;
}

static double enthalpy_slope(const cb_soil_curve *curve, double temperature_c)
{
    const double phi = unfrozen_share(curve, temperature_c);
    return curve->frozen_capacity + (curve->unfrozen_capacity - curve->frozen_capacity) * phi +
           curve->latent * unfrozen_share_slope(curve, temperature_c);
}

// Integral of the sensible part from `from_c` down to `to_c` by Gauss-Legendre over short panels.
static double sensible_between(const cb_soil_curve *curve, double from_c, double to_c)
{
    static const double at[3] = {-0.7745966692414834, 0.0, 0.7745966692414834};
    static const double weight[3] = {5.0 / 9.0, 8.0 / 9.0, 5.0 / 9.0};
    const double middle = 0.5 * (from_c + to_c), half = 0.5 * (to_c - from_c);
    double sum = 0.0;
    for (int g = 0; g < 3; g++) {
        const double phi = unfrozen_share(curve, middle + half * at[g]);
        sum += weight[g] *
               (curve->frozen_capacity + (curve->unfrozen_capacity - curve->frozen_capacity) * phi);
    }
    return sum * half;
}

static double enthalpy_exact(const cb_soil_curve *curve, double from_c, double from_j_m3,
                             double temperature_c)
{
    return from_j_m3 + sensible_between(curve, from_c, temperature_c) +
           curve->latent * (unfrozen_share(curve, temperature_c) - unfrozen_share(curve, from_c));
}

static void set_node(cb_soil_curve *curve, int n, double temperature_c)
{
    const double ice = 1.0 - unfrozen_share(curve, temperature_c);
    curve->table[n] = (node){
        .temperature_c = temperature_c,
        .slope_k_m3_j = 1.0 / enthalpy_slope(curve, temperature_c),
        .conductivity_w_mk = curve->unfrozen_conductivity * exp(curve->log_frozen_ratio * ice),
        .ice = ice,
    };
}

// Fritsch & Carlson's bound: a Hermite piece with end slopes up to three times its chord is
// monotone. Only freezing sharper than a table step ever reaches it.
static void keep_monotone(cb_soil_curve *curve)
{
    for (int n = 0; n < NODES; n++) {
        node *a = &curve->table[n], *b = a + 1;
        const double width = node_enthalpy(curve, n) - node_enthalpy(curve, n + 1);
        const double bound = 3.0 * (a->temperature_c - b->temperature_c) / width;
        a->slope_k_m3_j = fmin(a->slope_k_m3_j, bound);
        b->slope_k_m3_j = fmin(b->slope_k_m3_j, bound);
    }
}

static void fill_spans(cb_soil_curve *curve)
{
    curve->per_step_j_m3 = 1.0 / curve->step_j_m3;
    for (int n = 0; n < NODES; n++) {
        const node *b = &curve->table[n], *a = b + 1; // a is the colder
        const double step = curve->step_j_m3 * (2 * n + 1);
        const double rise = b->temperature_c - a->temperature_c;
        const double sa = a->slope_k_m3_j * step, sb = b->slope_k_m3_j * step;
        curve->span[n] = (span){
            .low_j_m3 = node_enthalpy(curve, n + 1),
            .per_j_m3 = 1.0 / step,
            .t0 = a->temperature_c,
            .t1 = sa,
            .t2 = 3.0 * rise - 2.0 * sa - sb,
            .t3 = sa + sb - 2.0 * rise,
            .conductivity = a->conductivity_w_mk,
            .conductivity_1 = b->conductivity_w_mk - a->conductivity_w_mk,
        };
    }
}

// Walks from the onset of freezing downwards; each node's temperature by safeguarded Newton from
// the node above, so that the integral never spans more than one table step.
static void fill_table(cb_soil_curve *curve)
{
    const double onset_c = -curve->start_k + curve->round_k;
    const double onset_j = curve->unfrozen_capacity * onset_c;
    double low_j = onset_j, at_c = onset_c;
    const int panels = 4000;
    for (int p = 0; p < panels; p++) { // bottom of the table, in panels graded to the onset
        const double s = (double)(p + 1) / panels;
        const double next_c = onset_c + (coldest_c - onset_c) * s * s;
        low_j = enthalpy_exact(curve, at_c, low_j, next_c);
        at_c = next_c;
    }
    curve->onset_j_m3 = onset_j;
    curve->step_j_m3 = (onset_j - low_j) / ((double)NODES * NODES);
    set_node(curve, 0, onset_c);
    double above_c = onset_c, above_j = onset_j;
    for (int n = 1; n <= NODES; n++) {
        const double wanted = node_enthalpy(curve, n);
        double warm = above_c, cold = coldest_c - 5.0, t = above_c;
        for (int iteration = 0; iteration < 100; iteration++) {
            const double residual = enthalpy_exact(curve, above_c, above_j, t) - wanted;
            *(residual > 0.0 ? &warm : &cold) = t;
            const double newton = t - residual / enthalpy_slope(curve, t);
            const double next = newton > cold && newton < warm ? newton : 0.5 * (warm + cold);
            if (fabs(next - t) < 1e-13) {
                break;
            }
            t = next;
        }
        set_node(curve, n, t);
        above_c = t;
        above_j = wanted;
    }
    keep_monotone(curve);
    fill_spans(curve);
}

static bool usable(const cb_soil *soil)
{
    return soil->conductivity_w_mk > 0 && soil->frozen_conductivity_w_mk > 0 &&
           soil->heat_capacity_j_m3k > 0 && soil->frozen_heat_capacity_j_m3k > 0 &&
           soil->water_fraction >= 0 && soil->freezing_start_c < 0 && soil->freezing_exponent > 0;
}

cb_status cb_soil_curve_create(cb_soil_curve **out, const cb_soil *soil, cb_error *error)
{
    *out = NULL;
    if (!usable(soil)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "soil properties must be positive and freezing must start below 0 degC");
    }
    cb_soil_curve *curve = aligned_alloc(_Alignof(cb_soil_curve), sizeof *curve);
    if (!curve) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a soil table");
    }
    memset(curve, 0, sizeof *curve);
    curve->unfrozen_capacity = soil->heat_capacity_j_m3k;
    curve->unfrozen_slope = 1.0 / soil->heat_capacity_j_m3k;
    curve->frozen_capacity = soil->frozen_heat_capacity_j_m3k;
    curve->latent = latent_j_m3 * soil->water_fraction;
    curve->unfrozen_conductivity = soil->conductivity_w_mk;
    curve->log_frozen_ratio = log(soil->frozen_conductivity_w_mk / soil->conductivity_w_mk);
    const double dry_w_mk = soil->dry_conductivity_w_mk;
    curve->dry_ratio = dry_w_mk > 0.0 ? dry_w_mk / soil->conductivity_w_mk : 1.0;
    curve->start_k = -soil->freezing_start_c;
    curve->exponent = soil->freezing_exponent;
    curve->round_k = fmin(0.1, curve->start_k);
    fill_table(curve);
    *out = curve;
    return CB_OK;
}

cb_soil_curve *cb_soil_curve_destroy(cb_soil_curve *curve)
{
    free(curve);
    return NULL;
}

// What the dry season leaves of the conductivity.
static double dried(const cb_soil_curve *curve, double dryness)
{
    return 1.0 + dryness * (curve->dry_ratio - 1.0);
}

cb_soil_state cb_soil_dried_at(const cb_soil_curve *curve, double enthalpy_j_m3, double dryness)
{
    cb_soil_state state = cb_soil_at(curve, enthalpy_j_m3);
    state.conductivity_w_mk *= dried(curve, dryness);
    return state;
}

double cb_soil_unfrozen_capacity_j_m3k(const cb_soil_curve *curve)
{
    return curve->unfrozen_capacity;
}

cbx_thawed cbx_soil_thawed(const cb_soil_curve *curve, double dryness)
{
    return (cbx_thawed){.onset_j_m3 = curve->onset_j_m3,
                        .slope_k_m3_j = curve->unfrozen_slope,
                        .conductivity_w_mk = curve->unfrozen_conductivity * dried(curve, dryness)};
}

// Nodes from the onset down to an enthalpy below it.
static inline double nodes_below(const cb_soil_curve *curve, double enthalpy_j_m3)
{
    return sqrt((curve->onset_j_m3 - enthalpy_j_m3) * curve->per_step_j_m3);
}

static inline double share_of_span(const span *in, double enthalpy_j_m3)
{
    return (enthalpy_j_m3 - in->low_j_m3) * in->per_j_m3;
}

static inline double temperature_in(const span *in, double s)
{
    return in->t0 + s * (in->t1 + s * (in->t2 + s * in->t3));
}

static inline double slope_in(const span *in, double s)
{
    return (in->t1 + s * (2.0 * in->t2 + 3.0 * in->t3 * s)) * in->per_j_m3;
}

static inline double conductivity_in(const span *in, double s)
{
    return in->conductivity + s * in->conductivity_1;
}

// Colder than any weather; only a solver's trial state comes here.
static cb_soil_state beyond_table(const cb_soil_curve *curve, double enthalpy_j_m3)
{
    const node *end = &curve->table[NODES];
    const double below_j_m3 = enthalpy_j_m3 - node_enthalpy(curve, NODES);
    return (cb_soil_state){end->temperature_c + below_j_m3 * end->slope_k_m3_j, end->slope_k_m3_j,
                           end->conductivity_w_mk, end->ice};
}

cb_soil_state cb_soil_at(const cb_soil_curve *curve, double enthalpy_j_m3)
{
    if (!(enthalpy_j_m3 < curve->onset_j_m3)) { // unfrozen, and NaN
        const double slope = curve->unfrozen_slope;
        return (cb_soil_state){enthalpy_j_m3 * slope, slope, curve->unfrozen_conductivity, 0.0};
    }
    const double place = nodes_below(curve, enthalpy_j_m3);
    if (place >= NODES) {
        return beyond_table(curve, enthalpy_j_m3);
    }
    const int n = (int)place;
    const span *in = &curve->span[n];
    const double s = share_of_span(in, enthalpy_j_m3), colder = curve->table[n + 1].ice;
    return (cb_soil_state){temperature_in(in, s), slope_in(in, s), conductivity_in(in, s),
                           colder + s * (curve->table[n].ice - colder)};
}

cbx_cell_range cbx_soil_freeze(const cb_soil_curve *curve, int count, const double *enthalpy_j_m3,
                               double dryness, double *temperature_c, double *conductivity_w_mk,
                               double *slope_k_m3_j)
{
    const double onset = curve->onset_j_m3, left = dried(curve, dryness);
    cbx_cell_range icy = {count, 0};
    for (int n = 0; n < count; n++) {
        const double enthalpy = enthalpy_j_m3[n];
        if (!(enthalpy < onset)) {
            continue;
        }
        icy.first = icy.end > 0 ? icy.first : n;
        icy.end = n + 1;
        const double place = nodes_below(curve, enthalpy);
        if (place >= NODES) {
            const cb_soil_state state = beyond_table(curve, enthalpy);
            temperature_c[n] = state.temperature_c;
            conductivity_w_mk[n] = state.conductivity_w_mk * left;
            if (slope_k_m3_j) {
                slope_k_m3_j[n] = state.slope_k_m3_j;
            }
            continue;
        }
        const span *in = &curve->span[(int)place];
        const double s = share_of_span(in, enthalpy);
        temperature_c[n] = temperature_in(in, s);
        conductivity_w_mk[n] = conductivity_in(in, s) * left;
        if (slope_k_m3_j) {
            slope_k_m3_j[n] = slope_in(in, s);
        }
    }
    return icy;
}

double cbx_soil_mean_c(cb_soil_curve *const *curves, const cbx_soil_patch *patch,
                       const double *enthalpy_j_m3)
{
    double sum = 0.0;
    for (int n = 0; n < patch->count; n++) {
        const int c = patch->cell[n];
        const cb_soil_curve *curve = curves[patch->soil[c]];
        const double h = enthalpy_j_m3[c];
        const double t =
            h < curve->onset_j_m3 ? cb_soil_at(curve, h).temperature_c : h * curve->unfrozen_slope;
        sum += patch->weight[n] * t;
    }
    return sum;
}

double cb_soil_enthalpy_j_m3(const cb_soil_curve *curve, double temperature_c)
{
    if (temperature_c >= curve->table[0].temperature_c) {
        return curve->unfrozen_capacity * temperature_c;
    }
    double low = node_enthalpy(curve, NODES) - curve->frozen_capacity * 500.0;
    double high = curve->onset_j_m3;
    double h = 0.5 * (low + high);
    for (int iteration = 0; iteration < 200; iteration++) {
        const cb_soil_state state = cb_soil_at(curve, h);
        const double residual = state.temperature_c - temperature_c;
        if (fabs(residual) < 1e-12) {
            break;
        }
        *(residual > 0.0 ? &high : &low) = h;
        const double newton = h - residual / state.slope_k_m3_j;
        h = newton > low && newton < high ? newton : 0.5 * (low + high);
    }
    return h;
}
