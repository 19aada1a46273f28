// SPDX-License-Identifier: MIT
#include "engine/slicing.h"

#include "engine/dense.h"

#include <math.h>
#include <stdlib.h>
#include <sundials/sundials_dense.h>

static const double pi = 3.14159265358979323846;

// What is left falls with the square.
enum { MANY_SLICES = 48 };

// ---- from a design ---------------------------------------------------------------------------

// Rise of one pipe by another's heat per metre of trench, times k. A coil is a strip as wide as its
// turns, whose points are 0.2 of its width apart in the logarithmic mean (0.224 if all were alike).
static double mutual_rise(const cb_leg *a, const cb_leg *b)
{
    const double across_m = a->across_m - b->across_m;
    const double strip_m = 0.2 * hypot(a->coil_diameter_m, b->coil_diameter_m);
    const double apart_m = hypot(strip_m, hypot(across_m, a->depth_m - b->depth_m));
    return log(hypot(across_m, a->depth_m + b->depth_m) / apart_m) / (2.0 * pi);
}

// Of the coil's height, while the ground cools from above: our own, from runs of the starter with
// upright turns.
static const double halves_k_m = 0.53;

static void fill_pipes(cbx_slicing *out, const cb_design_field *field, double pipe_radius_m,
                       double conductivity_w_mk)
{
    cb_leg leg[CB_MAX_LEGS];
    const int legs = cb_field_legs(field, leg);
    while (out->pipes < legs && leg[out->pipes].circuit == leg[0].circuit) {
        out->pipes++;
    }
    for (int i = 0; i < out->pipes; i++) {
        out->outward[i] = leg[i].outward;
        out->pipe_per_metre[i] = leg[i].pipe_per_metre;
        out->halves_k[i] = leg[i].upright ? halves_k_m * leg[i].coil_diameter_m : 0.0;
        for (int j = 0; j < legs; j++) {
            const double rise =
                i == j ? cbx_steady_rise(&leg[i], pipe_radius_m) / leg[i].pipe_per_metre
                       : mutual_rise(&leg[i], &leg[j]);
            out->soil_mk_w[i][j % out->pipes] += rise / conductivity_w_mk;
        }
    }
}

static double least_flow_m3_s(const cbx_system *system, double temperature_c)
{
    double least_m3_s = INFINITY, slope;
    for (int n = 0; n < (int)system->circuits; n++) {
        least_m3_s = fmin(least_m3_s,
                          cb_network_circuit_flow_m3_s(system->network, temperature_c, n, &slope));
    }
    return least_m3_s;
}

// Of the water over the units at full load. The floor is for units that hardly touch it: the load
// may be another's.
static double drop_k(const cbx_system *system, bool cooling)
{
    const cb_design_limits *limits = &system->design->limits;
    const double entering_c = cooling ? limits->entering_maximum_c : limits->entering_minimum_c;
    cb_network_result loop;
    cb_network_at(system->network, entering_c, &loop);
    return fmax(1.0, cbx_full_heat_w(system, cooling, entering_c) /
                         (loop.value.flow_m3_s * system->volume_capacity_j_m3k));
}

void cbx_slicing_of(cbx_slicing *out, const cbx_system *system, const cbx_layout *layout,
                    const cbx_piping *piping, double conductivity_w_mk)
{
    const cb_design *design = system->design;
    const cb_pipe *pipe = &piping->field;
    *out = (cbx_slicing){
        .inside_mk_w = cb_wall_resistance_mk_w(pipe, design->field.pipe.conductivity_w_mk) +
                       cbx_coldest_film_mk_w(piping, design),
        .length_m = layout->trench_m,
        .flow_w_k = system->volume_capacity_j_m3k *
                    least_flow_m3_s(system, design->limits.entering_minimum_c),
        .heating_k = drop_k(system, false),
        .cooling_k = drop_k(system, true),
    };
    fill_pipes(out, &design->field, 0.5 * pipe->outside_diameter_m, conductivity_w_mk);
}

// ---- one pass --------------------------------------------------------------------------------

