// SPDX-License-Identifier: MIT
#include "engine/circuits.h"

#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

// ---- what they are made of -------------------------------------------------------------------

static cb_status find_pipe(cb_pipe *out, const cb_design *design, const cb_pipe_choice *choice,
                           const char *path, cb_error *error)
{
    cb_error reason = {0};
    return cb_pipe_of(out, choice, &reason) == CB_OK
               ? CB_OK
               : cb_design_fail(design, path, error, "%s", reason.message);
}

cb_status cbx_piping_of(cbx_piping *out, const cb_design *design, cb_error *error)
{
    const cb_design_field *field = &design->field;
    cb_error reason = {0};
    cb_status status = find_pipe(&out->field, design, &field->pipe, "field.pipe", error);
    if (status == CB_OK && field->runout.given) {
        status = find_pipe(&out->runout, design, &field->runout.pipe, "field.runout.pipe", error);
    }
    if (status == CB_OK && cb_fluid_define(&out->fluid, &design->fluid, &reason) != CB_OK) {
        status = cb_design_fail(design, "fluid.concentration", error, "%s", reason.message);
    }
    return status;
}

cb_status cbx_circuits_make_network(cbx_system *system, const cbx_piping *piping, cb_error *error)
{
    const cb_design *design = system->design;
    cb_fluid_properties p;
    cb_fluid_at(&piping->fluid, 5.0, &p); // heat capacity moves by under 1 % over a loop's span
    system->volume_capacity_j_m3k = p.density_kg_m3 * p.heat_capacity_j_kgk;
    system->wanted_flow_w_k = system->volume_capacity_j_m3k * design->pumps.flow_per_circuit_m3_s;
    system->header_capacity_j_k = system->volume_capacity_j_m3k * design->field.header_volume_m3;
    const cb_status status =
        cb_network_of_design(&system->network, design, &piping->field, &piping->fluid, error);
    system->circuits = status == CB_OK ? cb_network_circuits(system->network) : 0.0;
    return status;
}

// ---- film ------------------------------------------------------------------------------------

typedef struct film_case {
    double inside_m, length_m, coil_diameter_m; // diameter 0: straight
    double flow_m3_s;
} film_case;

static double film_mk_w(const cb_fluid *fluid, const film_case *of, double temperature_c)
{
    cb_fluid_properties p;
    cb_fluid_at(fluid, temperature_c, &p);
    const double reynolds = cb_reynolds(&p, of->flow_m3_s, of->inside_m);
    const double prandtl = p.viscosity_pa_s * p.heat_capacity_j_kgk / p.conductivity_w_mk;
    return cb_film_resistance_mk_w(
        cb_nusselt(reynolds, prandtl, of->inside_m, of->length_m, of->coil_diameter_m),
        p.conductivity_w_mk);
}

double cbx_coldest_film_mk_w(const cbx_piping *piping, const cb_design *design)
{
    const film_case of = {piping->field.inside_diameter_m, design->field.trench_length_m,
                          design->field.coil_diameter_m, design->pumps.flow_per_circuit_m3_s};
    return film_mk_w(&piping->fluid, &of, piping->fluid.minimum_c);
}

static void fill_film(const cbx_system *system, const cbx_piping *piping, cbx_run *run)
{
    const cb_fluid *fluid = &piping->fluid;
    const cb_design_field *field = &system->design->field;
    cbx_film_table *table = &run->film;
    film_case of = {.inside_m = run->runout ? piping->runout.inside_diameter_m
                                            : piping->field.inside_diameter_m,
                    .length_m = run->runout ? field->runout.length_m : run->length_m,
                    .coil_diameter_m = run->leg.coil_diameter_m};
    table->low_c = fluid->minimum_c;
    table->step_k = (fluid->maximum_c - fluid->minimum_c) / (CBX_FILM_NODES - 1);
    for (int n = 0; n < CBX_FILM_NODES; n++) {
        const double temperature_c = table->low_c + n * table->step_k;
        double slope;
        cb_network_result all;
        cb_network_at(system->network, temperature_c, &all);
        of.flow_m3_s = run->runout ? all.value.flow_m3_s
                                   : cbx_run_flow_m3_s(system, run, temperature_c, &slope);
        table->resistance_mk_w[n] = film_mk_w(fluid, &of, temperature_c);
    }
}

