// SPDX-License-Identifier: MIT
#include "loop/network.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

// ---- what is built ---------------------------------------------------------------------------

int cb_network_circuits_of(const cb_design_field *field, cb_network_circuit out[CB_MAX_TRENCHES])
{
    const cb_trench_circuits circuits = cb_field_trench_circuits(field);
    for (int t = 0; t < field->trenches; t++) {
        const double length_m = cb_trench_length_m(field, t);
        out[t] = (cb_network_circuit){.length_m = circuits.pipe_per_metre * length_m,
                                      .coiled_length_m = circuits.coiled_per_metre * length_m,
                                      .coil_diameter_m = field->coil_diameter_m,
                                      .count = circuits.count};
    }
    return field->trenches;
}

static cb_status count_circuits(int *out, const cb_network_setup *setup, cb_error *error)
{
    enum { MOST = 1000 };
    int count = 0;
    for (int k = 0; k < setup->circuit_count; k++) {
        const cb_network_circuit *one = &setup->circuit[k];
        const bool lengths = isfinite(one->length_m) && one->length_m > 0.0 &&
                             one->coiled_length_m >= 0.0 && one->coiled_length_m <= one->length_m;
        const bool coil = one->coiled_length_m == 0.0 || one->coil_diameter_m > 0.0;
        if (!lengths || !coil || one->count < 1 || one->count > MOST - count) {
            return cb_fail(error, CB_BAD_INPUT,
                           "circuit %d: %d of %g m, %g m of it in coils of %g m; the length must "
                           "be above zero, the coiled part no longer, and there may be 1 to %d in "
                           "all",
                           k + 1, one->count, one->length_m, one->coiled_length_m,
                           one->coil_diameter_m, MOST);
        }
        count += one->count;
    }
    *out = count;
    return count > 0 ? CB_OK : cb_fail(error, CB_BAD_INPUT, "a loop needs at least one circuit");
}

static cb_status check_value(const cb_design *design, const char *path, double value,
                             cb_error *error)
{
    return isfinite(value) && value >= 0.0
               ? CB_OK
               : cb_design_fail(design, path, error, "%g is below zero or no number", value);
}

static cb_status check_values(const cb_design *design, cb_error *error)
{
    const cb_design_piping *piping = &design->piping;
    const cb_design_pumps *pumps = &design->pumps;
    const struct {
        const char *path;
        double value;
    } row[] = {{"piping.roughness", piping->roughness_m},
               {"piping.circuit_fittings", piping->circuit_fittings_k},
               {"piping.headers.spacing",
                piping->header_size_count > 0 ? piping->take_off_spacing_m : 0.0},
               {"piping.headers.fittings",
                piping->header_size_count > 0 ? piping->take_off_fittings_k : 0.0},
               {"piping.house.length", piping->has_house ? piping->house_length_m : 0.0},
               {"piping.house.fittings", piping->has_house ? piping->house_fittings_k : 0.0},
               {"pumps.power", pumps->curve_count > 0 ? 0.0 : pumps->power_w},
               {"pumps.heat_to_fluid", pumps->heat_to_fluid}};
    cb_status status = CB_OK;
    for (size_t k = 0; status == CB_OK && k < sizeof row / sizeof *row; k++) {
        status = check_value(design, row[k].path, row[k].value, error);
    }
    if (status == CB_OK && !(pumps->flow_per_circuit_m3_s > 0.0)) {
        status =
            cb_design_fail(design, "pumps.flow_per_circuit", error,
                           "%g m3/s: a flow above zero is wanted", pumps->flow_per_circuit_m3_s);
    }
    return status;
}

static cb_status find_pipe(cb_pipe *out, const cb_design *design, const char *path,
                           const cb_header_size *size, cb_error *error)
{
    cb_error why = {0};
    if (!size->nominal) {
        return cb_design_fail(design, path, error, "a pipe size is wanted");
    }
    const cb_status status = cb_pipe_find(out, size->nominal, size->sdr, &why);
    return status == CB_OK ? CB_OK : cb_design_fail(design, path, error, "%s", why.message);
}