// Walls [pipes * slices] and the heat that the water gives them [W/m of trench].
typedef struct pass {
    const cbx_slicing *trench;
    int slices;
    double *wall_c, *heat_w_m;
} pass;

// The n-th piece of a pipe that the water visits.
static int place(const pass *p, int pipe, int n)
{
    return pipe * p->slices + (p->trench->outward[pipe] ? n : p->slices - 1 - n);
}

// Change of the wall along that piece, as cbx_gradient_weight has it.
static double gradient_k(const pass *p, int pipe, int n)
{
    const int before = n > 0 ? n - 1 : n, after = n < p->slices - 1 ? n + 1 : n;
    const double rise_k = p->wall_c[place(p, pipe, after)] - p->wall_c[place(p, pipe, before)];
    return after - before == 2 ? 0.5 * rise_k : rise_k;
}

// Of a pipe's whole length.
static double transfer_units(const cbx_slicing *trench, int pipe)
{
    return trench->pipe_per_metre[pipe] * trench->length_m /
           (trench->inside_mk_w * trench->flow_w_k);
}

// Returns the temperature at the end. Heat and the fluid's mean balance in steady state, so that
// what engine/system.c has by that mean is here by the inlet.
static double follow_water(const pass *p, double water_c)
{
    const cbx_slicing *trench = p->trench;
    const double piece_m = trench->length_m / p->slices;
    for (int pipe = 0; pipe < trench->pipes; pipe++) {
        const double units = transfer_units(trench, pipe) / p->slices;
        const double taken = -expm1(-units), kept = 1.0 - taken;
        const double end = units < 1e-3 ? units * units / 12.0 : 0.5 * (1.0 + kept) - taken / units;
        for (int n = 0; n < p->slices; n++) {
            const int here = place(p, pipe, n);
            const double outlet_c =
                kept * water_c + taken * p->wall_c[here] + end * gradient_k(p, pipe, n);
            p->heat_w_m[here] = trench->flow_w_k * (water_c - outlet_c) / piece_m;
            water_c = outlet_c;
        }
    }
    return water_c;
}

static void warm_walls(const pass *p, double *wall_c)
{
    for (int pipe = 0; pipe < p->trench->pipes; pipe++) {
        for (int s = 0; s < p->slices; s++) {
            double sum_k = 0.0;
            for (int other = 0; other < p->trench->pipes; other++) {
                sum_k += p->trench->soil_mk_w[pipe][other] * p->heat_w_m[other * p->slices + s];
            }
            wall_c[pipe * p->slices + s] = sum_k;
        }
    }
}

// ---- steady state ----------------------------------------------------------------------------

// wall = soil * heat(wall), which is linear: its matrix column by column.
static bool solve_walls(const pass *p, double **column, long *pivot)
{
    const int size = p->trench->pipes * p->slices;
    for (int k = 0; k < size; k++) {
        p->wall_c[k] = 1.0;
        follow_water(p, 0.0);
        p->wall_c[k] = 0.0;
        warm_walls(p, column[k]);
        for (int n = 0; n < size; n++) {
            column[k][n] = (n == k) - column[k][n];
        }
    }
    follow_water(p, 1.0);
    warm_walls(p, p->wall_c);
    if (SUNDlsMat_denseGETRF(column, size, size, pivot) != 0) {
        return false;
    }
    SUNDlsMat_denseGETRS(column, size, pivot, p->wall_c);
    return true;
}

typedef struct steady {
    double outlet_c, end_wall_c; // ground 0, inlet 1 degC
    double span_k;               // of the first pipe's wall
} steady;

static steady read_steady(const pass *p)
{
    const int last = p->trench->pipes - 1, end = p->slices - 1;
    const double first_c = p->wall_c[place(p, 0, 0)], far_c = p->wall_c[place(p, 0, end)];
    return (steady){.outlet_c = follow_water(p, 1.0),
                    .end_wall_c = p->wall_c[place(p, last, end)] + 0.5 * gradient_k(p, last, end),
                    .span_k = fabs(first_c - far_c)};
}

