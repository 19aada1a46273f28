// SPDX-License-Identifier: MIT
// A table over fluid temperature for a solver that asks thousands of times per simulated hour.
#include "loop/network.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// Widest spacing of the nodes, and the step of the differences that give their slopes: the solution
// is exact to 1e-13 or so, hence the slopes to 1e-10 of a value per kelvin.
static const double widest_k = 1.0, difference_k = 1e-3;

static size_t width(const cb_network *network)
{
    return (size_t)CBX_STATE_FIELDS + (size_t)network->count;
}

static double *node(const cb_network *network, int n)
{
    return network->table + 2 * width(network) * (size_t)n;
}

// All values of one solution: the state's fields, then the circuits' flows.
static cb_network_report take(cbx_point *point, double temperature_c, double *values)
{
    cb_network_report report;
    cbx_point_solve(point, temperature_c);
    cbx_point_report(point, temperature_c, &report);
    memcpy(values, &report.state, sizeof report.state);
    memcpy(values + CBX_STATE_FIELDS, point->flow, (size_t)point->network->count * sizeof(double));
    return report;
}

// Slopes of second order: from both sides, or at an end of the fluid's data from within.
static void take_slopes(cbx_point *point, double temperature_c, double *values, double *room)
{
    const cb_network *network = point->network;
    const size_t count = width(network);
    double *slopes = values + count, *first = room, *second = room + count;
    const bool low = temperature_c - difference_k < network->fluid.minimum_c;
    const bool high = temperature_c + difference_k > network->fluid.maximum_c;
    const double step_k = high ? -difference_k : difference_k;
    take(point, temperature_c + step_k, first);
    take(point, temperature_c + (low || high ? 2.0 : -1.0) * step_k, second);
    for (size_t k = 0; k < count; k++) {
        slopes[k] = low || high ? (4.0 * first[k] - second[k] - 3.0 * values[k]) / (2.0 * step_k)
                                : (first[k] - second[k]) / (2.0 * step_k);
    }
}

// The outermost nodes lie a step outside the data and hold the values of their ends, at rest.
static void hold_ends(const cb_network *network)
{
    const size_t bytes = width(network) * sizeof(double);
    memcpy(node(network, 0), node(network, 1), bytes);
    memcpy(node(network, network->nodes - 1), node(network, network->nodes - 2), bytes);
}

// The loop takes most with the fluid at its coldest, least at its warmest.
static cb_status refuse_curve(cbx_point *point, const cb_design *design, cb_error *error)
{
    const cb_network *network = point->network;
    const cbx_pump *pump = &network->pump;
    cbx_point_solve(point, network->fluid.maximum_c);
    const bool weak = point->flow_m3_s < pump->parallel * point->speed * pump->head.x[0];
    const double temperature_c = weak ? network->fluid.maximum_c : network->fluid.minimum_c;
    cbx_point_solve(point, temperature_c);
    const double flow =
        pump->parallel * point->speed * pump->head.x[weak ? 0 : pump->head.count - 1];
    const double head = cbx_pump_head(pump, flow, point->speed).value;
    const double taken =
        cbx_point_drop(point, flow, true).value / (point->fluid.density_kg_m3 * cbx_gravity_m_s2);
    return cb_design_fail(design, "pumps.curve", error,
                          "the curve meets the loop at no fluid temperature: at its %s point, %.4g "
                          "L/s in all, the pumps give %.3g m of head, and the loop takes %.3g m "
                          "with the fluid at %.3g degC",
                          weak ? "first" : "last", 1e3 * flow, head, taken, temperature_c);
}

static cb_status fill(cb_network *network, cbx_point *point, double *room, const cb_design *design,
                      cb_error *error)
{
    bool meets = network->pump.head.count == 0;
    for (int n = 1; n + 1 < network->nodes; n++) {
        const double temperature_c = n + 2 == network->nodes
                                         ? network->fluid.maximum_c
                                         : network->first_c + n * network->step_k;
        double *values = node(network, n);
        const cb_network_report report = take(point, temperature_c, values);
        take_slopes(point, temperature_c, values, room);
        meets = meets || !report.beyond_curve;
    }
    if (!meets) {
        return refuse_curve(point, design, error);
    }
    hold_ends(network);
    return CB_OK;
}

cb_status cbx_network_tabulate(cb_network *network, const cb_design *design, cb_error *error)
{
    const cb_fluid *fluid = &network->fluid;
    const double span_k = fluid->maximum_c - fluid->minimum_c;
    if (!(span_k > 0.0 && span_k < 1000.0)) {
        return cb_fail(error, CB_BAD_INPUT, "a fluid with data from %g to %g degC is no fluid",
                       fluid->minimum_c, fluid->maximum_c);
    }
    const int pieces = (int)ceil(span_k / widest_k);
    network->nodes = pieces + 3;
    network->step_k = span_k / pieces;
    network->first_c = fluid->minimum_c - network->step_k;
    network->table = calloc(2 * width(network) * (size_t)network->nodes, sizeof(double));
    double *room = calloc(2 * width(network), sizeof *room);
    cbx_point point = {0};
    const bool opened = cbx_point_open(&point, network);
    const cb_status status = network->table && room && opened
                                 ? fill(network, &point, room, design, error)
                                 : cb_fail(error, CB_NO_MEMORY, "no memory for the loop's table");
    cbx_point_close(&point);
    free(room);
    return status;
}

// ---- reading ---------------------------------------------------------------------------------

// Weights of the two nodes' values and slopes, and of the same for the slope (Hermite's cubic).
typedef struct place {
    const double *low, *high;
    double value[4], slope[4];
} place;

static place find(const cb_network *network, double temperature_c)
{
    const double last = network->nodes - 1, h = network->step_k;
    const double along = fmin(fmax((temperature_c - network->first_c) / h, 0.0), last);
    const int n = (int)fmin(floor(along), last - 1.0);
    const double t = along - n, u = 1.0 - t;
    return (place){
        .low = node(network, n),
        .high = node(network, n + 1),
        .value = {u * u * (1.0 + 2.0 * t), t * t * (1.0 + 2.0 * u), h * t * u * u, -h * t * t * u},
        .slope = {-6.0 * t * u / h, 6.0 * t * u / h, u * (1.0 - 3.0 * t), t * (3.0 * t - 2.0)}};
}

static double weigh(const place *at, const double weight[4], size_t k, size_t count)
{
    return weight[0] * at->low[k] + weight[1] * at->high[k] + weight[2] * at->low[count + k] +
           weight[3] * at->high[count + k];
}

bool cb_network_at(const cb_network *network, double temperature_c, cb_network_result *out)
{
    const place at = find(network, temperature_c);
    double value[CBX_STATE_FIELDS], slope[CBX_STATE_FIELDS];
    for (size_t k = 0; k < CBX_STATE_FIELDS; k++) {
        value[k] = weigh(&at, at.value, k, width(network));
        slope[k] = weigh(&at, at.slope, k, width(network));
    }
    memcpy(&out->value, value, sizeof out->value);
    memcpy(&out->slope, slope, sizeof out->slope);
    return network->fluid.minimum_c <= temperature_c && temperature_c <= network->fluid.maximum_c;
}

double cb_network_circuit_flow_m3_s(const cb_network *network, double temperature_c, int n,
                                    double *slope)
{
    const place at = find(network, temperature_c);
    const size_t k = (size_t)CBX_STATE_FIELDS + (size_t)n;
    if (slope) {
        *slope = weigh(&at, at.slope, k, width(network));
    }
    return weigh(&at, at.value, k, width(network));
}