static cbx_line line_of(const cb_pipe *pipe, const cb_design *design, double length_m,
                        double fittings_k)
{
    return (cbx_line){.inside_m = pipe->inside_diameter_m,
                      .straight_m = length_m,
                      .roughness = design->piping.roughness_m / pipe->inside_diameter_m,
                      .fittings_k = fittings_k};
}

static void lay_circuits(cb_network *network, const cb_network_setup *setup)
{
    const cb_design *design = setup->design;
    int n = 0;
    for (int k = 0; k < setup->circuit_count; k++) {
        const cb_network_circuit *one = &setup->circuit[k];
        cbx_line line = line_of(setup->pipe, design, one->length_m - one->coiled_length_m,
                                design->piping.circuit_fittings_k);
        line.coiled_m = one->coiled_length_m;
        line.curvature = line.coiled_m > 0.0 ? line.inside_m / one->coil_diameter_m : 0.0;
        for (int i = 0; i < one->count; i++) {
            network->circuit[n++] = line;
        }
    }
}

/// Number of the header size that leads to a take-off.
static int size_of_take_off(const cb_design_piping *piping, int take_off)
{
    int size = 0, served = piping->header_size[0].take_offs;
    while (size + 1 < piping->header_size_count && piping->header_size[size].take_offs > 0 &&
           take_off >= served) {
        served += piping->header_size[++size].take_offs;
    }
    return size;
}

static cb_status lay_headers(cb_network *network, const cb_design *design, cb_error *error)
{
    const cb_design_piping *piping = &design->piping;
    const int segments = network->count - 1;
    cb_pipe pipe[CB_MAX_HEADER_SIZES] = {{0}};
    network->has_headers = piping->header_size_count > 0;
    network->reverse = piping->header_return == CB_RETURN_REVERSE;
    if (!network->has_headers) {
        return CB_OK;
    }
    for (int k = 0; k < piping->header_size_count; k++) {
        char path[48];
        snprintf(path, sizeof path, "piping.headers.sizes[%d].size", k);
        const cb_status status = find_pipe(&pipe[k], design, path, &piping->header_size[k], error);
        if (status != CB_OK) {
            return status;
        }
    }
    for (int k = 0; k < segments; k++) {
        network->supply[k] = line_of(&pipe[size_of_take_off(piping, k + 1)], design,
                                     piping->take_off_spacing_m, piping->take_off_fittings_k);
    }
    for (int k = 0; k < segments; k++) {
        network->back[k] = network->supply[network->reverse ? segments - 1 - k : k];
    }
    network->run_back = line_of(&pipe[0], design, segments * piping->take_off_spacing_m, 0.0);
    return CB_OK;
}

static cb_status lay_house(cb_network *network, const cb_design *design, cb_error *error)
{
    const cb_design_piping *piping = &design->piping;
    if (!piping->has_house) {
        return CB_OK;
    }
    cb_pipe pipe = {0};
    const cb_header_size size = {.nominal = piping->house_nominal, .sdr = piping->house_sdr};
    const cb_status status = find_pipe(&pipe, design, "piping.house.size", &size, error);
    if (status == CB_OK) {
        network->trunk[network->trunks++] =
            line_of(&pipe, design, 2.0 * piping->house_length_m, piping->house_fittings_k);
    }
    return status;
}

static cb_status lay_runout(cb_network *network, const cb_design *design, cb_error *error)
{
    const cb_runout *runout = &design->field.runout;
    if (!runout->given) {
        return CB_OK;
    }
    cb_pipe pipe = {0};
    cb_error why = {0};
    if (cb_pipe_of(&pipe, &runout->pipe, &why) != CB_OK) {
        return cb_design_fail(design, "field.runout.pipe", error, "%s", why.message);
    }
    network->trunk[network->trunks++] = line_of(&pipe, design, 2.0 * runout->length_m, 0.0);
    return CB_OK;
}