static steady steady_state(const cbx_slicing *trench, int slices)
{
    const int size = trench->pipes * slices;
    steady found = {NAN, NAN, NAN};
    double **row = cbx_rows_create(size + 2, size);
    long *pivot = calloc((size_t)size, sizeof *pivot);
    if (row && pivot) {
        const pass p = {trench, slices, row[size], row[size + 1]};
        if (solve_walls(&p, row, pivot)) {
            found = read_steady(&p);
        }
    }
    cbx_rows_free(row, size + 2);
    free(pivot);
    return found;
}

double cbx_slicing_outlet_c(const cbx_slicing *trench, int slices)
{
    return steady_state(trench, slices).outlet_c;
}

// ---- error -----------------------------------------------------------------------------------

// The mean over a piece is exact to fourth order where all is linear. Where the ground freezes in
// one of n pieces, its resistance bends there: a bend in the middle of a wall that changes by D is
// missed by an eighth of D, times how sharp it is. A quarter is our own, from the runs of
// test_slicing: it makes the estimate half to twice what freezing winters show.
static double bent_k(double span_k, int slices)
{
    const double sharpness = 0.25;
    return sharpness * span_k / (8.0 * slices * slices);
}

// Water that passes two halves by turns is nearer the second when it leaves a slice: by tanh(n / 4)
// of half their difference, n the transfer units of both. In the next slice it passes them the
// other way round, and of that hardly anything is left; the pipes behind take most of the rest.
static double turned_k(const cbx_slicing *trench, int slices)
{
    double off_k = 0.0;
    for (int pipe = 0; pipe < trench->pipes; pipe++) {
        const double units = transfer_units(trench, pipe);
        off_k *= exp(-units);
        off_k += slices == 1 ? 0.5 * trench->halves_k[pipe] * tanh(0.25 * units) : 0.0;
    }
    return off_k;
}

// The load is given, so temperatures are held against the kelvin by which the water changes.
static cbx_slicing_error difference(const cbx_slicing *trench, int slices, const steady *many)
{
    const steady few = steady_state(trench, slices);
    const double few_k = 1.0 - few.outlet_c, many_k = 1.0 - many->outlet_c;
    const double straight = fabs(few.outlet_c / few_k - many->outlet_c / many_k);
    const double bent = bent_k(many->span_k / many_k, slices);
    return (cbx_slicing_error){
        .pumped_k = turned_k(trench, slices) +
                    fmax(trench->heating_k * (straight + bent), trench->cooling_k * straight),
        .idle_k = trench->heating_k * fabs(few.end_wall_c / few_k - many->end_wall_c / many_k)};
}

cbx_slicing_error cbx_slicing_errs(const cbx_slicing *trench, int slices)
{
    const steady many = steady_state(trench, MANY_SLICES);
    return difference(trench, slices, &many);
}

int cbx_slicing_choose(const cbx_slicing *trench, double granted_k)
{
    const double trickle = 5.0 / 3.0;
    const steady many = steady_state(trench, MANY_SLICES);
    int slices = CBX_MOST_CHOSEN;
    // From above: an error may pass through nought on its way down.
    while (slices > 1) {
        const int fewer = slices - 1;
        const cbx_slicing_error error = difference(trench, fewer, &many);
        const double most_k = fewer == 1 ? 0.25 * granted_k : granted_k;
        if (!(error.pumped_k <= most_k && error.idle_k <= trickle * most_k)) {
            break;
        }
        slices = fewer;
    }
    return slices;
}

double cbx_slicing_overhang_k(const cbx_slicing *trench, double share)
{
    // The ground beyond gives a quarter of what it would in steady state; our own, from runs with
    // trenches of 100, 150 and 200 ft in 2 and 3 slices.
    const double winter = 0.25;
    const double outlet_c = cbx_slicing_outlet_c(trench, MANY_SLICES);
    return winter * share * trench->heating_k * (1.0 / (1.0 - outlet_c) - 0.5);
}
