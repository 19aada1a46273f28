// SPDX-License-Identifier: MIT
#include "loop/network.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

static double velocity(const cbx_line *line, double flow_m3_s)
{
    return fabs(flow_m3_s) / (pi / 4.0 * line->inside_m * line->inside_m);
}

static double gradient(const cbx_point *p, const cbx_line *line, double flow_m3_s)
{
    const cbx_line metre = {
        .inside_m = line->inside_m, .straight_m = 1.0, .roughness = line->roughness};
    return cbx_line_drop(&metre, &p->fluid, fabs(flow_m3_s)).value /
           (p->fluid.density_kg_m3 * cbx_gravity_m_s2);
}

static void report_circuits(const cbx_point *p, cb_network_report *out)
{
    cb_network_state *state = &out->state;
    state->least_circuit_m3_s = state->least_reynolds = INFINITY;
    for (int i = 0; i < p->network->count; i++) {
        const cbx_line *line = &p->network->circuit[i];
        const double flow = p->flow[i];
        out->circuits_pa += flow * cbx_line_drop(line, &p->fluid, flow).value / p->flow_m3_s;
        state->least_circuit_m3_s = fmin(state->least_circuit_m3_s, flow);
        state->most_circuit_m3_s = fmax(state->most_circuit_m3_s, flow);
        state->least_reynolds =
            fmin(state->least_reynolds, cb_reynolds(&p->fluid, fabs(flow), line->inside_m));
        out->circuit_velocity_m_s = fmax(out->circuit_velocity_m_s, velocity(line, flow));
        out->circuit_gradient = fmax(out->circuit_gradient, gradient(p, line, flow));
    }
}

static void report_header(const cbx_point *p, const cbx_line *line, double flow,
                          cb_network_report *out)
{
    out->headers_pa += flow * cbx_line_drop(line, &p->fluid, flow).value / p->flow_m3_s;
    out->header_velocity_m_s = fmax(out->header_velocity_m_s, velocity(line, flow));
    out->header_gradient = fmax(out->header_gradient, gradient(p, line, flow));
}

static void report_headers(const cbx_point *p, cb_network_report *out)
{
    const cb_network *network = p->network;
    double passed = 0.0; // by the circuits up to here
    for (int k = 0; network->has_headers && k + 1 < network->count; k++) {
        passed += p->flow[k];
        const double onward = p->flow_m3_s - passed;
        report_header(p, &network->supply[k], onward, out);
        report_header(p, &network->back[k], network->reverse ? passed : onward, out);
    }
    if (network->has_headers && network->reverse && network->count > 1) {
        report_header(p, &network->run_back, p->flow_m3_s, out);
    }
}

static void report_pumps(const cbx_point *p, cb_network_report *out)
{
    const cb_network *network = p->network;
    cb_network_state *state = &out->state;
    state->pump_power_w = network->given_power_w;
    if (network->pump.head.count > 0) {
        state->pump_power_w =
            cbx_pump_power_w(&network->pump, p->fluid.density_kg_m3, p->flow_m3_s, p->speed);
        out->beyond_curve = cbx_pump_beyond(&network->pump, p->flow_m3_s, p->speed);
    }
    state->heat_to_fluid_w = network->heat_share * state->pump_power_w;
    state->speed = p->speed;
    out->hydraulic_w = p->flow_m3_s * state->drop_pa;
    out->wanted_m3_s = network->wanted_m3_s;
}

void cbx_point_report(const cbx_point *point, double temperature_c, cb_network_report *out)
{
    const cb_network *network = point->network;
    const double flow = point->flow_m3_s;
    *out = (cb_network_report){.outside_fluid = !(network->fluid.minimum_c <= temperature_c &&
                                                  temperature_c <= network->fluid.maximum_c)};
    cb_network_state *state = &out->state;
    state->flow_m3_s = flow;
    report_circuits(point, out);
    report_headers(point, out);
    for (int k = 0; k < network->trunks; k++) {
        const cbx_line *trunk = &network->trunk[k];
        out->house_pa += cbx_line_drop(trunk, &point->fluid, flow).value;
        out->house_gradient = fmax(out->house_gradient, gradient(point, trunk, flow));
        out->house_velocity_m_s = fmax(out->house_velocity_m_s, velocity(trunk, flow));
    }
    state->header_velocity_m_s = fmax(out->header_velocity_m_s, out->house_velocity_m_s);
    out->units_pa = cbx_unit_drop(&network->unit, &point->fluid, flow).value;
    state->drop_pa = out->circuits_pa + out->headers_pa + out->house_pa + out->units_pa;
    state->head_m = state->drop_pa / (point->fluid.density_kg_m3 * cbx_gravity_m_s2);
    report_pumps(point, out);
}
