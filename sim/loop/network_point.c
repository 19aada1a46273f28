// SPDX-License-Identifier: MIT
// The split of a flow Q among the circuits makes the drop along every path from supply to return
// the same. It is the minimum of the sum of all integrals of drop over flow, a convex function,
// under sum q = Q, so there is one and Newton's method finds it:
//     A dq = H 1 - path(q),  sum(q + dq) = Q,
// A the slopes of the paths' drops over the circuits' flows (symmetric, positive definite), H the
// drop common to all. A step is halved until the function has stopped falling along it. By the way
// dH/dQ = 1 / (1' A^-1 1). Pumps against that drop are one equation in Q.
#include "loop/network.h"

#include <math.h>
#include <stdlib.h>

bool cbx_point_open(cbx_point *point, const cb_network *network)
{
    enum { VECTORS = 8 };
    const size_t n = (size_t)network->count;
    *point = (cbx_point){.network = network, .speed = 1.0, .flow_m3_s = network->wanted_m3_s};
    double *room = calloc(n * (VECTORS + n), sizeof *room);
    if (!room) {
        return false;
    }
    double **vector[VECTORS] = {&point->flow, &point->trial, &point->path, &point->slope,
                                &point->near, &point->far,   &point->ones, &point->step};
    for (size_t k = 0; k < VECTORS; k++) {
        *vector[k] = room + k * n;
    }
    point->matrix = room + VECTORS * n;
    for (size_t i = 0; i < n; i++) {
        point->flow[i] = network->wanted_m3_s / (double)n;
    }
    return true;
}

void cbx_point_close(cbx_point *point)
{
    free(point->flow);
    *point = (cbx_point){0};
}

// ---- split -----------------------------------------------------------------------------------

// Supply header: segment k carries what circuits k + 1 .. take. Its drop lies on their paths.
static void add_supply(cbx_point *p, const double *flow)
{
    const int n = p->network->count;
    double carried = 0.0;
    for (int i = 1; i < n; i++) {
        carried += flow[i];
    }
    double drop = 0.0, slope = 0.0;
    for (int k = 0; k + 1 < n; k++) {
        cbx_value segment = cbx_line_drop(&p->network->supply[k], &p->fluid, carried);
        if (!p->network->reverse) {
            const cbx_value back = cbx_line_drop(&p->network->back[k], &p->fluid, carried);
            segment.value += back.value;
            segment.slope += back.slope;
        }
        drop += segment.value;
        slope += segment.slope;
        p->path[k + 1] += drop;
        p->near[k + 1] = slope;
        carried -= flow[k + 1];
    }
}

// Reverse return: segment k carries what circuits 0 .. k give back, and lies on their paths.
static void add_reverse_return(cbx_point *p, const double *flow)
{
    const int n = p->network->count;
    double carried = 0.0;
    for (int i = 0; i + 1 < n; i++) {
        carried += flow[i];
    }
    double drop = 0.0, slope = 0.0;
    for (int k = n - 2; k >= 0; k--) {
        const cbx_value segment = cbx_line_drop(&p->network->back[k], &p->fluid, carried);
        drop += segment.value;
        slope += segment.slope;
        p->path[k] += drop;
        p->far[k] = slope;
        carried -= flow[k];
    }
}

// Drops along the paths at these flows, and the slopes they are made of.
static void follow_paths(cbx_point *p, const double *flow)
{
    for (int i = 0; i < p->network->count; i++) {
        const cbx_value circuit = cbx_line_drop(&p->network->circuit[i], &p->fluid, flow[i]);
        p->path[i] = circuit.value;
        p->slope[i] = circuit.slope;
        p->near[i] = p->far[i] = 0.0;
    }
    if (p->network->has_headers) {
        add_supply(p, flow);
        if (p->network->reverse) {
            add_reverse_return(p, flow);
        }
    }
}

// Cholesky factor of the lower triangle, in place.
static void factor(cbx_point *p)
{
    const int n = p->network->count;
    for (int i = 0; i < n; i++) {
        double *row = p->matrix + (size_t)i * (size_t)n;
        for (int j = 0; j <= i; j++) {
            const double *other = p->matrix + (size_t)j * (size_t)n;
            double sum = p->near[j] + p->far[i] + (i == j ? p->slope[i] : 0.0);
            for (int k = 0; k < j; k++) {
                sum -= row[k] * other[k];
            }
            row[j] = i == j ? sqrt(sum) : sum / other[j];
        }
    }
}

static void solve(const cbx_point *p, double *x)
{
    const int n = p->network->count;
    for (int i = 0; i < n; i++) {
        const double *row = p->matrix + (size_t)i * (size_t)n;
        for (int k = 0; k < i; k++) {
            x[i] -= row[k] * x[k];
        }
        x[i] /= row[i];
    }
    for (int i = n - 1; i >= 0; i--) {
        for (int k = i + 1; k < n; k++) {
            x[i] -= p->matrix[(size_t)k * (size_t)n + (size_t)i] * x[k];
        }
        x[i] /= p->matrix[(size_t)i * (size_t)n + (size_t)i];
    }
}

// How fast the function rises along the step. The steps add up to nothing, so the common drop may
// be left out; with it their round-off would drown the rest.
static double rise(const cbx_point *p, double drop_pa)
{
    double sum = 0.0;
    for (int i = 0; i < p->network->count; i++) {
        sum += (p->path[i] - drop_pa) * p->step[i];
    }
    return sum;
}

static double sum_of(const double *a, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += a[i];
    }
    return sum;
}