// ---- runs ------------------------------------------------------------------------------------

// What a run's pipe is to its water: heat that both hold, film and wall, and how much flows.
static void fill_run(const cbx_system *system, const cbx_layout *layout, const cbx_piping *piping,
                     cbx_run *run)
{
    const cb_design_field *field = &system->design->field;
    const cb_pipe_choice *choice = run->runout ? &field->runout.pipe : &field->pipe;
    const cb_pipe *pipe = run->runout ? &piping->runout : &piping->field;
    const double inside_m2 = 0.25 * pi * pipe->inside_diameter_m * pipe->inside_diameter_m;
    const double outside_m2 = 0.25 * pi * pipe->outside_diameter_m * pipe->outside_diameter_m;
    run->fluid_capacity_j_k =
        run->pipe_m * (inside_m2 * system->volume_capacity_j_m3k +
                       (outside_m2 - inside_m2) * choice->heat_capacity_j_m3k);
    run->wall_resistance_mk_w = cb_wall_resistance_mk_w(pipe, choice->conductivity_w_mk);
    run->circuits = run->runout ? system->circuits : run->multiplicity;
    run->mirrored = -1;
    if (!run->runout) {
        const int each = cb_field_trench_circuits(field).count;
        const int trench = layout->real[run->trench];
        run->circuit = trench * each + run->leg.circuit;
        if (run->multiplicity > 1.0) {
            run->mirrored = (field->trenches - 1 - trench) * each + run->leg.circuit;
        }
    }
    fill_film(system, piping, run);
}

void cbx_circuits_fill_runs(cbx_system *system, const cbx_layout *layout, const cbx_piping *piping)
{
    for (int r = 0; r < system->run_count; r++) {
        cbx_run *run = &system->run[r];
        fill_run(system, layout, piping, run);
        run->leads = !run->runout && (r == 0 || system->run[r - 1].circuit != run->circuit);
    }
}

// ---- the water's way -------------------------------------------------------------------------

struct walk {
    cbx_system *system;
    int before; // node just visited, or where the water comes from
};

static void visit(struct walk *walk, int node)
{
    walk->system->upstream[node] = walk->before;
    walk->system->path[walk->system->path_length++] = node;
    walk->before = node;
}

// Slices in which a run lies: 0 .. count - 1.
static int slices_of(const cbx_system *system, int run)
{
    int count = 0;
    while (count < system->slices && system->share[cbx_node(system, count, run)] > 0.0) {
        count++;
    }
    return count;
}

// Runs first .. first + count - 1 of one pass: out through the slices, or back. Water that passes
// several by turns visits them upwards in one slice and downwards in the next, so that it is not
// always nearest the last.
static void walk_pass(struct walk *walk, int first, int count)
{
    cbx_system *system = walk->system;
    const bool outward = system->run[first].leg.outward;
    const int slices = slices_of(system, first);
    for (int n = 0; n < slices; n++) {
        const int slice = outward ? n : slices - 1 - n;
        const int back = outward ? slice - 1 : slice + 1;
        for (int k = 0; k < count; k++) {
            const int r = first + (n % 2 == 0 ? k : count - 1 - k);
            const int node = cbx_node(system, slice, r);
            system->behind[node] = system->ahead[node] = node;
            if (n > 0) {
                const int behind = cbx_node(system, back, r);
                system->behind[node] = behind;
                system->ahead[behind] = node;
            }
            visit(walk, node);
        }
    }
}