static cb_status build(cb_network *network, const cb_network_setup *setup, cb_error *error)
{
    const cb_design *design = setup->design;
    const size_t room = network->count > 1 ? (size_t)network->count : 1;
    network->circuit = calloc(room, sizeof *network->circuit);
    network->supply = calloc(room, sizeof *network->supply);
    network->back = calloc(room, sizeof *network->back);
    if (!network->circuit || !network->supply || !network->back) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the loop's network");
    }
    network->fluid = *setup->fluid;
    network->wanted_m3_s = network->count * design->pumps.flow_per_circuit_m3_s;
    network->given_power_w = design->pumps.power_w;
    network->heat_share = design->pumps.heat_to_fluid;
    lay_circuits(network, setup);
    cb_status status = lay_headers(network, design, error);
    status = status == CB_OK ? lay_house(network, design, error) : status;
    status = status == CB_OK ? lay_runout(network, design, error) : status;
    status = status == CB_OK ? cbx_unit_curve_prepare(&network->unit, design, error) : status;
    status = status == CB_OK ? cbx_pump_prepare(&network->pump, design, error) : status;
    return status == CB_OK ? cbx_network_tabulate(network, design, error) : status;
}

// ---- life ------------------------------------------------------------------------------------

cb_status cb_network_create(cb_network **out, const cb_network_setup *setup, cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "a network needs a place to be put");
    }
    *out = NULL;
    const bool whole = setup && setup->pipe && setup->fluid && setup->design &&
                       (setup->circuit || setup->circuit_count == 0);
    if (!whole) {
        return cb_fail(error, CB_BAD_CALL, "a network needs circuits, pipe, fluid and design");
    }
    int count = 0;
    cb_status status = count_circuits(&count, setup, error);
    status = status == CB_OK ? check_values(setup->design, error) : status;
    if (status != CB_OK) {
        return status;
    }
    cb_network *network = calloc(1, sizeof *network);
    if (!network) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the loop's network");
    }
    network->count = count;
    status = build(network, setup, error);
    *out = status == CB_OK ? network : cb_network_destroy(network);
    return status;
}

cb_status cb_network_of_design(cb_network **out, const cb_design *design, const cb_pipe *pipe,
                               const cb_fluid *fluid, cb_error *error)
{
    cb_network_circuit circuit[CB_MAX_TRENCHES];
    const cb_network_setup setup = {.circuit = circuit,
                                    .circuit_count =
                                        cb_network_circuits_of(&design->field, circuit),
                                    .pipe = pipe,
                                    .fluid = fluid,
                                    .design = design};
    return cb_network_create(out, &setup, error);
}

cb_network *cb_network_destroy(cb_network *network)
{
    if (network) {
        free(network->circuit);
        free(network->supply);
        free(network->back);
        free(network->table);
        free(network);
    }
    return NULL;
}

int cb_network_circuits(const cb_network *network)
{
    return network->count;
}

cb_status cb_network_solve(const cb_network *network, double temperature_c, cb_network_report *out,
                           double *flow_m3_s, cb_error *error)
{
    cbx_point point;
    if (!cbx_point_open(&point, network)) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to solve the loop's network");
    }
    cbx_point_solve(&point, temperature_c);
    cbx_point_report(&point, temperature_c, out);
    for (int i = 0; flow_m3_s && i < network->count; i++) {
        flow_m3_s[i] = point.flow[i];
    }
    cbx_point_close(&point);
    return CB_OK;
}

double cb_network_drop_pa(const cb_network *network, double temperature_c, double flow_m3_s,
                          bool with_units)
{
    cbx_point point;
    if (!(flow_m3_s > 0.0)) {
        return flow_m3_s == 0.0 ? 0.0 : NAN;
    }
    if (!cbx_point_open(&point, network)) {
        return NAN;
    }
    cb_fluid_at(&network->fluid, temperature_c, &point.fluid);
    const double drop = cbx_point_drop(&point, flow_m3_s, with_units).value;
    cbx_point_close(&point);
    return drop;
}