// Newton's step at p->flow; gives H and its slope.
static cbx_value newton_step(cbx_point *p, double flow_m3_s)
{
    const int n = p->network->count;
    factor(p);
    for (int i = 0; i < n; i++) {
        p->ones[i] = 1.0;
        p->step[i] = p->path[i];
    }
    solve(p, p->ones);
    solve(p, p->step);
    const double give = sum_of(p->ones, n);
    const double drop = (flow_m3_s - sum_of(p->flow, n) + sum_of(p->step, n)) / give;
    for (int i = 0; i < n; i++) {
        p->step[i] = drop * p->ones[i] - p->step[i];
    }
    return (cbx_value){drop, 1.0 / give};
}

// Goes as far along the step as the function does not rise as fast again as it fell.
static void take_step(cbx_point *p, double drop_pa)
{
    const int n = p->network->count;
    const double fall = -rise(p, drop_pa);
    double share = 1.0;
    for (int k = 0; k < 40; k++) {
        for (int i = 0; i < n; i++) {
            p->trial[i] = p->flow[i] + share * p->step[i];
        }
        follow_paths(p, p->trial);
        if (rise(p, drop_pa) <= fall) {
            break;
        }
        share *= 0.5;
    }
    for (int i = 0; i < n; i++) {
        p->flow[i] = p->trial[i];
    }
}

static cbx_value split(cbx_point *p, double flow_m3_s)
{
    const int n = p->network->count;
    const double before = sum_of(p->flow, n), even = flow_m3_s / n;
    for (int i = 0; i < n; i++) {
        p->flow[i] = before > 0.0 ? p->flow[i] * flow_m3_s / before : even;
    }
    follow_paths(p, p->flow);
    cbx_value drop = {0.0, 0.0};
    for (int round = 0; round < 60; round++) {
        drop = newton_step(p, flow_m3_s);
        double largest = 0.0;
        for (int i = 0; i < n; i++) {
            largest = fmax(largest, fabs(p->step[i]));
        }
        if (largest <= 1e-9 * even) { // the error after this step is of its square
            for (int i = 0; i < n; i++) {
                p->flow[i] += p->step[i];
            }
            break;
        }
        take_step(p, drop.value);
    }
    return drop;
}

// ---- operating point -------------------------------------------------------------------------

static void add(cbx_value *sum, cbx_value part)
{
    sum->value += part.value;
    sum->slope += part.slope;
}

cbx_value cbx_point_drop(cbx_point *point, double flow_m3_s, bool with_units)
{
    const cb_network *network = point->network;
    cbx_value drop = split(point, flow_m3_s);
    if (network->has_headers && network->reverse) {
        add(&drop, cbx_line_drop(&network->run_back, &point->fluid, flow_m3_s));
    }
    for (int k = 0; k < network->trunks; k++) {
        add(&drop, cbx_line_drop(&network->trunk[k], &point->fluid, flow_m3_s));
    }
    if (with_units) {
        add(&drop, cbx_unit_drop(&network->unit, &point->fluid, flow_m3_s));
    }
    return drop;
}

// What the pumps give beyond what the loop takes, in metres, over flow. A point is only borrowed
// as const here: its flows are room to work in.
typedef struct balance {
    cbx_point *point;
    double needed_m; // at the wanted flow, for the speed that gives it
} balance;

static cbx_value surplus(const void *context, double flow_m3_s)
{
    cbx_point *point = ((const balance *)context)->point;
    const cbx_value pump = cbx_pump_head(&point->network->pump, flow_m3_s, point->speed);
    const cbx_value drop = cbx_point_drop(point, flow_m3_s, true);
    const double weight = point->fluid.density_kg_m3 * cbx_gravity_m_s2;
    return (cbx_value){pump.value - drop.value / weight, pump.slope - drop.slope / weight};
}

static cbx_value missing(const void *context, double speed)
{
    const balance *b = context;
    const cb_network *network = b->point->network;
    const cbx_value head = cbx_pump_head_of_speed(&network->pump, network->wanted_m3_s, speed);
    return (cbx_value){b->needed_m - head.value, -head.slope};
}

// At a given speed.
static void meet(cbx_point *point)
{
    const balance b = {.point = point};
    const cbx_pump *pump = &point->network->pump;
    double high = pump->parallel * point->speed * pump->head.x[pump->head.count - 1];
    while (cbx_pump_head(pump, high, point->speed).value > 0.0) {
        high *= 2.0;
    }
    point->flow_m3_s = cbx_root(surplus, &b, 0.0, high, point->flow_m3_s);
}

// The speed that gives the wanted flow, or the nearest the pump has.
static bool hold_wanted(cbx_point *point)
{
    const cb_network *network = point->network;
    const cbx_pump *pump = &network->pump;
    const double weight = point->fluid.density_kg_m3 * cbx_gravity_m_s2;
    const balance b = {.point = point,
                       .needed_m =
                           cbx_point_drop(point, network->wanted_m3_s, true).value / weight};
    if (missing(&b, pump->highest_speed).value >= 0.0) {
        point->speed = pump->highest_speed;
        return false;
    }
    if (missing(&b, pump->lowest_speed).value <= 0.0) {
        point->speed = pump->lowest_speed;
        return false;
    }
    point->speed = cbx_root(missing, &b, pump->lowest_speed, pump->highest_speed, point->speed);
    point->flow_m3_s = network->wanted_m3_s;
    return true;
}

void cbx_point_solve(cbx_point *point, double temperature_c)
{
    const cb_network *network = point->network;
    cb_fluid_at(&network->fluid, temperature_c, &point->fluid);
    if (network->pump.head.count == 0) {
        point->flow_m3_s = network->wanted_m3_s;
    } else if (!network->pump.variable) {
        point->speed = network->pump.highest_speed;
        meet(point);
    } else if (!hold_wanted(point)) {
        meet(point);
    }
    split(point, point->flow_m3_s);
}