static void walk_trench(cbx_system *system, const cbx_layout *layout, int trench, int source)
{
    const cbx_kind *kind = layout->kind;
    struct walk walk = {system, source};
    for (int l = 0, count; l < layout->part_count; l += count) {
        count = 1;
        while (l + count < layout->part_count && kind[l + count].part.pass == kind[l].part.pass) {
            count++;
        }
        if (l == 0 || kind[l].part.leg.circuit != kind[l - 1].part.leg.circuit) {
            walk.before = source;
        }
        walk_pass(&walk, trench * layout->part_count + l, count);
        const int next = l + count;
        if (next == layout->part_count || kind[next].part.leg.circuit != kind[l].part.leg.circuit) {
            system->end_of_circuit[walk.before] = true;
        }
    }
}

static bool make_node_lists(cbx_system *system)
{
    const size_t nodes = (size_t)cbx_node_count(system);
    system->share = calloc(nodes, sizeof *system->share);
    system->fluid_weight = calloc(nodes, sizeof *system->fluid_weight);
    system->upstream = calloc(nodes, sizeof *system->upstream);
    system->path = calloc(nodes, sizeof *system->path);
    system->end_of_circuit = calloc(nodes, sizeof *system->end_of_circuit);
    system->returns = calloc(nodes, sizeof *system->returns);
    system->behind = calloc(nodes, sizeof *system->behind);
    system->ahead = calloc(nodes, sizeof *system->ahead);
    system->water = calloc(1, sizeof *system->water);
    if (system->water) {
        system->water->run = calloc((size_t)system->run_count, sizeof *system->water->run);
    }
    return system->water && system->water->run && system->share && system->fluid_weight &&
           system->upstream && system->path && system->end_of_circuit && system->returns &&
           system->behind && system->ahead;
}

// From the header end on; what is left over by rounding is none.
static void fill_shares(cbx_system *system, double slice_m)
{
    for (int node = 0; node < cbx_node_count(system); node++) {
        const int slice = node / system->run_count;
        const double share = cbx_run_of(system, node)->length_m / slice_m - slice;
        system->share[node] = share > 1.0 - 1e-9 ? 1.0 : share > 1e-6 ? share : 0.0;
    }
}

// The fluid's mean temperature is that over the length of all pipe.
static void fill_weights(cbx_system *system)
{
    double pipe_m = 0.0;
    for (int node = 0; node < cbx_node_count(system); node++) {
        system->fluid_weight[node] = system->share[node] * cbx_run_of(system, node)->pipe_m;
        pipe_m += system->fluid_weight[node];
    }
    for (int node = 0; node < cbx_node_count(system); node++) {
        system->fluid_weight[node] /= pipe_m;
    }
}

// The order in which water visits the pieces: supply, circuits, return.
cb_status cbx_circuits_make_paths(cbx_system *system, const cbx_layout *layout, cb_error *error)
{
    if (!make_node_lists(system)) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the circuits");
    }
    fill_shares(system, layout->longest_m / system->slices);
    fill_weights(system);
    const int runout = layout->trenches * layout->part_count;
    struct walk header = {system, CBX_SUPPLY};
    if (layout->runout) {
        walk_pass(&header, runout, 1);
    }
    for (int t = 0; t < layout->trenches; t++) {
        walk_trench(system, layout, t, header.before);
    }
    if (layout->runout) {
        header.before = CBX_MIXED;
        walk_pass(&header, runout + 1, 1);
        system->returns[header.before] = true;
    } else {
        memcpy(system->returns, system->end_of_circuit,
               (size_t)cbx_node_count(system) * sizeof *system->returns);
    }
    return CB_OK;
}

void cbx_circuits_free(cbx_system *system)
{
    free(system->share);
    free(system->fluid_weight);
    free(system->upstream);
    free(system->path);
    free(system->end_of_circuit);
    free(system->returns);
    free(system->behind);
    free(system->ahead);
    if (system->water) {
        free(system->water->run);
        free(system->water);
    }
    cb_network_destroy(system->network);
}
